using System.Globalization;
using System.Text;

namespace Rinsewright.Compare;

/// <summary>Writes what was measured as a page.</summary>
internal sealed class Report
{
    private readonly StringBuilder _text = new();

    public override string ToString() => _text.ToString();

    public void Paragraph(FormattableString text) => _text.AppendLine(Invariant(text)).AppendLine();

    public void Heading(string text) => _text.AppendLine($"## {text}").AppendLine();

    public void Picture(string file, string alternative) =>
        _text.AppendLine($"![{alternative}]({file})").AppendLine();

    public void Table(string[] heads, IEnumerable<string[]> rows)
    {
        _text.AppendLine($"| {string.Join(" | ", heads)} |");
        _text.AppendLine($"|{string.Concat(Enumerable.Repeat(" --- |", heads.Length))}");
        foreach (string[] row in rows)
        {
            _text.AppendLine($"| {string.Join(" | ", row)} |");
        }

        _text.AppendLine();
    }

    /// <summary>The ladder of one case.</summary>
    public void Ladder(CaseResult result) =>
        Table(
            [
                "solver",
                "setting",
                "time [ms]",
                "worst ion",
                "its error",
                "silica curve",
                "silica peak",
                "litres to 10 µS/cm",
                "litres to 1 mg/L SiO2",
                "balance",
                "steps",
                "passes",
            ],
            result.Ladder.Select(m =>
                new[]
                {
                    m.Solver,
                    m.Setting,
                    Milliseconds(m.Run.Milliseconds),
                    m.Error.WorstIon,
                    Percent(m.Error.Worst),
                    Percent(m.Error.Slug),
                    Signed(m.Error.SlugPeak),
                    Signed(m.Error.ConductivityLine),
                    Signed(m.Error.SilicaLine),
                    double.IsNaN(m.Run.BalanceError)
                        ? "not printed"
                        : Invariant($"{m.Run.BalanceError:0.0e+0}"),
                    Invariant($"{m.Run.Steps}"),
                    m.Error.Passes ? "yes" : "no",
                }
            )
        );

    /// <summary>Fastest passing settings of the solvers, with how many times slower each peer is, case by case.</summary>
    public void Summary(IReadOnlyList<CaseResult> results, params string[] peers) =>
        Table(
            [
                "case",
                "solver",
                "setting",
                "time [ms]",
                "worst ion",
                "silica curve",
                .. peers.Select(p => $"times faster than {p}"),
            ],
            results.SelectMany(r => r.Solvers.Select(s => SummaryRow(r, s, peers)))
        );

    public static string Milliseconds(double value) =>
        value >= 100 ? Invariant($"{value:0}")
        : value >= 10 ? Invariant($"{value:0.0}")
        : Invariant($"{value:0.00}");

    public static string Percent(double value) => Invariant($"{100 * value:0.00} %");

    public static string Invariant(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);

    private static string Signed(double value) =>
        double.IsNaN(value) ? "not reached" : Invariant($"{100 * value:+0.00;-0.00;0.00} %");

    private static string[] SummaryRow(CaseResult result, string solver, string[] peers)
    {
        if (result.CheapestPassing(solver) is not { } m)
        {
            return [result.Bed.Title, solver, "none passes", "", "", "", .. peers.Select(_ => "")];
        }

        return
        [
            result.Bed.Title,
            solver,
            m.Setting,
            Milliseconds(m.Run.Milliseconds),
            $"{m.Error.WorstIon} {Percent(m.Error.Worst)}",
            Percent(m.Error.Slug),
            .. peers.Select(p =>
                result.CheapestPassing(p) is { } peer
                    ? Invariant($"{peer.Run.Milliseconds / m.Run.Milliseconds:0.0}")
                    : "none passes"
            ),
        ];
    }
}
