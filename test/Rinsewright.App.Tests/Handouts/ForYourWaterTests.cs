using System.Text.Json;
using Rinsewright.App.Tests.CommandLine;
using Rinsewright.Cli;
using Rinsewright.Handouts.Lives;
using Rinsewright.Quantities;
using Rinsewright.Treatment;

namespace Rinsewright.App.Tests.Handouts;

public sealed class ForYourWaterTests
{
    private static readonly SourceWaters Waters = new();
    private static readonly FillLives Lives = new(Waters);
    private static readonly ForYourWater Yours = new(Waters, Lives);

    private static YourQuestion Asked(string reading) =>
        new()
        {
            First = new FirstQuestion { Water = new WaterStatement { Reading = reading } },
            WashesPerWeek = 2,
            ResinPerLiter = 10m,
            Visit = 5m,
            WaterPerCubicMeter = 2m,
        };

    private static YourAnswer Answered(YourQuestion asked)
    {
        YourAnswer? answer = Yours.Of(asked, out IReadOnlyList<InputProblem> problems);
        Assert.Empty(problems);
        return answer!;
    }

    [Fact]
    public void Handouts_know_the_record_and_neither_the_pages_nor_the_command_line()
    {
        static IEnumerable<string> Ours(Type type) =>
            type
                .Assembly.GetReferencedAssemblies()
                .Select(a => a.Name!)
                .Where(n => n.StartsWith("Rinsewright", StringComparison.Ordinal))
                .Order(StringComparer.Ordinal);
        Assert.Equal(
            ["Rinsewright", "Rinsewright.Records"],
            Ours(typeof(ForYourWater)),
            StringComparer.Ordinal
        );
        Assert.Equal(["Rinsewright"], Ours(typeof(Rinsewright.Records.Logbook.Rig)), StringComparer.Ordinal);
    }

    [Fact]
    public void The_table_falls_with_the_reading_grows_with_the_size_and_lies_within_the_range_of_an_answer()
    {
        Housing[] sizes = [HousingCatalog.All[3], HousingCatalog.All[7]];
        IReadOnlyList<(int Ppm, double[] Liters)> rows = new SizeChart(Waters).Of(sizes);
        Assert.All(rows, r => Assert.True(r.Liters[0] < r.Liters[1]));
        Assert.All(
            rows.Zip(rows.Skip(1)),
            pair =>
                Assert.All(pair.First.Liters.Zip(pair.Second.Liters), l => Assert.True(l.First > l.Second))
        );
        YourQuestion same = Asked("200") with
        {
            First = new FirstQuestion
            {
                Water = new WaterStatement { Reading = "200", Temperature = "15 degC" },
                Size = sizes[1].Id,
                Flow = "8 L/min",
            },
        };
        Interval answer = Answered(same).First.Life.Liters;
        Assert.InRange(rows.Single(r => r.Ppm == 200).Liters[1], answer.Low, answer.High);
    }

    [Fact]
    public void A_stronger_water_gives_fewer_litres_dearer_washes_and_more_spots()
    {
        YourAnswer weak = Answered(Asked("62 ppm"));
        YourAnswer strong = Answered(Asked("300 ppm"));
        Assert.True(weak.First.Life.Liters.Middle > 3 * strong.First.Life.Liters.Middle);
        Assert.True(weak.CostPerWash!.Value.Middle!.Value < strong.CostPerWash!.Value.Middle);
        Assert.True(weak.Spots[0].Index_mg_m2.Middle < strong.Spots[0].Index_mg_m2.Middle);
        foreach (YourAnswer answer in (YourAnswer[])[weak, strong])
        {
            Interval liters = answer.First.Life.Liters;
            Assert.True(liters.Low < liters.Middle && liters.Middle < liters.High);
            Assert.Equal(liters.Middle / 25, answer.Washes.Middle, 1e-9);
            Assert.Equal(answer.Washes.Middle / 2, answer.Weeks!.Value.Middle, 1e-9);
            SpotsOf raw = answer.Spots[0];
            SpotsOf fresh = answer.Spots[1];
            Assert.True(fresh.Index_mg_m2.Middle < 0.05 * raw.Index_mg_m2.Middle);
            Assert.True(answer.Spots[2].Index_mg_m2.Middle >= fresh.Index_mg_m2.Middle);
        }
    }

