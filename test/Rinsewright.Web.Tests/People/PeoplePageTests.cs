using Microsoft.Playwright;
using Rinsewright.Records.Access;

namespace Rinsewright.Web.Tests.People;

/// <summary>The doors and the page People in a real browser, with an authenticator of the browser's own making.</summary>
public sealed class PeoplePageTests(Browser browser)
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    public static TheoryData<string> Devices => Browser.Devices;

    [Theory]
    [MemberData(nameof(Devices))]
    public async Task An_owner_joins_by_passkey_signs_in_by_it_invites_and_makes_a_key(string device)
    {
        await using TwoFirms firms = await TwoFirms.OpenAsync();
        await using Visit visit = await browser.VisitAsync(firms.Site, device);
        IPage page = visit.Page;
        await AddAuthenticatorAsync(page);
        await visit.OpenAsync($"/join/{firms.Invitation}");
        await visit.KeepPictureAsync("join");
        await visit.ExpectWellAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Join with a passkey" }).ClickAsync();
        await page.WaitForURLAsync(firms.Site.Address.ToString());

        await visit.OpenAsync("/account");
        await visit.KeepPictureAsync("account");
        await visit.ExpectWellAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Sign out here" }).ClickAsync();
        await page.WaitForURLAsync("**/sign-in");
        await visit.KeepPictureAsync("sign-in");
        await visit.ExpectWellAsync();
        await page.GetByRole(AriaRole.Button, new() { Name = "Sign in by passkey" }).ClickAsync();
        await page.WaitForURLAsync(firms.Site.Address.ToString());

        await visit.OpenAsync("/people");
        await page.GetByLabel("Name", new() { Exact = true }).FillAsync("Cem");
        await page.GetByRole(AriaRole.Button, new() { Name = "Invite", Exact = true }).ClickAsync();
        string link = await page.GetByLabel("The invitation for Cem").InputValueAsync();
        Assert.StartsWith($"{firms.Site.Address}join/rw.", link, StringComparison.Ordinal);
        await page.GetByLabel("What it is for").FillAsync("Sheet");
        await page.GetByRole(AriaRole.Button, new() { Name = "Make a key" }).ClickAsync();
        string key = await page.GetByLabel("The key. It is shown this once").InputValueAsync();
        Assert.NotNull(await new KeyRegister(firms.Site.Store).FindAsync(key, Stop));
        await visit.KeepPictureAsync("people");
        await visit.ExpectWellAsync();
        Assert.DoesNotContain("Bo", await page.Locator("main").InnerTextAsync(), StringComparison.Ordinal);
        Assert.Empty(firms.Site.Complaints);
        Assert.Contains(
            await new AuditTrail(firms.Site.Store).ListAsync(20, Stop),
            l => l.What is "signed in by passkey"
        );
    }

    private static async Task AddAuthenticatorAsync(IPage page)
    {
        ICDPSession session = await page.Context.NewCDPSessionAsync(page);
        await session.SendAsync("WebAuthn.enable");
        await session.SendAsync(
            "WebAuthn.addVirtualAuthenticator",
            new Dictionary<string, object>(StringComparer.Ordinal)
            {
                ["options"] = new Dictionary<string, object>(StringComparer.Ordinal)
                {
                    ["protocol"] = "ctap2",
                    ["transport"] = "internal",
                    ["hasResidentKey"] = true,
                    ["hasUserVerification"] = true,
                    ["isUserVerified"] = true,
                    ["automaticPresenceSimulation"] = true,
                },
            }
        );
    }
}
