using Microsoft.Playwright;

namespace Rinsewright.Web.Tests;

/// <summary>From a new install to a first answer.</summary>
public sealed class FirstMinuteTests(Browser browser)
{
    [Theory]
    [MemberData(nameof(Browser.Devices), MemberType = typeof(Browser))]
    public async Task A_reading_and_a_size_give_a_life_with_its_range_and_the_rig_is_kept(string device)
    {
        await using Site site = await Site.EmptyAsync();
        await using Visit visit = await browser.VisitAsync(site, device);
        await visit.OpenAsync("/");
        Assert.EndsWith("/start", visit.Page.Url, StringComparison.Ordinal);
        await visit.KeepPictureAsync("start");
        await visit.ExpectWellAsync();
        await visit.Page.GetByLabel("What does your meter show").FillAsync("150");
        await visit.Page.GetByLabel("6″ × 18″").CheckAsync();
        await visit.Page.GetByRole(AriaRole.Button, new() { Name = "Show how long it lasts" }).ClickAsync();
        await Assertions.Expect(visit.Page.Locator("#answer")).ToContainTextAsync(" L of spot-free water");
        await Assertions.Expect(visit.Page.GetByText("Nine times in ten between")).ToBeVisibleAsync();
        await Assertions.Expect(visit.Page.GetByText("not drinking water").First).ToBeVisibleAsync();
        await visit.KeepPictureAsync("first-answer");
        await visit.ExpectWellAsync();
        await visit.Page.GetByLabel("What you call it").FillAsync("Garage");
        await visit
            .Page.GetByRole(AriaRole.Button, new() { Name = "Keep it and log from now on" })
            .ClickAsync();
        await Assertions
            .Expect(visit.Page.GetByRole(AriaRole.Heading, new() { Name = "Garage" }))
            .ToBeVisibleAsync();
        await Assertions.Expect(visit.Page.GetByText("left").First).ToBeVisibleAsync();
        await visit.KeepPictureAsync("today-first");
        await visit.ExpectWellAsync();
        Assert.Empty(site.Complaints);
    }

    [Fact]
    public async Task It_works_without_scripts_and_in_the_units_of_the_person()
    {
        await using Site site = await Site.EmptyAsync();
        await using Visit visit = await browser.VisitAsync(site, scripts: false);
        await visit.OpenAsync("/start");
        await visit.Page.GetByRole(AriaRole.Button, new() { Name = "L °C" }).ClickAsync();
        await visit.Page.GetByLabel("What does your meter show").FillAsync("300 µS/cm");
        await visit.Page.GetByRole(AriaRole.Button, new() { Name = "Show how long it lasts" }).ClickAsync();
        await Assertions.Expect(visit.Page.Locator("#answer")).ToContainTextAsync(" gal of spot-free water");
    }

    [Fact]
    public async Task What_is_not_right_is_said_with_what_would_be()
    {
        await using Site site = await Site.EmptyAsync();
        await using Visit visit = await browser.VisitAsync(site);
        await visit.OpenAsync("/start?reading=wet&size=housing-4.5x20&flow=fast");
        ILocator alert = visit.Page.GetByRole(AriaRole.Alert);
        await Assertions.Expect(alert).ToContainTextAsync("flow");
        await Assertions.Expect(alert).ToContainTextAsync("L/min");
        await visit.ExpectWellAsync();
    }

    [Fact]
    public async Task A_flow_that_no_fresh_fill_can_hold_is_called_too_fast()
    {
        await using Site site = await Site.EmptyAsync();
        string page = await site.Http.GetStringAsync(
            "/start?reading=300&size=housing-2.5x10&flow=15+L/min",
            TestContext.Current.CancellationToken
        );
        Assert.Contains("Too fast for this bed", page, StringComparison.Ordinal);
    }
}
