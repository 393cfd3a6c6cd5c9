using System.Net.Http.Json;
using System.Text.Json;
using Microsoft.EntityFrameworkCore;
using Microsoft.Playwright;
using Rinsewright.Records.Fleet;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Web.Tests;

/// <summary>The board of all rigs and the week's rounds, in a browser and for programs.</summary>
public sealed class FleetPageTests(Browser browser)
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Theory]
    [MemberData(nameof(Browser.Devices), MemberType = typeof(Browser))]
    public async Task Rigs_are_found_ticked_given_to_a_van_and_planned_for_without_scripts(string device)
    {
        await using Site site = await Site.EmptyAsync();
        await FillAsync(site, 120);
        await using Visit visit = await browser.VisitAsync(site, device, scripts: false);
        await visit.OpenAsync("/fleet");
        await Assertions.Expect(visit.Page.Locator("ol.fleet > li")).ToHaveCountAsync(50);
        await Assertions
            .Expect(visit.Page.Locator("ol.fleet > li").First.Locator(".badge").First)
            .ToContainTextAsync("past its line");
        await visit.Page.GetByRole(AriaRole.Link, new() { Name = "Next" }).ClickAsync();
        await Assertions.Expect(visit.Page.GetByText("Here are 51 to 100.")).ToBeVisibleAsync();
        await visit.Page.GetByText("Find", new() { Exact = true }).ClickAsync();
        await visit.Page.GetByLabel("Name, site or van").FillAsync("bay 017");
        await visit.Page.GetByRole(AriaRole.Button, new() { Name = "Show" }).ClickAsync();
        await Assertions.Expect(visit.Page.Locator("ol.fleet > li")).ToHaveCountAsync(1);
        await visit.Page.GetByLabel("tick Bay 017").CheckAsync();
        await visit.Page.GetByLabel("Van or round").FillAsync("Night round");
        await visit.Page.GetByRole(AriaRole.Button, new() { Name = "Give them to it" }).ClickAsync();
        await Assertions.Expect(visit.Page.GetByText("Written (edit")).ToBeVisibleAsync();
        await new FleetBoard(site.Store).FollowAsync(Stop);
        await visit.OpenAsync("/fleet?van=Night+round");
        await Assertions.Expect(visit.Page.Locator("ol.fleet > li")).ToHaveCountAsync(1);
        await visit.OpenAsync("/fleet?reason=silent");
        await Assertions.Expect(visit.Page.Locator("ol.fleet > li").First).ToContainTextAsync("silent for");
        await visit.OpenAsync("/fleet/week");
        await visit.Page.GetByRole(AriaRole.Link, new() { Name = "South" }).ClickAsync();
        await Assertions
            .Expect(visit.Page.GetByRole(AriaRole.Heading, new() { Name = "To load" }))
            .ToBeVisibleAsync();
        Assert.Empty(site.Complaints);
    }

    [Theory]
    [MemberData(nameof(Browser.Devices), MemberType = typeof(Browser))]
    public async Task The_board_and_the_round_are_well_with_many_rigs_and_on_paper(string device)
    {
        await using Site site = await Site.EmptyAsync();
        await FillAsync(site, 120);
        await using Visit visit = await browser.VisitAsync(site, device);
        await visit.OpenAsync("/fleet");
        await visit.KeepPictureAsync("fleet-many");
        await visit.ExpectWellAsync();
        await visit.OpenAsync("/fleet/week");
        await visit.KeepPictureAsync("fleet-vans");
        await visit.ExpectWellAsync();
        await visit.OpenAsync("/fleet/week?van=South");
        await visit.KeepPictureAsync("fleet-round");
        await visit.ExpectWellAsync();
        await visit.Page.EmulateMediaAsync(new() { Media = Media.Print });
        await visit.KeepPictureAsync("fleet-round-print");
        await Assertions.Expect(visit.Page.Locator(".visits li").First).ToBeVisibleAsync();
        await Assertions.Expect(visit.Page.Locator("nav.pages")).ToBeHiddenAsync();
    }

    [Fact]
    public async Task A_program_reads_the_board_its_table_and_the_rounds_and_says_who_sees_to_a_rig()
    {
        await using Site site = await Site.EmptyAsync();
        await FillAsync(site, 60);
        JsonElement board = await site.Http.GetFromJsonAsync<JsonElement>("/api/fleet?take=60", Stop);
        Assert.Equal(60, board.GetProperty("total").GetInt32());
        JsonElement first = board.GetProperty("rigs")[0];
        Assert.Equal("past_line", first.GetProperty("urgency").GetString());
        Assert.Equal("past_line", first.GetProperty("reasons")[0].GetString());
        Assert.True(first.GetProperty("passed_now").GetDouble() >= 0.5);
        string table = await site.Http.GetStringAsync("/api/fleet/board.csv?reason=past_line", Stop);
        Assert.Equal(
            board.GetProperty("reasons").GetProperty("past_line").GetInt32() + 1,
            table.Split('\n', StringSplitOptions.RemoveEmptyEntries).Length
        );
        JsonElement rounds = await site.Http.GetFromJsonAsync<JsonElement>(
            "/api/fleet/rounds?van=South",
            Stop
        );
        Assert.True(rounds[0].GetProperty("stock").GetArrayLength() > 0);
        HttpResponseMessage placed = await site.Http.PostAsJsonAsync(
            $"/api/rigs/{first.GetProperty("id").GetString()}/place",
            new { van = "Night round" },
            Stop
        );
        Assert.True(placed.IsSuccessStatusCode);
        await new FleetBoard(site.Store).FollowAsync(Stop);
        JsonElement given = await site.Http.GetFromJsonAsync<JsonElement>(
            "/api/fleet?van=Night%20round",
            Stop
        );
        Assert.Equal(
            first.GetProperty("site").GetString(),
            given.GetProperty("rigs")[0].GetProperty("site").GetString()
        );
        Assert.Equal(
            System.Net.HttpStatusCode.UnprocessableEntity,
            (await site.Http.GetAsync("/api/fleet?reason=tired&take=0", Stop)).StatusCode
        );
    }

    [Fact]
    public async Task Whoever_keeps_one_rig_is_not_shown_the_board()
    {
        await using Site site = await Site.EmptyAsync();
        await site.FirstRigAsync();
        await new FleetBoard(site.Store).FollowAsync(Stop);
        Assert.DoesNotContain(
            "href=\"/fleet\"",
            await site.Http.GetStringAsync("/water", Stop),
            StringComparison.Ordinal
        );
        await FillAsync(site, 1);
        Assert.Contains(
            "href=\"/fleet\"",
            await site.Http.GetStringAsync("/water", Stop),
            StringComparison.Ordinal
        );
    }

    /// <summary>Rigs with a bed and a kept forecast each: the first of ten past its line, the second silent, the others due later and later.</summary>
    private static async Task FillAsync(Site site, int count)
    {
        LogbookStore store = site.Store;
        DateTimeOffset now = site.Clock.GetUtcNow();
        List<Entry> entries = [];
        for (int i = 0; i < count; i++)
        {
            var rig = new Rig
            {
                Id = store.Ids.Next<Rig>(),
                Name = $"Bay {i + 1:000}",
                Site = $"Mill Lane {1 + (i / 4)}",
                Van = i % 2 == 0 ? "North" : "South",
            };
            var bed = new Stage
            {
                Id = store.Ids.Next<Stage>(),
                RigId = rig.Id,
                Name = "Polisher",
                Position = 1,
                Kind = StageKind.MixedBed,
                Volume_m3 = 0.01,
            };
            var fill = new Fill
            {
                Id = store.Ids.Next<Fill>(),
                StageId = bed.Id,
                Medium = "mixed-bed resin",
                Volume_m3 = 0.01,
                PutInAt = now.AddDays(-40),
            };
            double left = i % 10 == 0 ? -5 : 3 + (i / 3.0);
            double?[] days =
            [
                .. Enumerable
                    .Range(0, KeptForecast.QuantileCount)
                    .Select(q => (double?)Math.Max(0, left + ((q - 20) * 0.25))),
            ];
            entries.AddRange([
                rig,
                bed,
                fill,
                new Reading
                {
                    Id = store.Ids.Next<Reading>(),
                    RigId = rig.Id,
                    Place = Place.Outlet,
                    StageId = bed.Id,
                    At = now.AddDays(i % 10 == 1 ? -9 : -1),
                    Measurand = Measurand.DissolvedSolids,
                    Value_SI = 0.004,
                    Written = "4",
                    Unit = "ppm",
                },
                new KeptForecast
                {
                    Id = store.Ids.Next<KeptForecast>(),
                    RigId = rig.Id,
                    StageId = bed.Id,
                    FillId = fill.Id,
                    At = now,
                    Model = "made up",
                    Members = 1000,
                    Seed = 1,
                    Line = "10 ppm",
                    MeterFactor = 0.5,
                    LeftQuantiles_m3 = [.. days.Select(d => d / 100)],
                    DaysQuantiles_d = days,
                    PassedNow = days.Count(d => d == 0) / (double)days.Length,
                },
            ]);
        }

        Assert.Empty((await store.WriteAsync(new EditDraft("Ana"), entries, Stop)).Problems);
        await new FleetBoard(store).FollowAsync(Stop);
        await using LogbookContext context = store.Read();
        Assert.True(await context.Set<FleetRig>().CountAsync(Stop) >= count);
    }
}
