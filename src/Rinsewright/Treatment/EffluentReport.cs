using System.Collections.Immutable;
using Rinsewright.Drying;
using Rinsewright.Numerics;
using Rinsewright.Quantities;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Treatment;

/// <summary>One moment of a run: what leaves the last bed, as a meter and a laboratory would see it.</summary>
/// <param name="Liters">Water passed [L].</param>
/// <param name="PH">pH, closed to the air [-].</param>
/// <param name="Conductivity25">Conductivity at 25 °C [µS/cm].</param>
/// <param name="Residue">What the water leaves when it dries [mg/L].</param>
/// <param name="Bicarbonate">Bicarbonate [mg/L].</param>
/// <param name="CarbonDioxide">Dissolved carbon dioxide [mg/L].</param>
/// <param name="Spots">What a drop of it leaves on the paint, by the salts that its ions pair to.</param>
/// <param name="Totals">Totals by component [mol/m³].</param>
public sealed record EffluentSample(
    double Liters,
    double PH,
    double Conductivity25,
    double Residue,
    double Bicarbonate,
    double CarbonDioxide,
    SpotIndex Spots,
    ImmutableArray<double> Totals
)
{
    /// <summary>Silica as SiO2 [mg/L].</summary>
    public double Silica => MassOf(Component.Silica);

    /// <summary>Mass concentration of a component in the formula that names it [mg/L].</summary>
    /// <param name="component">Any but inorganic carbon, which is shown as bicarbonate and carbon dioxide.</param>
    public double MassOf(Component component) =>
        1e3 * IonCatalog.MolarMass(component) * Totals[(int)component];

    /// <summary>What a line is compared with, in the unit of its kind, [mg/L], [µS/cm] or [mg/m²].</summary>
    /// <param name="kind">The kind of line.</param>
    /// <param name="meterFactor">The meter's factor from conductivity to TDS [-].</param>
    public double ValueFor(LineKind kind, double meterFactor) =>
        kind switch
        {
            LineKind.MeterReading => meterFactor * Conductivity25,
            LineKind.Conductivity => Conductivity25,
            LineKind.Residue => Residue,
            LineKind.Spots => Spots.MilligramsPerSquareMeter,
            _ => Silica,
        };
}

/// <summary>
/// The curve of a run with everything that can be read from it: what a meter shows, what dries on the panel, when a
/// line is passed, and which ion comes out first.
/// </summary>
public sealed class EffluentReport
{
    /// <summary>Share of its feed at which an ion counts as out [-]; the usual breakthrough of the trade, our choice.</summary>
    public const double OutShare = 0.05;

    private const int Bisections = 40;
    private const double VolumeTolerance = 1e-7;

    private const double BicarbonateMolarMass = 61.0168e-3; // [kg/mol] (key iupac2021)
    private readonly EffluentCurve _curve;
    private readonly WaterComposition _feed;
    private readonly double _chargeResidual;
    private readonly Lock _space = new(); // reports are kept for others: one at a time works out species
    private readonly SpeciationSolver _solver = new();
    private readonly Speciation _species = new();
    private readonly Speciation _at25 = new();

    /// <summary>Reads a run.</summary>
    /// <param name="curve">Its effluent.</param>
    /// <param name="feed">The water that was fed.</param>
    /// <param name="beds">
    /// The beds. Where they exchange both cations and anions, the ions that the analysis did not find stay in them as well.
    /// </param>
    /// <param name="samples">Greatest number of samples to report; they are picked evenly from those of the run.</param>
    public EffluentReport(
        EffluentCurve curve,
        WaterComposition feed,
        ImmutableArray<ExchangeBed> beds,
        int samples = 400
    )
    {
        int[] signs = [.. beds.SelectMany(b => b.Resins).Select(r => r.Sign).Distinct()];
        _chargeResidual = signs.Length > 1 ? 0 : feed.ChargeResidual;
        _curve = curve;
        _feed = feed;
        int step = Math.Max(1, (int)Math.Ceiling(curve.Count / (double)samples));
        Samples =
        [
            .. Enumerable
                .Range(0, curve.Count)
                .Where(i => i % step == 0 || i == curve.Count - 1)
                .Select(i => At(curve.VolumeAt(i))),
        ];
    }

    /// <summary>The samples, from the first water to the last.</summary>
    public ImmutableArray<EffluentSample> Samples { get; }

