using System.Net;
using System.Net.Http.Json;
using System.Text.Json.Nodes;
using Rinsewright.Records.Access;
using Rinsewright.Web.People;

namespace Rinsewright.Web.Tests.People;

/// <summary>Every address of the host, walked: who may, and whose rigs are there.</summary>
public sealed class AccessTests
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Every_address_says_whom_it_is_for()
    {
        await using TwoFirms firms = await TwoFirms.OpenAsync();
        // The framework's own address is for a script that these pages do without: it stays shut.
        var addresses = firms
            .Addresses()
            .Where(a => !a.Pattern.StartsWith("/_framework", StringComparison.Ordinal))
            .ToList();
        Assert.True(addresses.Count > 50, $"only {addresses.Count} addresses");
        Assert.Empty(
            addresses
                .Where(a => a.Policy is null || !Access.All.Contains(a.Policy, StringComparer.Ordinal))
                .Select(a => a.Pattern)
        );
        // And one that would say nothing is shut, as is one that is not there.
        using HttpClient owner = await firms.ProgramAsync(firms.First, Right.Manage);
        Assert.Equal(
            HttpStatusCode.Forbidden,
            (await owner.GetAsync("/nothing-of-the-kind", Stop)).StatusCode
        );
    }

    [Fact]
    public async Task Who_has_not_signed_in_is_led_to_the_door_and_a_program_is_told_to_show_a_key()
    {
        await using TwoFirms firms = await TwoFirms.OpenAsync();
        using HttpClient stranger = firms.Stranger();
        List<string> wrong = [];
        foreach (var address in firms.Addresses())
        {
            foreach (string method in address.Methods)
            {
                using var request = new HttpRequestMessage(new HttpMethod(method), address.Path);
                HttpResponseMessage answer = await stranger.SendAsync(request, Stop);
                bool isDoor = address.Policy is Access.Open;
                bool isShut =
                    answer.StatusCode is HttpStatusCode.Unauthorized
                    || (
                        answer.StatusCode is HttpStatusCode.Redirect
                        && answer.Headers.Location!.OriginalString.StartsWith(
                            Doors.SignIn,
                            StringComparison.Ordinal
                        )
                    )
                    || (
                        address.Policy is Access.Link
                        && answer.StatusCode is HttpStatusCode.NotFound or HttpStatusCode.TooManyRequests
                    );
                if (!isDoor && !isShut)
                {
                    wrong.Add($"{method} {address.Pattern}: {answer.StatusCode}");
                }

                string said = await answer.Content.ReadAsStringAsync(Stop);
                if (said.Contains(TwoFirms.Mark, StringComparison.Ordinal))
                {
                    wrong.Add($"{method} {address.Pattern} tells what is the first firm's");
                }
            }
        }

        Assert.True(wrong.Count == 0, string.Join('\n', wrong));
    }

    [Fact]
    public async Task A_viewer_only_reads_a_technician_logs_and_an_owner_does_everything()
    {
        await using TwoFirms firms = await TwoFirms.OpenAsync();
        using HttpClient viewer = await firms.ProgramAsync(firms.First, Right.Read);
        using HttpClient technician = await firms.ProgramAsync(firms.First, Right.Log);
        using HttpClient owner = await firms.ProgramAsync(firms.First, Right.Manage);
        List<string> wrong = [];
        int forbidden = 0;
        foreach (var address in firms.Addresses())
        {
            foreach (string method in address.Methods)
            {
                bool reads = method is "GET" or "HEAD";
                Right? needed = (address.Policy, reads) switch
                {
                    (Access.Record or Access.Links or Access.YourWater, true) => Right.Read,
                    (Access.Record, false) => Right.Log,
                    (Access.Links or Access.Owner, _) => Right.Manage,
                    _ => null,
                };
                if (needed is null)
                {
                    continue;
                }

                foreach (
                    (HttpClient http, Right has) in new[]
                    {
                        (viewer, Right.Read),
                        (technician, Right.Log),
                        (owner, Right.Manage),
                    }
                )
                {
                    // What may be done is not done: without a body and a form's token it is refused later, for that.
                    if (reads && has >= needed)
                    {
                        continue;
                    }

                    using var request = new HttpRequestMessage(new HttpMethod(method), address.Path);
                    HttpStatusCode status = (await http.SendAsync(request, Stop)).StatusCode;
                    if (status is HttpStatusCode.Forbidden != has < needed)
                    {
                        wrong.Add($"{has}: {method} {address.Pattern}: {status}");
                    }

                    if (!reads && has >= needed && !address.Path.StartsWith("/api", StringComparison.Ordinal))
                    {
                        // Every form of a page is refused without the token that the page gave.
                        if (status is not HttpStatusCode.BadRequest)
                        {
                            wrong.Add($"{method} {address.Pattern} without a token: {status}");
                        }
                    }

                    forbidden += status is HttpStatusCode.Forbidden ? 1 : 0;
                }
            }
        }

        Assert.True(wrong.Count == 0, string.Join('\n', wrong));
        Assert.True(forbidden > 20, $"only {forbidden} were forbidden");
    }

    [Fact]
    public async Task What_is_one_firms_is_not_there_for_another_at_any_address()
    {
        await using TwoFirms firms = await TwoFirms.OpenAsync();
        using HttpClient own = await firms.ProgramAsync(firms.First, Right.Manage);
        using HttpClient other = await firms.ProgramAsync(firms.Second, Right.Manage);
        List<string> wrong = [];
        int seen = 0;
        foreach (
            var address in firms.Addresses().Where(a => a.Methods.Contains("GET", StringComparer.Ordinal))
        )
        {
            string path = address.Path.StartsWith("/log/", StringComparison.Ordinal)
                ? $"/log/{firms.Stage}"
                : address.Path;
            string query = path.StartsWith("/api", StringComparison.Ordinal)
                ? $"?device=probe+{TwoFirms.Mark}&days=30"
                : $"?rig={firms.Rig}&days=30";
            // The owner first, so that what is kept between requests holds it.
            string told = await (await own.GetAsync(path + query, Stop)).Content.ReadAsStringAsync(Stop);
            seen += told.Contains(TwoFirms.Mark, StringComparison.Ordinal) ? 1 : 0;
            HttpResponseMessage answer = await other.GetAsync(path + query, Stop);
            string said = await answer.Content.ReadAsStringAsync(Stop);
            if (said.Contains(TwoFirms.Mark, StringComparison.Ordinal))
            {
                wrong.Add($"{address.Pattern} tells what is another firm's");
            }

            if (
                answer.IsSuccessStatusCode
                && address.Path.Contains(firms.Rig.ToString(), StringComparison.Ordinal)
                && address.Path.StartsWith("/api", StringComparison.Ordinal)
            )
            {
                wrong.Add($"{address.Pattern}: {answer.StatusCode}");
            }
        }

        Assert.True(wrong.Count == 0, string.Join('\n', wrong));
        Assert.True(seen >= 12, $"the owner saw it at {seen} addresses only");
    }

    [Fact]
    public async Task Nothing_that_writes_reaches_what_is_another_firms()
    {
        await using TwoFirms firms = await TwoFirms.OpenAsync();
        using HttpClient other = await firms.ProgramAsync(firms.Second, Right.Manage);
        long before = await firms.LastEditAsync();
        JsonNode document = (await other.GetFromJsonAsync<JsonNode>("/openapi/v1.json", Stop))!;
        int called = 0;
        foreach ((string path, JsonNode? methods) in document["paths"]!.AsObject())
        {
            foreach ((string method, JsonNode? operation) in methods!.AsObject())
            {
                if (method is "get" || path.StartsWith("/api/ingest", StringComparison.Ordinal))
                {
                    continue;
                }

                using HttpRequestMessage request = OpenApiTests.RequestOf(
                    document,
                    path,
                    method,
                    operation!,
                    firms.Rig,
                    firms.Stage,
                    firms.Link,
                    before
                );
                HttpResponseMessage answer = await other.SendAsync(request, Stop);
                Assert.False(
                    path.Contains('{', StringComparison.Ordinal) && answer.IsSuccessStatusCode,
                    $"{method} {path}: {answer.StatusCode}"
                );
                called++;
            }
        }

        Assert.True(called >= 7, $"only {called} operations write");
        Assert.Equal(before, await firms.LastEditAsync());
    }

    [Fact]
    public async Task A_key_is_revoked_at_once_and_its_edits_are_in_its_name()
    {
        await using TwoFirms firms = await TwoFirms.OpenAsync();
        var keys = new KeyRegister(firms.Site.Store);
        (_, string? told, _) = await keys.AddAsync("Sheet", Right.Log, firms.First, new Actor("Ana"), Stop);
        using HttpClient http = firms.Stranger();
        http.DefaultRequestHeaders.Authorization = new("Bearer", told);
        HttpResponseMessage written = await http.PostAsJsonAsync(
            "/api/entries",
            new
            {
                kind = "reading",
                stage = firms.Stage,
                value = "3",
                by = "somebody else",
            },
            Stop
        );
        Assert.Equal(HttpStatusCode.Created, written.StatusCode);
        Assert.Equal(
            "Sheet",
            (await written.Content.ReadFromJsonAsync<JsonNode>(Stop))!["author"]!.GetValue<string>()
        );
        Assert.NotNull((await keys.ListAsync(Stop)).Single(k => k.Name is "Sheet").LastUsedAt);
        Assert.True(await keys.RevokeAsync("Sheet", firms.First, new Actor("Ana"), Stop));
        Assert.Equal(HttpStatusCode.Unauthorized, (await http.GetAsync("/api/rigs", Stop)).StatusCode);
        Assert.Contains(
            await new AuditTrail(firms.Site.Store).ListAsync(10, Stop),
            l => l is { Who: "Ana", What: "revoked the key Sheet" }
        );
    }
}
