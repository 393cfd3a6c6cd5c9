using System.Net;
using System.Net.Http.Headers;
using System.Net.Http.Json;
using System.Text;
using System.Text.Json;

namespace Rinsewright.Web.Tests;

/// <summary>The HTTP API, as a program meets it.</summary>
public sealed class ApiTests(DemoSite demo)
{
    private static readonly Uri Entries = new("/api/entries", UriKind.Relative);

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task An_entry_sent_twice_with_one_key_is_written_once()
    {
        await using Site site = await Site.EmptyAsync();
        Guid stage = await site.FirstRigAsync();
        string key = Guid.NewGuid().ToString();
        long[] edits = new long[2];
        for (int i = 0; i < 2; i++)
        {
            using var request = new HttpRequestMessage(HttpMethod.Post, Entries)
            {
                Content = JsonContent.Create(
                    new
                    {
                        kind = "reading",
                        stage,
                        value = "3",
                    }
                ),
            };
            request.Headers.Add("Idempotency-Key", key);
            HttpResponseMessage answer = await site.Http.SendAsync(request, Stop);
            Assert.Equal(HttpStatusCode.Created, answer.StatusCode);
            edits[i] = (await answer.Content.ReadFromJsonAsync<JsonElement>(Stop))
                .GetProperty("edit")
                .GetInt64();
        }

        Assert.Equal(edits[0], edits[1]);
    }

    [Fact]
    public async Task What_is_refused_is_problem_json_with_the_words_of_the_command_line()
    {
        HttpResponseMessage answer = await demo.Site.Http.GetAsync(
            "/api/estimate?reading=150&flow=fast",
            Stop
        );
        Assert.Equal(HttpStatusCode.UnprocessableEntity, answer.StatusCode);
        Assert.Equal("application/problem+json", answer.Content.Headers.ContentType!.MediaType);
        JsonElement problem = (await answer.Content.ReadFromJsonAsync<JsonElement>(Stop)).GetProperty(
            "problems"
        )[0];
        Assert.Equal("flow", problem.GetProperty("place").GetString());
        Assert.Equal("fast", problem.GetProperty("text").GetString());
    }

    [Fact]
    public async Task A_rig_that_has_not_changed_is_not_sent_again()
    {
        await ForecastTests.SharpenedAsync(demo.Site);
        HttpResponseMessage first = await demo.Site.Http.GetAsync("/api/rigs", Stop);
        JsonElement rigs = await first.Content.ReadFromJsonAsync<JsonElement>(Stop);
        Assert.Equal(4, rigs.GetArrayLength());
        Assert.All(
            rigs.EnumerateArray(),
            r => Assert.True(r.GetProperty("left_L").GetProperty("low").GetDouble() >= 0)
        );
        using var again = new HttpRequestMessage(HttpMethod.Get, "/api/rigs");
        again.Headers.IfNoneMatch.Add(first.Headers.ETag!);
        Assert.Equal(HttpStatusCode.NotModified, (await demo.Site.Http.SendAsync(again, Stop)).StatusCode);
    }

    [Fact]
    public async Task A_page_of_elsewhere_cannot_write()
    {
        using var request = new HttpRequestMessage(HttpMethod.Post, Entries)
        {
            Content = JsonContent.Create(new { kind = "note", text = "from elsewhere" }),
        };
        request.Headers.Add("Origin", "http://elsewhere.example");
        Assert.Equal(HttpStatusCode.Forbidden, (await demo.Site.Http.SendAsync(request, Stop)).StatusCode);
        using var asked = new HttpRequestMessage(HttpMethod.Get, "/");
        asked.Headers.Host = "elsewhere.example";
        Assert.Equal(HttpStatusCode.BadRequest, (await demo.Site.Http.SendAsync(asked, Stop)).StatusCode);
    }

    [Theory]
    [InlineData("/api/dry?sun=shade", "minutes")]
    [InlineData("/api/money", "currency")]
    [InlineData("/api/edits", "edit")]
    public async Task What_the_pages_answer_programs_can_ask_too(string path, string member)
    {
        JsonElement answer = await demo.Site.Http.GetFromJsonAsync<JsonElement>(path, Stop);
        JsonElement one = answer.ValueKind is JsonValueKind.Array ? answer[0] : answer;
        Assert.NotEqual(JsonValueKind.Null, one.GetProperty(member).ValueKind);
    }

