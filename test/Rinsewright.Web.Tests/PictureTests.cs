using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Web.Tests;

/// <summary>Pictures of the pages that are of no fill.</summary>
public sealed class PictureTests(DemoSite demo)
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task The_pressure_line_names_every_place_and_follows_the_question()
    {
        string rig = (await demo.Site.Http.GetFromJsonAsync<JsonElement>("/api/rigs", Stop))
            .EnumerateArray()
            .First(r => r.GetProperty("name").GetString() is "Van 1")
            .GetProperty("id")
            .GetString()!;
        string usual = await SvgAsync($"/pictures/pressure/{rig}");
        Assert.All(
            (string[])["hose from the spigot", "Polisher", "hose to the tool", "tool"],
            place => Assert.Contains(place, usual, StringComparison.Ordinal)
        );
        Assert.NotEqual(
            usual,
            await SvgAsync($"/pictures/pressure/{rig}?hoseAfter=60+m"),
            StringComparer.Ordinal
        );
        Assert.Equal(HttpStatusCode.NotFound, await StatusAsync($"/pictures/pressure/{rig}?tool=9"));
        Assert.Equal(
            HttpStatusCode.UnprocessableEntity,
            await StatusAsync($"/pictures/pressure/{rig}?supply=plenty")
        );
    }

    [Fact]
    public async Task The_cost_stack_names_what_was_paid_for()
    {
        Assert.Contains(
            "mixed-bed resin",
            await SvgAsync("/pictures/cost-stack?currency=EUR"),
            StringComparison.Ordinal
        );
        Assert.Equal(HttpStatusCode.NotFound, await StatusAsync("/pictures/cost-stack?currency=SEK"));
    }

    [Fact]
    public async Task A_rig_without_stages_is_shown_without_a_complaint()
    {
        await using Site site = await Site.EmptyAsync();
        var rig = new Rig { Id = site.Store.Ids.Next<Rig>(), Name = "Bare" };
        Assert.NotNull((await site.Store.WriteAsync(new EditDraft("Ana"), [rig], Stop)).Edit);
        string page = await site.Http.GetStringAsync($"/rig?rig={rig.Id}", Stop);
        Assert.Contains("Say which bed the rig has", page, StringComparison.Ordinal);
        Assert.DoesNotContain("Something is not right", page, StringComparison.Ordinal);
    }

    private async Task<string> SvgAsync(string address)
    {
        using HttpResponseMessage answer = await demo.Site.Http.GetAsync(address, Stop);
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        Assert.Equal("image/svg+xml", answer.Content.Headers.ContentType?.MediaType);
        return await answer.Content.ReadAsStringAsync(Stop);
    }

    private async Task<HttpStatusCode> StatusAsync(string address)
    {
        using HttpResponseMessage answer = await demo.Site.Http.GetAsync(address, Stop);
        return answer.StatusCode;
    }
}
