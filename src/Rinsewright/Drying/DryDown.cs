using System.Runtime.InteropServices;
using Rinsewright.Water;

namespace Rinsewright.Drying;

/// <summary>How a dry-down ended.</summary>
public enum DryDownStatus
{
    /// <summary>All that was dissolved is laid down.</summary>
    Dried,

    /// <summary>
    /// All is laid down, but the brine could not be followed to the cut-off of the activity model: the share laid down as
    /// stoichiometric salts is larger.
    /// </summary>
    CutShort,
}

/// <summary>One solid of a residue.</summary>
/// <param name="Solid">Which.</param>
/// <param name="MolesPerCubicMeter">Amount per volume of the water that dried [mol/m³].</param>
/// <param name="OnsetFactor">
/// Concentration factor at which it first appears [-]; none when it appears beyond the reach of the activity model.
/// </param>
public sealed record ResidueItem(ResidueSolid Solid, double MolesPerCubicMeter, double? OnsetFactor)
{
    /// <summary>Mass per volume of the water that dried [mg/L], water of crystallisation included.</summary>
    public double MilligramsPerLiter => MolesPerCubicMeter * Solid.MolarMassGramsPerMole;
}

/// <summary>A moment of a dry-down.</summary>
/// <param name="Factor">Volume of feed over volume left [-].</param>
/// <param name="PH">pH of the brine [-].</param>
/// <param name="IonicStrength">Ionic strength of the brine [mol/kg].</param>
/// <param name="Calcite">Calcite so far [mol/m³ of feed].</param>
/// <param name="Gypsum">Gypsum so far [mol/m³ of feed].</param>
/// <param name="Silica">Amorphous silica so far [mol/m³ of feed].</param>
public sealed record DryDownMoment(
    double Factor,
    double PH,
    double IonicStrength,
    double Calcite,
    double Gypsum,
    double Silica
);