    [Fact]
    public async Task A_water_file_is_answered_with_ranges_and_a_wrong_one_with_its_problems()
    {
        HttpResponseMessage good = await demo.Site.Http.PostAsJsonAsync(
            "/api/water",
            new { hardness = "9 °dH", tds = new { reading = "245 ppm" } },
            Stop
        );
        JsonElement silica = (await good.Content.ReadFromJsonAsync<JsonElement>(Stop))
            .GetProperty("figures")
            .GetProperty("silica_mg_L");
        Assert.True(silica.GetProperty("low").GetDouble() < silica.GetProperty("high").GetDouble());
        HttpResponseMessage wrong = await demo.Site.Http.PostAsJsonAsync(
            "/api/water",
            new { hardnes = "9 °dH" },
            Stop
        );
        Assert.Equal(HttpStatusCode.UnprocessableEntity, wrong.StatusCode);
        Assert.Contains("perhaps", await wrong.Content.ReadAsStringAsync(Stop), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("")]
    [InlineData("null")]
    public async Task A_water_that_is_not_there_is_refused_as_such(string body)
    {
        using var content = new ByteArrayContent(Encoding.UTF8.GetBytes(body));
        content.Headers.ContentType = new MediaTypeHeaderValue("application/json");
        HttpResponseMessage answer = await demo.Site.Http.PostAsync("/api/water", content, Stop);
        Assert.InRange((int)answer.StatusCode, 400, 499);
        Assert.Equal("application/problem+json", answer.Content.Headers.ContentType?.MediaType);
    }

    [Fact]
    public async Task A_rig_is_kept_and_asked_what_if()
    {
        await using Site site = await Site.EmptyAsync();
        HttpResponseMessage kept = await site.Http.PostAsJsonAsync(
            "/api/rigs",
            new
            {
                name = "Garage",
                reading = "150 ppm",
                size = "tank-8x18",
            },
            Stop
        );
        Assert.Equal(HttpStatusCode.Created, kept.StatusCode);
        JsonElement rig = (await site.Http.GetFromJsonAsync<JsonElement>("/api/rigs", Stop))[0];
        string id = rig.GetProperty("id").GetString()!;
        JsonElement more = await site.Http.GetFromJsonAsync<JsonElement>(
            $"/api/rigs/{id}/what-if?volume=20+L",
            Stop
        );
        double then = more.GetProperty("life").GetProperty("life_L").GetProperty("median").GetDouble();
        Assert.True(then > 1.5 * more.GetProperty("now_L").GetProperty("median").GetDouble());
    }

    [Fact]
    public async Task The_api_describes_itself_with_examples()
    {
        JsonElement description = await demo.Site.Http.GetFromJsonAsync<JsonElement>(
            "/openapi/v1.json",
            Stop
        );
        Assert.StartsWith("3.1", description.GetProperty("openapi").GetString(), StringComparison.Ordinal);
        Assert.True(description.GetProperty("paths").TryGetProperty("/api/entries", out _));
        Assert.Contains("\"3 ppm\"", description.GetRawText(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task With_a_passphrase_nobody_gets_in_without_it()
    {
        await using Site site = await Site.EmptyAsync("a-long-passphrase");
        Assert.Equal(HttpStatusCode.Unauthorized, (await site.Http.GetAsync("/api/rigs", Stop)).StatusCode);
        HttpResponseMessage page = await site.Http.GetAsync("/", Stop);
        Assert.Contains("passphrase", await page.Content.ReadAsStringAsync(Stop), StringComparison.Ordinal);
        site.Http.DefaultRequestHeaders.Authorization = new AuthenticationHeaderValue(
            "Bearer",
            "a-long-passphrase"
        );
        Assert.Equal(HttpStatusCode.OK, (await site.Http.GetAsync("/api/rigs", Stop)).StatusCode);
        site.Http.DefaultRequestHeaders.Authorization = new AuthenticationHeaderValue("Bearer", "another");
        for (int i = 0; i < 6; i++)
        {
            Assert.Equal(
                HttpStatusCode.Unauthorized,
                (await site.Http.GetAsync("/api/rigs", Stop)).StatusCode
            );
        }

        site.Http.DefaultRequestHeaders.Authorization = new AuthenticationHeaderValue(
            "Bearer",
            "a-long-passphrase"
        );
        Assert.Equal(HttpStatusCode.Unauthorized, (await site.Http.GetAsync("/api/rigs", Stop)).StatusCode);
        site.Clock.Advance(TimeSpan.FromMinutes(2));
        Assert.Equal(HttpStatusCode.OK, (await site.Http.GetAsync("/api/rigs", Stop)).StatusCode);
    }
}
