using System.Collections.Immutable;
using System.Runtime.InteropServices;
using Rinsewright.Handouts.Lives;
using Rinsewright.Quantities;
using Rinsewright.Records.Forecasts;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;
using Rinsewright.Treatment;
using Rinsewright.Water;

namespace Rinsewright.Handouts.Charts;

/// <summary>A point of a life chart.</summary>
/// <param name="Strength_uS_cm">Conductivity of the raw water at 25 °C [µS/cm].</param>
/// <param name="Liters">Litres to the line [L]; infinite where it is not reached within one and a half lives of the resin.</param>
[StructLayout(LayoutKind.Auto)]
public readonly record struct LifePoint(double Strength_uS_cm, double Liters);

/// <summary>Lives at one flow to one line.</summary>
public sealed record LifeCurve(VolumeFlow Flow, ChangeOutLine Line, ImmutableArray<LifePoint> Points);

/// <summary>What a fill of the owner really gave.</summary>
/// <param name="Strength_uS_cm">The raw water while it was in [µS/cm].</param>
/// <param name="Liters">Water that passed it [L].</param>
/// <param name="IsChanged">Whether it has been taken out; else it is still in.</param>
[StructLayout(LayoutKind.Auto)]
public readonly record struct FillPoint(double Strength_uS_cm, double Liters, bool IsChanged);

/// <summary>
/// How far a fill of the owner's own bed goes against the strength of the raw water: the bed model on their own water, thinned and
/// strengthened, for some flows and change-out lines, with what their own fills and readings were.
/// </summary>
public sealed record LifeChart
{
    private const int StepsEachWay = 6;
    private const double StepsPerDoubling = 3;
    private const int RangeMembers = 32;
    private const int RangeSeed = 1;
    private const double GentleShare = 0.5;
    private const double ReadingsLookedBack_days = 365;
    private const double LitersPerCubicMeter = 1000;

    /// <summary>The bed.</summary>
    public required RigBed Bed { get; init; }

    /// <summary>A curve for each flow and line.</summary>
    public required ImmutableArray<LifeCurve> Curves { get; init; }

    /// <summary>Strength of the raw water now [µS/cm].</summary>
    public required double Now_uS_cm { get; init; }

    /// <summary>
    /// Range at that strength, at the first flow and line, over the waters that fit and what the resin may turn out to be [L]; nothing
    /// when it could not be computed.
    /// </summary>
    public required Interval? Range { get; init; }

    /// <summary>The owner's fills.</summary>
    public required ImmutableArray<FillPoint> Fills { get; init; }

    /// <summary>The owner's readings of the raw water in the last year [µS/cm].</summary>
    public required ImmutableArray<double> Readings_uS_cm { get; init; }

    /// <summary>Flows to draw where none is named: the usual one, and half of it.</summary>
    public static ImmutableArray<VolumeFlow> UsualFlows(RigBed bed) =>
        [bed.Flow, VolumeFlow.FromCubicMetersPerSecond(GentleShare * bed.Flow.CubicMetersPerSecond)];

    /// <summary>Lines to draw where none is named: the rig's own, and that of silica.</summary>
    public static ImmutableArray<ChangeOutLine> UsualLines(RigBed bed) =>
        [.. new[] { bed.ChangeAt, ForecastLines.Silica }.Distinct()];

    /// <summary>What the model is fed at a multiple of the present strength, and its conductivity at 25 °C [µS/cm]; nothing where it cannot be computed.</summary>
    public static (WaterComposition Feed, double Strength_uS_cm)? FeedAt(RigBed bed, double multiple)
    {
        WaterComposition raw = LifeRuns.Middling(bed.Water.Source!).Concentrated(multiple);
        return
            bed.Line.Feed(raw) is { } feed
            && WaterReading.Of(raw, new SpeciationSolver(), new Speciation()) is { } reading
            ? (feed, reading.Conductivity_uS_cm)
            : null;
    }

