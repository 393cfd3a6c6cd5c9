using System.Collections.Concurrent;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Water;
using BenchCheck = Rinsewright.Records.Logbook.BenchCheck;
using Meter = Rinsewright.Records.Logbook.Meter;

namespace Rinsewright.Records.Trust;

/// <summary>A bench check and how well it agrees with the others.</summary>
/// <param name="Check">As written.</param>
/// <param name="Surprise">Distance from what the checks that count foretell, in standard deviations [-].</param>
/// <param name="IsDoubtful">Whether it contradicts the others.</param>
/// <param name="Counts">Whether readings are corrected by it; a doubtful one among three or more does not count.</param>
public sealed record CheckTrust(BenchCheck Check, double Surprise, bool IsDoubtful, bool Counts);

/// <summary>
/// How far one meter can be trusted: its gain and offset at any instant from all its bench checks, earlier and later, and
/// what its readings stand for. Immutable; made from the record by <see cref="ForAsync"/> or from entries by <see cref="Of"/>.
/// </summary>
public sealed class MeterTrust
{
    /// <summary>Factor of a meter that does not say its own: the trade's "0.5" (common practice, no source).</summary>
    public const double UsualFactor_kg_m3_per_S_m = 5;

    /// <summary>Where it matters most that a meter is right: the usual change-out line [µS/cm] (common practice, no source).</summary>
    public const double Line_uS_cm = 20;

    /// <summary>Distance beyond which a check contradicts the others, in standard deviations [-]; our choice.</summary>
    private const double DoubtfulSurprise = 3;

    // Of two that disagree nobody can say which is wrong.
    private const int LeastToJudge = 3;

    private const double MicrosiemensPerSiemens = 1e4; // µS/cm per S/m

    // Our choices, as standard uncertainties. Repeatability and solution: share of the value. Slopes: share per K away
    // from 25 °C, of a natural water's own slope and of a meter whose slope is not known.
    internal const double Repeatability = 0.01;
    private const double SolutionUncertainty = 0.01;
    private const double WaterSlope_per_K = 0.002;
    private const double UnknownSlope_per_K = 0.005;
    private const double UsualSlope_per_K = 0.02;

    // Water whose temperature nobody wrote down.
    private const double UsualTemperature_K = 288.15;
    private const double TemperatureUncertainty_K = 7;

    private readonly MeterHistory _history;
    private readonly ConcurrentDictionary<(Measurand, string), double> _units = new();

    private MeterTrust(Meter? meter, IEnumerable<BenchCheck> checks)
    {
        Meter = meter;
        List<BenchCheck> usable = [.. checks.Where(c => !c.IsDeleted && IsStrength).OrderBy(c => c.At)];
        List<BenchCheck> counting = [.. usable];
        _history = HistoryOf(counting);
        // The most surprising check goes first: one gross error makes its neighbours look wrong as well.
        while (counting.Count >= LeastToJudge)
        {
            int worst = Enumerable.Range(0, counting.Count).MaxBy(i => Math.Abs(_history.Surprise(i)));
            if (Math.Abs(_history.Surprise(worst)) <= DoubtfulSurprise)
            {
                break;
            }

            counting.RemoveAt(worst);
            _history = HistoryOf(counting);
        }

        Checks =
        [
            .. usable.Select(check =>
            {
                int place = counting.IndexOf(check);
                double surprise =
                    place >= 0 ? _history.Surprise(place) : _history.Surprise(check.At, Bench(check));
                bool isDoubtful = usable.Count > 1 && Math.Abs(surprise) > DoubtfulSurprise;
                return new CheckTrust(check, surprise, isDoubtful, place >= 0);
            }),
        ];
    }

    /// <summary>The meter of readings that name none: nobody has checked it.</summary>
    public static MeterTrust OfNoMeter { get; } = new(null, []);

    /// <summary>The meter; nothing for <see cref="OfNoMeter"/>.</summary>
    public Meter? Meter { get; }

    /// <summary>Its bench checks, oldest first.</summary>
    public IReadOnlyList<CheckTrust> Checks { get; }

    /// <summary>Whether it shows conductance or dissolved solids, which are what can be corrected.</summary>
    public bool IsStrength => Meter is null || IsOfStrength(Meter.Measurand);

    /// <summary>Judges a meter by its checks; deleted ones do not count.</summary>
    public static MeterTrust Of(Meter meter, IEnumerable<BenchCheck> checks) => new(meter, checks);

    /// <summary>Judges a meter by the checks in the record; nothing when there is no such meter.</summary>
    public static async Task<MeterTrust?> ForAsync(
        LogbookContext context,
        Id<Meter> meter,
        CancellationToken cancel = default
    ) =>
        await context.Live<Meter>().FirstOrDefaultAsync(m => m.Id == meter, cancel) is { } found
            ? Of(found, await context.Live<BenchCheck>().Where(c => c.MeterId == meter).ToListAsync(cancel))
            : null;

    /// <summary>Judges every meter of the record, deleted ones too: their readings stay.</summary>
    public static Task<IReadOnlyDictionary<Id<Meter>, MeterTrust>> AllAsync(
        LogbookContext context,
        CancellationToken cancel = default
    ) => JudgeAsync(context.Set<Meter>(), context.Live<BenchCheck>(), cancel);

    /// <summary>Judges some meters, deleted ones too, by their checks until an instant.</summary>
    public static Task<IReadOnlyDictionary<Id<Meter>, MeterTrust>> OfAsync(
        LogbookContext context,
        IReadOnlyCollection<Id<Meter>> meters,
        DateTimeOffset until,
        CancellationToken cancel = default
    ) =>
        JudgeAsync(
            context.Set<Meter>().Where(m => meters.Contains(m.Id)),
            context.Live<BenchCheck>().Where(c => meters.Contains(c.MeterId) && c.At <= until),
            cancel
        );

