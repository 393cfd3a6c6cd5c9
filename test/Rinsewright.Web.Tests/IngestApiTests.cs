using System.Net;
using System.Net.Http.Json;
using System.Net.Sockets;
using System.Text;
using System.Text.Json;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Web.Tests;

/// <summary>Devices deliver by HTTP.</summary>
public sealed class IngestApiTests
{
    private const string Row =
        """{"kind": "reading", "at": "2027-03-01T08:00Z", "what": "tds", "value": "3 ppm"}""";

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task A_row_is_answered_by_what_became_of_it()
    {
        await using Site site = await Site.EmptyAsync();
        string key = await KeyAsync(site);
        Assert.Equal(HttpStatusCode.Created, (await SendAsync(site, key, "row", Row)).StatusCode);
        HttpResponseMessage again = await SendAsync(site, key, "row", Row);
        Assert.Equal(HttpStatusCode.OK, again.StatusCode);
        Assert.Equal("already_there", (await JsonAsync(again)).GetProperty("status").GetString());
        HttpResponseMessage refused = await SendAsync(
            site,
            key,
            "row",
            Row.Replace("3 ppm", "3", StringComparison.Ordinal)
        );
        Assert.Equal(HttpStatusCode.UnprocessableEntity, refused.StatusCode);
        Assert.Equal(
            "value",
            (await JsonAsync(refused)).GetProperty("problems")[0].GetProperty("place").GetString()
        );
        await using LogbookContext context = site.Store.Read();
        Assert.Equal(1, await context.Live<Reading>().CountAsync(Stop));
        JsonElement listed = (await site.Http.GetFromJsonAsync<JsonElement>("/api/devices/refused", Stop))[0];
        Assert.Equal("Probe", listed.GetProperty("device").GetString());
    }

    [Fact]
    public async Task Every_row_of_a_batch_has_its_own_status_and_a_gap_is_told()
    {
        await using Site site = await Site.EmptyAsync();
        string key = await KeyAsync(site);
        string body =
            $$"""{"clock": "2027-03-01T09:10:00Z", "rows": [{{Row}}, {{Row}}, {"kind": "sample"}, {"kind": "count", "sequence": 5, "count": 12}, {"kind": "count", "sequence": 9, "count": 15}]}""";
        HttpResponseMessage answer = await SendAsync(site, key, "rows", body);
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        JsonElement result = await JsonAsync(answer);
        Assert.Equal(-600, result.GetProperty("clock_correction_s").GetDouble());
        Assert.Equal(
            ["kept", "already_there", "refused", "kept", "kept"],
            result.GetProperty("rows").EnumerateArray().Select(r => r.GetProperty("status").GetString()!),
            StringComparer.Ordinal
        );
        Assert.Equal(
            (6, 8),
            (
                result.GetProperty("missing")[0].GetProperty("from").GetInt32(),
                result.GetProperty("missing")[0].GetProperty("to").GetInt32()
            )
        );
        JsonElement gaps = await site.Http.GetFromJsonAsync<JsonElement>(
            "/api/devices/gaps?device=Probe",
            Stop
        );
        Assert.Equal(1, gaps.GetProperty("missing").GetArrayLength());
    }

    [Fact]
    public async Task A_device_gets_past_the_passphrase_to_its_own_addresses_and_to_no_others()
    {
        await using Site site = await Site.EmptyAsync("correct horse battery");
        string key = await KeyAsync(site);
        Assert.Equal(HttpStatusCode.Created, (await SendAsync(site, key, "row", Row)).StatusCode);
        using var others = new HttpRequestMessage(HttpMethod.Get, new Uri("/api/devices", UriKind.Relative));
        others.Headers.Authorization = new("Bearer", key);
        Assert.Equal(HttpStatusCode.Unauthorized, (await site.Http.SendAsync(others, Stop)).StatusCode);
        foreach (string wrong in (string[])["correct horse battery", "rw.x.y", key[..^1] + "_"])
        {
            HttpResponseMessage refused = await SendAsync(site, wrong, "row", Row);
            Assert.Equal(HttpStatusCode.Unauthorized, refused.StatusCode);
            Assert.Equal("application/problem+json", refused.Content.Headers.ContentType!.MediaType);
        }
    }

    [Fact]
    public async Task A_delivery_that_is_too_large_is_refused()
    {
        await using Site site = await Site.EmptyAsync();
        string key = await KeyAsync(site);
        // Refused by its stated length alone: nothing of it is sent.
        using var client = new TcpClient();
        await client.ConnectAsync(site.Address.Host, site.Address.Port, Stop);
        await using NetworkStream stream = client.GetStream();
        await stream.WriteAsync(
            Encoding.ASCII.GetBytes(
                $"POST /api/ingest/rows HTTP/1.1\r\nHost: localhost\r\nAuthorization: Bearer {key}\r\nContent-Type: application/json\r\nContent-Length: 8000001\r\n\r\n"
            ),
            Stop
        );
        using var reader = new StreamReader(stream, Encoding.ASCII);
        Assert.StartsWith("HTTP/1.1 413", await reader.ReadLineAsync(Stop), StringComparison.Ordinal);
    }

    [Fact]
    public async Task What_is_streamed_becomes_entries_while_the_pages_are_served()
    {
        await using Site site = await Site.EmptyAsync();
        string key = await KeyAsync(site);
        string rows = string.Join(
            ",",
            Enumerable
                .Range(0, 5)
                .Select(m => $$"""{"kind": "count", "at": "2027-03-01T08:0{{m}}Z", "count": {{80 * m}}}""")
        );
        await SendAsync(site, key, "rows", $$"""{"rows": [{{rows}}]}""");
        // The clock of the host is moved until its timer has come round.
        List<Draw> draws = await Until.FoundAsync(
            async () =>
            {
                await using LogbookContext context = site.Store.Read();
                return await context.Live<Draw>().ToListAsync(Stop) is { Count: > 0 } found ? found : null;
            },
            () => site.Clock.Advance(TimeSpan.FromSeconds(20))
        );
        Assert.Equal("32 L", Assert.Single(draws).VolumeWritten);
    }

    private static async Task<string> KeyAsync(Site site)
    {
        await site.FirstRigAsync();
        await using LogbookContext context = site.Store.Read();
        Rig rig = await context.Live<Rig>().SingleAsync(Stop);
        return await site.AddDeviceAsync("Probe", rig.Id.Value);
    }

    private static async Task<HttpResponseMessage> SendAsync(Site site, string key, string to, string body)
    {
        using var request = new HttpRequestMessage(
            HttpMethod.Post,
            new Uri($"/api/ingest/{to}", UriKind.Relative)
        )
        {
            Content = new StringContent(body, Encoding.UTF8, "application/json"),
        };
        request.Headers.Authorization = new("Bearer", key);
        return await site.Http.SendAsync(request, Stop);
    }

    private static async Task<JsonElement> JsonAsync(HttpResponseMessage answer) =>
        await answer.Content.ReadFromJsonAsync<JsonElement>(Stop);
}