    [Fact]
    public void The_cost_of_a_wash_adds_up_by_hand()
    {
        YourAnswer answer = Answered(Asked("150 ppm"));
        decimal washes = (decimal)(answer.First.Life.Liters.Middle / 25);
        decimal resin = (decimal)answer.First.Question.Beds[0].Liters;
        decimal byHand = (((resin * 10m) + 5m) / washes) + (0.025m * 2m);
        Assert.Equal(byHand, answer.CostPerWash!.Value.Middle!.Value, 6);
        Assert.Equal(104m * byHand, answer.CostPerYear!.Value.Middle!.Value, 4);
        Assert.True(answer.CostPerWash.Value.Low < answer.CostPerWash.Value.High);
    }

    [Fact]
    public void Reverse_osmosis_helps_most_and_a_gentler_flow_does_no_harm()
    {
        IReadOnlyList<Help> helps = Yours.Helps(Answered(Asked("300 ppm")));
        Assert.Equal(HelpKind.Osmosis, helps[0].Kind);
        Assert.True(helps[0].PerLiterOfResin > 5);
        Assert.InRange(helps.Single(h => h.Kind is HelpKind.GentlerFlow).PerLiterOfResin, 0.99, 2);
        Assert.InRange(helps.Single(h => h.Kind is HelpKind.SecondBed).PerLiterOfResin, 0.9, 2);
    }

    [Fact]
    public void A_fill_that_does_not_hold_the_line_has_no_bound_of_cost_instead_of_none()
    {
        YourQuestion asked = Asked("400 ppm") with { Origin = "chalk" };
        YourAnswer answer = Answered(
            asked with
            {
                First = asked.First with { Size = "housing-2.5x10", Flow = "15 L/min" },
            }
        );
        Assert.Equal(0, answer.First.Life.Liters.Low);
        Assert.Null(answer.CostPerWash!.Value.High);
        Assert.Contains(answer.Remarks, r => r.Text.Contains("fresh fill", StringComparison.Ordinal));
    }

    [Fact]
    public void An_origin_narrows_the_hardness_and_a_measured_one_goes_before_it()
    {
        YourAnswer chalk = Answered(Asked("200 ppm") with { Origin = "chalk" });
        YourAnswer softened = Answered(Asked("200 ppm") with { Origin = "softened" });
        Assert.True(softened.Spots[0].Index_mg_m2.Middle < 0.5 * chalk.Spots[0].Index_mg_m2.Middle);
        YourQuestion measured = Asked("200 ppm") with { Origin = "softened" };
        measured = measured with
        {
            First = measured.First with
            {
                Water = measured.First.Water with { Hardness = "220 mg/L as CaCO3" },
            },
        };
        Assert.Contains("220", Answered(measured).First.Question.WaterFile, StringComparison.Ordinal);
    }

    [Fact]
    public void Everything_wrong_is_told_together()
    {
        YourAnswer? answer = Yours.Of(
            Asked("many") with
            {
                Origin = "moon",
                PerWash = "0 L",
                WashesPerWeek = -1,
                ResinPerLiter = -1m,
            },
            out IReadOnlyList<InputProblem> problems
        );
        Assert.Null(answer);
        string places = string.Join(' ', problems.Select(p => p.Place));
        foreach (string place in (string[])["origin", "washes", "resin price"])
        {
            Assert.Contains(place, places, StringComparison.Ordinal);
        }

        Assert.True(problems.Count >= 4, places);
    }

    [Fact]
    public async Task The_command_line_answers_with_exactly_what_its_schema_lists()
    {
        CliRun run = await CliRun.OfAsync(
            "answer",
            "--reading",
            "62 ppm",
            "--habit",
            Path.Combine(Repository.Root, "examples/habits/weekend.json"),
            "--resin-price",
            "9.5",
            "--json"
        );
        Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
        Schema.AssertListed("answer.schema.json", run.Json);
        Assert.Equal(7 * 3.785411784, run.Json.GetProperty("per_wash_L").GetDouble(), 1e-3);
        Assert.Equal(1.5 * 3.785411784, run.Json.GetProperty("flow_L_min").GetDouble(), 1e-3);
        JsonElement weeks = run.Json.GetProperty("weeks");
        Assert.True(weeks.GetProperty("p05").GetDouble() < weeks.GetProperty("p95").GetDouble());
        CliRun text = await CliRun.OfAsync("answer", "--reading", "62 ppm", "--size", "bucket");
        Assert.Equal(ExitCode.BadInput, text.ExitCode);
        Assert.StartsWith("--size: bucket: ", Assert.Single(text.Problems), StringComparison.Ordinal);
    }
}
