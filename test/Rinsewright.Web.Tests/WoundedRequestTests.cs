using System.Net.Http.Headers;
using System.Net.Http.Json;
using System.Text.Json;
using System.Text.Json.Nodes;

namespace Rinsewright.Web.Tests;

/// <summary>
/// Whatever is asked, the program answers: every operation of the API and every page, with its own example wounded. It never breaks, and what it
/// refuses it refuses as problem+json.
/// </summary>
public sealed class WoundedRequestTests
{
    private const int OfEachInEachRun = 6;

    /// <summary>A request that has become another good one may be long work, which is ended.</summary>
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(10);

    private static readonly string[] Pages =
    [
        "/?units=us",
        "/logbook?rig=1&from=2026-01-01",
        "/water?source=1",
        "/rig?flow=8&temperature=15&volume=5&weekly=all",
        "/dry-down?air=28&humidity=45&wind=2&sun=full&paint=black",
        "/money?from=2026-01-01",
        "/share?size=10",
        "/your-water?reading=150",
        "/fleet?page=1&find=van&reason=due&given=1",
        "/fleet/week?van=North",
        "/alarms?open=true",
    ];

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Every_operation_and_every_page_survives_what_nobody_meant()
    {
        await using Site site = await Site.EmptyAsync();
        Guid stage = await site.FirstRigAsync();
        JsonNode document = (await site.Http.GetFromJsonAsync<JsonNode>("/openapi/v1.json", Stop))!;
        Guid rig = (await site.Http.GetFromJsonAsync<JsonElement>("/api/rigs", Stop))[0]
            .GetProperty("id")
            .GetGuid();
        string key = await site.AddDeviceAsync("Van probe", rig);
        int each = Wounding.CountOr(OfEachInEachRun);
        List<string> wrong = [];
        (int asked, int answered) = (0, 0);
        foreach (
            (string path, string method, JsonNode operation) in document["paths"]!
                .AsObject()
                .SelectMany(p => p.Value!.AsObject().Select(o => (p.Key, o.Key, o.Value!)))
        )
        {
            using HttpRequestMessage example = OpenApiTests.RequestOf(
                document,
                path,
                method,
                operation,
                rig,
                stage,
                link: Guid.Empty,
                edit: 1
            );
            string body = example.Content is null ? "" : await example.Content.ReadAsStringAsync(Stop);
            var addresses = new Wounding([example.RequestUri!.ToString()], Repeatable.SeedOf(path + method));
            var bodies = new Wounding([body, "{}", "[]"], Repeatable.SeedOf(method + path));
            for (int i = 0; i < each; i++)
            {
                using var request = new HttpRequestMessage(
                    example.Method,
                    AddressOf(i % 2 == 0 ? addresses.Next() : example.RequestUri.ToString(), path)
                );
                if (example.Content is { } content)
                {
                    request.Content = new ByteArrayContent(
                        System.Text.Encoding.UTF8.GetBytes(i % 3 == 0 ? body : bodies.Next())
                    );
                    request.Content.Headers.ContentType = content.Headers.ContentType;
                }

                if (path.StartsWith("/api/ingest", StringComparison.Ordinal))
                {
                    request.Headers.Authorization = new AuthenticationHeaderValue("Bearer", key);
                }

                asked++;
                answered += await AskAsync(site, request, wrong) ? 1 : 0;
            }
        }

        var pages = new Wounding(Pages, Repeatable.SeedOf("pages"));
        for (int i = 0; i < each * Pages.Length; i++)
        {
            using var request = new HttpRequestMessage(HttpMethod.Get, AddressOf(pages.Next(), "/"));
            asked++;
            answered += await AskAsync(site, request, wrong) ? 1 : 0;
        }

        Assert.True(wrong.Count == 0, string.Join("\n", wrong.Take(20)));
        Assert.True(answered >= 0.9 * asked, $"{answered} of {asked} were answered");
    }

    /// <summary>A wounded address as a client can send it: its path escaped where it must be.</summary>
    private static Uri AddressOf(string wounded, string otherwise)
    {
        string[] parts = wounded.Split('?', 2);
        string path = string.Join('/', parts[0].Split('/').Select(Uri.EscapeDataString));
        string query =
            parts.Length < 2
                ? ""
                : "?"
                    + string.Join(
                        '&',
                        parts[1]
                            .Split('&')
                            .Select(p => string.Join('=', p.Split('=', 2).Select(Uri.EscapeDataString)))
                    );
        string address = (path.StartsWith('/') ? path : $"/{path}") + query;
        return
            Uri.TryCreate(address, UriKind.Relative, out Uri? uri)
            && !address.StartsWith("//", StringComparison.Ordinal)
            ? uri
            : new Uri(otherwise, UriKind.Relative);
    }

    /// <summary>Whether it was answered in time.</summary>
    private static async Task<bool> AskAsync(Site site, HttpRequestMessage request, List<string> wrong)
    {
        using var patience = CancellationTokenSource.CreateLinkedTokenSource(Stop);
        patience.CancelAfter(Patience);
        try
        {
            using HttpResponseMessage answer = await site.Http.SendAsync(
                request,
                HttpCompletionOption.ResponseHeadersRead,
                patience.Token
            );
            string? kind = answer.Content.Headers.ContentType?.MediaType;
            bool isApi = request.RequestUri!.ToString().StartsWith("/api/", StringComparison.Ordinal);
            bool isRefused = (int)answer.StatusCode is >= 400 and < 500;
            if (
                (int)answer.StatusCode >= 500
                || (isApi && isRefused && kind is not "application/problem+json")
            )
            {
                wrong.Add(
                    $"{request.Method} {request.RequestUri}: {(int)answer.StatusCode} {kind} {(request.Content is null ? "" : await request.Content.ReadAsStringAsync(Stop))}"
                );
            }

            return true;
        }
        catch (OperationCanceledException) when (!Stop.IsCancellationRequested)
        {
            // Long work, ended.
            return false;
        }
    }
}