    private static async Task<IReadOnlyDictionary<Id<Meter>, MeterTrust>> JudgeAsync(
        IQueryable<Meter> meters,
        IQueryable<BenchCheck> checks,
        CancellationToken cancel
    )
    {
        ILookup<Id<Meter>, BenchCheck> ofMeter = (await checks.ToListAsync(cancel)).ToLookup(c => c.MeterId);
        return (await meters.AsNoTracking().ToListAsync(cancel)).ToDictionary(
            m => m.Id,
            m => Of(m, ofMeter[m.Id])
        );
    }

    /// <summary>Whether readings of <paramref name="measurand"/> stand for a specific conductance.</summary>
    public static bool IsOfStrength(Measurand measurand) =>
        measurand is Measurand.Conductivity or Measurand.SpecificConductance or Measurand.DissolvedSolids;

    /// <summary>Gain [-] and offset [µS/cm] of the meter at an instant.</summary>
    public MeterCalibration At(DateTimeOffset instant) => _history.At(instant);

    /// <summary>Whether it can be trusted at an instant.</summary>
    public MeterVerdict Verdict(DateTimeOffset now) => MeterVerdict.Of(this, now);

    /// <summary>What a reading stands for; nothing when it is not one of conductance or dissolved solids.</summary>
    public CorrectedReading? Correct(Reading reading)
    {
        if (!IsOfStrength(reading.Measurand))
        {
            return null;
        }

        double scale = Scale(reading.Measurand);
        double shown = reading.Value_SI * scale;
        double step = Step(reading.Measurand, reading.Written, reading.Unit) * scale;
        NormalEstimate compensated = At(reading.At).Correct(shown, Noise(shown, step));
        (double ratio, double spread) = ToNaturalWater(reading);
        double mean = ratio * compensated.Mean;
        return new CorrectedReading(
            new NormalEstimate(mean, double.Hypot(ratio * compensated.StandardDeviation, mean * spread)),
            new NormalEstimate(compensated.Mean / scale, compensated.StandardDeviation / scale),
            step
        );
    }

    /// <summary>What the meter's temperature compensation makes of a natural water at a temperature, over what it should [-].</summary>
    internal double CompensationError(Measurand measurand, double temperature_K) =>
        1 / Ratio(measurand, temperature_K);

    /// <summary>Unit shown per µS/cm: SI of the measurand times this is µS/cm.</summary>
    internal double Scale(Measurand measurand) =>
        measurand is Measurand.DissolvedSolids
            ? MicrosiemensPerSiemens / (Meter?.TdsFactor_kg_m3_per_S_m ?? UsualFactor_kg_m3_per_S_m)
            : MicrosiemensPerSiemens;

    private static double Noise(double shown, double step) =>
        double.Hypot(step / Math.Sqrt(12), Repeatability * shown);

    private MeterHistory HistoryOf(IEnumerable<BenchCheck> checks) =>
        new(MeterDrift.Pocket, checks.Select(c => (c.At, Bench(c))));

    private Rinsewright.Water.BenchCheck Bench(BenchCheck check)
    {
        double scale = Scale(Meter!.Measurand);
        double reference = check.Reference_SI * scale;
        double shown = check.Shown_SI * scale;
        double step = Step(Meter.Measurand, check.ShownWritten, check.Unit) * scale;
        return new Rinsewright.Water.BenchCheck(
            reference,
            check.ReferenceUncertainty_SI * scale ?? SolutionUncertainty * reference,
            shown,
            Noise(shown, step)
        );
    }

    /// <summary>Step of the display in SI: the meter's own, otherwise one unit in the last digit written.</summary>
    private double Step(Measurand measurand, string written, string unit)
    {
        if (Meter?.Resolution_SI is { } resolution && Meter.Measurand == measurand)
        {
            return resolution;
        }

        double ofUnit = _units.GetOrAdd(
            (measurand, unit),
            key => MeasurandText.TryFindUnit(key.Item1, key.Item2, out UnitScale? found) ? found.Scale : 0
        );
        int mark = written.AsSpan().IndexOfAny('.', ',');
        return ofUnit * (mark < 0 ? 1 : Math.Pow(10, mark + 1 - written.Length));
    }

    /// <summary>Factor from what the meter calls 25 °C to what a natural water has there, and its relative uncertainty.</summary>
    private (double Ratio, double Spread) ToNaturalWater(Reading reading)
    {
        bool hasSlope = reading.Measurand is not Measurand.Conductivity;
        double slope =
            hasSlope && Meter is { Compensation_per_K: null } or null ? UnknownSlope_per_K : WaterSlope_per_K;
        if (reading.Temperature_K is { } temperature)
        {
            double away = Math.Abs(temperature - Conductance.ReferenceTemperature);
            return (Ratio(reading.Measurand, temperature), slope * away);
        }

        double usual = Ratio(reading.Measurand, UsualTemperature_K);
        double warmer = Ratio(reading.Measurand, UsualTemperature_K + TemperatureUncertainty_K);
        double usualAway = Conductance.ReferenceTemperature - UsualTemperature_K;
        return (usual, double.Hypot((warmer / usual) - 1, slope * usualAway));
    }

    private double Ratio(Measurand measurand, double temperature_K)
    {
        double slope =
            measurand is Measurand.Conductivity ? 0 : Meter?.Compensation_per_K ?? UsualSlope_per_K;
        Compensation own = slope is 0 ? Compensation.None : Compensation.Linear(100 * Math.Min(slope, 0.039));
        double within = Math.Clamp(temperature_K, 273.15, 309.15);
        return Compensation.NaturalWater.To25(own.From25(1, within), within);
    }
}
