using System.Net;
using System.Net.Http.Json;
using Microsoft.AspNetCore.Http;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging.Abstractions;
using Rinsewright.Records.Access;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Hosting;
using Rinsewright.Web.Tests.People;

namespace Rinsewright.Web.Tests;

/// <summary>What is written through the pages and the API, how it is taken back, and by whom.</summary>
public sealed class WritingTests
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task A_link_that_was_revoked_stays_shut_whatever_is_undone()
    {
        await using Site site = await Site.EmptyAsync();
        await site.FirstRigAsync();
        Rig rig = (await LiveAsync<Rig>(site)).Single();
        HttpResponseMessage made = await site.Http.PostAsJsonAsync(
            $"/api/rigs/{rig.Id}/links",
            new { name = "Ana" },
            Stop
        );
        Assert.Equal(HttpStatusCode.Created, made.StatusCode);
        ShareLink link = (await LiveAsync<ShareLink>(site)).Single();
        HttpResponseMessage shut = await site.Http.DeleteAsync($"/api/links/{link.Id}", Stop);
        Assert.Equal(HttpStatusCode.OK, shut.StatusCode);
        long revoked = (await LastEditAsync(site)).Number;
        Assert.Equal(
            HttpStatusCode.UnprocessableEntity,
            (await site.Http.PostAsync($"/api/edits/{revoked}/undo", null, Stop)).StatusCode
        );
        Assert.Equal(
            HttpStatusCode.UnprocessableEntity,
            (await site.Http.PostAsync($"/api/edits/{revoked - 1}/undo", null, Stop)).StatusCode
        );
        Assert.Empty(await LiveAsync<ShareLink>(site));
    }

    [Fact]
    public async Task A_link_whose_making_was_undone_is_not_brought_back()
    {
        await using Site site = await Site.EmptyAsync();
        await site.FirstRigAsync();
        Rig rig = (await LiveAsync<Rig>(site)).Single();
        await site.Http.PostAsJsonAsync($"/api/rigs/{rig.Id}/links", new { name = "Ana" }, Stop);
        long making = (await LastEditAsync(site)).Number;
        Assert.Equal(
            HttpStatusCode.OK,
            (await site.Http.PostAsync($"/api/edits/{making}/undo", null, Stop)).StatusCode
        );
        Assert.Equal(
            HttpStatusCode.UnprocessableEntity,
            (await site.Http.PostAsync($"/api/edits/{making}/redo", null, Stop)).StatusCode
        );
        Assert.Empty(await LiveAsync<ShareLink>(site));
    }

    [Fact]
    public async Task What_was_sent_leads_to_the_page_as_it_is_now_so_that_it_can_be_loaded_again()
    {
        await using Site site = await Site.EmptyAsync();
        await site.FirstRigAsync();
        Rig rig = (await LiveAsync<Rig>(site)).Single();
        await site.Http.PostAsJsonAsync($"/api/rigs/{rig.Id}/links", new { name = "Ana" }, Stop);
        ShareLink link = (await LiveAsync<ShareLink>(site)).Single();
        using var client = new Client(site);
        HttpResponseMessage answer = await client.SendAsync("/share", $"revoke-{link.Id}");
        Assert.Equal(HttpStatusCode.Redirect, answer.StatusCode);
    }

    [Fact]
    public async Task Only_an_owner_is_told_where_alarms_go()
    {
        await using TwoFirms firms = await TwoFirms.OpenAsync();
        foreach (Right right in (Right[])[Right.Read, Right.Log, Right.Manage])
        {
            using HttpClient http = await firms.ProgramAsync(firms.First, right);
            Assert.Equal(
                right is Right.Manage ? HttpStatusCode.OK : HttpStatusCode.Forbidden,
                (await http.GetAsync("/api/alarm-destinations", Stop)).StatusCode
            );
        }
    }

    [Fact]
    public async Task What_set_a_rig_up_is_not_taken_back_with_its_fill_and_can_be_brought_back_when_nothing_is_left()
    {
        await using Site site = await Site.EmptyAsync();
        await site.FirstRigAsync();
        string page = await site.Http.GetStringAsync("/logbook", Stop);
        Assert.Contains("new fill in Mixed bed", page, StringComparison.Ordinal);
        Assert.DoesNotContain("undo: new fill", page, StringComparison.Ordinal);
        Assert.Contains("undo: edit 1", page, StringComparison.Ordinal);
        Assert.Empty((await site.Store.UndoAsync(new EditDraft("Ana"), 1, Stop)).Problems);
        string empty = await site.Http.GetStringAsync("/logbook", Stop);
        Assert.Contains("Nothing is in the record yet.", empty, StringComparison.Ordinal);
        Assert.Contains("redo: edit 1", empty, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_rig_that_is_not_there_is_said_not_to_be()
    {
        await using Site site = await Site.EmptyAsync();
        await site.FirstRigAsync();
        foreach (string path in (string[])["/logbook", "/rig", "/share", "/water"])
        {
            HttpResponseMessage answer = await site.Http.GetAsync($"{path}?rig={Guid.NewGuid()}", Stop);
            Assert.Equal(HttpStatusCode.NotFound, answer.StatusCode);
            Assert.Contains(
                "There is no such rig",
                await answer.Content.ReadAsStringAsync(Stop),
                StringComparison.Ordinal
            );
        }
    }

    [Fact]
    public async Task A_bare_number_is_in_the_units_of_who_writes_it()
    {
        await using Site site = await Site.EmptyAsync();
        Guid stage = await site.FirstRigAsync();
        foreach (string units in (string[])["metric", "us"])
        {
            using var request = new HttpRequestMessage(HttpMethod.Post, "/api/entries")
            {
                Content = JsonContent.Create(
                    new
                    {
                        kind = "draw",
                        stage,
                        value = "10",
                    }
                ),
            };
            request.Headers.Add("Cookie", $"units={units}");
            Assert.Equal(HttpStatusCode.Created, (await site.Http.SendAsync(request, Stop)).StatusCode);
        }

        Assert.Equal(
            [10, 37.85],
            (await LiveAsync<Draw>(site)).Select(d => Math.Round(1000 * d.Volume_m3, 2)).Order()
        );
    }

    [Fact]
    public async Task A_rig_is_kept_with_the_resin_and_the_line_that_were_asked_and_with_one_pocket_meter()
    {
        await using Site site = await Site.EmptyAsync();
        foreach (string name in (string[])["Van", "Yard"])
        {
            HttpResponseMessage kept = await site.Http.PostAsJsonAsync(
                "/api/rigs",
                new
                {
                    name,
                    reading = "150",
                    volume = "3 L",
                    line = "5 ppm",
                },
                Stop
            );
            Assert.Equal(HttpStatusCode.Created, kept.StatusCode);
        }

        Stage bed = (await LiveAsync<Stage>(site)).First(s => s.Kind is StageKind.MixedBed);
        Assert.Equal((0.003, 0.001), (Math.Round(bed.Volume_m3!.Value, 6), bed.ChangeOutLine_S_m!.Value));
        Assert.Equal(0.003, (await LiveAsync<Fill>(site))[0].Volume_m3!.Value, 6);
        Assert.Single(await LiveAsync<Meter>(site));
        HttpResponseMessage unseen = await site.Http.PostAsJsonAsync(
            "/api/rigs",
            new
            {
                name = "Third",
                reading = "150",
                line = "1 mg/L silica",
            },
            Stop
        );
        Assert.Equal(HttpStatusCode.UnprocessableEntity, unseen.StatusCode);
    }

    [Fact]
    public async Task Of_several_meters_that_with_which_a_rig_was_last_read_is_taken()
    {
        await using Site site = await Site.EmptyAsync();
        Guid stage = await site.FirstRigAsync();
        Meter first = (await LiveAsync<Meter>(site)).Single();
        await site.Store.WriteAsync(
            new EditDraft("Ana"),
            [first with { Id = site.Store.Ids.Next<Meter>(), Version = 0, Name = "Other" }],
            Stop
        );
        await ReadAsync(null);
        Assert.Null((await LiveAsync<Reading>(site)).Single().MeterId);
        await ReadAsync(first.Id.Value);
        site.Clock.Advance(TimeSpan.FromMinutes(1));
        await ReadAsync(null);
        Assert.Equal(2, (await LiveAsync<Reading>(site)).Count(r => r.MeterId == first.Id));

        async Task ReadAsync(Guid? meter) =>
            Assert.Equal(
                HttpStatusCode.Created,
                (
                    await site.Http.PostAsJsonAsync(
                        "/api/entries",
                        new
                        {
                            kind = "reading",
                            stage,
                            value = "3",
                            meter,
                        },
                        Stop
                    )
                ).StatusCode
            );
    }

    [Fact]
    public async Task The_first_fill_is_put_in_earlier_when_that_is_said()
    {
        await using Site site = await Site.EmptyAsync();
        Guid stage = await site.FirstRigAsync();
        HttpResponseMessage written = await site.Http.PostAsJsonAsync(
            "/api/entries",
            new
            {
                kind = "change",
                stage,
                at = "2027-01-10 08:00",
            },
            Stop
        );
        Assert.Equal(HttpStatusCode.Created, written.StatusCode);
        Fill fill = (await LiveAsync<Fill>(site)).Single();
        Assert.Equal(new DateTimeOffset(2027, 1, 10, 7, 0, 0, TimeSpan.Zero), fill.PutInAt);
        Assert.Null(fill.TakenOutAt);
    }

    [Fact]
    public async Task The_quick_log_offers_the_tasks_of_its_rig()
    {
        await using Site site = await Site.EmptyAsync();
        Guid stage = await site.FirstRigAsync();
        Rig rig = (await LiveAsync<Rig>(site)).Single();
        Assert.Empty(
            (
                await site.Store.WriteAsync(
                    new EditDraft("Ana"),
                    [
                        new WashTask
                        {
                            Id = site.Store.Ids.Next<WashTask>(),
                            Name = "elsewhere",
                            Volume_m3 = 0.01,
                        },
                    ],
                    Stop
                )
            ).Problems
        );
        Assert.Contains(
            "elsewhere",
            await site.Http.GetStringAsync($"/log/{stage}", Stop),
            StringComparison.Ordinal
        );
        await site.Http.PostAsJsonAsync(
            $"/api/rigs/{rig.Id}/tasks",
            new
            {
                name = "last rinse",
                volume = "30 L",
                times_per_week = 3,
            },
            Stop
        );
        string page = await site.Http.GetStringAsync($"/log/{stage}", Stop);
        Assert.Contains("last rinse", page, StringComparison.Ordinal);
        Assert.DoesNotContain("elsewhere", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Who_may_only_read_is_offered_no_form_that_writes()
    {
        await using TwoFirms firms = await TwoFirms.OpenAsync();
        using HttpClient viewer = await firms.ProgramAsync(firms.First, Right.Read);
        using HttpClient owner = await firms.ProgramAsync(firms.First, Right.Manage);
        foreach (
            string path in (string[])
                ["/logbook", "/money", "/rig", "/share", $"/log/{firms.Stage}", "/start?reading=150"]
        )
        {
            Assert.DoesNotContain("_handler", await FormsAsync(viewer, path), StringComparison.Ordinal);
        }

        Assert.Contains("_handler", await FormsAsync(owner, "/logbook"), StringComparison.Ordinal);
        Assert.Contains("_handler", await FormsAsync(owner, "/start?reading=150"), StringComparison.Ordinal);

        // The logbook and the list of links keep their forms, with nothing in them to press.
        static async Task<string> FormsAsync(HttpClient http, string path)
        {
            string page = await http.GetStringAsync(path, Stop);
            return string.Concat(
                page.Split("<form")
                    .Skip(1)
                    .Select(f => f.Split("</form>")[0])
                    .Where(f => f.Contains("<button", StringComparison.Ordinal))
            );
        }
    }

    [Fact]
    public async Task A_life_without_end_is_said_in_words()
    {
        await using Site site = await Site.EmptyAsync();
        foreach (string path in (string[])["/start?reading=4", "/your-water?reading=4+ppm"])
        {
            string page = await site.Http.GetStringAsync(path, Stop);
            Assert.Contains("No end in sight", page, StringComparison.Ordinal);
            Assert.DoesNotContain("NaN", page, StringComparison.Ordinal);
            Assert.DoesNotContain("About ∞", page, StringComparison.Ordinal);
        }

        HttpResponseMessage water = await site.Http.PostAsJsonAsync(
            "/api/water",
            new
            {
                calcium = "0 mg/L",
                alkalinity = "0 mg/L as CaCO3",
                chloride = "20 mg/L",
            },
            Stop
        );
        Assert.NotEqual(HttpStatusCode.InternalServerError, water.StatusCode);
        Assert.Equal(
            HttpStatusCode.UnprocessableEntity,
            (await site.Http.GetAsync("/api/fleet?due=NaN", Stop)).StatusCode
        );
    }

    [Fact]
    public async Task A_database_that_fails_while_it_is_read_is_told_as_such()
    {
        await using Site site = await Site.EmptyAsync();
        await using ServiceProvider services = new ServiceCollection().AddLogging().BuildServiceProvider();
        foreach (
            (Exception thrown, int status) in new (Exception, int)[]
            {
                (new SqliteException("disk I/O error", 10), StatusCodes.Status503ServiceUnavailable),
                (new TimeoutException(), StatusCodes.Status503ServiceUnavailable),
                (new InvalidOperationException("ours"), StatusCodes.Status500InternalServerError),
            }
        )
        {
            var http = new DefaultHttpContext { RequestServices = services };
            http.Request.Path = "/api/rigs";
            await new Faults(site.Store, NullLogger<Faults>.Instance).InvokeAsync(http, _ => throw thrown);
            Assert.Equal(status, http.Response.StatusCode);
        }
    }

    private static async Task<List<T>> LiveAsync<T>(Site site)
        where T : Entry<T>
    {
        await using LogbookContext context = site.Store.Read();
        return await context.Live<T>().ToListAsync(Stop);
    }

    private static async Task<Edit> LastEditAsync(Site site)
    {
        await using LogbookContext context = site.Store.Read();
        return await context
            .Edits.AsNoTracking()
            .Where(e => e.Author != Edit.OfItself)
            .OrderByDescending(e => e.Number)
            .FirstAsync(Stop);
    }
}
