using System.Collections.Immutable;
using System.Runtime.InteropServices;
using Rinsewright.Quantities;
using Rinsewright.Records.Forecasts;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Handouts.Lives;

/// <summary>How far beds last, from new to a change-out line.</summary>
/// <param name="Liters">Litres to the line [L].</param>
/// <param name="SilicaLiters">Litres until silica passes 1 mg/L [L]; nothing when it stays below until the line.</param>
/// <param name="Early">The curve of a run that one in twenty falls short of.</param>
/// <param name="Report">The curve of the middle run.</param>
/// <param name="Late">The curve of a run that one in twenty exceeds.</param>
/// <param name="FirstOut">Ions in the order in which they come out.</param>
public sealed record FillLife(
    Interval Liters,
    Interval? SilicaLiters,
    EffluentReport Early,
    EffluentReport Report,
    EffluentReport Late,
    ImmutableArray<Component> FirstOut
)
{
    private const int Members = 32;
    private const int Seed = 1;
    private const int Stretches = 24;

    /// <summary>Runs the beds over everything that is open: the waters that fit, and what the resins may turn out to be.</summary>
    /// <param name="question">What is asked.</param>
    /// <param name="source">The source water.</param>
    /// <param name="detail">How closely the curves are followed.</param>
    /// <returns>The life; nothing when the equations of a membrane or a bed were not solved.</returns>
    public static FillLife? Of(LifeQuestion question, SourceWater source, BedDetail detail = BedDetail.Curves)
    {
        // From weak to strong, dealt so that any few of them span all.
        WaterComposition[] ordered = [.. source.Members.OrderBy(Load)];
        WaterComposition?[] feeds =
        [
            .. Enumerable
                .Range(0, Math.Min(Members, ordered.Length))
                .Select(i =>
                    question.Feed(
                        ordered[(int)((i + 0.5) * ordered.Length / Math.Min(Members, ordered.Length))]
                    )
                ),
        ];
        if (feeds.Contains(null))
        {
            return null;
        }

        ImmutableArray<ExchangeBed> beds = [.. question.Beds.Select(b => b.ToBed())];
        VolumeFlow flow = VolumeFlow.FromLitersPerMinute(question.Flow_L_min);
        BedOutlook outlook;
        try
        {
            outlook = BedOutlook.Run(beds, [.. feeds!], flow, null, Members, Seed, detail);
        }
        catch (InvalidOperationException)
        {
            return null;
        }

        var liters = new double[Members];
        var silica = new double[Members];
        Parallel.For(
            0,
            Members,
            m =>
            {
                EffluentReport report = outlook.Members[m];
                liters[m] =
                    report.Reaches(question.Line, question.MeterFactor)?.Liters ?? double.PositiveInfinity;
                silica[m] =
                    report.Reaches(ForecastLines.Silica, question.MeterFactor)?.Liters
                    ?? double.PositiveInfinity;
            }
        );
        int[] byLife = [.. Enumerable.Range(0, Members).OrderBy(m => liters[m])];
        var life = Interval.Of(liters);
        EffluentReport middle = outlook.Members[byLife[Members / 2]];
        return new FillLife(
            life,
            silica.Count(s => s < double.PositiveInfinity) > 0.9 * Members ? Interval.Of(silica) : null,
            outlook.Members[byLife[1]],
            middle,
            outlook.Members[byLife[^2]],
            [.. middle.FirstOut().Select(f => f.Ion)]
        )
        {
            Moments = new Lazy<ImmutableArray<BedMoment>>(() =>
                MomentsOf(question, feeds[feeds.Length / 2]!, beds, life.Middle)
            ),
        };
    }

    private Lazy<ImmutableArray<BedMoment>> Moments { get; init; } = null!;

    /// <summary>How the beds stand after a share of the middle life [-].</summary>
    public BedMoment AtShare(double share) =>
        Moments.Value[(int)Math.Clamp(Math.Round(share / 1.25 * Stretches), 0, Moments.Value.Length - 1)];

    /// <summary>
    /// The beds as designed, on the middle water, from new to a quarter past the line, or as far as their equations were solved; run
    /// when somebody looks.
    /// </summary>
    private static ImmutableArray<BedMoment> MomentsOf(
        LifeQuestion question,
        WaterComposition feed,
        ImmutableArray<ExchangeBed> beds,
        double liters
    )
    {
        var temperature = Temperature.FromKelvins(feed.TemperatureKelvin);
        VolumeFlow flow = VolumeFlow.FromLitersPerMinute(question.Flow_L_min);
        var series = new BedSeries(beds, flow, temperature);
        double whole =
            double.IsFinite(liters) && liters > 0
                ? liters / 1e3
                : series.StoichiometricVolume(feed.Totals).CubicMeters;
        var stretch = Volume.FromCubicMeters(1.25 * whole / Stretches);
        var moments = ImmutableArray.CreateBuilder<BedMoment>();
        moments.Add(BedMoment.Of(series));
        for (int n = 0; n < Stretches; n++)
        {
            if (series.Advance(feed.Totals, temperature, flow, stretch) != BedRunStatus.Completed)
            {
                break;
            }

            moments.Add(BedMoment.Of(series));
        }

        return moments.ToImmutable();
    }

    /// <summary>Equivalents of the ions, and moles of silica [per m³].</summary>
    private static double Load(WaterComposition water) =>
        Enum.GetValues<Component>()
            .Sum(c => water[c] * Math.Max(1, Math.Abs(IonCatalog.Of(IonCatalog.Master(c)).Charge)));
}

