using Microsoft.Playwright;

namespace Rinsewright.Web.Tests;

/// <summary>What waits on the device.</summary>
public sealed class QueueTests(Browser browser)
{
    [Fact]
    public async Task What_the_record_refuses_is_kept_with_the_reason_until_it_is_discarded()
    {
        await using Site site = await Site.EmptyAsync();
        Guid stage = await site.FirstRigAsync();
        await using Visit visit = await browser.VisitAsync(site);
        await visit.OpenAsync($"/log/{stage}");
        await visit.Page.GetByLabel("How much").FillAsync("a bucket");
        await visit.Page.GetByRole(AriaRole.Button, new() { Name = "Log the water" }).ClickAsync();
        ILocator kept = visit.Page.Locator("#refused");
        await Assertions.Expect(kept).ToContainTextAsync("a bucket");
        await visit.OpenAsync("/");
        await Assertions.Expect(kept).ToContainTextAsync("Not written: a bucket");
        visit.ExpectComplaint("422");
        await visit.ExpectWellAsync();
        await kept.GetByRole(AriaRole.Button).ClickAsync();
        await Assertions.Expect(kept).ToBeHiddenAsync();
        await visit.OpenAsync("/");
        await Assertions.Expect(kept).ToBeHiddenAsync();
    }
}
