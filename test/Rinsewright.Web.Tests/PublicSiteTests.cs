using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Hosting;
using Rinsewright.Web.Sharing;

namespace Rinsewright.Web.Tests;

/// <summary>The pages under a name of the internet: what a proxy's word is worth, and to whom.</summary>
public sealed class PublicSiteTests
{
    private const string Passphrase = "a-long-passphrase";
    private const string Name = "wash.example.org";

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Links_and_cookies_are_those_of_the_encrypted_name_that_the_proxy_answers()
    {
        await using Site site = await PublicAsync();
        await site.FirstRigAsync();
        Id<Rig> rig;
        await using (LogbookContext context = site.Store.Read())
        {
            rig = context.Live<Rig>().Single().Id;
        }

        using HttpRequestMessage making = Through(
            HttpMethod.Post,
            $"/api/rigs/{rig.Value}/links",
            "203.0.113.1"
        );
        making.Headers.Authorization = new("Bearer", Passphrase);
        making.Content = JsonContent.Create(new { name = "Ana" });
        using HttpResponseMessage made = await site.Http.SendAsync(making, Stop);
        JsonElement link = await made.Content.ReadFromJsonAsync<JsonElement>(Stop);
        var address = new Uri(link.GetProperty("address").GetString()!);
        Assert.Equal(("https", Name), (address.Scheme, address.Authority));
        Assert.Contains(
            "max-age",
            made.Headers.GetValues("Strict-Transport-Security").Single(),
            StringComparison.Ordinal
        );

        using HttpRequestMessage opening = Through(HttpMethod.Get, address.PathAndQuery, "203.0.113.9");
        using HttpResponseMessage opened = await site.Http.SendAsync(opening, Stop);
        Assert.Equal(HttpStatusCode.OK, opened.StatusCode);

        using HttpRequestMessage signing = Through(HttpMethod.Get, "/sign-in", "203.0.113.9");
        using HttpResponseMessage page = await site.Http.SendAsync(signing, Stop);
        Assert.DoesNotContain(
            "nothing is encrypted",
            await page.Content.ReadAsStringAsync(Stop),
            StringComparison.Ordinal
        );
        Assert.Contains("secure", page.Headers.GetValues("Set-Cookie").Single(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Wrong_tries_count_for_whom_the_proxy_saw_whatever_they_claim_to_be()
    {
        await using Site site = await PublicAsync();
        for (int i = 0; i < SharedDoor.MostWrongTries; i++)
        {
            Assert.Equal(HttpStatusCode.NotFound, await TryAsync(site, $"198.51.100.{i}, 203.0.113.1"));
        }

        Assert.Equal(HttpStatusCode.TooManyRequests, await TryAsync(site, "198.51.100.99, 203.0.113.1"));
        Assert.Equal(HttpStatusCode.NotFound, await TryAsync(site, "203.0.113.2"));
    }

    [Fact]
    public async Task Without_it_a_proxys_word_counts_nothing_and_the_name_is_unknown()
    {
        await using Site site = await Site.EmptyAsync(Passphrase);
        using HttpRequestMessage named = Through(HttpMethod.Get, "/health", "203.0.113.1");
        Assert.Equal(HttpStatusCode.BadRequest, (await site.Http.SendAsync(named, Stop)).StatusCode);
        using HttpRequestMessage signing = Through(HttpMethod.Get, "/sign-in", "203.0.113.1");
        signing.Headers.Host = null;
        using HttpResponseMessage page = await site.Http.SendAsync(signing, Stop);
        Assert.Contains(
            "nothing is encrypted",
            await page.Content.ReadAsStringAsync(Stop),
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void Only_this_machine_and_the_proxies_named_are_believed()
    {
        PublicSite site = new(
            PublicSite.ParseAddress($"https://{Name}")!,
            [PublicSite.ParseProxy("192.168.1.5")!.Value]
        );
        bool Believes(string address) =>
            site.Headers().KnownIPNetworks.Any(n => n.Contains(IPAddress.Parse(address)))
            || site.Headers().KnownProxies.Contains(IPAddress.Parse(address));
        Assert.True(Believes("127.0.0.1"));
        Assert.True(Believes("192.168.1.5"));
        Assert.False(Believes("192.168.1.6"));
        Assert.False(Believes("203.0.113.1"));
    }

    [Theory]
    [InlineData("http://wash.example.org")]
    [InlineData("https://wash.example.org/pages")]
    [InlineData("https://me@wash.example.org")]
    [InlineData("wash.example.org")]
    public void An_address_that_is_not_an_encrypted_host_is_none(string text) =>
        Assert.Null(PublicSite.ParseAddress(text));

    private static Task<Site> PublicAsync() =>
        Site.EmptyAsync(Passphrase, named: new PublicSite(PublicSite.ParseAddress($"https://{Name}")!, []));

    private static async Task<HttpStatusCode> TryAsync(Site site, string from)
    {
        using HttpRequestMessage request = Through(HttpMethod.Get, "/shared/none", from);
        using HttpResponseMessage answer = await site.Http.SendAsync(request, Stop);
        return answer.StatusCode;
    }

    /// <summary>A request as a proxy on this machine hands it on.</summary>
    private static HttpRequestMessage Through(HttpMethod method, string path, string from)
    {
        var request = new HttpRequestMessage(method, path);
        request.Headers.Host = Name;
        request.Headers.Add("X-Forwarded-For", from);
        request.Headers.Add("X-Forwarded-Proto", "https");
        return request;
    }
}
