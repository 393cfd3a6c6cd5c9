using System.Text.Json;
using Rinsewright.App.Tests.Handouts;
using Rinsewright.Cli;

namespace Rinsewright.App.Tests.CommandLine;

public sealed class TrainCommandTests
{
    private static string Example(string path) => Path.Combine(Repository.Root, "examples", path);

    [Fact]
    public async Task A_walk_answers_with_exactly_what_its_schema_lists()
    {
        CliRun run = await CliRun.OfAsync(
            "train",
            Example("rigs/carbon-then-mixed-bed.json"),
            Example("waters/chalk-tap.json"),
            "--habit",
            Example("habits/two-vans.json"),
            "--prices",
            Example("prices/example.json"),
            "--json"
        );
        Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
        Schema.AssertListed("train.schema.json", run.Json);
        JsonElement beds = run.Json.GetProperty("stages")[2];
        Assert.Equal("Mixed beds", beds.GetProperty("name").GetString());
        JsonElement gun = run.Json.GetProperty("tools")[0];
        Assert.Equal("Rinse gun", gun.GetProperty("name").GetString());
        Assert.InRange(gun.GetProperty("flow_L_min").GetDouble(), 2.0, 10.0);
        Assert.Equal(6, gun.GetProperty("along").GetArrayLength());
        double weeks = beds.GetProperty("life_weeks").GetDouble();
        Assert.Equal(20.0 * weeks, beds.GetProperty("life_washes").GetDouble(), 1e-2);
        Assert.InRange(beds.GetProperty("life_weeks").GetDouble(), 0.1, 5.0);
        Assert.InRange(run.Json.GetProperty("bill").GetProperty("per_wash").GetDouble(), 0.5, 20.0);
    }

    [Fact]
    public async Task A_choice_answers_with_exactly_what_its_schema_lists_and_keeps_the_budget()
    {
        CliRun run = await CliRun.OfAsync(
            "choose",
            Example("waters/chalk-tap.json"),
            "--habit",
            Example("habits/weekend.json"),
            "--prices",
            Example("prices/example.json"),
            "--budget",
            "300",
            "--json"
        );
        Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
        Schema.AssertListed("choose.schema.json", run.Json);
        Assert.InRange(run.Json.GetProperty("best").GetProperty("first_cost").GetDouble(), 1.0, 300.0);
    }

    [Fact]
    public async Task Bad_files_and_options_are_told_together_and_nothing_is_printed()
    {
        CliRun run = await CliRun.OfAsync(
            "choose",
            Example("waters/no-such-water.json"),
            "--habit",
            Example("prices/example.json"),
            "--prices",
            Example("habits/weekend.json"),
            "--width",
            "wide"
        );
        Assert.Equal((ExitCode.BadInput, ""), (run.ExitCode, run.Output));
        foreach (string place in (string[])["no-such-water.json", "washesPerWeek", "currency", "--width"])
        {
            Assert.Contains(run.Problems, p => p.Contains(place, StringComparison.Ordinal));
        }
    }

    [Fact]
    public async Task Deionised_water_for_everything_wears_beds_faster_than_for_the_last_rinse_only()
    {
        CliRun run = await CliRun.OfAsync(
            "train",
            Example("rigs/small-cartridge.json"),
            Example("waters/upland-tap.json"),
            "--habit",
            Example("habits/weekend.json"),
            "--prices",
            Example("prices/example.json"),
            "--compare",
            "--json"
        );
        Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
        JsonElement[] splits = [.. run.Json.GetProperty("splits").EnumerateArray()];
        Assert.Equal(
            ["as-stated", "everything", "last-rinse-only"],
            splits.Select(s => s.GetProperty("deionised_for").GetString()!),
            StringComparer.Ordinal
        );
        double[] weeks = [.. splits.Select(s => s.GetProperty("bed_life_weeks").GetDouble())];
        Assert.True(weeks[1] < weeks[2], $"{weeks[1]} against {weeks[2]} weeks");
        Assert.True(
            splits[1].GetProperty("deionised_L_per_week").GetDouble()
                > splits[2].GetProperty("deionised_L_per_week").GetDouble()
        );
        Assert.All(splits, s => Assert.True(s.GetProperty("cost_per_wash").GetDouble() > 0.0));
    }

