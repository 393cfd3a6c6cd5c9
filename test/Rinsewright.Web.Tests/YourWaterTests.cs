using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using Microsoft.Playwright;

namespace Rinsewright.Web.Tests;

/// <summary>For your water: anyone, with nothing kept.</summary>
public sealed class YourWaterTests(Browser browser)
{
    private const string Question =
        "/your-water?reading=245+ppm&origin=river&washes=3&resin=9.50&visit=8&waterprice=2.10";

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Only_the_variant_that_is_meant_for_it_may_stand_within_a_page_of_elsewhere()
    {
        await using Site site = await Site.EmptyAsync();
        Assert.Contains(
            "frame-ancestors *",
            await PolicyAsync("/your-water?embed=true"),
            StringComparison.Ordinal
        );
        foreach (
            string path in (string[])["/your-water", "/start", "/start?embed=true", "/your-water?embed=no"]
        )
        {
            Assert.Contains("frame-ancestors 'none'", await PolicyAsync(path), StringComparison.Ordinal);
        }

        async Task<string> PolicyAsync(string path) =>
            string.Join(
                ' ',
                (await site.Http.GetAsync(path, Stop)).Headers.GetValues("Content-Security-Policy")
            );
    }

    [Fact]
    public async Task With_a_passphrase_it_is_open_only_when_the_owner_says_so_and_leads_nowhere_else()
    {
        await using (Site shut = await Site.EmptyAsync("a-long-passphrase"))
        {
            Assert.DoesNotContain(
                "your water",
                await shut.Http.GetStringAsync("/your-water", Stop),
                StringComparison.Ordinal
            );
        }

        await using Site open = await Site.EmptyAsync("a-long-passphrase", isYourWaterOpen: true);
        Assert.Contains(
            "with your water",
            await open.Http.GetStringAsync("/your-water", Stop),
            StringComparison.Ordinal
        );
        Assert.Contains("Passphrase", await open.Http.GetStringAsync("/", Stop), StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Unauthorized, (await open.Http.GetAsync("/api/rigs", Stop)).StatusCode);
    }

    [Theory]
    [MemberData(nameof(Browser.Devices), MemberType = typeof(Browser))]
    public async Task A_visitor_asks_on_the_page_and_its_address_gives_the_same_answer_again(string device)
    {
        await using Site site = await Site.EmptyAsync();
        // Computed before anyone waits for it in a browser, and then kept.
        await site.Http.GetStringAsync("/your-water?reading=245+ppm&washes=3&resin=9.50", Stop);
        await using Visit visit = await browser.VisitAsync(site, device);
        await visit.OpenAsync("/your-water");
        await visit.Page.GetByLabel("What does your meter show").FillAsync("245 ppm");
        await visit.Page.GetByLabel("Washes a week").FillAsync("3");
        await visit.Page.GetByLabel("Price of a litre of mixed-bed resin").FillAsync("9.50");
        await visit.Page.GetByRole(AriaRole.Button, new() { Name = "Show how long it lasts" }).ClickAsync();
        ILocator heading = visit.Page.Locator("#answer");
        await Assertions.Expect(heading).ToContainTextAsync("of spot-free water");
        string said = await heading.InnerTextAsync();
        await visit.KeepPictureAsync("your-water");
        await visit.ExpectWellAsync();
        string address = await visit.Page.Locator("#link").InputValueAsync();
        await using Visit other = await browser.VisitAsync(site, device, scripts: false);
        await other.OpenAsync(new Uri(address).PathAndQuery);
        await Assertions.Expect(other.Page.Locator("#answer")).ToHaveTextAsync(said);
        await other.OpenAsync(new Uri(address).PathAndQuery + "&embed=true");
        await Assertions.Expect(other.Page.Locator("#answer")).ToHaveTextAsync(said);
        await Assertions.Expect(other.Page.Locator("#embed-code")).ToHaveCountAsync(0);
    }

    [Fact]
    public async Task Programs_get_the_numbers_of_the_page()
    {
        await using Site site = await Site.EmptyAsync("a-long-passphrase", isYourWaterOpen: true);
        JsonElement answer = await site.Http.GetFromJsonAsync<JsonElement>("/api" + Question, Stop);
        string page = await site.Http.GetStringAsync(Question, Stop);
        double median = answer.GetProperty("life").GetProperty("life_L").GetProperty("median").GetDouble();
        Assert.Contains(
            $"About {Speech.Rounded(median)} L of spot-free water",
            page,
            StringComparison.Ordinal
        );
        Assert.Equal(["raw", "fresh", "at-line"], Names(answer, "spots", "water"), StringComparer.Ordinal);
        Assert.Equal(4, answer.GetProperty("helps").GetArrayLength());
        double wash = answer.GetProperty("cost_per_wash").GetProperty("median").GetDouble();
        Assert.True(wash > 0 && wash < answer.GetProperty("cost_per_year").GetProperty("median").GetDouble());
        HttpResponseMessage refused = await site.Http.GetAsync("/api/your-water?reading=much", Stop);
        Assert.Equal(HttpStatusCode.UnprocessableEntity, refused.StatusCode);

        static IEnumerable<string> Names(JsonElement answer, string list, string name) =>
            answer.GetProperty(list).EnumerateArray().Select(s => s.GetProperty(name).GetString()!);
    }

    [Fact]
    public async Task One_address_cannot_ask_without_end()
    {
        await using Site site = await Site.EmptyAsync();
        HttpStatusCode last = HttpStatusCode.OK;
        for (
            int i = 0;
            i <= Rinsewright.Web.Hosting.PublicPages.MostAMinute && last is HttpStatusCode.OK;
            i++
        )
        {
            last = (await site.Http.GetAsync(Question, Stop)).StatusCode;
        }

        // A minute may turn while they are asked; then as many again are needed.
        for (
            int i = 0;
            i <= Rinsewright.Web.Hosting.PublicPages.MostAMinute && last is HttpStatusCode.OK;
            i++
        )
        {
            last = (await site.Http.GetAsync(Question, Stop)).StatusCode;
        }

        Assert.Equal(HttpStatusCode.TooManyRequests, last);
        Assert.Equal(HttpStatusCode.OK, (await site.Http.GetAsync("/health", Stop)).StatusCode);
    }
}