    /// <summary>The water that leaves after a volume passed.</summary>
    /// <param name="passed">Water passed.</param>
    public EffluentSample At(Volume passed)
    {
        var water = new WaterComposition(_curve.At(passed), _chargeResidual, _feed.TemperatureKelvin);
        return SampleOf(water, passed);
    }

    /// <summary>The water that was fed, as a meter and a laboratory would see it.</summary>
    public EffluentSample FeedWater() => SampleOf(_feed, Volume.FromLiters(0));

    /// <summary>Water passed when a line is first reached, or nothing when it is not.</summary>
    /// <param name="line">The line.</param>
    /// <param name="meterFactor">The meter's factor from conductivity to TDS [-].</param>
    public Volume? Reaches(ChangeOutLine line, double meterFactor)
    {
        double Beyond(EffluentSample sample) => sample.ValueFor(line.Kind, meterFactor) - line.Value;
        EffluentSample low = Samples[0];
        if (Beyond(low) >= 0)
        {
            return Volume.FromLiters(low.Liters);
        }

        foreach (EffluentSample sample in Samples.AsSpan(1..))
        {
            if (Beyond(sample) >= 0)
            {
                double liters = Bracketed.Root(
                    l => Beyond(At(Volume.FromLiters(l))),
                    low.Liters,
                    sample.Liters,
                    VolumeTolerance * sample.Liters
                );
                return Volume.FromLiters(liters);
            }

            low = sample;
        }

        return null;
    }

    /// <summary>A quantity at a volume passed, on straight lines between the samples; outside them the nearest holds.</summary>
    /// <param name="liters">Volume passed [L].</param>
    /// <param name="value">The quantity.</param>
    public double Between(double liters, Func<EffluentSample, double> value)
    {
        int low = 0;
        int high = Samples.Length - 1;
        while (high - low > 1)
        {
            int middle = (low + high) / 2;
            (low, high) = Samples[middle].Liters <= liters ? (middle, high) : (low, middle);
        }

        double width = Samples[high].Liters - Samples[low].Liters;
        double share = width > 0 ? Math.Clamp((liters - Samples[low].Liters) / width, 0, 1) : 0;
        return (1 - share) * value(Samples[low]) + share * value(Samples[high]);
    }

    /// <summary>The ions that pass <see cref="OutShare"/> of their feed, in the order in which they do.</summary>
    public IReadOnlyList<(Component Ion, Volume Passed)> FirstOut() =>
        [
            .. Enum.GetValues<Component>()
                .Where(ion => _feed[ion] > 0)
                .Select(ion =>
                    (Ion: ion, Passed: FirstAtOrAbove(OutShare * _feed[ion], v => _curve.At(ion, v)))
                )
                .Where(out_ => out_.Passed is not null)
                .Select(out_ => (out_.Ion, out_.Passed!.Value))
                .OrderBy(out_ => out_.Value),
        ];

    private Volume? FirstAtOrAbove(double level, Func<Volume, double> value)
    {
        Volume low = _curve.VolumeAt(0);
        if (value(low) >= level)
        {
            return low;
        }

        for (int i = 1; i < _curve.Count; i++)
        {
            Volume high = _curve.VolumeAt(i);
            if (value(high) < level)
            {
                low = high;
                continue;
            }

            for (int n = 0; n < Bisections; n++)
            {
                var middle = Volume.FromCubicMeters((low.CubicMeters + high.CubicMeters) / 2);
                (low, high) = value(middle) < level ? (middle, high) : (low, middle);
            }

            return high;
        }

        return null;
    }

    private EffluentSample SampleOf(WaterComposition water, Volume passed)
    {
        var spots = SpotIndex.BySalts(water);
        lock (_space)
        {
            SpeciationStatus status = _solver.Solve(water, water.Closed, _species);
            double conductance = Conductance.SpecificConductance(_species, _solver, _at25);
            if (status is not SpeciationStatus.Solved || !double.IsFinite(conductance))
            {
                throw new InvalidOperationException($"The water after {passed} has no speciation: {status}.");
            }

            return new EffluentSample(
                passed.Liters,
                _species.PH,
                conductance * 1e4,
                WaterIndices.Residue(_species),
                1e3 * BicarbonateMolarMass * _species.Concentration(Species.Bicarbonate),
                WaterIndices.DissolvedCarbonDioxide(_species),
                spots,
                [.. water.Totals]
            );
        }
    }
}
