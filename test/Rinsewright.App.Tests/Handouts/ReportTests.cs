using System.Text.Json;
using System.Xml.Linq;
using Rinsewright.App.Tests.CommandLine;
using Rinsewright.Cli;

namespace Rinsewright.App.Tests.Handouts;

public sealed class ReportTests
{
    private static readonly string[] Asked =
    [
        "report",
        "Van 1",
        "--from",
        "2025-12-01",
        "--to",
        "2026-02-25",
    ];

    [Fact]
    public async Task The_printed_report_can_be_read_back_and_says_what_the_record_says()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        using var folder = new TempFolder();
        string pdf = folder.PathOf("report.pdf");
        CliRun run = await home.RunAsync([.. Asked, "--output", pdf, "--json"]);
        Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
        Schema.AssertListed("report.schema.json", run.Json);
        PdfFile read = PdfFile.Read(pdf);
        Assert.True(read.IsTagged && read.Pages >= 2);
        Assert.Equal((595, 842), read.Size_pt);
        Assert.Equal("Van 1: 2025-12-01 to 2026-02-25", read.Title);
        Assert.All(read.Fonts, f => Assert.True(f.IsEmbedded && f.HasUnicode, f.Name));
        Assert.Empty(read.Images);
        string text = string.Join(' ', read.Text.Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries));
        foreach (
            string heading in (string[])
                [
                    "In short",
                    "Where it stands",
                    "Fills",
                    "What was forecast, and what came",
                    "Costs",
                    "What was changed, and why",
                    "How sure the meters are",
                    "true conductance [µS/cm]",
                    "not drinking water",
                    "Relieve the pressure",
                ]
        )
        {
            Assert.Contains(heading, text, StringComparison.Ordinal);
        }

        foreach (JsonElement cost in run.Json.GetProperty("costs").EnumerateArray())
        {
            string amount = cost.GetProperty("amount")
                .GetDecimal()
                .ToString("F2", System.Globalization.CultureInfo.InvariantCulture);
            Assert.Contains(amount, text, StringComparison.Ordinal);
        }

        foreach (JsonElement change in run.Json.GetProperty("changes").EnumerateArray())
        {
            Assert.Contains(change.GetProperty("at").GetString()![..10], text, StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task Its_sums_are_those_of_the_export_and_its_forecasts_carry_their_range()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        JsonElement report = (await home.RunAsync([.. Asked, "--json"])).Json;
        Assert.True(report.GetProperty("drawn_L").GetDouble() > 500);
        Assert.True(report.GetProperty("washes").GetInt32() > 10);
        Assert.InRange(report.GetProperty("readings").GetInt32(), 10, 2000);
        Assert.NotEmpty(report.GetProperty("fills").EnumerateArray());
        JsonElement[] costs = [.. report.GetProperty("costs").EnumerateArray()];
        double water_m3 = report.GetProperty("drawn_L").GetDouble() / 1000;
        decimal water = costs
            .Single(c => c.GetProperty("for").ValueEquals("mains water and sewer"))
            .GetProperty("amount")
            .GetDecimal();
        Assert.Equal(4.12 * water_m3, (double)water, 0.005);
        JsonElement[] forecasts = [.. report.GetProperty("forecasts").EnumerateArray()];
        Assert.NotEmpty(forecasts);
        Assert.All(
            forecasts,
            f =>
            {
                JsonElement left = f.GetProperty("left_L");
                Assert.True(left.GetProperty("p05").GetDouble() <= left.GetProperty("median").GetDouble());
                Assert.True(f.GetProperty("came_L").GetDouble() > 0);
            }
        );
    }

    [Fact]
    public async Task A_forecast_that_was_kept_is_shown_as_it_was()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        JsonElement before = (await home.RunAsync([.. Asked, "--json"])).Json;
        JsonElement made = before.GetProperty("forecasts").EnumerateArray().Last();
        Assert.False(made.GetProperty("kept").GetBoolean());
        string at = made.GetProperty("at").GetString()!;
        CliRun keep = await home.RunAsync(
            "forecast",
            Asked[1],
            "--at",
            at,
            "--members",
            "50",
            "--line",
            "20 uS/cm",
            "--keep",
            "--json"
        );
        Assert.Equal((ExitCode.Done, ""), (keep.ExitCode, keep.Error));
        JsonElement after = (await home.RunAsync([.. Asked, "--json"])).Json;
        JsonElement kept = after.GetProperty("forecasts").EnumerateArray().Last();
        Assert.True(kept.GetProperty("kept").GetBoolean());
        Assert.Equal(at, kept.GetProperty("at").GetString());
        Assert.Equal(
            keep.Json.GetProperty("lines")[0].GetProperty("liters_left").GetProperty("median").GetDouble(),
            kept.GetProperty("left_L").GetProperty("median").GetDouble(),
            0.002 * kept.GetProperty("left_L").GetProperty("median").GetDouble()
        );
    }

    [Fact]
    public async Task The_page_is_whole_by_itself_and_well_formed()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        using var folder = new TempFolder();
        string html = folder.PathOf("report.html");
        CliRun run = await home.RunAsync([.. Asked, "--output", html]);
        Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
        Assert.Contains("Where it stands", run.Output, StringComparison.Ordinal);
        string text = await File.ReadAllTextAsync(html, TestContext.Current.CancellationToken);
        Assert.DoesNotContain("<script", text, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("src=", text, StringComparison.OrdinalIgnoreCase);
        XElement svg = XElement.Parse(
            text[
                text.IndexOf("<svg", StringComparison.Ordinal)..(
                    text.IndexOf("</svg>", StringComparison.Ordinal) + 6
                )
            ]
        );
        Assert.Contains(
            svg.Descendants(),
            e => e.Name.LocalName is "text" && e.Value.Contains("change-out line", StringComparison.Ordinal)
        );
        Assert.Contains("aria-label=\"Corrected readings", text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Days_that_are_none_or_run_backwards_are_refused()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        CliRun backwards = await home.RunAsync(
            "report",
            "Van 1",
            "--from",
            "2026-02-02",
            "--to",
            "2026-02-01"
        );
        Assert.Equal((ExitCode.BadInput, ""), (backwards.ExitCode, backwards.Output));
        Assert.StartsWith(
            "--from: 2026-02-02: ",
            Assert.Single(backwards.Problems),
            StringComparison.Ordinal
        );
        CliRun none = await home.RunAsync("report", "Van 1", "--from", "spring", "--output", "report.txt");
        Assert.Equal(2, none.Problems.Length);
    }
}
