using System.Net;
using System.Net.Http.Headers;
using System.Net.Http.Json;
using System.Text;
using System.Text.Json;
using Microsoft.Playwright;

namespace Rinsewright.Web.Tests;

/// <summary>The handouts of a rig, as they are fetched from the page Share and by programs.</summary>
public sealed class HandoutTests(Browser browser)
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Every_handout_comes_as_the_file_that_was_asked_for()
    {
        await using Site site = await Site.EmptyAsync();
        await site.FirstRigAsync();
        string rig = await RigAsync(site);
        foreach (
            (string path, string mediaType, string begins, string? name) in new (
                string,
                string,
                string,
                string?
            )[]
            {
                // It waits for the forecast; then nothing changes any more.
                ("calendar", "text/calendar", "BEGIN:VCALENDAR\r\n", "Garage calendar.ics"),
                ("life-chart", "application/pdf", "%PDF-", "Garage life chart.pdf"),
                ("life-chart?format=svg&flow=5+L/min", "image/svg+xml", "<?xml", "Garage life chart.svg"),
                ("report?paper=letter", "application/pdf", "%PDF-", "Garage report.pdf"),
                ("report?format=html&from=2027-01-01", "text/html", "<!doctype html>", null),
                ("labels", "application/pdf", "%PDF-", "Garage labels.pdf"),
                ("labels?format=svg", "image/svg+xml", "<svg", "Garage labels.svg"),
            }
        )
        {
            HttpResponseMessage answer = await site.Http.GetAsync($"/api/rigs/{rig}/{path}", Stop);
            Assert.Equal(
                (HttpStatusCode.OK, mediaType),
                (answer.StatusCode, answer.Content.Headers.ContentType!.MediaType)
            );
            Assert.StartsWith(
                begins,
                Encoding.UTF8.GetString(await answer.Content.ReadAsByteArrayAsync(Stop)),
                StringComparison.Ordinal
            );
            Assert.Equal(name, answer.Content.Headers.ContentDisposition?.FileNameStar);
            // A forecast that is kept meanwhile changes the tag; nothing else does.
            HttpStatusCode status = answer.StatusCode;
            for (int i = 0; i < 10 && status is not HttpStatusCode.NotModified; i++)
            {
                using var again = new HttpRequestMessage(HttpMethod.Get, $"/api/rigs/{rig}/{path}");
                again.Headers.IfNoneMatch.Add(answer.Headers.ETag!);
                answer = await site.Http.SendAsync(again, Stop);
                status = answer.StatusCode;
            }

            Assert.Equal(HttpStatusCode.NotModified, status);
        }
    }

    [Fact]
    public async Task What_is_wrong_with_a_question_is_told_together_to_people_in_words_and_to_programs_as_problems()
    {
        await using Site site = await Site.EmptyAsync();
        await site.FirstRigAsync();
        string path =
            $"/api/rigs/{await RigAsync(site)}/report?format=doc&paper=A3&from=2027-02-01&to=2027-01-01";
        HttpResponseMessage program = await site.Http.GetAsync(path, Stop);
        Assert.Equal(HttpStatusCode.UnprocessableEntity, program.StatusCode);
        Assert.Equal(
            ["format", "paper", "from"],
            (await program.Content.ReadFromJsonAsync<JsonElement>(Stop))
                .GetProperty("problems")
                .EnumerateArray()
                .Select(p => p.GetProperty("place").GetString()!),
            StringComparer.Ordinal
        );
        using var page = new HttpRequestMessage(HttpMethod.Get, path);
        page.Headers.Accept.Add(new MediaTypeWithQualityHeaderValue("text/html"));
        HttpResponseMessage person = await site.Http.SendAsync(page, Stop);
        Assert.Equal(
            (HttpStatusCode.UnprocessableEntity, "text/html"),
            (person.StatusCode, person.Content.Headers.ContentType!.MediaType)
        );
        Assert.Contains(
            "<p>paper: A3: A4 or Letter</p>",
            await person.Content.ReadAsStringAsync(Stop),
            StringComparison.Ordinal
        );
        Assert.Equal(
            HttpStatusCode.NotFound,
            (await site.Http.GetAsync($"/api/rigs/{Guid.NewGuid()}/life-chart", Stop)).StatusCode
        );
    }

    [Theory]
    [MemberData(nameof(Browser.Devices), MemberType = typeof(Browser))]
    public async Task The_page_has_every_handout_and_says_in_words_what_is_wrong(string device)
    {
        await using Site site = await Site.EmptyAsync();
        await site.FirstRigAsync();
        await using Visit visit = await browser.VisitAsync(site, device);
        await visit.OpenAsync("/share");
        await visit.ExpectWellAsync();
        foreach (string button in (string[])["Make the chart", "Make the calendar file"])
        {
            await Assertions
                .Expect(visit.Page.GetByRole(AriaRole.Button, new() { Name = button }))
                .ToBeVisibleAsync();
        }

        IDownload download = await visit.Page.RunAndWaitForDownloadAsync(() =>
            visit.Page.GetByRole(AriaRole.Button, new() { Name = "Make the labels" }).ClickAsync()
        );
        Assert.Equal("Garage labels.pdf", download.SuggestedFilename);
        await visit.Page.Locator("#report-from").FillAsync("2027-03-20");
        await visit.Page.GetByRole(AriaRole.Button, new() { Name = "Make the report" }).ClickAsync();
        await Assertions
            .Expect(visit.Page.GetByText("from: 2027-03-20: a day not after to"))
            .ToBeVisibleAsync();
        await visit.KeepPictureAsync("handout-refused");
        await visit.Page.GetByRole(AriaRole.Link, new() { Name = "Back" }).ClickAsync();
        await Assertions
            .Expect(visit.Page.GetByRole(AriaRole.Heading, new() { Level = 1 }))
            .ToHaveTextAsync("Tell others");
    }

    private static async Task<string> RigAsync(Site site) =>
        (await site.Http.GetFromJsonAsync<JsonElement>("/api/rigs", Stop))[0].GetProperty("id").GetString()!;
}
