using Rinsewright.Cli;

namespace Rinsewright.App.Tests.CommandLine;

/// <summary>What is not right on a command line is named at its option before anything is run or written.</summary>
public sealed class RefusalTests
{
    [Theory]
    [InlineData(
        "answer --reading x --resin-price 9,50",
        "--resin-price: 9,50: a number with a point, such as 9.5"
    )]
    [InlineData("answer --reading x --washes 1,5", "--washes: 1,5: a number with a point, such as 9.5")]
    [InlineData("answer --reading x --factor NaN", "--factor: NaN: a number with a point, such as 9.5")]
    [InlineData("dry --humidity 1.000,5", "--humidity: 1.000,5: a number with a point, such as 9.5")]
    [InlineData("demo --until 03/04/2026", "--until: 03/04/2026: a day such as 2026-03-01")]
    public async Task A_number_or_a_day_that_could_be_read_two_ways_is_refused(string line, string problem) =>
        Assert.Equal([problem], await ProblemsAsync(line.Split(' ')));

    [Fact]
    public async Task A_word_that_begins_with_an_at_is_text()
    {
        using DemoHome home = DemoHome.Empty();
        await home.RunAsync("log", "rig", "Wall", "--stage", "Bed=mixed bed, 10 L");
        CliRun run = await home.RunAsync("log", "note", "@home: flushed");
        Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
    }

    [Theory]
    [InlineData("2027-06-12")]
    [InlineData("14:30+02:00")]
    [InlineData("2027-06-12T14:30")]
    [InlineData("12/06/2027 14:30 +02:00")]
    public async Task A_time_without_its_day_or_its_offset_is_refused(string time) =>
        Assert.StartsWith(
            $"--time: {time}: date, hour and offset",
            Assert.Single(await ProblemsAsync("dry", "--place", "48.1, 11.6", "--time", time)),
            StringComparison.Ordinal
        );

    [Theory]
    [InlineData("2027-06-12T14:30+02:00")]
    [InlineData("2027-06-12T12:30Z")]
    [InlineData("2027-06-12T12:30:00Z")]
    public async Task The_same_moment_has_the_same_sun(string time)
    {
        CliRun run = await CliRun.OfAsync("dry", "--place", "48.1, 11.6", "--time", time, "--json");
        Assert.Equal(
            908.0,
            run.Json.GetProperty("drying").GetProperty("sunlight_W_m2").GetDouble(),
            tolerance: 60.0
        );
    }

    [Theory]
    [InlineData("--sun=-1")]
    [InlineData("--sun=shade,full")]
    [InlineData("--sun=2")]
    public async Task A_light_is_named_by_its_word(string option) =>
        Assert.StartsWith(
            "--sun: ",
            Assert.Single(await ProblemsAsync("dry", option)),
            StringComparison.Ordinal
        );

    [Fact]
    public async Task Minutes_beyond_all_bounds_are_refused() =>
        Assert.Equal(
            ["--rinse: 1000000000000: a number from 0 to 600"],
            await ProblemsAsync("dry", "--rinse", "1e12")
        );

    [Theory]
    [InlineData("dry", "WATER: ")]
    [InlineData("water", "file: ")]
    [InlineData("export", "FILE: ")]
    public async Task An_empty_path_is_no_file(string command, string problem) =>
        Assert.StartsWith(problem, Assert.Single(await ProblemsAsync(command, "")), StringComparison.Ordinal);

    [Theory]
    [InlineData("fleet --find x --route", "--find")]
    [InlineData("fleet --due 3 --reason due_this_week --stock", "--reason --due")]
    [InlineData("fleet --csv fleet.csv --route", "--route")]
    [InlineData("fleet --csv none/fleet.csv", "--csv")]
    [InlineData("forecast --spot-cost 1", "--spot-cost RIG")]
    [InlineData("meter --temperature 9degC", "--temperature METER")]
    [InlineData("alarm rule --limit 14", "--limit")]
    [InlineData("alarm rule due --usual --limit 14 --raise on --urgent off", "--limit --raise --urgent")]
    [InlineData("share --list --revoke 7", "--list")]
    [InlineData("device refused Nobody", "NAME")]
    [InlineData("device gaps Nobody --days 99999999", "--days")]
    [InlineData("device gaps Nobody --days -3", "--days")]
    [InlineData("calendar --hemisphere 1", "--hemisphere RIG")]
    [InlineData("calendar --output none/there.ics", "--output RIG")]
    [InlineData("serve --cluster-port 9 --cluster-address 10.0.0.7", "--cluster-address --cluster-port")]
    [InlineData("log show note 1 --to none/picture.jpg", "--to WHICH")]
    public async Task What_is_not_right_is_named_by_its_place(string line, string places)
    {
        using DemoHome home = await DemoHome.FilledAsync();
        CliRun run = await home.RunAsync(line.Split(' '));
        Assert.Equal(ExitCode.BadInput, run.ExitCode);
        Assert.Equal(
            places,
            string.Join(' ', run.Problems.Select(p => p.Split(": ")[0])),
            StringComparer.Ordinal
        );
        Assert.Empty(run.Output);
    }

