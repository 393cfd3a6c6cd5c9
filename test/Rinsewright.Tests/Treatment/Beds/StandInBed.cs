using System.Collections.Immutable;
using Rinsewright.Quantities;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Tests.Treatment.Beds;

/// <summary>
/// A bed of one anion resin in which every ion is monovalent, strong and as fast as any other, so that the general
/// equations fall together with the theory of constant separation factors. OH stands for the species that the bed starts
/// with where a case has one that only charge brings along (H or OH).
/// </summary>
internal sealed record StandInBed
{
    private const double Diffusivity = 1.5e-9;
    private const double Strength = 5; // mol/m³

    /// <summary>Anions that can stand for a species, in no particular order.</summary>
    private static readonly Component[] Places =
    [
        Component.Chloride,
        Component.Nitrate,
        Component.Fluoride,
        Component.Phosphate,
        Component.InorganicCarbon,
    ];

    private readonly Dictionary<string, Component?> _place = new(StringComparer.Ordinal);
    private readonly Dictionary<string, double> _feed = new(StringComparer.Ordinal);

    /// <summary>A bed.</summary>
    /// <param name="species">Name, relative affinity, fraction in the feed, fraction on the resin at the start.</param>
    /// <param name="ofCharge">The species that OH stands for, or null.</param>
    public StandInBed(
        IReadOnlyList<(string Name, double Affinity, double Feed, double Start)> species,
        string? ofCharge
    )
    {
        // Without such a species the affinity of OH is so low that it takes no part.
        double reference = species
            .Where(s => string.Equals(s.Name, ofCharge, StringComparison.Ordinal))
            .Select(s => s.Affinity)
            .FirstOrDefault(1e-4);
        ImmutableDictionary<Component, double>.Builder affinity = ImmutableDictionary.CreateBuilder<
            Component,
            double
        >();
        ImmutableDictionary<Component, double>.Builder form = ImmutableDictionary.CreateBuilder<
            Component,
            double
        >();
        Totals[(int)Component.Sodium] = Strength;
        int next = 0;
        foreach ((string name, double w, double x, double y) in species)
        {
            _feed[name] = x;
            if (string.Equals(name, ofCharge, StringComparison.Ordinal))
            {
                _place[name] = null;
                continue;
            }

            Component place = Places[next++];
            _place[name] = place;
            affinity[place] = w / reference;
            form[place] = y;
            Totals[(int)place] = Strength * x;
        }

        Resin = new Resin(ResinKind.StrongAnion1, 1)
        {
            Selectivity = affinity.ToImmutable(),
            Form = form.ToImmutable(),
        };
    }

    public double[] Totals { get; } = new double[IonCatalog.ComponentCount];

    public Resin Resin { get; init; }

    /// <summary>Transfer units of the film [-].</summary>
    public double FilmUnits { get; init; } = double.PositiveInfinity;

    /// <summary>Transfer units of the bead [-].</summary>
    public double BeadUnits { get; init; } = double.PositiveInfinity;

    /// <summary>Slices, or 0 for those that the bed chooses itself.</summary>
    public int Slices { get; init; }

    public double StepTolerance { get; init; } = BedSeries.StepTolerance;

    /// <summary>Longest step as a throughput ratio, or 0 for those that the bed chooses itself [-].</summary>
    public double LongestStep { get; init; }

    public static BedConstants Constants
    {
        get
        {
            var at25 = BedConstants.At(298.15);
            double[] Filled(double value) => [.. at25.Diffusivity.Select(_ => value)];
            return new BedConstants
            {
                Temperature = at25.Temperature,
                Kw = 1e-8,
                Viscosity = 1e-6,
                HydrogenDiffusivity = Diffusivity,
                HydroxideDiffusivity = Diffusivity,
                Diffusivity = Filled(Diffusivity),
                ProtonGain = Filled(double.PositiveInfinity),
                ProtonLoss = Filled(0),
                BeadFactor = 1,
            };
        }
    }

    /// <summary>Runs the bed to a throughput ratio.</summary>
    public BedSeries Run(double throughput)
    {
        var flow = VolumeFlow.FromLitersPerMinute(2);
        Volume volume = Volume.FromLiters(2);
        BedConstants constants = Constants;
        var bed = new ExchangeBed(volume, Length.FromMillimeters(90), Resin)
        {
            Equilibrium = double.IsInfinity(FilmUnits) && double.IsInfinity(BeadUnits),
            Activities = false,
            Kinetics = new BedKinetics { Particle = false },
        };
        if (!bed.Equilibrium)
        {
            double units = BedCoefficients.MostTransferUnits(bed, flow.CubicMetersPerSecond, constants);
            double perSecond =
                BeadUnits
                * Strength
                * flow.CubicMetersPerSecond
                / (Resin.Capacity.EquivalentsPerCubicMeter * volume.CubicMeters);
            bed = bed with
            {
                Kinetics = new BedKinetics
                {
                    FilmFactor = Math.Min(FilmUnits, 1e6) / units,
                    Particle = !double.IsInfinity(BeadUnits),
                },
                Resins =
                [
                    Resin with
                    {
                        BeadDiffusivity = double.IsInfinity(BeadUnits)
                            ? 1
                            : perSecond * Resin.Bead.Meters * Resin.Bead.Meters / 60,
                    },
                ],
            };
        }

        var series = new BedSeries(
            [bed],
            b => Slices > 0 ? BedGrid.Create(Slices, 1) : BedGrid.For(b, flow, constants),
            _ => constants,
            StepTolerance
        );
        int draws = LongestStep > 0 ? (int)Math.Ceiling(throughput / LongestStep) : 1;
        for (int i = 0; i < draws; i++)
        {
            BedRunStatus status = series.Advance(
                Totals,
                Temperature.FromDegreesCelsius(25),
                flow,
                Volume.FromCubicMeters(throughput * PerThroughput / draws)
            );
            Assert.Equal(BedRunStatus.Completed, status);
        }

        return series;
    }

    /// <summary>Fraction of a species in what leaves a run at a throughput ratio [-].</summary>
    public double Fraction(EffluentCurve curve, string species, double throughput)
    {
        var volume = Volume.FromCubicMeters(throughput * PerThroughput);
        return _place[species] is { } place
            ? curve.At(place, volume) / Strength
            : 1 - _place.Values.OfType<Component>().Sum(p => curve.At(p, volume)) / Strength;
    }

    /// <summary>Throughput ratio at which a species passes a level, after another one.</summary>
    public double Passes(EffluentCurve curve, string species, double level, double from, double to)
    {
        bool rising = Fraction(curve, species, to) > level;
        for (int i = 0; i < 40; i++)
        {
            double middle = (from + to) / 2;
            if (Fraction(curve, species, middle) > level == rising)
            {
                to = middle;
            }
            else
            {
                from = middle;
            }
        }

        return (from + to) / 2;
    }

    private double PerThroughput => Resin.Capacity.EquivalentsPerCubicMeter * 2e-3 / Strength;
}
