using System.Text.Json;
using Rinsewright.Quantities;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;

namespace Rinsewright.Tests.Treatment;

/// <summary>The plumbing of a rig file, and what chlorine behind the carbon does to resin.</summary>
public sealed class PlumbingTests
{
    private static readonly Temperature Cold = Temperature.FromDegreesCelsius(15.0);

    private const string Stages = """
        "stages": [{"kind": "exchange-bed", "volume": "10 L", "innerDiameter": "200 mm",
          "resins": [{"kind": "strong-cation", "share": 0.4}, {"kind": "strong-anion-1", "share": 0.6}]}]
        """;

    [Fact]
    public void Every_tool_gets_what_the_line_leaves_it_and_the_pressures_add_up()
    {
        IReadOnlyList<FlowSolution> tools = Solve(
            """
            {"supply": "4 bar", "openFlow": "30 L/min",
             "before": [{"kind": "hose", "innerDiameter": "12.7 mm", "length": "15 m", "minorLoss": 3}],
             "after": [{"kind": "fitting", "lossFlow": "10 L/min", "loss": "20 kPa"},
                       {"kind": "pipe", "innerDiameter": "13 mm", "length": "5 m", "rise": "2 m", "roughness": "0.05 mm"}],
             "tools": [{"kind": "nozzle", "name": "gun", "flow": "8 L/min", "pressure": "2 bar"},
                       {"kind": "opening", "name": "end", "bore": "9 mm"},
                       {"kind": "pressure-washer", "name": "washer", "flow": "7 L/min", "pressure": "1 bar"}]}
            """
        );
        Assert.Equal(["gun", "end", "washer"], tools.Select(t => t.Tool.Name), StringComparer.Ordinal);
        Assert.Equal(7.0, tools[2].Flow.LitersPerMinute, 1e-6);
        Assert.True(tools[1].Flow > tools[0].Flow);
        foreach (FlowSolution tool in tools)
        {
            double open = tool.Flow.LitersPerMinute / 30.0;
            double supply = 400.0 * (1.0 - (open * open));
            double lost = tool.Elements.Sum(e => e.Loss.Kilopascals);
            const double Lift = 0.99910 * 9.80665 * 2.0; // [kPa], water of 15 °C
            Assert.Equal(supply - lost - Lift, tool.ToolPressure.Kilopascals, 0.05);
            Assert.Equal(4, tool.Elements.Count);
            Assert.Empty(tool.Warnings);
        }

        double gun = tools[0].Flow.LitersPerMinute / 8.0;
        Assert.Equal(200.0 * gun * gun, tools[0].ToolPressure.Kilopascals, 0.01);
    }

    [Fact]
    public void Housings_over_their_rating_and_starved_pumps_are_warned_of()
    {
        IReadOnlyList<FlowSolution> tools = Solve(
            """
            {"supply": "8 bar", "housingPressure": "6 bar", "housingTemperature": "10 degC",
             "before": [{"kind": "hose", "innerDiameter": "6 mm", "length": "30 m", "ratedPressure": "7 bar"}],
             "tools": [{"kind": "pressure-washer", "flow": "12 L/min", "pressure": "1 bar"}]}
            """
        );
        string[] texts = [.. tools[0].Warnings.Select(w => w.Text.ToString())];
        Assert.Equal(2, texts.Count(t => t.Contains("it can burst", StringComparison.Ordinal)));
        Assert.Contains(texts, t => t.Contains("above its rated 10", StringComparison.Ordinal));
        Assert.Contains(texts, t => t.Contains("starves", StringComparison.Ordinal));
    }

