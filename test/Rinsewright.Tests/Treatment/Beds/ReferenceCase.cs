using System.Collections.Immutable;
using Rinsewright.Quantities;
using Rinsewright.Tests.Evidence;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Tests.Treatment.Beds;

/// <summary>
/// The mixed bed, feeds and constants of data/reference-codes/sundials-cvode (README.md there), in the terms of this
/// project.
/// </summary>
internal sealed class ReferenceCase(string file, double litersPerMinute, double[] feed_mg_L)
{
    private static readonly double[] MolarMasses = [22.99, 39.1, 24.305, 40.078, 35.45, 62.0, 96.06, 60.08];
    private static readonly Component[] Listed =
    [
        Component.Sodium,
        Component.Potassium,
        Component.Magnesium,
        Component.Calcium,
        Component.Chloride,
        Component.Nitrate,
        Component.Sulfate,
        Component.Silica,
    ];

    private static readonly double[] Soft = [6, 0.6, 1.4, 7.0, 12, 0.9, 6.0, 3.0];
    private static readonly double[] Hard = [25, 3, 18, 75, 40, 8, 55, 12];

    private BedSeries? _usual;
    private object? _turn;

    public static IReadOnlyList<ReferenceCase> All { get; } =
    [new("soft-8-L-per-min", 8, Soft), new("soft-19-L-per-min", 19, Soft), new("hard-8-L-per-min", 8, Hard)];

    /// <summary>The columns of the reference and the components they hold.</summary>
    public static IReadOnlyList<(string Column, Component Component)> Columns { get; } =
    [
        ("Na_mol_m3", Component.Sodium),
        ("K_mol_m3", Component.Potassium),
        ("Mg_mol_m3", Component.Magnesium),
        ("Ca_mol_m3", Component.Calcium),
        ("Cl_mol_m3", Component.Chloride),
        ("NO3_mol_m3", Component.Nitrate),
        ("SO4_mol_m3", Component.Sulfate),
        ("TIC_mol_m3", Component.InorganicCarbon),
        ("Si_mol_m3", Component.Silica),
    ];

    public string Name => file;

    public VolumeFlow Flow => VolumeFlow.FromLitersPerMinute(litersPerMinute);

    public static BedConstants Constants
    {
        get
        {
            var at25 = BedConstants.At(298.15);
            double[] diffusivity = [.. at25.Diffusivity];
            double[] gain = [.. at25.ProtonGain];
            double[] loss = [.. at25.ProtonLoss];
            diffusivity[(int)Component.Silica] = 1.0e-9;
            gain[(int)Component.InorganicCarbon] = 1e3 * Math.Pow(10, -6.35);
            loss[(int)Component.InorganicCarbon] = 1e3 * Math.Pow(10, -10.33);
            gain[(int)Component.Silica] = 1e3 * Math.Pow(10, -9.84);
            return new BedConstants
            {
                Temperature = at25.Temperature,
                Kw = 1e-8,
                Viscosity = 1e-6,
                HydrogenDiffusivity = 9.311e-9,
                HydroxideDiffusivity = 5.273e-9,
                Diffusivity = diffusivity,
                ProtonGain = gain,
                ProtonLoss = loss,
                BeadFactor = 1,
            };
        }
    }

    public static ExchangeBed Bed =>
        new(
            Volume.FromLiters(4.5),
            Length.FromMeters(0.105),
            new Resin(ResinKind.StrongCation, 0.4)
            {
                Capacity = ExchangeCapacity.FromEquivalentsPerLiter(1.9),
                Selectivity = new Dictionary<Component, double>
                {
                    [Component.Sodium] = 1.56,
                    [Component.Potassium] = 2.28,
                    [Component.Magnesium] = 0.5 * Math.Pow(3.29 / 1.27, 2),
                    [Component.Calcium] = 0.5 * Math.Pow(5.16 / 1.27, 2),
                }.ToImmutableDictionary(),
            },
            new Resin(ResinKind.StrongAnion1, 0.6)
            {
                Capacity = ExchangeCapacity.FromEquivalentsPerLiter(1.15),
                Selectivity = new Dictionary<Component, double>
                {
                    [Component.Chloride] = 22,
                    [Component.Nitrate] = 65,
                    [Component.Sulfate] = 30,
                    [Component.InorganicCarbon] = 6,
                    [Component.Silica] = 1,
                }.ToImmutableDictionary(),
            }
        )
        {
            Kinetics = new BedKinetics { Particle = false },
        };

    /// <summary>Totals of the feed [mol/m³]; bicarbonate closes the charge balance, pH 7.3.</summary>
    public double[] Feed()
    {
        var totals = new double[IonCatalog.ComponentCount];
        double charge = 0;
        for (int i = 0; i < Listed.Length; i++)
        {
            double c = feed_mg_L[i] / MolarMasses[i];
            totals[(int)Listed[i]] = c;
            charge += Listed[i] == Component.Silica ? 0 : c * BedIons.ExchangedForm(Listed[i]).Charge;
        }

        totals[(int)Component.InorganicCarbon] = charge * (1 + Math.Pow(10, 6.35 - 7.3));
        return totals;
    }

    public DataTable Reference() => DataTable.Read($"data/reference-codes/sundials-cvode/{file}.csv");

    /// <summary>The run as it is usually set, made once.</summary>
    public BedSeries Usual => LazyInitializer.EnsureInitialized(ref _usual, ref _turn, () => Run());

    /// <summary>Runs our bed over the reference's volume.</summary>
    public BedSeries Run(int slices = BedGrid.DefaultSlices, double tolerance = BedSeries.StepTolerance)
    {
        var series = new BedSeries([Bed], _ => BedGrid.Create(slices), _ => Constants, tolerance);
        double[] feed = Feed();
        Volume end = Volume.FromCubicMeters(1.5 * series.StoichiometricVolume(feed).CubicMeters);
        BedRunStatus status = series.Advance(feed, Temperature.FromDegreesCelsius(25), Flow, end);
        Assert.Equal(BedRunStatus.Completed, status);
        return series;
    }

    /// <summary>
    /// Largest error of each ion over the curve, over the larger of its feed and its greatest value in the reference [%].
    /// </summary>
    public Dictionary<string, double> ErrorsInPercent(EffluentCurve curve)
    {
        double[] feed = Feed();
        DataTable reference = Reference();
        Dictionary<string, double> errors = new(StringComparer.Ordinal);
        foreach ((string column, Component component) in Columns)
        {
            double scale = Math.Max(feed[(int)component], reference.Rows.Max(r => r.Number(column)));
            errors[column] = reference.Rows.Worst(r =>
                100
                * Math.Abs(curve.At(component, Volume.FromLiters(r.Number("V_L"))) - r.Number(column))
                / scale
            );
        }

        return errors;
    }
}
