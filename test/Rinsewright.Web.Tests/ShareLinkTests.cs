using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using Microsoft.Playwright;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Sharing;

namespace Rinsewright.Web.Tests;

/// <summary>Links by which others read of a rig: what they open, and all that they must not.</summary>
public sealed class ShareLinkTests(Browser browser)
{
    private const string Passphrase = "a-long-passphrase";

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task A_token_has_192_random_bits_and_only_its_hash_is_kept()
    {
        await using Site site = await Site.EmptyAsync();
        await site.FirstRigAsync();
        (string path, Guid id) = await MakeAsync(site, new { name = "Ana" });
        string token = path.Split('/')[^1];
        Assert.Matches("^[A-Za-z0-9_-]{32}$", token);
        (string second, _) = await MakeAsync(site, new { name = "Ana" });
        Assert.NotEqual(path, second, StringComparer.Ordinal);
        await using LogbookContext context = site.Store.Read();
        ShareLink kept = context.Live<ShareLink>().Single(l => l.Id == new Id<ShareLink>(id));
        Assert.Equal(ShareLink.HashOf(token), kept.TokenHash);
        string everything =
            EntryKind.Of(kept).ToJson(kept)
            + await site.Http.GetStringAsync("/api/links", Stop)
            + await site.Http.GetStringAsync("/share", Stop);
        Assert.DoesNotContain(token, everything, StringComparison.Ordinal);
    }

    [Fact]
    public async Task It_opens_one_rig_to_readers_without_the_passphrase_and_tells_search_engines_to_keep_out()
    {
        await using Site site = await Site.EmptyAsync(Passphrase);
        await site.FirstRigAsync();
        site.Http.DefaultRequestHeaders.Authorization = new("Bearer", Passphrase);
        (string path, _) = await MakeAsync(site, new { name = "Ana", days = "30" });
        (string costly, _) = await MakeAsync(site, new { name = "Bo", costs = true });
        site.Http.DefaultRequestHeaders.Authorization = null;
        HttpResponseMessage page = await site.Http.GetAsync(path, Stop);
        string text = await page.Content.ReadAsStringAsync(Stop);
        Assert.Equal(HttpStatusCode.OK, page.StatusCode);
        Assert.Contains("How Garage stands", text, StringComparison.Ordinal);
        Assert.Contains("This link holds until 31 Mar 2027", text, StringComparison.Ordinal);
        Assert.Contains("<meta name=\"robots\" content=\"noindex", text, StringComparison.Ordinal);
        Assert.DoesNotContain("What it cost", text, StringComparison.Ordinal);
        Assert.Contains(
            "What it cost",
            await site.Http.GetStringAsync(costly, Stop),
            StringComparison.Ordinal
        );
        foreach (string at in (string[])[path, path + "/readings.svg", "/shared/none", "/calendar/none.ics"])
        {
            HttpResponseMessage answer = await site.Http.GetAsync(at, Stop);
            Assert.StartsWith(
                "noindex",
                answer.Headers.GetValues("X-Robots-Tag").Single(),
                StringComparison.Ordinal
            );
            Assert.Equal("no-referrer", answer.Headers.GetValues("Referrer-Policy").Single());
            Assert.True(answer.Headers.CacheControl!.Private);
        }

        // Nothing on it leads to the rest, which stays shut; crawlers are told where to look.
        Assert.DoesNotContain("<form", text, StringComparison.Ordinal);
        Assert.DoesNotContain("<script", text, StringComparison.Ordinal);
        Assert.DoesNotContain("href=\"/log", text, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.Unauthorized, (await site.Http.GetAsync("/api/links", Stop)).StatusCode);
        string robots = await site.Http.GetStringAsync("/robots.txt", Stop);
        Assert.Contains("Disallow: /\n", robots, StringComparison.Ordinal);
    }