    [Fact]
    public async Task A_json_export_is_taken_in_whole_or_not_at_all()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        using DemoHome empty = DemoHome.Empty();
        using var folder = new TempFolder();
        string export = folder.PathOf("export.json");
        Assert.Equal(ExitCode.Done, (await home.RunAsync("export", export)).ExitCode);
        CliRun run = await empty.RunAsync([
            "import",
            export,
            "--preview",
            "--skip-bad-rows",
            "--rig",
            "Van 1",
            "--by",
            "Ana",
        ]);
        Assert.Equal(ExitCode.BadInput, run.ExitCode);
        Assert.Equal("--preview: with a .json export: a .csv file of readings", run.Problems[0]);
        Assert.Equal(
            ["--preview", "--skip-bad-rows", "--rig", "--by"],
            run.Problems.Select(p => p.Split(": ")[0]),
            StringComparer.Ordinal
        );
        Assert.Equal(ExitCode.Done, (await empty.RunAsync("import", export)).ExitCode);
    }

    [Fact]
    public async Task The_curves_are_drawn_as_svg_in_a_folder_that_is_there()
    {
        string rig = Path.Combine(Repository.Root, "examples/rigs/small-cartridge.json");
        string water = Path.Combine(Repository.Root, "examples/waters/soft-river.json");
        using var folder = new TempFolder();
        foreach (string name in (string[])["x.png", "none/x.svg", ""])
        {
            string path = name.Length > 0 ? folder.PathOf(name) : "";
            Assert.StartsWith(
                $"--plot: {path}: a file ",
                Assert.Single(await ProblemsAsync("bed", rig, water, "--flow", "2 L/min", "--plot", path)),
                StringComparison.Ordinal
            );
        }
    }

    [Theory]
    [InlineData("--budget=-5")]
    [InlineData("--supply=-1 bar")]
    [InlineData("--width=0 m")]
    [InlineData("--height=0 m")]
    public async Task What_no_shop_has_is_refused(string option)
    {
        CliRun run = await ChooseAsync(option);
        Assert.Equal(ExitCode.BadInput, run.ExitCode);
        Assert.StartsWith(option.Split('=')[0] + ": ", Assert.Single(run.Problems), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("--flow=0 L/min", "--flow")]
    [InlineData("--resin=3000 L", "--resin")]
    [InlineData("--per-wash=0 L", "--per-wash")]
    [InlineData("--resin-price=-1", "--resin-price")]
    [InlineData("--hardness=soft", "--hardness")]
    [InlineData("--reading=much", "--reading")]
    public async Task An_answer_names_what_is_wrong_by_the_option_that_said_it(string option, string place)
    {
        string[] water = place is "--reading" ? [] : ["--reading", "150 ppm"];
        IReadOnlyList<string> problems = await ProblemsAsync(["answer", .. water, option]);
        Assert.Equal(place, Assert.Single(problems).Split(": ")[0]);
    }

    [Fact]
    public async Task A_line_that_is_never_reached_has_no_litres()
    {
        string[] words = ["answer", "--reading", "62 ppm", "--line", "200 ppm", "--washes", "2"];
        CliRun json = await CliRun.OfAsync([.. words, "--json"]);
        Assert.Equal((ExitCode.Done, ""), (json.ExitCode, json.Error));
        foreach (string member in (string[])["life_L", "life_us_gal", "washes", "weeks"])
        {
            Assert.Equal(
                System.Text.Json.JsonValueKind.Null,
                json.Json.GetProperty(member).GetProperty("median").ValueKind
            );
        }

        CliRun text = await CliRun.OfAsync(words);
        Assert.Equal((ExitCode.Done, ""), (text.ExitCode, text.Error));
        Assert.Contains("is not reached within what was computed.", text.Output, StringComparison.Ordinal);
        Assert.DoesNotContain("Infinity", text.Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task No_train_that_will_do_returns_1_to_programs_too()
    {
        CliRun run = await ChooseAsync("--budget", "1", "--json");
        Assert.Equal(ExitCode.Failed, run.ExitCode);
        Assert.Equal(System.Text.Json.JsonValueKind.Null, run.Json.GetProperty("best").ValueKind);
    }

    private static Task<CliRun> ChooseAsync(params string[] more) =>
        CliRun.OfAsync([
            "choose",
            Path.Combine(Repository.Root, "examples/waters/soft-river.json"),
            "--habit",
            Path.Combine(Repository.Root, "examples/habits/weekend.json"),
            "--prices",
            Directory.EnumerateFiles(Path.Combine(Repository.Root, "examples/prices")).First(),
            .. more,
        ]);

    private static async Task<IReadOnlyList<string>> ProblemsAsync(params string[] args)
    {
        CliRun run = await CliRun.OfAsync(args);
        Assert.Equal(ExitCode.BadInput, run.ExitCode);
        Assert.Empty(run.Output);
        return run.Problems;
    }
}
