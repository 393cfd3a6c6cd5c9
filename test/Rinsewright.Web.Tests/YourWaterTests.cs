using System.Net;

namespace Rinsewright.Web.Tests;

/// <summary>For your water: anyone, with nothing kept.</summary>
public sealed class YourWaterTests
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