/// <summary>
/// What a water leaves when it dries open to the air: in equilibrium with calcite, gypsum and amorphous silica up to the
/// cut-off of the activity model, the rest as stoichiometric salts. Equations drying-32 to drying-36.
/// </summary>
/// <param name="Status">How it ended.</param>
/// <param name="Residue">Solids in the order in which they appear.</param>
/// <param name="Path">The brine on its way to the cut-off.</param>
/// <param name="CutOffFactor">Concentration factor up to which the activity model was used [-].</param>
/// <param name="ToAir">What goes to the air as ammonia or acid, by <see cref="Component"/> [mol/m³]; carbon not counted.</param>
/// <param name="Unpaired">Ions that the analysis leaves without a partner, by <see cref="Component"/> [mol/m³].</param>
/// <param name="Speciations">Speciations solved [-].</param>
public sealed record DryDown(
    DryDownStatus Status,
    IReadOnlyList<ResidueItem> Residue,
    IReadOnlyList<DryDownMoment> Path,
    double CutOffFactor,
    IReadOnlyList<double> ToAir,
    IReadOnlyList<double> Unpaired,
    int Speciations
)
{
    /// <summary>
    /// Strength of the brine at which the activity model is left [mol/kg]: its ionic strength or, where acids stay whole, half of all
    /// that is dissolved, which is the same for a salt of two single charges.
    /// </summary>
    public const double CutOffStrength = Activity.GreatestIonicStrength;

    private const double LogGreatestFactor = 16.1; // ten million
    private const double LogStep = 0.7;
    private const int MostMoments = 100;
    private const double SmallStep = 0.005;
    private const double LeastStep = 0.05;
    private const double Near = 0.985; // of the cut-off: near enough
    private const double OnsetTolerance = 1e-4; // of a saturation index

    /// <summary>Ions without a partner [mg/L].</summary>
    public double UnpairedMilligramsPerLiter => MilligramsPerLiter([.. Unpaired]);

    /// <summary>Mass of amounts by <see cref="Component"/> [mg/L].</summary>
    internal static double MilligramsPerLiter(ReadOnlySpan<double> molesPerCubicMeter)
    {
        double mass = 0;
        for (int c = 0; c < molesPerCubicMeter.Length; c++)
        {
            mass += molesPerCubicMeter[c] * IonCatalog.MolarMass((Component)c) * 1000;
        }

        return mass;
    }

    /// <summary>Residue that stays or scratches [mg/L].</summary>
    public double HardMilligramsPerLiter => Residue.Where(r => r.Solid.IsHard).Sum(r => r.MilligramsPerLiter);

    /// <summary>Residue that the next rinse takes [mg/L], ions without a partner included.</summary>
    public double SoftMilligramsPerLiter =>
        Residue.Where(r => !r.Solid.IsHard).Sum(r => r.MilligramsPerLiter) + UnpairedMilligramsPerLiter;

    /// <summary>Dries a water at its own temperature, 0 to 45 °C.</summary>
    /// <param name="feed">The water.</param>
    /// <param name="logCarbonDioxidePressure">log10 of the partial pressure of carbon dioxide in atm [-].</param>
    public static DryDown Of(
        WaterComposition feed,
        double logCarbonDioxidePressure = SourceWater.AirCarbonDioxide
    )
    {
        var path = new DryDownPath(feed, logCarbonDioxidePressure);
        List<DryDownMoment> moments = new(16);
        double?[] onset = new double?[DryDownPath.SolidCount];
        bool solved = path.MoveTo(1);
        for (int s = 0; s < DryDownPath.SolidCount; s++)
        {
            onset[s] = path.Precipitated[s] > 0 ? 1 : null;
        }

        moments.Add(Moment(path, 0));
        DryDownStatus status = solved ? Follow(path, moments, onset) : DryDownStatus.CutShort;
        return LayDown(status, feed, path, moments, onset);
    }

    /// <summary>Follows the brine to the cut-off.</summary>
    private static DryDownStatus Follow(DryDownPath path, List<DryDownMoment> moments, double?[] onset)
    {
        Span<double> index = stackalloc double[DryDownPath.SolidCount];
        double step = LogStep;
        double log = 0;
        var last = new Reached(0, path.Strength);
        Reached before = last;
        while (log < LogGreatestFactor && last.Strength < Near * CutOffStrength)
        {
            if (moments.Count > MostMoments)
            {
                return DryDownStatus.CutShort;
            }

            path.Keep();
            for (int s = 0; s < DryDownPath.SolidCount; s++)
            {
                index[s] = path.SaturationIndex(s);
            }

            double next = Math.Min(log + step, CutOff(before, last)); // eq. drying-35
            if (!path.FollowTo(next) || path.Strength > CutOffStrength)
            {
                bool beyond = path.Brine.Status == SpeciationStatus.Solved;
                path.Return();
                step = 0.5 * (next - log);
                if (step > LeastStep)
                {
                    continue;
                }

                return beyond ? DryDownStatus.Dried : DryDownStatus.CutShort;
            }

            (next, int appears) = FirstOnset(path, log, next, index);
            if (double.IsNaN(next))
            {
                path.Return();
                return DryDownStatus.CutShort;
            }

            log = next;
            if (appears >= 0)
            {
                path.Admit(appears);
            }

            for (int s = 0; s < DryDownPath.SolidCount; s++)
            {
                onset[s] ??= path.IsPresent(s) ? Math.Exp(log) : null;
            }

            moments.Add(Moment(path, log));
            (before, last) = (last, new Reached(log, path.Strength));
            step = LogStep;
        }

        return DryDownStatus.Dried;
    }

    /// <summary>
    /// Logarithm of the factor at which the next solid reaches saturation: the saturation indices of those not yet there
    /// are followed without them, which is smooth, and the first zero is taken. The end of the step when none does.
    /// </summary>
    private static (double Log, int Solid) FirstOnset(
        DryDownPath path,
        double low,
        double high,
        Span<double> indexAtLow
    )
    {
        Span<double> indexAtHigh = stackalloc double[DryDownPath.SolidCount];
        Span<double> index = stackalloc double[DryDownPath.SolidCount];
        double at = high;
        for (int trial = 0; trial < 30; trial++)
        {
            int first = -1;
            bool over = false;
            double crossing = high;
            for (int s = 0; s < DryDownPath.SolidCount; s++)
            {
                index[s] = path.SaturationIndex(s);
                if (path.IsPresent(s) || index[s] < -OnsetTolerance)
                {
                    continue;
                }

                over |= index[s] > OnsetTolerance;
                double crosses = Crossing(low, at, indexAtLow[s], index[s]);
                if (first < 0 || crosses < crossing)
                {
                    (first, crossing) = (s, crosses);
                }
            }

            if (!over && (first >= 0 || trial == 0))
            {
                return (at, first);
            }

            if (over)
            {
                high = at;
                index.CopyTo(indexAtHigh);
            }
            else
            {
                low = at;
                index.CopyTo(indexAtLow);
                crossing = high;
                for (int s = 0; s < DryDownPath.SolidCount; s++)
                {
                    double crosses = Crossing(low, high, indexAtLow[s], indexAtHigh[s]);
                    crossing = path.IsPresent(s) ? crossing : Math.Min(crossing, crosses);
                }
            }

            at = trial < 8 ? crossing : 0.5 * (low + high);
            if (!path.FollowTo(at))
            {
                return (double.NaN, -1);
            }
        }

        return path.MoveTo(Math.Exp(at)) ? (at, -1) : (double.NaN, -1);
    }

    /// <summary>Where an index that rises from one end of a span to the other passes zero on the chord; else the upper end.</summary>
    private static double Crossing(double low, double high, double indexAtLow, double indexAtHigh) =>
        indexAtHigh > 0 && indexAtLow < 0 && double.IsFinite(indexAtLow)
            ? high - (indexAtHigh * (high - low) / (indexAtHigh - indexAtLow))
            : high;

    /// <summary>
    /// Logarithm of the factor just inside the cut-off: strength grows nearly as a power of the factor, that between the last two
    /// brines, or the first power.
    /// </summary>
    private static double CutOff(Reached before, Reached last)
    {
        double span = last.LogFactor - before.LogFactor;
        double power = span > 0.05 ? Math.Log(last.Strength / before.Strength) / span : 1;
        double room = Math.Log(Near * CutOffStrength / last.Strength);
        return last.LogFactor + (room / Math.Max(power, 0.2)) + SmallStep;
    }

    /// <summary>How strong a brine was at a factor.</summary>
    /// <param name="LogFactor">Natural logarithm of the factor [-].</param>
    /// <param name="Strength">As of <see cref="CutOffStrength"/> [mol/kg].</param>
    [StructLayout(LayoutKind.Auto)]
    private readonly record struct Reached(double LogFactor, double Strength);

    private static DryDownMoment Moment(DryDownPath path, double log) =>
        new(
            Math.Exp(log),
            path.Brine.PH,
            path.Brine.IonicStrength,
            path.Precipitated[0],
            path.Precipitated[1],
            path.Precipitated[2]
        );

    private static DryDown LayDown(
        DryDownStatus status,
        WaterComposition feed,
        DryDownPath path,
        List<DryDownMoment> moments,
        double?[] onset
    )
    {
        ResidueSolid[] early = [ResidueSolid.Calcite, ResidueSolid.Gypsum, ResidueSolid.Silica];
        Dictionary<ResidueSolid, double> amounts = [];
        for (int s = 0; s < DryDownPath.SolidCount; s++)
        {
            if (path.Precipitated[s] > 0)
            {
                amounts[early[s]] = path.Precipitated[s];
            }
        }

        double[] left = new double[IonCatalog.ComponentCount];
        for (int c = 0; c < left.Length; c++)
        {
            left[c] = path.Dissolved((Component)c);
        }

        double[] toAir = new double[left.Length];
        double[] unpaired = new double[left.Length];
        Span<double> laid = stackalloc double[SaltNorm.Places];
        SaltNorm.Assign(left, feed.ChargeResidual, laid, toAir, unpaired);
        for (int i = 0; i < laid.Length; i++)
        {
            if (SaltNorm.SolidAt(i) is { } solid && laid[i] > 0)
            {
                amounts[solid] = amounts.GetValueOrDefault(solid) + laid[i];
            }
        }

        List<ResidueItem> residue =
        [
            .. amounts
                .Where(a => a.Value > 0)
                .Select(a =>
                {
                    int s = Array.IndexOf(early, a.Key);
                    return new ResidueItem(a.Key, a.Value, s < 0 ? null : onset[s]);
                })
                .OrderBy(r => r.OnsetFactor ?? double.PositiveInfinity)
                .ThenByDescending(r => r.MilligramsPerLiter),
        ];
        return new(status, residue, moments, moments[^1].Factor, toAir, unpaired, path.Solved);
    }
}
