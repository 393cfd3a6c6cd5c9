using System.CommandLine;
using Rinsewright.Quantities;
using Rinsewright.Web.Hosting;
using Rinsewright.Web.Operations;

namespace Rinsewright.Cli;

/// <summary>The options of <c>serve</c> for whoever runs it for others: log, telemetry, how it ends.</summary>
internal sealed class ServeOperations
{
    private const string Json = "json";
    private static readonly TimeSpan LongestDrain = TimeSpan.FromMinutes(5);

    private readonly Terminal _terminal;
    private readonly Option<string> _log;
    private readonly Option<string?> _telemetry;
    private readonly Option<int> _drain;

    public ServeOperations(Verb verb, Terminal terminal)
    {
        _terminal = terminal;
        _log = verb.Has<string>(
            "--log",
            "How the log is written to the error stream: text, warnings only; or json, one object a line, with what the program does besides.",
            o =>
            {
                o.DefaultValueFactory = _ => "text";
                o.AcceptOnlyFromAmong("text", Json);
            }
        );
        _telemetry = verb.Has<string?>(
            "--telemetry",
            "Address of a collector to send traces and metrics to (OTLP over HTTP), such as http://localhost:4318. The standard OTEL_ variables do the same. Default: nothing is sent."
        );
        _drain = verb.Has<int>(
            "--drain-seconds",
            "How long requests under way may take to end when the program is stopped.",
            o => o.DefaultValueFactory = _ => (int)ServeOptions.UsualDrain.TotalSeconds
        );
    }

    /// <summary>However long the drain, the program ends by then; the rest is closing files.</summary>
    public static TimeSpan LongestStop { get; } = LongestDrain + TimeSpan.FromSeconds(30);

    /// <summary>What the command line says, to be laid over the other options.</summary>
    public Func<ServeOptions, ServeOptions> Read(ParseResult line, List<InputProblem> problems)
    {
        int drain = line.GetValue(_drain);
        if (drain < 0 || drain > LongestDrain.TotalSeconds)
        {
            problems.Add(
                new(
                    "--drain-seconds",
                    FormattableString.Invariant($"{drain}"),
                    $"0 to {LongestDrain.TotalSeconds}"
                )
            );
        }

        Uri? collector = null;
        if (
            line.GetValue(_telemetry) is { } address
            && !(
                Uri.TryCreate(address, UriKind.Absolute, out collector)
                && collector.Scheme is "http" or "https"
            )
        )
        {
            problems.Add(new("--telemetry", address, "an address, such as http://localhost:4318"));
        }

        var telemetry = new Telemetry
        {
            Collector = collector,
            Stated = Telemetry
                .Variables.Select(name => (Name: name, Text: _terminal.Variable(name)))
                .Where(v => !string.IsNullOrEmpty(v.Text))
                .ToDictionary(v => v.Name, v => v.Text!, StringComparer.Ordinal),
        };
        return options =>
            options with
            {
                IsLogJson = line.GetValue(_log) is Json,
                Telemetry = telemetry,
                Drain = TimeSpan.FromSeconds(drain),
            };
    }
}
