using System.Collections.Immutable;
using Rinsewright.Quantities;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Compare;

/// <summary>The two forms of the bed.</summary>
internal enum BedForm
{
    /// <summary>A lane of a vector to each bed, the form that is used.</summary>
    Lanes,

    /// <summary>The readable form that the other is held to.</summary>
    Scalar,
}

/// <summary>How finely a bed is solved.</summary>
/// <param name="Slices">Slices of the grid.</param>
/// <param name="Tolerance">Tolerance of a step [-].</param>
internal sealed record OwnSetting(int Slices, double Tolerance)
{
    public static OwnSetting Default { get; } = new(BedGrid.DefaultSlices, BedSeries.StepTolerance);

    public string Name => Report.Invariant($"{Slices} slices, tolerance {Tolerance}");
}

/// <summary>A case in this project's own terms, and its solution by either form of the bed.</summary>
internal sealed class OwnBed
{
    private static readonly Component[] Components =
    [
        Component.Sodium,
        Component.Potassium,
        Component.Magnesium,
        Component.Calcium,
        Component.Chloride,
        Component.Nitrate,
        Component.Sulfate,
        Component.InorganicCarbon,
        Component.Silica,
    ];

    private readonly BedCase _case;

    public OwnBed(BedCase bed)
    {
        _case = bed;
        foreach ((Component component, double c) in Components.Zip(bed.Feed))
        {
            Feed[(int)component] = c;
        }

        Flow = VolumeFlow.FromLitersPerMinute(bed.Number("flow_L_per_min"));
        Life = Volume.FromLiters(bed.RunLiters);
        Constants = ConstantsOf(bed);
        Design = DesignOf(bed);
    }

    /// <summary>Totals of the feed by component [mol/m³].</summary>
    public double[] Feed { get; } = new double[IonCatalog.ComponentCount];

    public Temperature Temperature { get; } = Temperature.FromDegreesCelsius(25);

    public VolumeFlow Flow { get; }

    public Volume Life { get; }

    public BedConstants Constants { get; }

    public ExchangeBed Design { get; }

    /// <summary>Runs the life and times it.</summary>
    public SolverRun Solve(BedForm form, OwnSetting setting, int points, int repeat)
    {
        BedSeries series = Run(form, setting);
        double milliseconds = Clock.Median(repeat, () => series = Run(form, setting));
        Curve curve = CurveOf(series, _case.RunLiters, points);
        return new SolverRun(curve, milliseconds, series.Steps.Taken, series.BalanceError);
    }

    /// <summary>What has left a bed, at equal steps of volume.</summary>
    public static Curve CurveOf(BedSeries series, double runLiters, int points) =>
        Curve.Sample(
            runLiters,
            points,
            liters => [.. Components.Select(c => series.Effluent.At(c, Volume.FromLiters(liters)))]
        );

    /// <summary>A feed in the order of <see cref="Curve.Ions"/> [mol/m³].</summary>
    public static double[] ByIon(ReadOnlyMemory<double> totals) =>
        [.. Components.Select(c => totals.Span[(int)c])];

    /// <summary>Runs a life.</summary>
    public BedSeries Run(BedForm form, OwnSetting setting)
    {
        var series = new BedSeries(
            [Design],
            _ => BedGrid.Create(setting.Slices),
            _ => Constants,
            setting.Tolerance
        );
        BedRunStatus status =
            form is BedForm.Lanes
                ? series.Advance(Feed, Temperature, Flow, Life)
                : series.AdvanceScalar(Feed, Temperature, Flow, Life);
        return status == BedRunStatus.Completed
            ? series
            : throw new InvalidOperationException($"{_case.Name}: the bed ended with {status}.");
    }

