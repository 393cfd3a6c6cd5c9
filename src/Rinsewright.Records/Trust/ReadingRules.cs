using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;
using Meter = Rinsewright.Records.Logbook.Meter;

namespace Rinsewright.Records.Trust;

/// <summary>What the rules need to know of a rig beside its readings.</summary>
/// <param name="Stages">Its stages in the order in which the water meets them.</param>
/// <param name="Fills">The fills of all stages.</param>
/// <param name="SourceFileAt">Text of the water file of its source at an instant, if there is one.</param>
public sealed record RuleContext(
    IReadOnlyList<Stage> Stages,
    IReadOnlyList<Fill> Fills,
    Func<DateTimeOffset, string?> SourceFileAt
);

/// <summary>
/// Rules that mark readings of one rig as unsettled, cold, dominated by carbon dioxide or contaminated. Each compares a
/// reading with its own notes and its neighbours, so all readings are judged together. Thresholds are our choice.
/// </summary>
public sealed class ReadingRules
{
    private const double ColdBelow_K = 283.15;
    private const double SameWater_minutes = 10;
    private const double SamePh_minutes = 30;
    private const double Clear = 3; // standard deviations
    private const double DominantShare = 0.5;
    private const double Detected = 2; // standard deviations above zero
    private const double SpikeRatio = 1.5;
    private const double SpikeLeast_uS_cm = 3;
    private const double SpikeReach_days = 60;
    private const double FasterFlow = 1.5;
    private const double OverSource = 1.1;
    private const double SourceReach_days = 14;

    private readonly RuleContext _rig;
    private readonly IReadOnlyDictionary<Id<Meter>, MeterTrust> _meters;
    private readonly Dictionary<string, double?> _behindMembrane = new(StringComparer.Ordinal);

    private ReadingRules(RuleContext rig, IReadOnlyDictionary<Id<Meter>, MeterTrust> meters)
    {
        _rig = rig;
        _meters = meters;
    }

    /// <summary>Corrects and judges the readings of one rig; the order is kept.</summary>
    /// <param name="readings">Its readings, oldest first.</param>
    /// <param name="meters">The meters they were taken with.</param>
    /// <param name="rig">What else is known.</param>
    public static IReadOnlyList<TrustedReading> Judge(
        IReadOnlyList<Reading> readings,
        IReadOnlyDictionary<Id<Meter>, MeterTrust> meters,
        RuleContext rig
    ) => new ReadingRules(rig, meters).Judge(readings);

    private TrustedReading[] Judge(IReadOnlyList<Reading> readings)
    {
        var corrected = new CorrectedReading?[readings.Count];
        var remarks = new List<ReadingRemark>?[readings.Count];
        for (int i = 0; i < readings.Count; i++)
        {
            corrected[i] = TrustOf(readings[i]).Correct(readings[i]);
        }

        List<Seen> strengths =
        [
            .. Enumerable
                .Range(0, readings.Count)
                .Where(i => corrected[i] is not null)
                .Select(i => new Seen(i, readings[i], corrected[i]!)),
        ];
        List<Seen> sources = strengths.FindAll(s => s.Reading.Place is Place.Source);
        ILookup<(Place, Id<Stage>?), Reading> acidities = readings
            .Where(r => r.Measurand is Measurand.Ph)
            .ToLookup(r => (r.Place, r.StageId));
        foreach (var series in strengths.GroupBy(s => (s.Reading.Place, s.Reading.StageId)))
        {
            Seen[] ordered = [.. series];
            List<Reading> ofPh = [.. acidities[series.Key]];
            for (int i = 0; i < ordered.Length; i++)
            {
                Seen seen = ordered[i];
                Seen? before = i > 0 ? ordered[i - 1] : null;
                Seen? after = i + 1 < ordered.Length ? ordered[i + 1] : null;
                ReadingRemark?[] found =
                [
                    Unsettled(seen, after),
                    Cold(seen),
                    CarbonDioxide(seen, ofPh),
                    OverItsSource(seen, sources) ?? Spike(seen, before, after),
                ];
                if (Array.Exists(found, f => f is not null))
                {
                    remarks[seen.Index] = [.. found.OfType<ReadingRemark>()];
                }
            }
        }

        return
        [
            .. readings.Select(
                (r, i) => new TrustedReading(r, corrected[i], (IReadOnlyList<ReadingRemark>?)remarks[i] ?? [])
            ),
        ];
    }

