using System.Net.Http.Json;
using System.Text.Json;
using System.Text.Json.Nodes;
using Rinsewright.Records.Access;
using Rinsewright.Records.Alarms;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Web.Tests;

/// <summary>The description of the HTTP API, walked: every path is called with its own example.</summary>
public sealed class OpenApiTests
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Every_path_answers_its_own_example_as_it_is_described()
    {
        await using Site site = await Site.EmptyAsync();
        Guid stage = await site.FirstRigAsync();
        JsonNode document = (await site.Http.GetFromJsonAsync<JsonNode>("/openapi/v1.json", Stop))!;
        Guid rig = (await site.Http.GetFromJsonAsync<JsonElement>("/api/rigs", Stop))[0]
            .GetProperty("id")
            .GetGuid();
        string key = await site.AddDeviceAsync("Van probe", rig);
        HttpResponseMessage made = await site.Http.PostAsJsonAsync(
            $"/api/rigs/{rig}/links",
            new { name = "to be revoked" },
            Stop
        );
        Guid link = (await made.Content.ReadFromJsonAsync<JsonElement>(Stop)).GetProperty("id").GetGuid();
        (Guid alarm, Guid destination) = await AlarmAsync(site, rig);
        List<string> wrong = [];
        int called = 0;
        // What writes comes first, so that there is something to read.
        (string Path, string Method, JsonNode Operation)[] described =
        [
            .. document["paths"]!
                .AsObject()
                .SelectMany(p => p.Value!.AsObject().Select(o => (p.Key, o.Key, o.Value!)))
                .OrderBy(o => o.Item2 is "get"),
        ];
        long edit = 0;
        foreach ((string path, string method, JsonNode operation) in described)
        {
            {
                if (!path.EndsWith("redo", StringComparison.Ordinal))
                {
                    edit = (await site.Http.GetFromJsonAsync<JsonElement>("/api/edits", Stop))[0]
                        .GetProperty("edit")
                        .GetInt64();
                }

                using HttpRequestMessage request = RequestOf(
                    document,
                    path,
                    method,
                    operation,
                    rig,
                    stage,
                    link,
                    edit,
                    alarm,
                    destination
                );
                if (path.StartsWith("/api/ingest", StringComparison.Ordinal))
                {
                    request.Headers.Authorization = new("Bearer", key);
                }

                HttpResponseMessage answer = await site.Http.SendAsync(request, Stop);
                called++;
                string status = ((int)answer.StatusCode).ToString(
                    System.Globalization.CultureInfo.InvariantCulture
                );
                bool isDescribed = operation!["responses"]!.AsObject().ContainsKey(status);
                if (
                    !isDescribed
                    || (!answer.IsSuccessStatusCode && !path.EndsWith("redo", StringComparison.Ordinal))
                )
                {
                    wrong.Add(
                        $"{method} {request.RequestUri}: {status} {await answer.Content.ReadAsStringAsync(Stop)}"
                    );
                }

                if (
                    method is "get"
                    && answer.IsSuccessStatusCode
                    && operation["tags"]?[0]?.GetValue<string>() is "record"
                    && answer.Headers.ETag is null
                )
                {
                    wrong.Add($"{path}: no ETag");
                }

                if (operation["summary"] is null)
                {
                    wrong.Add($"{path}: no summary");
                }
            }
        }

        Assert.True(wrong.Count == 0, string.Join("\n", wrong));
        Assert.True(called >= 20, $"only {called} operations are described");
    }

    /// <summary>Raises an alarm on a rig, and lets alarms go somewhere.</summary>
    private static async Task<(Guid Alarm, Guid Destination)> AlarmAsync(Site site, Guid rig)
    {
        var place = new AlarmPlace(null, new Id<Rig>(rig), null);
        await new AlarmBook(site.Store).ApplyAsync(
            [Finding.Of(place, AlarmRule.Usual(AlarmKind.Chance), rig, 70)],
            Stop
        );
        (AlarmDestination? added, _, _) = await new AlarmDesk(site.Store).AddAsync(
            new DestinationDraft("To be removed", "mqtt", null),
            null,
            new Actor("Ana"),
            Stop
        );
        return ((await new AlarmBook(site.Store).OpenAsync(new Id<Rig>(rig), Stop))[0].Id, added!.Id);
    }

    internal static HttpRequestMessage RequestOf(
        JsonNode document,
        string path,
        string method,
        JsonNode operation,
        Guid rig,
        Guid stage,
        Guid link,
        long edit,
        Guid? alarm = null,
        Guid? destination = null
    )
    {
        List<string> query = [];
        var request = new HttpRequestMessage(new HttpMethod(method.ToUpperInvariant()), path);
        foreach (JsonNode? parameter in operation["parameters"]?.AsArray() ?? [])
        {
            string name = parameter!["name"]!.GetValue<string>();
            string? example = parameter["example"]?.ToString();
            switch (parameter["in"]!.GetValue<string>())
            {
                case "path":
                    Assert.True(example is not null, $"{path}: {name} has no example");
                    path = path.Replace(
                        $"{{{name}}}",
                        name is "number" ? $"{edit}"
                            : name is "link" ? link.ToString()
                            : name is "alarm" && alarm is not null ? $"{alarm}"
                            : name is "destination" && destination is not null ? $"{destination}"
                            : rig.ToString(),
                        StringComparison.Ordinal
                    );
                    break;
                case "header" when example is not null:
                    request.Headers.Add(name, example);
                    break;
                case "query" when example is not null:
                    query.Add($"{name}={Uri.EscapeDataString(example)}");
                    break;
            }
        }

        if (operation["requestBody"]?["content"]?["application/json"] is { } content)
        {
            JsonNode? example =
                content["example"]
                ?? (
                    content["schema"]?["$ref"]?.GetValue<string>().Split('/')[^1] is { } schema
                        ? document["components"]!["schemas"]![schema]!["examples"]?[0]
                        : null
                );
            Assert.True(example is not null, $"{method} {path}: the body has no example");
            JsonNode body = example!.DeepClone();
            if (body["stage"] is not null)
            {
                body["stage"] = stage;
            }

            request.Content = JsonContent.Create(body);
        }

        if (operation["requestBody"]?["content"]?["text/csv"] is { } table)
        {
            request.Content = new StringContent(
                table["example"]!.GetValue<string>(),
                System.Text.Encoding.UTF8,
                "text/csv"
            );
        }

        request.RequestUri = new Uri(
            query.Count > 0 ? $"{path}?{string.Join('&', query)}" : path,
            UriKind.Relative
        );
        return request;
    }
}
