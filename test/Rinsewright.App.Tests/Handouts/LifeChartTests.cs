using Rinsewright.App.Tests.CommandLine;
using Rinsewright.Cli;
using Rinsewright.Handouts;
using Rinsewright.Handouts.Charts;
using Rinsewright.Handouts.Lives;
using Rinsewright.Quantities;
using Rinsewright.Records.Forecasts;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Storage;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;
using Rig = Rinsewright.Records.Logbook.Rig;

namespace Rinsewright.App.Tests.Handouts;

public sealed class LifeChartTests
{
    private static readonly DateTimeOffset At = new(2026, 2, 28, 12, 0, 0, TimeSpan.Zero);

    [Fact]
    public async Task Every_point_of_the_chart_is_what_the_bed_model_gives_run_alone()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        RigBed bed = await BedOfAsync(home, "Van 1");
        ChangeOutLine silica = ForecastLines.Silica;
        VolumeFlow fast = VolumeFlow.FromLitersPerMinute(12);
        LifeChart chart = LifeChart.Of(
            bed,
            [bed.Flow, fast],
            [bed.ChangeAt, silica],
            TestContext.Current.CancellationToken
        )!;
        Assert.Equal(4, chart.Curves.Length);
        foreach (
            (LifeCurve curve, int k) in (ReadOnlySpan<(LifeCurve, int)>)
                [(chart.Curves[0], 0), (chart.Curves[1], 6), (chart.Curves[2], 9), (chart.Curves[3], 12)]
        )
        {
            (WaterComposition feed, double strength) = LifeChart
                .FeedAt(bed, Math.Pow(2, (k - 6) / 3.0))!
                .Value;
            var temperature = Temperature.FromKelvins(feed.TemperatureKelvin);
            var series = new BedSeries(bed.Line.Beds, curve.Flow, temperature);
            Volume whole = Volume.FromCubicMeters(
                BedOutlook.UsualLife * series.StoichiometricVolume(feed.Totals).CubicMeters
            );
            Assert.Equal(
                BedRunStatus.Completed,
                series.Advance(
                    feed.Totals,
                    temperature,
                    curve.Flow,
                    whole,
                    cancellation: TestContext.Current.CancellationToken
                )
            );
            double? liters = new EffluentReport(series.Effluent, feed, bed.Line.Beds)
                .Reaches(curve.Line, bed.MeterFactor)
                ?.Liters;
            Assert.Equal(strength, curve.Points[k].Strength_uS_cm, 1e-9);
            Assert.Equal(liters!.Value, curve.Points[k].Liters, 1e-6 * liters.Value);
        }

        Assert.All(
            chart.Curves,
            c =>
                Assert.Equal(c.Points.Select(p => p.Liters).OrderDescending(), c.Points.Select(p => p.Liters))
        );
        Assert.True(chart.Fills.Any(f => f.IsChanged) && chart.Fills.Count(f => !f.IsChanged) == 1);
        Assert.NotEmpty(chart.Readings_uS_cm);
        Assert.InRange(
            chart.Range!.Value.Middle,
            0.5 * chart.Curves[0].Points[6].Liters,
            2 * chart.Curves[0].Points[6].Liters
        );
    }

    [Fact]
    public async Task The_sheet_is_one_page_of_vectors_and_selectable_text_with_its_fonts_inside()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        using var folder = new TempFolder();
        foreach (string paper in (string[])["A4", "Letter"])
        {
            string pdf = folder.PathOf($"{paper}.pdf");
            CliRun run = await home.RunAsync(
                "life-chart",
                "Van 1",
                "--at",
                "2026-02-28 12:00",
                "--output",
                pdf,
                "--paper",
                paper,
                "--json"
            );
            Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
            Schema.AssertListed("life-chart.schema.json", run.Json);
            PdfFile read = PdfFile.Read(pdf);
            Assert.Equal(1, read.Pages);
            Assert.Equal(paper is "A4" ? (842, 595) : (792, 612), read.Size_pt);
            Assert.True(read.IsTagged);
            foreach (
                string words in (string[])
                    [
                        "Van 1, Polisher: how far a fill goes",
                        "raw water on the meter, ppm",
                        "washes of",
                        "gal",
                    ]
            )
            {
                Assert.Contains(words, read.Text, StringComparison.Ordinal);
            }

            Assert.All(read.Fonts, f => Assert.True(f.IsEmbedded && f.HasUnicode, f.Name));
            Assert.Empty(read.Images);
        }

        string svg = folder.PathOf("chart.svg");
        CliRun drawn = await home.RunAsync(
            "life-chart",
            "Van 1",
            "--at",
            "2026-02-28 12:00",
            "--output",
            svg
        );
        Assert.Equal((ExitCode.Done, ""), (drawn.ExitCode, drawn.Error));
        string text = await File.ReadAllTextAsync(svg, TestContext.Current.CancellationToken);
        Assert.Contains("how far a fill goes", text, StringComparison.Ordinal);
        Assert.DoesNotContain("<image", text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_wrong_ending_flow_and_paper_are_told_together_and_nothing_is_written()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        CliRun run = await home.RunAsync(
            "life-chart",
            "Van 1",
            "--output",
            "chart.doc",
            "--flow",
            "slow",
            "--paper",
            "A3"
        );
        Assert.Equal((ExitCode.BadInput, ""), (run.ExitCode, run.Output));
        Assert.Equal(3, run.Problems.Length);
        Assert.False(File.Exists("chart.doc"));
    }

    internal static async Task<RigBed> BedOfAsync(DemoHome home, string rig)
    {
        await using LogbookStore store = await LogbookStore.OpenAsync(
            StoreAddress.Parse(home.Record, _ => null),
            TimeProvider.System
        );
        await using LogbookContext context = store.Read();
        Rig found = context.Live<Rig>().Single(r => r.Name == rig);
        RigHistory history = (await RigHistory.LoadAsync(context, found.Id, At))!;
        return RigBed.Of(history, At, new SourceWaters(), out _)!;
    }
}