    private static ReadingRemark? Unsettled(Seen seen, Seen? after)
    {
        if (seen.Reading.IsSettled is false)
        {
            return new ReadingRemark(
                ReadingFault.Unsettled,
                Sentence.Of("It was written down while the display still moved.")
            );
        }

        // The same water on the same meter a little later: only the meter can have moved.
        bool isRepeated =
            after is not null
            && after.Reading.MeterId == seen.Reading.MeterId
            && (after.Reading.At - seen.Reading.At).TotalMinutes <= SameWater_minutes
            && Math.Abs(after.Mean - seen.Mean)
                > Math.Max(0.1 * after.Mean, 2 * seen.Corrected.Resolution_uS_cm);
        return isRepeated
            ? new ReadingRemark(
                ReadingFault.Unsettled,
                Sentence.Of(
                    $"The same meter showed {after!.Reading.Written} {after.Reading.Unit} {(after.Reading.At - seen.Reading.At).TotalMinutes:0} minutes later."
                )
            )
            : null;
    }

    private ReadingRemark? Cold(Seen seen)
    {
        if (seen.Reading.Temperature_K is not { } temperature || temperature >= ColdBelow_K)
        {
            return null;
        }

        double error =
            100 * (TrustOf(seen.Reading).CompensationError(seen.Reading.Measurand, temperature) - 1);
        Sentence high = error >= 0 ? Sentence.Of("high") : Sentence.Of("low");
        return new ReadingRemark(
            ReadingFault.Cold,
            Sentence.Of(
                $"The water had {temperature - PhysicalConstants.ZeroCelsius:0.#} °C: the meter reads natural water {Math.Abs(error):0.#} % {high} there, water near pure reads lower, and the display settles slowly."
            )
        );
    }

    private ReadingRemark? CarbonDioxide(Seen seen, List<Reading> acidities)
    {
        if (
            seen.Reading.Place is Place.Source or Place.Inlet
            || seen.Mean < Detected * seen.Deviation
            || seen.Reading.IsBelowLimit
        )
        {
            return null;
        }

        Reading? acidity = Nearest(
            acidities,
            a => a.At,
            seen.Reading.At,
            TimeSpan.FromMinutes(SamePh_minutes)
        );
        if (acidity is not null)
        {
            double ofPh = DissolvedCarbonDioxide.AtPh_uS_cm(acidity.Value_SI);
            return ofPh >= DominantShare * seen.Mean
                ? new ReadingRemark(
                    ReadingFault.CarbonDioxide,
                    Sentence.Of(
                        $"At pH {acidity.Value_SI:0.0#} carbon dioxide alone gives {ofPh:0.0} µS/cm of its {seen.Mean:0.0}."
                    )
                )
                : null;
        }

        double air = DissolvedCarbonDioxide.FromAir_uS_cm;
        if (air >= DominantShare * seen.Mean)
        {
            return new ReadingRemark(
                ReadingFault.CarbonDioxide,
                Sentence.Of(
                    $"Water that has met the air holds {air:0.0} µS/cm of carbon dioxide; it reads {seen.Mean:0.0}."
                )
            );
        }

        return
            IsBareMembrane(seen.Reading)
            && _rig.SourceFileAt(seen.Reading.At) is { } file
            && BehindMembrane(file) is { } passes
            && passes >= DominantShare * seen.Mean
            ? new ReadingRemark(
                ReadingFault.CarbonDioxide,
                Sentence.Of(
                    $"The membrane lets the carbon dioxide of the source pass: about {passes:0.0} µS/cm of its {seen.Mean:0.0}."
                )
            )
            : null;
    }

    private ReadingRemark? OverItsSource(Seen seen, List<Seen> sources)
    {
        if (!IsPolished(seen.Reading))
        {
            return null;
        }

        Seen? source = Nearest(
            sources,
            s => s.Reading.At,
            seen.Reading.At,
            TimeSpan.FromDays(SourceReach_days)
        );
        return
            source is not null
            && seen.Mean - (OverSource * source.Mean) > Clear * double.Hypot(seen.Deviation, source.Deviation)
            ? new ReadingRemark(
                ReadingFault.Contaminated,
                Sentence.Of(
                    $"It reads {seen.Mean:0} µS/cm where the source has {source.Mean:0}: the train adds nothing, so cup, probe or line did."
                )
            )
            : null;
    }

