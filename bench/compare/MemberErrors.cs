using Rinsewright.Treatment.Beds;

namespace Rinsewright.Compare;

/// <summary>
/// How far off the members of an ensemble are, each from its own fine solution: a setting that serves the case they are drawn
/// around need not serve them.
/// </summary>
/// <param name="Of">Members looked at.</param>
/// <param name="Passing">Those that pass as a case must.</param>
/// <param name="Ion">Error of the worst ion of the worst member, silica apart [-].</param>
/// <param name="Silica">Largest error of silica [-].</param>
/// <param name="Line">Largest relative difference of the litres to a line [-].</param>
internal sealed record MemberErrors(int Of, int Passing, double Ion, double Silica, double Line)
{
    private const int Points = 301;

    /// <summary>A grid and a tolerance at which a member's own error is small beside what is allowed.</summary>
    public static OwnSetting Fine { get; } = new(240, 0.0005);

    public bool AllPass => Passing == Of;

    /// <summary>Looks at the first members of an ensemble.</summary>
    public static MemberErrors Measure(BedCase bed, OwnSetting setting, int members, int seed)
    {
        var own = new OwnBed(bed);
        BedDraw[] draws = Run(own, setting, members, seed);
        CurveError[] errors =
        [
            .. draws
                .Zip(Run(own, Fine, members, seed))
                .Select(pair =>
                    CurveError.Of(
                        bed,
                        OwnBed.ByIon(pair.First.Totals),
                        CurveOf(pair.First),
                        CurveOf(pair.Second)
                    )
                ),
        ];
        return new MemberErrors(
            members,
            errors.Count(e => e.Passes),
            errors.Max(e => e.Worst),
            errors.Max(e => e.Slug),
            errors.Max(e => e.WorstLine)
        );
    }

    private static BedDraw[] Run(OwnBed own, OwnSetting setting, int members, int seed) =>
        Throughput.Run(own, setting, Environment.ProcessorCount, members, seed);

    private static Curve CurveOf(BedDraw draw) => OwnBed.CurveOf(draw.Beds, draw.Volume.Liters, Points);
}
