using Microsoft.EntityFrameworkCore;
using Microsoft.Playwright;
using Rinsewright.Records.Alarms;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Web.Tests.Alarms;

/// <summary>The page of the alarms in a real browser.</summary>
public sealed class AlarmPageTests(Browser browser)
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    public static TheoryData<string> Devices => Browser.Devices;

    [Theory]
    [MemberData(nameof(Devices))]
    public async Task An_alarm_is_seen_from_today_acknowledged_and_rules_and_destinations_are_set(
        string device
    )
    {
        await using Site site = await Site.EmptyAsync();
        await site.FirstRigAsync();
        await using (LogbookContext context = site.Store.Read())
        {
            Rig rig = await context.Live<Rig>().SingleAsync(Stop);
            await new AlarmBook(site.Store).ApplyAsync(
                [
                    Finding.Of(
                        new AlarmPlace(null, rig.Id, null),
                        AlarmRule.Usual(AlarmKind.Chance),
                        rig.Id.Value,
                        70
                    ),
                ],
                Stop
            );
        }

        await using Visit visit = await browser.VisitAsync(site, device);
        IPage page = visit.Page;
        await visit.OpenAsync("/");
        await page.GetByRole(AriaRole.Link, new() { Name = "Alarms: 1 open" }).ClickAsync();
        await page.WaitForURLAsync("**/alarms");
        await visit.KeepPictureAsync("alarms");
        await visit.ExpectWellAsync();
        await page.GetByLabel("Who", new() { Exact = true }).FillAsync("Mira");
        await page.GetByLabel("What is done about it").FillAsync("resin is ordered");
        await page.GetByRole(AriaRole.Button, new() { Name = "I see to it: Garage" }).ClickAsync();
        await Assertions.Expect(page.GetByText("Mira sees to it")).ToBeVisibleAsync();

        await page.GetByLabel("Name", new() { Exact = true }).FillAsync("Office");
        await page.GetByLabel("How", new() { Exact = true }).SelectOptionAsync("webhook");
        await page.GetByLabel("E-mail address or URL").FillAsync("https://hooks.example.org/rinse");
        await page.GetByLabel("Quiet hours", new() { Exact = true }).FillAsync("22:00-06:30");
        await page.GetByRole(AriaRole.Button, new() { Name = "Add", Exact = true }).ClickAsync();
        string secret = await page.GetByLabel("The secret that its messages are signed with")
            .InputValueAsync();
        Assert.Equal(32, Convert.FromBase64String(secret).Length);
        await Assertions.Expect(page.GetByText("quiet 22:00-06:30 (Europe/Vienna)")).ToBeVisibleAsync();
        await page.GetByLabel("from (d)").FillAsync("14");
        await page.GetByRole(AriaRole.Button, new() { Name = "Set: a change-out is due soon" }).ClickAsync();
        await Assertions.Expect(page.GetByLabel("from (d)")).ToHaveValueAsync("14");
        await visit.ExpectWellAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Send no more to Office" }).ClickAsync();
        await Assertions.Expect(page.GetByText("hooks.example.org")).ToHaveCountAsync(0);
        Assert.Empty(site.Complaints);
    }
}
