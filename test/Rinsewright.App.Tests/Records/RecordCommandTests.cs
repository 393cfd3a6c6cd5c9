using System.Text.Json;
using Rinsewright.App.Tests.CommandLine;
using Rinsewright.Cli;

namespace Rinsewright.App.Tests.Records;

public sealed class RecordCommandTests
{
    [Fact]
    public async Task A_rig_is_set_up_used_corrected_and_moved_from_the_command_line()
    {
        using DemoHome home = DemoHome.Empty();
        await DoneAsync(
            home,
            "log",
            "rig",
            "Wall",
            "--stage",
            "Block=carbon block",
            "--stage",
            "Bed=mixed bed, 10 L"
        );
        await DoneAsync(home, "log", "meter", "Pocket", "tds", "--factor", "0.5");
        await DoneAsync(
            home,
            "log",
            "buy",
            "resin",
            "189.50 EUR",
            "--volume",
            "25 L",
            "--keeps-until",
            "2028-06-30"
        );
        await DoneAsync(
            home,
            "log",
            "change",
            "bed",
            "resin",
            "--volume",
            "10 L",
            "--at",
            "2026-03-01 08:00"
        );
        JsonElement change = await DoneAsync(
            home,
            "log",
            "change",
            "bed",
            "resin",
            "--volume",
            "10 L",
            "--at",
            "2026-05-01 08:00"
        );
        Assert.Equal(2, change.GetProperty("entries").GetArrayLength());
        JsonElement fill = change.GetProperty("entries")[0].GetProperty("fill");
        Assert.Equal("2026-05-01T08:00:00.000Z", fill.GetProperty("taken_out_at").GetString());
        JsonElement newFill = change.GetProperty("entries")[1].GetProperty("fill");
        Assert.Equal(JsonValueKind.String, newFill.GetProperty("purchase_id").ValueKind);

        JsonElement reading = await DoneAsync(
            home,
            "log",
            "reading",
            "tds",
            "<2 ppm",
            "--stage",
            "Bed",
            "--meter",
            "pocket",
            "--at",
            "2026-05-02T10:00Z"
        );
        JsonElement written = reading.GetProperty("entries")[0].GetProperty("reading");
        Assert.Equal(0.002, written.GetProperty("value_SI").GetDouble());
        Assert.True(written.GetProperty("is_below_limit").GetBoolean());
        Assert.Equal(
            ("<2", "ppm"),
            (written.GetProperty("written").GetString(), written.GetProperty("unit").GetString())
        );
        await DoneAsync(home, "log", "draw", "0.04 m3");
        await DoneAsync(home, "log", "check", "Pocket", "--reference", "42 ppm", "--shown", "44 ppm");
        await DoneAsync(home, "log", "note", "looks good");

        JsonElement undone = await DoneAsync(home, "undo");
        JsonElement redone = await DoneAsync(home, "redo");
        Assert.Equal(undone.GetProperty("edit").GetInt64(), redone.GetProperty("undoes").GetInt64());

        CliRun export = await home.RunAsync("export");
        Assert.Equal(ExitCode.Done, export.ExitCode);
        using DemoHome other = DemoHome.Empty();
        string file = Path.Combine(Path.GetDirectoryName(other.Record)!, "export.json");
        await File.WriteAllTextAsync(file, export.Output);
        await DoneAsync(other, "import", file);
        Assert.Equal(export.Output, (await other.RunAsync("export")).Output);
    }

    [Theory]
    [InlineData("log reading tds 3 --rig Nowhere", 2)]
    [InlineData("log reading sweetness 3", 2)]
    [InlineData("log draw", 2)]
    [InlineData("log draw 3 --at yesterday", 3)]
    [InlineData("log change Bed resin --volume plenty", 2)]
    [InlineData("log buy resin 12,50EUR --keeps-until soon", 2)]
    [InlineData("log rig Wall --stage Bed=magic", 1)]
    [InlineData("import nowhere.csv", 1)]
    [InlineData("undo 7", 1)]
    [InlineData("redo", 1)]
    [InlineData("restore", 1)]
    public async Task Bad_input_is_named_in_full_and_writes_nothing(string line, int problems)
    {
        using DemoHome home = DemoHome.Empty();
        CliRun run = await home.RunAsync(line.Split(' '));
        Assert.Equal((ExitCode.BadInput, ""), (run.ExitCode, run.Output));
        Assert.Equal(problems, run.Problems.Length);
        CliRun export = await home.RunAsync("export");
        Assert.Equal("[\n{\"rinsewright_record\":1}\n]\n", export.Output);
    }

    [Fact]
    public async Task The_demonstration_tells_the_same_story_for_the_same_seed_and_refuses_a_record_in_use()
    {
        using DemoHome one = DemoHome.Empty();
        using DemoHome two = DemoHome.Empty();
        await DoneAsync(one, "demo", "--seed", "3", "--until", "2026-03-01");
        await DoneAsync(two, "demo", "--seed", "3", "--until", "2026-03-01");
        string story = (await one.RunAsync("export")).Output;
        Assert.Equal(story, (await two.RunAsync("export")).Output);
        Assert.True(story.Split("{\"reading\":").Length > 800);
        Assert.True(story.Split("{\"fill\":").Length > 12);
        Assert.Equal(ExitCode.BadInput, (await one.RunAsync("demo")).ExitCode);
    }

    [Fact]
    public async Task A_backup_is_put_back_and_what_stood_there_is_kept()
    {
        using DemoHome home = DemoHome.Empty();
        await DoneAsync(home, "log", "rig", "Wall");
        JsonElement backup = await DoneAsync(home, "backup");
        string before = (await home.RunAsync("export")).Output;
        await DoneAsync(home, "log", "note", "later");
        JsonElement restored = await DoneAsync(home, "restore");
        Assert.Equal(backup.GetProperty("backup").GetString(), restored.GetProperty("restored").GetString());
        Assert.True(File.Exists(restored.GetProperty("kept_aside").GetString()));
        Assert.Equal(before, (await home.RunAsync("export")).Output);
    }

    private static async Task<JsonElement> DoneAsync(DemoHome home, params string[] args)
    {
        CliRun run = await home.RunAsync([.. args, "--json"]);
        Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
        return run.Json;
    }
}
