using Rinsewright.Quantities;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Tests.Treatment.Beds;

/// <summary>What a bed does that its keeper would not guess. Each test prints the numbers that show it.</summary>
public sealed class BedFindingsTests(ITestOutputHelper output)
{
    private const double MeterFactor = 0.5;

    [Fact]
    public void Silica_leaves_stronger_than_the_feed_while_the_meter_is_still_low()
    {
        WaterComposition feed = Tap();
        EffluentReport report = Run(Mixed(0.4), feed, 8, 1.3);
        EffluentSample slug = report.Samples.MaxBy(s => s.Silica)!;
        EffluentSample hidden = report
            .Samples.Where(s => MeterFactor * s.Conductivity25 < 10)
            .MaxBy(s => s.Silica)!;
        double fed = report.Samples[^1].Silica;
        Say("the slug", slug);
        Say("the most silica below 10 ppm", hidden);
        output.WriteLine($"feed: {fed:F1} mg/L of silica, {MeterFactor * FeedConductivity(feed):F0} ppm");
        Assert.True(slug.Silica > 1.5 * fed);
        Assert.True(hidden.Silica > 1.2 * fed);
        Assert.True(hidden.Residue > hidden.Silica * 0.99);
        Assert.True(MeterFactor * slug.Conductivity25 < 0.5 * MeterFactor * FeedConductivity(feed));
    }

    [Fact]
    public void Carbon_dioxide_shows_on_the_meter_and_leaves_nothing()
    {
        EffluentSample sample = Run(Mixed(0.7), Tap(), 8, 1.3)
            .Samples.Where(s => s.Residue < 1 && s.CarbonDioxide > 1)
            .MaxBy(s => s.Conductivity25)!;
        Say("carbon dioxide alone", sample);
        Assert.True(MeterFactor * sample.Conductivity25 > 1);
        Assert.InRange(sample.PH, 4, 6);
    }

    [Fact]
    public void A_fresh_bed_at_a_wide_open_hose_slips_more_and_its_slip_is_calcium_and_caustic()
    {
        EffluentSample gentle = Fresh(4);
        EffluentSample open = Fresh(30);
        Say("4 L/min", gentle);
        Say("30 L/min", open);
        Assert.True(open.Conductivity25 > 5 * gentle.Conductivity25);
        Assert.True(open.PH > 7.5);
        double calcium = 2 * open.Totals[(int)Component.Calcium];
        double cations =
            calcium
            + (2 * open.Totals[(int)Component.Magnesium])
            + open.Totals[(int)Component.Sodium]
            + open.Totals[(int)Component.Potassium];
        output.WriteLine($"calcium is {100 * calcium / cations:F0} % of the cations that slip");
        Assert.True(calcium > 0.5 * cations);
    }

    [Fact]
    public void Too_little_anion_resin_ends_acid_and_too_little_cation_resin_ends_caustic()
    {
        EffluentReport acid = Run(Mixed(0.75), Salty(), 8, 1.6);
        EffluentReport caustic = Run(Mixed(0.15), Salty(), 8, 1.6);
        EffluentSample lowest = acid.Samples.MinBy(s => s.PH)!;
        EffluentSample highest = caustic.Samples.MaxBy(s => s.PH)!;
        double fed = FeedConductivity(Salty());
        Say("anion resin first", lowest);
        Say("cation resin first", highest);
        output.WriteLine($"feed: pH {7.5:F1}, {MeterFactor * fed:F0} ppm");
        Assert.InRange(lowest.PH, 2, 4);
        Assert.InRange(highest.PH, 10, 12);
        Assert.True(lowest.Conductivity25 > fed);
    }

    [Fact]
    public void A_bed_holds_then_goes()
    {
        WaterComposition feed = Tap();
        EffluentReport report = Run(Mixed(0.4), feed, 4, 1.3);
        double one = Reached(report, "1 ppm");
        double ten = Reached(report, "10 ppm");
        double thirty = Reached(report, "30 ppm");
        double half = MeterFactor * report.At(Volume.FromLiters(thirty / 2)).Conductivity25;
        output.WriteLine(
            $"{half:F2} ppm at half its life, 1 ppm at {one:F0} L, 10 ppm at {ten:F0} L, 30 ppm at {thirty:F0} L"
        );
        Assert.True(half < 0.5); // a pen that shows whole ppm still shows 0
        Assert.True(one > 0.65 * thirty);
        Assert.InRange(ten, one, thirty);
    }

