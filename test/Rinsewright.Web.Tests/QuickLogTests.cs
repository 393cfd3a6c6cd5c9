using Microsoft.EntityFrameworkCore;
using Microsoft.Playwright;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Web.Tests;

/// <summary>Three taps, with and without a connection.</summary>
public sealed class QuickLogTests(Browser browser)
{
    [Fact]
    public async Task What_is_logged_without_a_connection_waits_survives_closing_and_is_sent_once()
    {
        await using Site site = await Site.EmptyAsync();
        Guid stage = await site.FirstRigAsync();
        await using Visit visit = await browser.VisitAsync(site);
        await visit.OpenAsync($"/log/{stage}");
        await Until.HoldsAsync(() =>
            visit.Page.EvaluateAsync<bool>("() => navigator.serviceWorker.controller !== null")
        );
        // The page that the worker looks after is fetched once more, and so kept.
        await visit.OpenAsync($"/log/{stage}");
        await Until.HoldsAsync(() =>
            visit.Page.EvaluateAsync<bool>("async () => await caches.match(location.href) !== undefined")
        );
        await visit.KeepPictureAsync("quick-log");
        await visit.ExpectWellAsync();

        await visit.SetOfflineAsync(true);
        await visit.Page.GetByText("3", new() { Exact = true }).ClickAsync();
        await visit.Page.GetByRole(AriaRole.Button, new() { Name = "Log the reading" }).ClickAsync();
        await Assertions.Expect(visit.Page.GetByText("Waiting to send")).ToBeVisibleAsync();
        await Assertions.Expect(visit.Page.GetByText("1 entry waits on this device")).ToBeVisibleAsync();
        await visit.KeepPictureAsync("quick-log-waiting");
        Assert.Empty(await ReadingsAsync(site));

        await visit.ReopenAsync();
        await visit.OpenAsync($"/log/{stage}");
        await Assertions.Expect(visit.Page.GetByText("1 entry waits on this device")).ToBeVisibleAsync();

        await visit.SetOfflineAsync(false);
        await visit.OpenAsync("/");
        await Assertions.Expect(visit.Page.GetByText("waits on this device")).ToBeHiddenAsync();
        await visit.OpenAsync("/");
        Reading reading = Assert.Single(await ReadingsAsync(site));
        Assert.Equal(("3", "ppm", Place.Outlet), (reading.Written, reading.Unit, reading.Place));
    }

    [Fact]
    public async Task It_works_without_scripts()
    {
        await using Site site = await Site.EmptyAsync();
        Guid stage = await site.FirstRigAsync();
        await using Visit visit = await browser.VisitAsync(site, scripts: false);
        await visit.OpenAsync($"/log/{stage}");
        await visit.Page.GetByLabel("How much").FillAsync("40 L");
        await visit.Page.GetByRole(AriaRole.Button, new() { Name = "Log the water" }).ClickAsync();
        await Assertions.Expect(visit.Page.GetByText("Written (edit")).ToBeVisibleAsync();
        await visit.OpenAsync("/logbook");
        await Assertions.Expect(visit.Page.GetByText("40 L", new() { Exact = true })).ToBeVisibleAsync();
        await visit
            .Page.GetByRole(
                AriaRole.Button,
                new()
                {
                    NameRegex = new System.Text.RegularExpressions.Regex(
                        "water drawn",
                        System.Text.RegularExpressions.RegexOptions.None,
                        TimeSpan.FromSeconds(1)
                    ),
                }
            )
            .ClickAsync();
        await Assertions.Expect(visit.Page.GetByText("40 L", new() { Exact = true })).ToBeHiddenAsync();
    }

    private static async Task<List<Reading>> ReadingsAsync(Site site)
    {
        await using LogbookContext context = site.Store.Read();
        return await context.Live<Reading>().ToListAsync(TestContext.Current.CancellationToken);
    }
}