/// <summary>What sits on the resins of beds in series after some water has passed.</summary>
/// <param name="Liters">Water passed [L].</param>
/// <param name="Slices">Slices of equal thickness from the inlet of the first bed to the outlet of the last.</param>
public sealed record BedMoment(double Liters, ImmutableArray<BedSlice> Slices)
{
    private const int SlicesPerBed = 24;

    internal static BedMoment Of(BedSeries series)
    {
        var slices = ImmutableArray.CreateBuilder<BedSlice>();
        for (int b = 0; b < series.States.Count; b++)
        {
            BedState state = series.States[b];
            IReadOnlyList<double> depths = state.RelativeDepths;
            int node = 0;
            for (int s = 0; s < SlicesPerBed; s++)
            {
                double depth = (s + 0.5) / SlicesPerBed;
                while (node + 1 < depths.Count && depths[node + 1] <= depth)
                {
                    node++;
                }

                for (int r = 0; r < state.Bed.Resins.Length; r++)
                {
                    Resin resin = state.Bed.Resins[r];
                    slices.Add(
                        new BedSlice(
                            b,
                            s,
                            r,
                            resin.Sign,
                            [
                                .. resin
                                    .Selectivity.Keys.Order()
                                    .Select(ion => (Ion: ion, Share: state.FractionAt(node, r, ion)))
                                    .Where(f => f.Share > 1e-4),
                            ]
                        )
                    );
                }
            }
        }

        return new BedMoment(series.Drawn.Liters, slices.ToImmutable());
    }
}

/// <summary>One slice of one resin of one bed.</summary>
/// <param name="Bed">Index of the bed.</param>
/// <param name="Slice">Index of the slice, 0 at the inlet.</param>
/// <param name="Resin">Index of the resin in the bed.</param>
/// <param name="Sign">+1 for a cation resin, −1 for an anion resin.</param>
/// <param name="Held">Equivalent fractions by ion; what is missing to 1 is still fresh.</param>
[StructLayout(LayoutKind.Auto)]
public readonly record struct BedSlice(
    int Bed,
    int Slice,
    int Resin,
    int Sign,
    ImmutableArray<(Component Ion, double Share)> Held
)
{
    /// <summary>Share that is still in the form of a fresh fill.</summary>
    public double Fresh => Math.Max(0, 1 - Held.Sum(h => h.Share));
}

/// <summary>Lives that were asked for, kept for the next time.</summary>
public sealed class FillLives(SourceWaters waters)
{
    private const int MostKept = 200;
    private readonly System.Collections.Concurrent.ConcurrentDictionary<string, Lazy<FillLife?>> _known = new(
        StringComparer.Ordinal
    );

    /// <summary>The life, or nothing when the water cannot be completed or a bed was not solved.</summary>
    public FillLife? Of(LifeQuestion question, BedDetail detail = BedDetail.Curves)
    {
        if (_known.Count >= MostKept)
        {
            _known.Clear();
        }

        return _known
            .GetOrAdd(
                $"{detail}|{question.Key}",
                _ => new Lazy<FillLife?>(() =>
                    waters.Of(question.WaterFile).Source is { } source
                        ? FillLife.Of(question, source, detail)
                        : null
                )
            )
            .Value;
    }
}
