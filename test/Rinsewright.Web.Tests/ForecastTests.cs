using System.Net.Http.Json;
using System.Text.Json;
using Microsoft.EntityFrameworkCore;
using Microsoft.Playwright;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Web.Tests;

/// <summary>The forecast on the pages: made in the background, shown when it is ready.</summary>
public sealed class ForecastTests(Browser browser, DemoSite demo)
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Every_rig_gets_its_forecast_with_an_honest_interval_and_ranked_causes()
    {
        foreach (JsonElement rig in await SharpenedAsync(demo.Site))
        {
            JsonElement forecast = rig.GetProperty("forecast");
            JsonElement left = forecast.GetProperty("left_L");
            double low = left.GetProperty("low").GetDouble();
            Assert.True(low >= 0, rig.GetRawText());
            Assert.True(
                left.GetProperty("high").ValueKind is JsonValueKind.Null
                    || low < left.GetProperty("high").GetDouble()
                    || forecast.GetProperty("passed_now").GetDouble() > 0.9,
                rig.GetRawText()
            );
            double[] chances =
            [
                .. forecast
                    .GetProperty("causes")
                    .EnumerateArray()
                    .Select(c => c.GetProperty("probability").GetDouble()),
            ];
            Assert.Equal(chances.OrderDescending(), chances);
            Assert.True(chances.Length == 0 || Math.Abs(chances.Sum() - 1) < 0.01, rig.GetRawText());
            Assert.All(
                forecast.GetProperty("causes").EnumerateArray(),
                c => Assert.NotEmpty(c.GetProperty("test").GetString()!)
            );
            Assert.Contains(
                forecast.GetProperty("wear").EnumerateArray(),
                w =>
                    w.GetProperty("name").GetString() is "Carbon"
                    && w.GetProperty("left_L").GetProperty("low").GetDouble() > 0
                    && w.GetProperty("weeks").GetProperty("median").GetDouble() > 0
            );
            Assert.Equal(
                rig.GetProperty("name").GetString() is "Wall set",
                forecast.GetProperty("rotation_cost_share").ValueKind is JsonValueKind.Object
            );
        }
    }

    [Fact]
    public async Task Today_says_what_is_left_of_the_carbon_and_the_sediment_cartridge()
    {
        await SharpenedAsync(demo.Site);
        string page = await demo.Site.Http.GetStringAsync("/", Stop);
        Assert.Matches("<li><b>Carbon</b>: (about|by its water|past its time|spent by now)[^<]+", page);
        Assert.Matches("<li><b>Filter</b>: (about|by its water|past its time|spent by now)[^<]+", page);
    }

    [Fact]
    public async Task A_bed_behind_a_membrane_is_forecast_on_what_the_membrane_lets_pass()
    {
        JsonElement yard = (await SharpenedAsync(demo.Site)).Single(r =>
            r.GetProperty("name").GetString() is "Yard bay"
        );
        double inlet = yard.GetProperty("forecast")
            .GetProperty("inlet_uS_cm")
            .GetProperty("median")
            .GetDouble();
        Assert.InRange(inlet, 1, 100);
    }

    [Fact]
    public async Task The_last_forecast_is_shown_while_a_newer_one_is_made()
    {
        await using Site site = await Site.EmptyAsync();
        Guid stage = await site.FirstRigAsync();
        JsonElement before = (await SharpenedAsync(site))[0].GetProperty("forecast");
        Assert.Equal(0, before.GetProperty("readings").GetInt32());
        HttpResponseMessage written = await site.Http.PostAsJsonAsync(
            "/api/entries",
            new
            {
                kind = "reading",
                stage,
                value = "2 ppm",
            },
            Stop
        );
        written.EnsureSuccessStatusCode();
        JsonElement atOnce = (await site.Http.GetFromJsonAsync<JsonElement>("/api/rigs", Stop))[0];
        Assert.True(atOnce.GetProperty("is_sharpening").GetBoolean());
        Assert.Equal(0, atOnce.GetProperty("forecast").GetProperty("readings").GetInt32());
        JsonElement after = (await SharpenedAsync(site))[0].GetProperty("forecast");
        Assert.Equal(1, after.GetProperty("readings").GetInt32());
    }

    [Fact]
    public async Task The_first_forecast_of_a_fill_and_day_is_kept_by_itself()
    {
        await using Site site = await Site.EmptyAsync();
        Guid stage = await site.FirstRigAsync();
        await SharpenedAsync(site);
        List<KeptForecast> both = await KeptAsync(site, 2);
        Assert.Equal("20 uS/cm, 1 mg/L silica", string.Join(", ", both.Select(k => k.Line)));
        KeptForecast first = both[0];
        Assert.Equal((site.Clock.GetUtcNow(), 1000), (first.At, first.Members));
        HttpResponseMessage written = await site.Http.PostAsJsonAsync(
            "/api/entries",
            new
            {
                kind = "reading",
                stage,
                value = "2 ppm",
            },
            Stop
        );
        written.EnsureSuccessStatusCode();
        await SharpenedAsync(site);
        site.Clock.Advance(TimeSpan.FromDays(1));
        await SharpenedAsync(site);
        List<KeptForecast> kept = await KeptAsync(site, 4);
        Assert.Equal([first.At, site.Clock.GetUtcNow()], kept.Select(k => k.At).Distinct());
        Assert.Equal(4, kept.Count);
        Assert.Empty(site.Complaints);
    }

    [Theory]
    [MemberData(nameof(Browser.Devices), MemberType = typeof(Browser))]
    public async Task The_logbook_plots_how_kept_forecasts_have_fared_and_says_so_when_none_has(string device)
    {
        await using Site site = await Site.EmptyAsync();
        await site.FirstRigAsync();
        await using Visit visit = await browser.VisitAsync(site, device);
        await visit.OpenAsync("/logbook");
        ILocator card = visit.Page.Locator("#kept-forecasts");
        await card.Locator("summary").First.ClickAsync();
        await Assertions.Expect(card).ToContainTextAsync("kept");
        await Assertions.Expect(card.Locator("img")).ToHaveCountAsync(0);
        await StoryAsync(site);
        await visit.OpenAsync("/logbook");
        await card.Locator("summary").First.ClickAsync();
        await Assertions
            .Expect(card)
            .ToContainTextAsync("Kept forecasts whose truth is known: 4, of different fills: 1");
        await visit.ShowPicturesAsync();
        foreach (ColorScheme scheme in (ColorScheme[])[ColorScheme.Light, ColorScheme.Dark])
        {
            await visit.Page.EmulateMediaAsync(new() { ColorScheme = scheme });
            await visit.ShowPicturesAsync();
            await visit.KeepPictureAsync($"kept-forecasts-{scheme.ToString().ToLowerInvariant()}");
            await visit.ExpectWellAsync();
        }

        Assert.Empty(site.Complaints);
    }

    /// <summary>Four days of draws, a forecast each, and a reading past the line on the last.</summary>
    private static async Task StoryAsync(Site site)
    {
        await using LogbookContext context = site.Store.Read();
        Fill fill = await context.Live<Fill>().SingleAsync(Stop);
        Stage stage = await context.Live<Stage>().SingleAsync(Stop);
        DateTimeOffset Day(double days) => site.Clock.GetUtcNow().AddDays(days - 10);
        double?[] Quantiles(double most) =>
            [.. Enumerable.Range(0, KeptForecast.QuantileCount).Select(i => (double?)(most * i / 40))];
        Reading ReadingAt(double days, double ppm) =>
            new()
            {
                Id = site.Store.Ids.Next<Reading>(),
                RigId = stage.RigId,
                Place = Place.Outlet,
                StageId = stage.Id,
                At = Day(days),
                Measurand = Measurand.DissolvedSolids,
                Value_SI = ppm / 1000,
                Written = FormattableString.Invariant($"{ppm}"),
                Unit = "ppm",
            };
        WriteOutcome written = await site.Store.WriteAsync(
            new EditDraft("Ana"),
            [
                fill with
                {
                    PutInAt = Day(0),
                },
                .. Enumerable
                    .Range(0, 6)
                    .Select(d => new Draw
                    {
                        Id = site.Store.Ids.Next<Draw>(),
                        RigId = stage.RigId,
                        At = Day(d + 0.5),
                        Volume_m3 = 0.04,
                        VolumeWritten = "40 L",
                        Basis = VolumeBasis.Measured,
                    }),
                ReadingAt(5, 2),
                ReadingAt(6, 14),
                ReadingAt(7, 30),
                .. Enumerable
                    .Range(0, 4)
                    .Select(d => new KeptForecast
                    {
                        Id = site.Store.Ids.Next<KeptForecast>(),
                        RigId = stage.RigId,
                        StageId = stage.Id,
                        FillId = fill.Id,
                        At = Day(d),
                        Model = "1",
                        Members = 1000,
                        Seed = 1,
                        Line = "10 ppm",
                        MeterFactor = 0.5,
                        LeftQuantiles_m3 = Quantiles(0.4 - 0.04 * d),
                        DaysQuantiles_d = Quantiles(10 - d),
                        PassedNow = 0,
                        FillCost = 60,
                        SpotCost_per_m3 = 500,
                        ChangeAfter_m3 = 0.08,
                        CostNow_per_m3 = 240,
                        CostThen_per_m3 = 210,
                        RotationCostShares = [0.62, 0.55, 0.7],
                    }),
            ],
            Stop
        );
        Assert.Empty(written.Problems);
    }

    /// <summary>The kept forecasts, oldest first, once there are so many.</summary>
    private static Task<List<KeptForecast>> KeptAsync(Site site, int count) =>
        Until.FoundAsync(async () =>
        {
            await using LogbookContext context = site.Store.Read();
            List<KeptForecast> kept = await context
                .Live<KeptForecast>()
                .OrderBy(k => k.At)
                .ThenBy(k => k.Id)
                .ToListAsync(Stop);
            return kept.Count >= count ? kept : null;
        });

    [Theory]
    [MemberData(nameof(Browser.Devices), MemberType = typeof(Browser))]
    public async Task Today_is_sharpened_by_itself(string device)
    {
        await using Site site = await Site.EmptyAsync();
        await site.FirstRigAsync();
        await using Visit visit = await browser.VisitAsync(site, device);
        await visit.OpenAsync("/");
        await Assertions.Expect(visit.Page.GetByText("Chance that the water is past")).ToBeVisibleAsync();
        await Assertions.Expect(visit.Page.Locator("[data-sharpening]")).ToHaveCountAsync(0);
        await visit.ExpectWellAsync();
    }

    /// <summary>All rigs once no forecast is being made any more.</summary>
    internal static Task<JsonElement[]> SharpenedAsync(Site site) =>
        Until.FoundAsync(async () =>
        {
            JsonElement[] rigs =
            [
                .. (await site.Http.GetFromJsonAsync<JsonElement>("/api/rigs", Stop)).EnumerateArray(),
            ];
            return Array.TrueForAll(rigs, r => !r.GetProperty("is_sharpening").GetBoolean()) ? rigs : null;
        });
}