    private EffluentSample Fresh(double litersPerMinute) =>
        Run(Mixed(0.4), Tap(), litersPerMinute, 0.05).Samples[^1];

    private static double Reached(EffluentReport report, string line)
    {
        Assert.True(ChangeOutLine.TryParse("line", line, out ChangeOutLine? read, out _));
        return report.Reaches(read, MeterFactor)!.Value.Liters;
    }

    /// <summary>A wall cartridge of mixed bed with a share of cation resin.</summary>
    private static ExchangeBed Mixed(double cation) =>
        new(
            Volume.FromLiters(4.5),
            Length.FromMillimeters(105),
            new Resin(ResinKind.StrongCation, cation),
            new Resin(ResinKind.StrongAnion1, 1 - cation)
        );

    private static EffluentReport Run(
        ExchangeBed bed,
        WaterComposition feed,
        double litersPerMinute,
        double life
    )
    {
        var flow = VolumeFlow.FromLitersPerMinute(litersPerMinute);
        var temperature = Temperature.FromKelvins(feed.TemperatureKelvin);
        var series = new BedSeries([bed], flow, temperature);
        Volume volume = Volume.FromCubicMeters(
            life * series.StoichiometricVolume(feed.Totals, last: true).CubicMeters
        );
        Assert.Equal(BedRunStatus.Completed, series.Advance(feed.Totals, temperature, flow, volume));
        return new EffluentReport(series.Effluent, feed, [bed]);
    }

    /// <summary>A municipal water of our own.</summary>
    private static WaterComposition Tap() => Water(15, 30, 5, 12, 2, 17, 22, 4, 10, 8);

    /// <summary>A water of our own with much salt and little carbonate.</summary>
    private static WaterComposition Salty() => Water(15, 12, 3, 45, 2, 70, 35, 4, 4, 0.5);

    /// <summary>Ions in mg/L; bicarbonate closes the charge balance.</summary>
    internal static WaterComposition Water(
        double celsius,
        double calcium,
        double magnesium,
        double sodium,
        double potassium,
        double chloride,
        double sulfate,
        double nitrate,
        double silica,
        double carbonDioxide
    )
    {
        var totals = new double[IonCatalog.ComponentCount];
        double charge = 0;
        foreach (
            (Component ion, double mg_L) in (ReadOnlySpan<(Component, double)>)
                [
                    (Component.Calcium, calcium),
                    (Component.Magnesium, magnesium),
                    (Component.Sodium, sodium),
                    (Component.Potassium, potassium),
                    (Component.Chloride, chloride),
                    (Component.Sulfate, sulfate),
                    (Component.Nitrate, nitrate),
                ]
        )
        {
            totals[(int)ion] = mg_L * 1e-3 / IonCatalog.MolarMass(ion);
            charge += BedIons.ExchangedForm(ion).Charge * totals[(int)ion];
        }

        totals[(int)Component.Silica] = silica * 1e-3 / IonCatalog.MolarMass(Component.Silica);
        Assert.True(charge > 0);
        totals[(int)Component.InorganicCarbon] = charge + (carbonDioxide / 44.01);
        return new WaterComposition(totals, 0, PhysicalConstants.ZeroCelsius + celsius);
    }

    internal static double FeedConductivity(WaterComposition feed)
    {
        var solver = new SpeciationSolver();
        var species = new Speciation();
        Assert.Equal(SpeciationStatus.Solved, solver.Solve(feed, feed.Closed, species));
        return 1e4 * Conductance.SpecificConductance(species, solver, new Speciation());
    }

    private void Say(string what, EffluentSample s) =>
        output.WriteLine(
            FormattableString.Invariant(
                $"{what}: at {s.Liters:F0} L {MeterFactor * s.Conductivity25:F1} ppm, pH {s.PH:F2}, silica {s.Silica:F1} mg/L, residue {s.Residue:F1} mg/L, CO2 {s.CarbonDioxide:F1} mg/L"
            )
        );
}
