using System.Net.Http.Json;
using System.Text.Json;
using Microsoft.Playwright;

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
        }
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
    internal static async Task<JsonElement[]> SharpenedAsync(Site site)
    {
        while (true)
        {
            JsonElement[] rigs =
            [
                .. (await site.Http.GetFromJsonAsync<JsonElement>("/api/rigs", Stop)).EnumerateArray(),
            ];
            if (Array.TrueForAll(rigs, r => !r.GetProperty("is_sharpening").GetBoolean()))
            {
                return rigs;
            }

            await Task.Delay(100, Stop);
        }
    }
}
