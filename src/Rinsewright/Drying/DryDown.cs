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
    /// <summary>log10 of the partial pressure of carbon dioxide in outdoor air in atm [-]: 10^-3.38, 417 ppm.</summary>
    public const double OutdoorAir = -3.38;

    /// <summary>Ionic strength of the brine [mol/kg] at which the activity model is left.</summary>
    public const double CutOffStrength = Activity.GreatestIonicStrength;

    private const double GreatestFactor = 1e7;
    private const double LogStep = 0.7;

    /// <summary>Ions without a partner [mg/L].</summary>
    public double UnpairedMilligramsPerLiter
    {
        get
        {
            double mass = 0;
            for (int c = 0; c < Unpaired.Count; c++)
            {
                mass += Unpaired[c] * IonCatalog.MolarMass((Component)c) * 1000;
            }

            return mass;
        }
    }

    /// <summary>Residue that stays or scratches [mg/L].</summary>
    public double HardMilligramsPerLiter => Residue.Where(r => r.Solid.IsHard).Sum(r => r.MilligramsPerLiter);

    /// <summary>Residue that the next rinse takes [mg/L], ions without a partner included.</summary>
    public double SoftMilligramsPerLiter =>
        Residue.Where(r => !r.Solid.IsHard).Sum(r => r.MilligramsPerLiter) + UnpairedMilligramsPerLiter;

    /// <summary>Dries a water at its own temperature, 0 to 45 °C.</summary>
    /// <param name="feed">The water.</param>
    /// <param name="logCarbonDioxidePressure">log10 of the partial pressure of carbon dioxide in atm [-].</param>
    public static DryDown Of(WaterComposition feed, double logCarbonDioxidePressure = OutdoorAir)
    {
        var path = new DryDownPath(feed, logCarbonDioxidePressure);
        List<DryDownMoment> moments = [];
        double?[] onset = new double?[DryDownPath.SolidCount];
        double[] index = new double[DryDownPath.SolidCount];
        double log = 0;
        double step = LogStep;
        double lastGood = 0;
        bool last = false;
        DryDownStatus status = DryDownStatus.Dried;
        while (true)
        {
            if (!path.MoveTo(Math.Exp(log)))
            {
                step *= 0.5;
                path.Return();
                if (step > 0.1 * LogStep && moments.Count > 0)
                {
                    log = lastGood + step;
                    continue;
                }

                status = DryDownStatus.CutShort;
                break;
            }

            double strength = path.Brine.IonicStrength;
            if (strength > CutOffStrength && moments.Count > 0)
            {
                // One step back to just inside the cut-off: strength grows nearly as a power of the factor.
                DryDownMoment before = moments[^1];
                double span = log - lastGood;
                double power = Math.Log(strength / before.IonicStrength) / span;
                double inside = Math.Log(0.99 * CutOffStrength / before.IonicStrength) / power;
                log = lastGood + Math.Clamp(inside, 0, 0.9 * span); // eq. drying-35
                last = true;
                continue;
            }

            Note(path, log, moments, onset, index);
            path.Keep();
            lastGood = log;
            if (last || log >= Math.Log(GreatestFactor) || strength > CutOffStrength)
            {
                break;
            }

            log += step;
        }

        return LayDown(status, feed, path, moments, onset);
    }

    /// <summary>Records a moment, and where a solid has appeared since the last one.</summary>
    private static void Note(
        DryDownPath path,
        double log,
        List<DryDownMoment> moments,
        double?[] onset,
        double[] index
    )
    {
        bool moved = false;
        for (int s = 0; s < DryDownPath.SolidCount; s++)
        {
            if (onset[s] is not null || path.Precipitated[s] <= 0)
            {
                continue;
            }

            onset[s] = 1;
            if (moments.Count > 0)
            {
                onset[s] = Math.Exp(Onset(path, s, Math.Log(moments[^1].Factor), log, index[s]));
                moved = true;
                path.MoveTo(Math.Exp(log));
            }
        }

        if (moved)
        {
            path.MoveTo(Math.Exp(log));
        }

        for (int s = 0; s < DryDownPath.SolidCount; s++)
        {
            index[s] = path.SaturationIndex(s);
        }

        moments.Add(
            new(
                Math.Exp(log),
                path.Brine.PH,
                path.Brine.IonicStrength,
                path.Precipitated[0],
                path.Precipitated[1],
                path.Precipitated[2]
            )
        );
    }

    /// <summary>
    /// Logarithm of the factor at which a solid reaches saturation: its index is followed to just below zero and carried on
    /// straight from there.
    /// </summary>
    private static double Onset(DryDownPath path, int solid, double low, double high, double indexAtLow)
    {
        double trial = low + (0.9 * (high - low));
        for (int i = 0; i < 12; i++)
        {
            path.MoveTo(Math.Exp(trial));
            double at = path.SaturationIndex(solid);
            if (path.Precipitated[solid] <= 0 && at > indexAtLow)
            {
                double found = trial - (at * (trial - low) / (at - indexAtLow));
                if (found - trial < 0.1 * (trial - low))
                {
                    return Math.Clamp(found, low, high);
                }

                low = trial;
                indexAtLow = at;
                trial = Math.Min(found, low + (0.9 * (high - low)));
            }
            else
            {
                high = trial;
                trial = low + (0.5 * (high - low));
            }
        }

        return trial;
    }

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
        SaltNorm.Assign(
            left,
            feed.ChargeResidual,
            (solid, moles) => amounts[solid] = amounts.GetValueOrDefault(solid) + moles,
            toAir,
            unpaired
        );
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
        return new(DryDownStatus.Dried, residue, moments, moments[^1].Factor, toAir, unpaired, path.Solved);
    }
}
