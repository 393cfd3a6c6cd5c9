using System.CommandLine;
using Rinsewright.Cli;
using Rinsewright.Quantities;

namespace Rinsewright.App.Tests.CommandLine;

/// <summary>What every command shares: help, exit codes, problems, JSON.</summary>
public sealed class FrameTests
{
    [Fact]
    public async Task Version_is_that_of_the_build()
    {
        CliRun run = await CliRun.OfAsync("--version");
        Assert.Equal(ExitCode.Done, run.ExitCode);
        Assert.StartsWith(
            typeof(Terminal).Assembly.GetName().Version!.ToString(3),
            run.Output,
            StringComparison.Ordinal
        );
    }

    [Fact]
    public async Task Help_ends_with_the_examples_of_the_command()
    {
        CliRun run = await CliRun.OfAsync(Weigh, "weigh", "--help");
        Assert.Equal(ExitCode.Done, run.ExitCode);
        Assert.Contains("Weighs a thing.", run.Output, StringComparison.Ordinal);
        Assert.Contains("--json", run.Output, StringComparison.Ordinal);
        Assert.Contains("\n  rinsewright weigh <mass>", run.Output, StringComparison.Ordinal);
        Assert.EndsWith("Examples:\n  rinsewright weigh 3\n\n", run.Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Good_input_returns_0_and_one_json_object()
    {
        CliRun run = await CliRun.OfAsync(Weigh, "weigh", "3", "--json");
        Assert.Equal(ExitCode.Done, run.ExitCode);
        Assert.Equal(3, run.Json.GetProperty("mass_kg").GetDouble());
        Assert.Empty(run.Error);
    }

    [Fact]
    public async Task Bad_input_returns_2_and_every_problem_on_a_line_of_its_own()
    {
        CliRun run = await CliRun.OfAsync(Weigh, "weigh", "-1");
        Assert.Equal(ExitCode.BadInput, run.ExitCode);
        Assert.Empty(run.Output);
        Assert.Equal(["mass: -1: a mass above zero", "mass: -1: a whole number"], run.Problems);
    }

    [Theory]
    [InlineData("weigh")]
    [InlineData("weigh", "3", "--jsn")]
    [InlineData("weigh", "three")]
    [InlineData("wiegh", "3")]
    public async Task A_bad_command_line_returns_2_names_the_command_and_prints_nothing(params string[] args)
    {
        CliRun run = await CliRun.OfAsync(Weigh, args);
        Assert.Equal(ExitCode.BadInput, run.ExitCode);
        Assert.Empty(run.Output);
        Assert.All(run.Problems, p => Assert.StartsWith("rinsewright", p, StringComparison.Ordinal));
        Assert.Contains("--help", run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task No_command_at_all_returns_2_and_shows_help_on_the_error_stream()
    {
        CliRun run = await CliRun.OfAsync(Weigh);
        Assert.Equal(ExitCode.BadInput, run.ExitCode);
        Assert.Empty(run.Output);
        Assert.Contains("weigh", run.Error, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("13", ExitCode.Failed)]
    [InlineData("14", ExitCode.Stopped)]
    public async Task Failed_or_stopped_work_has_its_own_code(string mass, int code)
    {
        CliRun run = await CliRun.OfAsync(Weigh, "weigh", mass);
        Assert.Equal(code, run.ExitCode);
        Assert.Empty(run.Output);
    }

    [Fact]
    public async Task Numerics_that_fail_are_told_and_return_1()
    {
        CliRun run = await CliRun.OfAsync(Weigh, "weigh", "15");
        Assert.Equal((ExitCode.Failed, ""), (run.ExitCode, run.Output));
        Assert.Equal(["rinsewright: the thing: it did not come to rest."], run.Problems);
    }

    private static Command Weigh(Terminal terminal)
    {
        var verb = new Verb("weigh", "Weighs a thing.", "rinsewright weigh 3");
        Argument<int> mass = verb.Takes<int>("mass", "Mass in kg.");
        verb.AnswersInJson()
            .SetAction(line =>
                line.GetValue(mass) switch
                {
                    < 0 => terminal.Refuse([
                        new InputProblem("mass", "-1", "a mass above zero"),
                        new InputProblem("mass", "-1", "a whole number"),
                    ]),
                    13 => throw new IOException("the scale is broken"),
                    14 => throw new OperationCanceledException(),
                    15 => terminal.WithProgress<int>(
                        "the thing",
                        _ => throw new InvalidOperationException("it did not come to rest.")
                    ),
                    int kg => terminal.WriteJson(json => json.WriteNumber("mass_kg", kg, 3)),
                }
            );
        return verb;
    }

    [Theory]
    [InlineData("Host=localhost;Pasword=hush")]
    [InlineData("Host=localhost;Port=hush")]
    public async Task A_connection_string_that_cannot_be_read_is_refused_and_not_shown(string address)
    {
        CliRun run = await CliRun.OfAsync("log", "list", "--data", address);

        Assert.Equal(ExitCode.BadInput, run.ExitCode);
        Assert.StartsWith("connection string: Couldn't set ", run.Error, StringComparison.Ordinal);
        Assert.Contains("Host=…;Database=…", run.Error, StringComparison.Ordinal);
        Assert.DoesNotContain("hush", run.Error, StringComparison.Ordinal);
    }
}