    [Fact]
    public void A_task_that_wants_more_than_its_tool_gets_is_warned_of()
    {
        IReadOnlyList<FlowSolution> tools = Solve(
            """
            {"supply": "3 bar", "before": [{"kind": "hose", "innerDiameter": "12.7 mm", "length": "15 m"}],
             "tools": [{"kind": "nozzle", "name": "Gun", "flow": "8 L/min", "pressure": "4 bar"},
                       {"kind": "nozzle", "name": "Mist", "flow": "1 L/min", "pressure": "2 bar"}]}
            """
        );
        WashTask Rinse(double liters_min, string? tool, Outlet outlet = Outlet.Deionised) =>
            new("rinse", Volume.FromLiters(10), VolumeFlow.FromLitersPerMinute(liters_min), 1, outlet, true)
            {
                Tool = tool,
            };
        Warning[] Of(params WashTask[] tasks) => [.. Plumbing.Short(new Habit("week", 1, tasks), tools)];

        double gun = tools[0].Flow.LitersPerMinute;
        Assert.InRange(gun, 5.0, 7.0); // 8 √(3/4) less the friction
        Assert.Empty(
            Of(Rinse(gun, null), Rinse(gun, "gun"), Rinse(1.0, "Mist"), Rinse(50, "Mist", Outlet.Raw))
        );
        Assert.Equal(WarningLevel.Caution, Assert.Single(Of(Rinse(8.0, "Gun"))).Level);
        Assert.Contains(
            "Mist gets 1.",
            Assert.Single(Of(Rinse(gun, "Mist"))).Text.ToString(),
            StringComparison.Ordinal
        );
        Assert.Contains(
            "\"Mist\"",
            Assert.Single(Of(Rinse(1.0, "lance"))).Text.ToString(),
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void Problems_of_plumbing_are_told_with_their_places()
    {
        string[] places =
        [
            .. Problems(
                    """
                    {"openFlow": "0 L/min",
                     "before": [{"kind": "duct"}, {"kind": "hose", "innerDiameter": "wide", "bore": "1 mm"}],
                     "after": [{"kind": "fitting", "loss": "1 kPa"}],
                     "tools": [{"kind": "nozzle", "flow": "8 L/min"}, {"kind": "bucket"}]}
                    """
                )
                .Select(p => p.Place),
        ];
        foreach (
            string place in (string[])
                [
                    "plumbing.supply",
                    "plumbing.openFlow",
                    "plumbing.before[0].kind",
                    "plumbing.before[1].bore",
                    "plumbing.after[0].lossFlow",
                    "plumbing.tools[0].pressure",
                    "plumbing.tools[1].kind",
                ]
        )
        {
            Assert.Contains(place, places, StringComparer.Ordinal);
        }

        Assert.Equal("plumbing.tools", Assert.Single(Problems("""{"supply": "3 bar"}""")).Place);
    }

    [Fact]
    public void A_wall_rougher_than_a_tenth_of_the_bore_is_refused()
    {
        InputProblem problem = Assert.Single(
            Problems(
                """
                {"supply": "3 bar", "tools": [{"kind": "opening", "bore": "9 mm"}],
                 "before": [{"kind": "pipe", "innerDiameter": "10 mm", "length": "5 m", "roughness": "1.1 mm"}]}
                """
            )
        );
        Assert.Equal("plumbing.before[0].roughness", problem.Place);
    }

    [Fact]
    public void Chlorine_behind_the_carbon_shortens_a_life_by_the_groups_it_destroys()
    {
        ExchangeBed bed = new(
            Volume.FromLiters(4.0),
            Length.FromMillimeters(100.0),
            new Resin(ResinKind.StrongCation, 0.4),
            new Resin(ResinKind.StrongAnion1, 0.6)
        );
        var stage = new BedStage("bed", [bed], BedArrangement.Series, ExitLine.Deionised);
        StageReport clean = Treated(stage, 0.0);
        StageReport harmed = Treated(stage, 2.0);
        Assert.Equal(0.0, clean.CapacityLost);
        double chlorine_mol = 2e-3 * clean.Life!.Value.CubicMeters / 0.070906;
        double expected = 0.3 * chlorine_mol / bed.CapacityEquivalents(-1);
        Assert.Equal(expected, harmed.CapacityLost, 1e-9);
        Assert.Equal(clean.Life.Value.Liters / (1.0 + expected), harmed.Life!.Value.Liters, 1e-6);
        Assert.Contains(
            harmed.Warnings,
            w => w.Text.Text.Contains("of its capacity", StringComparison.Ordinal)
        );
    }

    private static StageReport Treated(BedStage stage, double chlorine_mg_L)
    {
        var oxidants = new Oxidants(MassConcentration.FromMilligramsPerLiter(chlorine_mg_L), default);
        return stage.Treat(
            new TrainWater(TrainWaters.Hard, oxidants, default),
            new StageDuty(VolumeFlow.FromLitersPerMinute(1.0), 0.3),
            TestContext.Current.CancellationToken
        )!;
    }

    private static IReadOnlyList<FlowSolution> Solve(string plumbing)
    {
        (Rig? rig, IReadOnlyList<InputProblem> problems) = Read(plumbing);
        Assert.Empty(problems);
        return rig!.Plumbing!.Solve(rig.Train, Cold);
    }

    private static IReadOnlyList<InputProblem> Problems(string plumbing)
    {
        (Rig? rig, IReadOnlyList<InputProblem> problems) = Read(plumbing);
        Assert.Null(rig);
        return problems;
    }

    private static (Rig? Rig, IReadOnlyList<InputProblem> Problems) Read(string plumbing)
    {
        using JsonDocument document = JsonDocument.Parse($$"""{ {{Stages}}, "plumbing": {{plumbing}} }""");
        RigFile.TryRead(document.RootElement, out Rig? rig, out IReadOnlyList<InputProblem> problems);
        return (rig, problems);
    }
}