    [Fact]
    public async Task One_that_never_was_has_run_out_or_was_revoked_answers_alike()
    {
        await using Site site = await Site.EmptyAsync();
        await site.FirstRigAsync();
        (string revoked, Guid id) = await MakeAsync(site, new { name = "Ana" });
        (string old, _) = await MakeAsync(site, new { name = "Bo", days = "7" });
        (string calendar, _) = await MakeAsync(site, new { name = "Cy", kind = "calendar" });
        Assert.Equal(HttpStatusCode.OK, (await site.Http.GetAsync(revoked, Stop)).StatusCode);
        Assert.Equal(HttpStatusCode.OK, (await site.Http.GetAsync(old, Stop)).StatusCode);
        Assert.Equal(HttpStatusCode.OK, (await site.Http.DeleteAsync($"/api/links/{id}", Stop)).StatusCode);
        site.Clock.Advance(TimeSpan.FromDays(7));
        string token = calendar.Split('/')[^1].Split('.')[0];
        HashSet<string> answers = new(StringComparer.Ordinal);
        foreach (
            string path in (string[])
                [
                    revoked,
                    old,
                    "/shared/" + ShareLink.NewToken(),
                    "/shared/" + token,
                    "/shared",
                    "/calendar/x",
                ]
        )
        {
            HttpResponseMessage answer = await site.Http.GetAsync(path, Stop);
            Assert.Equal(HttpStatusCode.NotFound, answer.StatusCode);
            answers.Add(await answer.Content.ReadAsStringAsync(Stop));
        }

        Assert.Single(answers);
        Assert.Equal(
            HttpStatusCode.NotFound,
            (await site.Http.DeleteAsync($"/api/links/{id}", Stop)).StatusCode
        );
    }

    [Fact]
    public async Task Guessing_is_stopped_and_nothing_is_written_through_a_link()
    {
        await using Site site = await Site.EmptyAsync();
        await site.FirstRigAsync();
        (string path, _) = await MakeAsync(site, new { name = "Ana" });
        foreach (string method in (string[])["POST", "PUT", "DELETE", "PATCH"])
        {
            using var write = new HttpRequestMessage(new HttpMethod(method), path);
            Assert.Equal(HttpStatusCode.NotFound, (await site.Http.SendAsync(write, Stop)).StatusCode);
        }

        for (int i = 4; i < SharedDoor.MostWrongTries; i++)
        {
            Assert.Equal(
                HttpStatusCode.NotFound,
                (await site.Http.GetAsync($"/shared/{ShareLink.NewToken()}", Stop)).StatusCode
            );
        }

        Assert.Equal(HttpStatusCode.TooManyRequests, (await site.Http.GetAsync(path, Stop)).StatusCode);
        site.Clock.Advance(TimeSpan.FromMinutes(2));
        Assert.Equal(HttpStatusCode.OK, (await site.Http.GetAsync(path, Stop)).StatusCode);
    }

    [Fact]
    public async Task A_calendar_that_is_fetched_again_keeps_its_entries_and_moves_them_with_the_forecast()
    {
        await using Site site = await Site.EmptyAsync();
        Guid stage = await site.FirstRigAsync();
        (string path, _) = await MakeAsync(site, new { name = "My phone", kind = "calendar" });
        HttpResponseMessage first = await site.Http.GetAsync(path, Stop);
        Assert.Equal("text/calendar", first.Content.Headers.ContentType!.MediaType);
        (string Uid, string Day, int Sequence)[] before = Entries(
            await first.Content.ReadAsStringAsync(Stop)
        );
        Assert.NotEmpty(before);
        using (var again = new HttpRequestMessage(HttpMethod.Get, path))
        {
            again.Headers.IfNoneMatch.Add(first.Headers.ETag!);
            Assert.Equal(HttpStatusCode.NotModified, (await site.Http.SendAsync(again, Stop)).StatusCode);
        }

        // Forty days and much water later the change-out lies elsewhere.
        site.Clock.Advance(TimeSpan.FromDays(40));
        HttpResponseMessage wrote = await site.Http.PostAsJsonAsync(
            "/api/entries",
            new
            {
                kind = "draw",
                stage,
                value = "300 L",
            },
            Stop
        );
        Assert.Equal(HttpStatusCode.Created, wrote.StatusCode);
        HttpResponseMessage second = await site.Http.GetAsync(path, Stop);
        Assert.NotEqual(first.Headers.ETag, second.Headers.ETag);
        (string Uid, string Day, int Sequence)[] after = Entries(
            await second.Content.ReadAsStringAsync(Stop)
        );
        foreach ((string uid, string day, int sequence) in before)
        {
            (string Uid, string Day, int Sequence) now = Assert.Single(
                after,
                e => string.Equals(e.Uid, uid, StringComparison.Ordinal)
            );
            Assert.True(now.Sequence >= sequence);
            Assert.True(
                string.Equals(now.Day, day, StringComparison.Ordinal) || now.Sequence > sequence,
                uid
            );
        }

        Assert.Contains(after, e => e.Sequence > before.Max(b => b.Sequence));
    }