    private ReadingRemark? Spike(Seen seen, Seen? before, Seen? after)
    {
        if (
            before is null
            || after is null
            || seen.Reading.Place is Place.Source or Place.Inlet
            || (seen.Reading.At - before.Reading.At).TotalDays > SpikeReach_days
            || (after.Reading.At - seen.Reading.At).TotalDays > SpikeReach_days
            || (after.Reading.At - seen.Reading.At).TotalMinutes <= SameWater_minutes
            || IsFaster(seen.Reading, before.Reading)
            || IsFaster(seen.Reading, after.Reading)
            || WasRefilled(seen.Reading.StageId, before.Reading.At, after.Reading.At)
        )
        {
            return null;
        }

        Seen higher = before.Mean > after.Mean ? before : after;
        double over = seen.Mean - higher.Mean;
        return
            over > SpikeLeast_uS_cm
            && seen.Mean > SpikeRatio * higher.Mean
            && over > Clear * double.Hypot(seen.Noise, higher.Noise)
            ? new ReadingRemark(
                ReadingFault.Contaminated,
                Sentence.Of(
                    $"It stands alone between {before.Mean:0.#} and {after.Mean:0.#} µS/cm at {seen.Mean:0.#}, and a spent bed does not come back: a dirty cup or probe, or the first water after a rest."
                )
            )
            : null;
    }

    private MeterTrust TrustOf(Reading reading) =>
        reading.MeterId is { } id && _meters.TryGetValue(id, out MeterTrust? trust)
            ? trust
            : MeterTrust.OfNoMeter;

    private double? BehindMembrane(string waterFile)
    {
        if (!_behindMembrane.TryGetValue(waterFile, out double? passes))
        {
            _behindMembrane.Add(waterFile, passes = DissolvedCarbonDioxide.BehindMembrane_uS_cm(waterFile));
        }

        return passes;
    }

    /// <summary>Whether the last stage that a reading's water passed holds back everything: then nothing can exceed the source.</summary>
    private bool IsPolished(Reading reading) =>
        LastTreatment(reading)?.Kind is StageKind.MixedBed or StageKind.ReverseOsmosis;

    /// <summary>Whether the water came through a membrane and nothing behind it took its carbon dioxide.</summary>
    private bool IsBareMembrane(Reading reading) => LastTreatment(reading)?.Kind is StageKind.ReverseOsmosis;

    private Stage? LastTreatment(Reading reading)
    {
        int end = reading.StageId is { } id
            ? _rig.Stages.FirstOrDefault(s => s.Id == id)?.Position ?? 0
            : int.MaxValue;
        return reading.Place switch
        {
            Place.Nozzle => LastUpTo(int.MaxValue),
            Place.Outlet => LastUpTo(end),
            _ => null,
        };

        Stage? LastUpTo(int position) =>
            _rig.Stages.LastOrDefault(s =>
                s.Position <= position && s.Kind is not (StageKind.Sediment or StageKind.CarbonBlock)
            );
    }

    private bool WasRefilled(Id<Stage>? stage, DateTimeOffset from, DateTimeOffset to) =>
        _rig.Fills.Any(f =>
            (stage is null || f.StageId == stage)
            && ((f.PutInAt > from && f.PutInAt <= to) || (f.TakenOutAt > from && f.TakenOutAt <= to))
        );

    private static bool IsFaster(Reading reading, Reading other) =>
        reading.Flow_m3_s > FasterFlow * other.Flow_m3_s;

    private static T? Nearest<T>(
        List<T> ordered,
        Func<T, DateTimeOffset> when,
        DateTimeOffset at,
        TimeSpan reach
    )
        where T : class
    {
        int next = 0;
        for (int end = ordered.Count; next < end; )
        {
            int middle = (next + end) / 2;
            if (when(ordered[middle]) < at)
            {
                next = middle + 1;
            }
            else
            {
                end = middle;
            }
        }

        T? later = next < ordered.Count ? ordered[next] : null;
        T? earlier = next > 0 ? ordered[next - 1] : null;
        T? nearest =
            earlier is null || later is null ? earlier ?? later
            : at - when(earlier) <= when(later) - at ? earlier
            : later;
        return nearest is not null && (when(nearest) - at).Duration() <= reach ? nearest : null;
    }

    /// <summary>A reading with its correction and its position among all.</summary>
    private sealed record Seen(int Index, Reading Reading, CorrectedReading Corrected)
    {
        public double Mean => Corrected.Conductance_uS_cm.Mean;

        public double Deviation => Corrected.Conductance_uS_cm.StandardDeviation;

        /// <summary>What two readings of one meter may differ by [µS/cm]: its gain and offset are common to both.</summary>
        public double Noise =>
            double.Hypot(Corrected.Resolution_uS_cm / Math.Sqrt(12), MeterTrust.Repeatability * Mean);
    }
}