    /// <summary>
    /// A new bed that differs from this one as the members of a forecast do, and its life: water and its silica, capacity and flow by
    /// up to 30 %, film coefficients by up to 40 %, 5 to 25 °C, up to 2 % by-pass.
    /// </summary>
    public BedDraw Member(OwnSetting setting, Random random)
    {
        double Around(double spread) => 1 + spread * (2 * random.NextDouble() - 1);
        double strength = Around(0.3);
        double[] feed = [.. Feed.Select(c => strength * c)];
        feed[(int)Component.Silica] *= Around(0.3);
        double capacity = Around(0.3);
        ExchangeBed bed = Design with
        {
            Bypass = 0.02 * random.NextDouble(),
            Kinetics = Design.Kinetics with { FilmFactor = Around(0.4) },
            Resins =
            [
                .. Design.Resins.Select(r =>
                    r with
                    {
                        Capacity = ExchangeCapacity.FromEquivalentsPerLiter(
                            capacity * r.Capacity.EquivalentsPerLiter
                        ),
                    }
                ),
            ],
        };
        var series = new BedSeries(
            [bed],
            _ => BedGrid.Create(setting.Slices),
            BedConstants.At,
            setting.Tolerance
        );
        double life = _case.Number("run_over_stoichiometric") * series.StoichiometricVolume(feed).CubicMeters;
        return new BedDraw(
            series,
            feed,
            Temperature.FromDegreesCelsius(15 * Around(2 / 3.0)),
            VolumeFlow.FromCubicMetersPerSecond(Around(0.3) * Flow.CubicMetersPerSecond),
            Volume.FromCubicMeters(life)
        );
    }

    private static BedConstants ConstantsOf(BedCase bed)
    {
        var at25 = BedConstants.At(298.15);
        double[] diffusivity = [.. at25.Diffusivity];
        double[] gain = [.. at25.ProtonGain];
        double[] loss = [.. at25.ProtonLoss];
        foreach ((Component component, string ion) in Components.Zip(Curve.Ions))
        {
            diffusivity[(int)component] = bed.Number($"diffusivity_m2_per_s {ion}");
        }

        gain[(int)Component.InorganicCarbon] = Acid(bed, "pK1");
        loss[(int)Component.InorganicCarbon] = Acid(bed, "pK2");
        gain[(int)Component.Silica] = Acid(bed, "pK_silica");
        return new BedConstants
        {
            Temperature = at25.Temperature,
            Kw = 1e6 * Math.Pow(10, -bed.Number("pKw")),
            Viscosity = bed.Number("viscosity_m2_per_s"),
            HydrogenDiffusivity = bed.Number("diffusivity_H_m2_per_s"),
            HydroxideDiffusivity = bed.Number("diffusivity_OH_m2_per_s"),
            Diffusivity = diffusivity,
            ProtonGain = gain,
            ProtonLoss = loss,
            BeadFactor = 1,
        };
    }

    private static ExchangeBed DesignOf(BedCase bed)
    {
        double share = bed.Number("cation_share");
        return new ExchangeBed(
            Volume.FromLiters(bed.Number("settled_volume_L")),
            Length.FromMeters(bed.Number("diameter_m")),
            ResinOf(bed, ResinKind.StrongCation, share, "cation", ..4),
            ResinOf(bed, ResinKind.StrongAnion1, 1 - share, "anion", 4..)
        )
        {
            VoidFraction = bed.Number("porosity"),
            Kinetics = new BedKinetics { Particle = false },
        };
    }

    /// <summary>
    /// The cases write a divalent ion's law in molar terms (K² for cations, K for sulfate), the bed in equivalents: half
    /// of that.
    /// </summary>
    private static Resin ResinOf(BedCase bed, ResinKind kind, double share, string name, Range ions) =>
        new(kind, share)
        {
            Capacity = ExchangeCapacity.FromEquivalentsPerLiter(
                1e-3 * bed.Number($"{name}_capacity_eq_per_m3")
            ),
            Bead = Length.FromMeters(bed.Number("bead_diameter_m")),
            Selectivity = Components[ions]
                .Zip(
                    Curve.Ions[ions],
                    (component, ion) => (component, K: bed.Number($"selectivity {ion}"), ion)
                )
                .ToImmutableDictionary(
                    s => s.component,
                    s =>
                        s.ion switch
                        {
                            "Mg" or "Ca" => 0.5 * s.K * s.K,
                            "SO4" => 0.5 * s.K,
                            _ => s.K,
                        }
                ),
        };

    private static double Acid(BedCase bed, string name) => 1e3 * Math.Pow(10, -bed.Number(name));
}