    /// <summary>Computes the chart.</summary>
    /// <param name="bed">The bed.</param>
    /// <param name="flows">Flows; the first is the usual one.</param>
    /// <param name="lines">Change-out lines; the first is the one that is used.</param>
    /// <param name="cancel">Stops it.</param>
    /// <returns>The chart; nothing when the bed model could not run the beds.</returns>
    public static LifeChart? Of(
        RigBed bed,
        IReadOnlyList<VolumeFlow> flows,
        IReadOnlyList<ChangeOutLine> lines,
        CancellationToken cancel = default
    )
    {
        (WaterComposition Feed, double Strength_uS_cm)[] feeds =
        [
            .. Enumerable
                .Range(-StepsEachWay, (2 * StepsEachWay) + 1)
                .Select(k => FeedAt(bed, Math.Pow(2, k / StepsPerDoubling)))
                .OfType<(WaterComposition, double)>(),
        ];
        IReadOnlyList<EffluentReport?> lives = LifeRuns.Of(
            [.. flows.SelectMany(flow => feeds.Select(f => (bed.Line.Beds, f.Feed, flow)))],
            cancel: cancel
        );
        if (feeds.Length < 2 || lives.Contains(null))
        {
            return null;
        }

        List<LifeCurve> curves = [];
        for (int f = 0; f < flows.Count; f++)
        {
            foreach (ChangeOutLine line in lines)
            {
                ImmutableArray<LifePoint> points =
                [
                    .. feeds.Select(
                        (feed, i) =>
                            new LifePoint(
                                feed.Strength_uS_cm,
                                lives[(f * feeds.Length) + i]!.Reaches(line, bed.MeterFactor)?.Liters
                                    ?? double.PositiveInfinity
                            )
                    ),
                ];
                curves.Add(new LifeCurve(flows[f], line, points));
            }
        }

        return new LifeChart
        {
            Bed = bed,
            Curves = [.. curves],
            Now_uS_cm = feeds[feeds.Length / 2].Strength_uS_cm,
            Range = RangeOf(bed, flows[0], lines[0], cancel),
            Fills = [.. FillsOf(bed)],
            Readings_uS_cm =
            [
                .. bed
                    .History.StrengthAt(Place.Source)
                    .Where(r => Math.Abs((r.Reading.At - bed.At).TotalDays) < ReadingsLookedBack_days)
                    .Select(r => r.Corrected!.Conductance_uS_cm.Mean)
                    .Where(c => c > 0),
            ],
        };
    }

    private static Interval? RangeOf(
        RigBed bed,
        VolumeFlow flow,
        ChangeOutLine line,
        CancellationToken cancel
    )
    {
        WaterComposition[] feeds =
        [
            .. bed
                .Water.Source!.Members.Where(
                    (_, i) => i % Math.Max(1, bed.Water.Source.Members.Length / RangeMembers) == 0
                )
                .Select(bed.Line.Feed)
                .OfType<WaterComposition>(),
        ];
        try
        {
            return Interval.Of(
                BedOutlook
                    .Run(bed.Line.Beds, [.. feeds], flow, null, RangeMembers, RangeSeed, cancellation: cancel)
                    .LitersTo(line, bed.MeterFactor)
            );
        }
        catch (InvalidOperationException)
        {
            return null;
        }
    }

    private static IEnumerable<FillPoint> FillsOf(RigBed bed)
    {
        foreach (FillHistory fill in bed.Line.Stages[^1].Fills.Where(f => f.Fill.PutInAt <= bed.At))
        {
            bool isChanged = fill.Fill.TakenOutAt <= bed.At;
            DateTimeOffset end = isChanged ? fill.Fill.TakenOutAt!.Value : bed.At;
            double[] seen =
            [
                .. bed
                    .History.StrengthAt(Place.Source)
                    .Where(r => r.Reading.At >= fill.Fill.PutInAt && r.Reading.At <= end)
                    .Select(r => r.Corrected!.Conductance_uS_cm.Mean)
                    .Order(),
            ];
            double liters = LitersPerCubicMeter * fill.Drawn_m3;
            if (seen.Length > 0 && liters > 0)
            {
                yield return new FillPoint(seen[seen.Length / 2], liters, isChanged);
            }
        }
    }
}