    [Theory]
    [MemberData(nameof(Browser.Devices), MemberType = typeof(Browser))]
    public async Task A_link_is_made_shown_once_opened_by_a_visitor_and_revoked_on_the_page(string device)
    {
        await using Site site = await Site.EmptyAsync();
        await site.FirstRigAsync();
        await using Visit owner = await browser.VisitAsync(site, device, scripts: false);
        await owner.OpenAsync("/share");
        await owner.Page.GetByLabel("For whom").FillAsync("the workshop next door");
        await owner.Page.GetByRole(AriaRole.Button, new() { Name = "Make a link" }).ClickAsync();
        string address = await owner.Page.Locator("#new-link").InputValueAsync();
        await owner.KeepPictureAsync("share-link-made");
        await using Visit visitor = await browser.VisitAsync(site, device);
        await visitor.OpenAsync(new Uri(address).PathAndQuery);
        await Assertions
            .Expect(visitor.Page.GetByRole(AriaRole.Heading, new() { Level = 1 }))
            .ToHaveTextAsync("How Garage stands");
        await visitor.ShowPicturesAsync();
        await visitor.KeepPictureAsync("shared");
        await visitor.ExpectWellAsync();
        await visitor.Page.EmulateMediaAsync(new() { ColorScheme = ColorScheme.Dark });
        await visitor.ShowPicturesAsync();
        await visitor.KeepPictureAsync("shared-dark");
        await visitor.ExpectWellAsync();
        await owner.OpenAsync("/share");
        await Assertions.Expect(owner.Page.Locator("#new-link")).ToHaveCountAsync(0);
        await owner
            .Page.GetByRole(AriaRole.Button, new() { Name = "Revoke the link for the workshop next door" })
            .ClickAsync();
        await Assertions.Expect(owner.Page.GetByText("the workshop next door")).ToHaveCountAsync(0);
        Assert.Equal(HttpStatusCode.NotFound, (await site.Http.GetAsync(address, Stop)).StatusCode);
    }

    private static async Task<(string Path, Guid Id)> MakeAsync(Site site, object link)
    {
        JsonElement rigs = await site.Http.GetFromJsonAsync<JsonElement>("/api/rigs", Stop);
        HttpResponseMessage answer = await site.Http.PostAsJsonAsync(
            $"/api/rigs/{rigs[0].GetProperty("id").GetString()}/links",
            link,
            Stop
        );
        Assert.Equal(HttpStatusCode.Created, answer.StatusCode);
        JsonElement made = await answer.Content.ReadFromJsonAsync<JsonElement>(Stop);
        return (
            new Uri(made.GetProperty("address").GetString()!).AbsolutePath,
            made.GetProperty("id").GetGuid()
        );
    }

    private static (string Uid, string Day, int Sequence)[] Entries(string calendar) =>
        [
            .. calendar
                .Replace("\r\n ", "", StringComparison.Ordinal)
                .Split("BEGIN:VEVENT")
                .Skip(1)
                .Select(e =>
                    (
                        Value(e, "UID:"),
                        Value(e, "DTSTART;VALUE=DATE:"),
                        int.Parse(Value(e, "SEQUENCE:"), System.Globalization.CultureInfo.InvariantCulture)
                    )
                ),
        ];

    private static string Value(string entry, string name) =>
        entry.Split("\r\n").Single(l => l.StartsWith(name, StringComparison.Ordinal))[name.Length..];
}
