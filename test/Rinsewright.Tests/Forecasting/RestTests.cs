using Rinsewright.Forecasting;
using Rinsewright.Quantities;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Tests.Forecasting;

/// <summary>
/// What it does to a life that it is lived in draws with a night's rest behind each: so little that the dozen rests of a forecast's lives
/// stand for any number (docs/models/forecast.md).
/// </summary>
public sealed class RestTests
{
    private const double Night_h = 16;
    private const double Lives = 1.4;
    private static readonly ChangeOutLine SilicaLine = new("1 mg/L silica", LineKind.Silica, 1);

    /// <summary>A bed as in the other tests of forecasts, on waters of the examples, one of them with more silica.</summary>
    [Theory]
    [InlineData("soft-river", null, 80)]
    [InlineData("soft-river", 40.0, 80)]
    [InlineData("chalk-tap", null, 25)]
    [InlineData("utility-report", null, 80)]
    [InlineData("softened", null, 25)]
    public void A_life_of_a_forecast_is_within_half_a_percent_of_one_with_a_night_of_rest_behind_every_draw(
        string name,
        double? silica_mg_L,
        double draw_L
    )
    {
        WaterComposition water = WaterOf(name, silica_mg_L);
        Life life = LifeLibrary.Simulate(
            [(SyntheticRigs.Beds, water)],
            SyntheticRigs.Flow,
            null,
            TestContext.Current.CancellationToken
        )[0];
        EffluentReport straight = Live(water, double.PositiveInfinity);
        EffluentReport rested = Live(water, draw_L);
        foreach (ChangeOutLine line in new[] { SyntheticRigs.Line, SilicaLine })
        {
            double Of(EffluentReport report) => report.Reaches(line, SyntheticRigs.MeterFactor)!.Value.Liters;
            double forecast = life.Reaches(line, SyntheticRigs.MeterFactor, bypass: 0);
            Assert.InRange(Of(rested) / forecast, 0.995, 1.005);
            Assert.InRange(Of(rested) / Of(straight), 0.995, 1.005);
        }
    }

    [Fact]
    public void After_a_night_the_first_water_is_purer_than_what_flows_even_at_the_line()
    {
        WaterComposition water = WaterOf("chalk-tap", null);
        double life = Live(water, double.PositiveInfinity)
            .Reaches(SyntheticRigs.Line, SyntheticRigs.MeterFactor)!
            .Value.Liters;
        BedDraw draw = BedDraw.OfLife(SyntheticRigs.Beds, water, SyntheticRigs.Flow, Lives);
        Draw(draw, water, life);
        double flowing = Conductance(draw.Beds.Effluent.TotalsAt(draw.Beds.Effluent.Count - 1), water);
        draw.Beds.Rest(TimeSpan.FromHours(Night_h), draw.Temperature);
        double stood = Conductance(draw.Beds.FirstWater(), water);
        Assert.Equal(SyntheticRigs.Line.Value / SyntheticRigs.MeterFactor, flowing, 0.5);
        Assert.InRange(stood, 0.05, 0.1);
    }

    [Fact]
    public void What_a_rest_took_from_the_pores_is_brought_back_by_the_draws_after_it_however_small()
    {
        WaterComposition water = WaterOf("chalk-tap", null);
        BedDraw draw = BedDraw.OfLife(SyntheticRigs.Beds, water, SyntheticRigs.Flow, Lives);
        BedSeries beds = draw.Beds;
        Draw(draw, water, 100);
        double before = Held(beds);
        beds.Rest(TimeSpan.FromHours(Night_h), draw.Temperature);
        double taken = Held(beds) - before;
        double filling_L = 1000 * taken / Strength(water);
        Assert.InRange(filling_L, 0.05, 2);
        for (int sip = 1; sip <= 40; sip++)
        {
            Draw(draw, water, 0.1);
            Assert.Equal(100 + 0.1 * sip, beds.Drawn.Liters, 1e-9);
        }

        // Four litres were drawn: as if beds that did not rest had been given those without the part that filled the pores.
        BedDraw others = BedDraw.OfLife(SyntheticRigs.Beds, water, SyntheticRigs.Flow, Lives);
        Draw(others, water, 104 - filling_L);
        Assert.Equal(Held(others.Beds) + taken, Held(beds), 0.1 * taken);
        Assert.True(beds.BalanceError < 1e-9, $"balance {beds.BalanceError:E2}");
    }

    private static EffluentReport Live(WaterComposition water, double draw_L)
    {
        BedDraw life = BedDraw.OfLife(SyntheticRigs.Beds, water, SyntheticRigs.Flow, Lives);
        double left = life.Volume.Liters;
        while (left > 1e-6)
        {
            double piece = Math.Min(draw_L, left);
            Draw(life, water, piece);
            left -= piece;
            Assert.Equal(
                BedRunStatus.Completed,
                life.Beds.Rest(TimeSpan.FromHours(Night_h), life.Temperature)
            );
        }

        return new EffluentReport(life.Beds.Effluent, water, SyntheticRigs.Beds);
    }

    private static void Draw(BedDraw from, WaterComposition water, double liters) =>
        Assert.Equal(
            BedRunStatus.Completed,
            from.Beds.Advance(
                water.Totals,
                from.Temperature,
                from.Flow,
                Volume.FromLiters(liters),
                cancellation: TestContext.Current.CancellationToken
            )
        );

    private static WaterComposition WaterOf(string name, double? silica_mg_L)
    {
        string text = File.ReadAllText(Repository.PathOf($"examples/waters/{name}.json"));
        Assert.True(WaterFile.TryRead(text, out WaterAnalysis? analysis, out _, out _));
        WaterComposition water = SourceWater.Complete(analysis, new WaterMode(), 1, 1, out _)!.Members[0];
        if (silica_mg_L is not { } silica)
        {
            return water;
        }

        double[] totals = [.. water.Totals];
        totals[(int)Component.Silica] = 1e-3 * silica / IonCatalog.MolarMass(Component.Silica);
        return new WaterComposition(totals, water.ChargeResidual, water.TemperatureKelvin);
    }

    /// <summary>Equivalents on the resins.</summary>
    private static double Held(BedSeries beds) =>
        Enum.GetValues<Component>().Sum(c => ChargeOf(c) * beds.States.Sum(s => s.Held(c)));

    /// <summary>Equivalents in a cubic metre.</summary>
    private static double Strength(WaterComposition water) =>
        Enum.GetValues<Component>().Sum(c => ChargeOf(c) * water.Totals[(int)c]);

    private static int ChargeOf(Component component) => Math.Abs(BedIons.ExchangedForm(component).Charge);

    private static double Conductance(ReadOnlySpan<double> totals, WaterComposition water) =>
        WaterReading
            .Of(
                new WaterComposition(totals.ToArray(), 0, water.TemperatureKelvin),
                new SpeciationSolver(),
                new Speciation()
            )!
            .Conductivity_uS_cm;
}
