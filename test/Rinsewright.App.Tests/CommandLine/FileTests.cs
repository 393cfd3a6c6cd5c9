using System.Text.Json;
using Rinsewright.Cli;
using Rinsewright.Quantities;

namespace Rinsewright.App.Tests.CommandLine;

public sealed class FileTests
{
    private static readonly byte[] Latin1 = [(byte)'{', (byte)'\n', (byte)'"', 0xB5, (byte)'"', (byte)'}'];

    [Fact]
    public void Comments_trailing_commas_and_a_byte_order_mark_are_read()
    {
        using var folder = new TempFolder();
        (JsonDocument? json, List<InputProblem> problems) = Read(
            folder.Write("a.json", "\uFEFF{ // of our own\n \"pH\": 7.6, }")
        );
        Assert.Empty(problems);
        Assert.Equal(7.6, json!.RootElement.GetProperty("pH").GetDouble());
    }

    [Fact]
    public void A_missing_file_a_folder_and_bytes_that_are_no_text_are_told_apart()
    {
        using var folder = new TempFolder();
        string missing = folder.PathOf("none.json");
        Assert.Equal($"{missing}: no such file: the path of an existing file", Problem(missing));
        Assert.Equal($"{folder.PathOf("")}: a folder: a file that can be read", Problem(folder.PathOf("")));
        string latin = folder.Write("latin.json", Latin1);
        Assert.Equal($"{latin}:2: bytes that are not UTF-8: text saved as UTF-8", Problem(latin));
    }

    [Theory]
    [InlineData("", ":1:1:")]
    [InlineData("{\n  \"pH\": 7,6\n}", ":2:11:")]
    [InlineData("{\n  \"µ\": \"µ\" x\n}", ":2:12:")]
    [InlineData("{ \"pH\": 7, \"pH\": 8 }", ":1:")]
    public void A_fault_in_json_is_placed_by_line_and_column_in_characters(string text, string place)
    {
        using var folder = new TempFolder();
        string path = folder.Write("bad.json", text);
        string problem = Problem(path);
        Assert.StartsWith(path + place, problem, StringComparison.Ordinal);
        Assert.DoesNotContain("LineNumber", problem, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("{ \"\\uD800\": 1 }")]
    [InlineData("{ \"name\": \"\\uDC00\" }")]
    public async Task Half_a_character_is_refused(string text)
    {
        using var folder = new TempFolder();
        string path = folder.Write("half.json", text);
        CliRun run = await CliRun.OfAsync("water", path);
        Assert.Equal(ExitCode.BadInput, run.ExitCode);
        Assert.Single(run.Problems);
        Assert.StartsWith(path, run.Error, StringComparison.Ordinal);
        Assert.Contains("whole characters", run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public void A_file_is_replaced_whole_or_left_as_it_was()
    {
        using var folder = new TempFolder();
        string path = folder.Write("out.txt", "old");
        Assert.Throws<InvalidOperationException>(() =>
            OutputFile.Replace(
                path,
                stream =>
                {
                    stream.Write("half"u8);
                    throw new InvalidOperationException();
                }
            )
        );
        Assert.Equal("old", File.ReadAllText(path));
        OutputFile.Replace(path, stream => stream.Write("new"u8));
        Assert.Equal("new", File.ReadAllText(path));
        Assert.Equal("out.txt", Assert.Single(folder.Names()));
    }

    private static string Problem(string path) => Assert.Single(Read(path).Problems).ToString();

    private static (JsonDocument? Json, List<InputProblem> Problems) Read(string path)
    {
        using var terminal = new Terminal(TextReader.Null, TextWriter.Null, TextWriter.Null);
        List<InputProblem> problems = [];
        JsonDocument? json = InputFile.ReadJson(terminal, path, problems);
        Assert.Equal(json is null, problems.Count > 0);
        return (json, problems);
    }
}
