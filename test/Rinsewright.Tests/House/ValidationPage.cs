using System.Globalization;
using System.Text;
using Rinsewright.Tests.Evidence;

namespace Rinsewright.Tests.House;

/// <summary>docs/validation.md: every check against the outside, written from the checks themselves.</summary>
internal static class ValidationPage
{
    private static readonly (EvidenceKind Kind, string Title, string Says)[] Kinds =
    [
        (EvidenceKind.Published, "Published", "Agrees with a standard, handbook, paper or open data set."),
        (EvidenceKind.OtherCode, "Other code", "Agrees with what another general-purpose program computes."),
        (EvidenceKind.Identity, "Identity", "Keeps a law that cannot be broken."),
        (EvidenceKind.Order, "Order", "The scheme converges as fast as it claims."),
        (
            EvidenceKind.CommonPractice,
            "Common practice",
            "Plausible beside a fact of the trade that has no source."
        ),
    ];

    public static string Write(IEnumerable<EvidenceRow> rows)
    {
        List<EvidenceRow> all = [.. rows];
        var page = new StringBuilder();
        page.Append(
            """
            # Validation

            Written by the tests from the checks they run (`RINSEWRIGHT_APPROVE=1` rewrites it); a difference between this page and
            the checks fails them. Sources are keys of [references.bib](references.bib). Errors are rounded up to two digits, to
            three where two would pass what is allowed, and those at the level of round-off are given as such, so that the page is
            the same on every machine. *Asked* is the accuracy that was set as the aim before the model was checked.


            """
        );
        foreach ((EvidenceKind kind, string title, string says) in Kinds)
        {
            List<EvidenceRow> group = [.. all.Where(r => r.Kind == kind)];
            if (group.Count == 0)
            {
                continue;
            }

            page.Append($"## {title}\n\n{says}\n\n");
            page.Append(
                "| model | quantity | source | points | worst error | allowed | remark |\n|---|---|---|--:|--:|--:|---|\n"
            );
            IEnumerable<EvidenceRow> ordered = group
                .OrderBy(r => r.Model, StringComparer.Ordinal)
                .ThenBy(r => r.Quantity, StringComparer.Ordinal)
                .ThenBy(r => r.SourceKey, StringComparer.Ordinal);
            foreach (EvidenceRow row in ordered)
            {
                page.Append(
                    CultureInfo.InvariantCulture,
                    $"| {row.Model} | {Cell(row.Quantity)} | {Cell(row.SourceKey)} | {row.Points} | {Error(row)} | {Number(row.Tolerance)} {row.ErrorUnit} | {Cell(row.Remark)} |\n"
                );
            }

            page.Append('\n');
        }

        return page.ToString().TrimEnd('\n') + "\n";
    }

    /// <summary>Two digits, rounded up: a page never shows less than was found. Three where two would show more than is allowed of what holds.</summary>
    private static string Error(EvidenceRow row)
    {
        double error = row.WorstError;
        // Sums that end in round-off differ from machine to machine, also where the tolerance is far larger.
        if (error < 1e-6 * row.Tolerance || error < 1e-8)
        {
            return "round-off";
        }

        double shown = RoundedUp(error, digits: 2);
        return $"{Number(row.Holds && shown > row.Tolerance * (1 + 1e-9) ? RoundedUp(error, digits: 3) : shown)} {row.ErrorUnit}";
    }

    private static double RoundedUp(double error, int digits)
    {
        double step = Math.Pow(10, Math.Floor(Math.Log10(error)) + 1 - digits);
        return Math.Ceiling((error / step) - 1e-3) * step;
    }

    private static string Number(double value) => value.ToString("G3", CultureInfo.InvariantCulture);

    private static string Cell(string text) => text.Replace("|", "\\|", StringComparison.Ordinal);
}