    [Fact]
    public async Task A_change_of_rig_pays_back_its_first_cost_by_what_it_saves_each_year()
    {
        string[] words =
        [
            "train",
            Example("rigs/small-cartridge.json"),
            Example("waters/chalk-tap.json"),
            "--habit",
            Example("habits/weekend.json"),
            "--instead",
            Example("rigs/large-tank.json"),
            "--change-cost",
            "350",
        ];
        CliRun run = await CliRun.OfAsync([.. words, "--prices", Example("prices/example.json"), "--json"]);
        Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
        JsonElement[] splits = [.. run.Json.GetProperty("splits").EnumerateArray()];
        Assert.Equal(2, splits.Length);
        Assert.Equal(JsonValueKind.Null, splits[0].GetProperty("saved_per_year").ValueKind);
        double saved =
            splits[0].GetProperty("cost_per_year").GetDouble()
            - splits[1].GetProperty("cost_per_year").GetDouble();
        Assert.Equal(saved, splits[1].GetProperty("saved_per_year").GetDouble(), 1e-3);
        Assert.True(saved > 0.0, $"{saved} saved a year");
        Assert.Equal(350.0 / saved, splits[1].GetProperty("pay_back_years").GetDouble(), 1e-2);
        Assert.NotEmpty(run.Json.GetProperty("bill").GetProperty("spares").EnumerateArray());
        CliRun unpriced = await CliRun.OfAsync(words);
        Assert.StartsWith("--change-cost: 350: ", Assert.Single(unpriced.Problems), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_dearer_train_of_the_front_pays_back_against_the_one_that_costs_least_at_first()
    {
        CliRun run = await CliRun.OfAsync(
            "choose",
            Example("waters/chalk-tap.json"),
            "--habit",
            Example("habits/two-vans.json"),
            "--prices",
            Example("prices/example.json"),
            "--json"
        );
        JsonElement[] front = [.. run.Json.GetProperty("front").EnumerateArray()];
        JsonElement least = front.MinBy(c => c.GetProperty("first_cost").GetDouble());
        JsonElement best = run.Json.GetProperty("best");
        double Of(string name, JsonElement choice) => choice.GetProperty(name).GetDouble();
        double saved = Of("per_year", least) - Of("per_year", best);
        double extra = Of("first_cost", best) - Of("first_cost", least);
        Assert.True(saved > 0.0 && extra > 0.0, $"{extra} more, {saved} saved a year");
        Assert.Equal(extra / saved, Of("pay_back_years", best), 1e-2);
        Assert.InRange(run.Json.GetProperty("considered").GetInt32(), 10_000, int.MaxValue);
    }

    [Fact]
    public async Task A_line_in_spots_is_kept_by_a_walk_and_by_a_choice()
    {
        string[] walk =
        [
            "train",
            Example("rigs/small-cartridge.json"),
            Example("waters/upland-tap.json"),
            "--habit",
            Example("habits/weekend.json"),
            "--json",
        ];
        double usual = LifeOf(await CliRun.OfAsync(walk));
        double strict = LifeOf(await CliRun.OfAsync([.. walk, "--line", "1 mg/m2"]));
        Assert.True(strict < usual, $"{strict} against {usual}");
        CliRun choice = await CliRun.OfAsync(
            "choose",
            Example("waters/upland-tap.json"),
            "--habit",
            Example("habits/weekend.json"),
            "--prices",
            Example("prices/example.json"),
            "--line",
            "20 mg/m2",
            "--json"
        );
        Assert.Equal((ExitCode.Done, ""), (choice.ExitCode, choice.Error));
        CliRun wrong = await CliRun.OfAsync([.. walk, "--line", "clean"]);
        Assert.StartsWith("--line: clean: ", Assert.Single(wrong.Problems), StringComparison.Ordinal);
    }

    private static double LifeOf(CliRun run) =>
        run.Json.GetProperty("stages").EnumerateArray().Last().GetProperty("life_L").GetDouble();
}
