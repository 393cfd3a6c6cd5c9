using System.Globalization;
using System.Net.Http.Json;
using System.Text.Json;
using Microsoft.Playwright;

namespace Rinsewright.Web.Tests;

/// <summary>Every page with the demonstration's two years, on a phone and on a laptop.</summary>
public sealed class PageTests(Browser browser, DemoSite demo)
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    internal static readonly string[] Paths =
    [
        "/",
        "/logbook",
        "/water",
        "/rig",
        "/choose?reading=245+ppm&washes=3",
        "/dry-down?reading=245+ppm&hardness=9+%C2%B0dH",
        "/money",
        "/share",
        "/fleet",
        "/fleet/week",
        "/alarms",
        "/cautions",
    ];

    public static TheoryData<string, string> Pages
    {
        get
        {
            var pages = new TheoryData<string, string>();
            foreach (string device in new[] { "phone", "desktop" })
            {
                foreach (string path in Paths)
                {
                    pages.Add(path, device);
                }
            }

            return pages;
        }
    }

    [Theory]
    [MemberData(nameof(Pages))]
    public async Task A_page_is_well_with_two_years_of_record(string path, string device)
    {
        await using Visit visit = await browser.VisitAsync(demo.Site, device);
        await visit.OpenAsync(path);
        await Assertions
            .Expect(visit.Page.GetByRole(AriaRole.Heading, new() { Level = 1 }))
            .ToBeVisibleAsync();
        await visit.ShowPicturesAsync();
        await visit.KeepPictureAsync(NameOf(path));
        await visit.ExpectWellAsync();
        // Every text that was shown stands in the resource file, and nothing else was complained of.
        Assert.Empty(demo.Site.Complaints);
    }

    [Fact]
    public async Task Dark_pages_are_well_too()
    {
        await using Visit visit = await browser.VisitAsync(demo.Site);
        await visit.Page.EmulateMediaAsync(new() { ColorScheme = ColorScheme.Dark });
        foreach (string path in Paths)
        {
            await visit.OpenAsync(path);
            await visit.ShowPicturesAsync();
            await visit.KeepPictureAsync($"{NameOf(path)}-dark");
            await visit.ExpectWellAsync();
        }
    }

    private static string NameOf(string path) =>
        path is "/" ? "today" : path[1..].Split('?')[0].Replace('/', '-');

    [Fact]
    public async Task The_what_if_answers_while_the_slider_moves_and_the_bed_picture_follows_its_own()
    {
        await using Visit visit = await browser.VisitAsync(demo.Site, "desktop");
        await visit.OpenAsync("/rig");
        ILocator answer = visit.Page.Locator("#what-if");
        string before = await answer.InnerTextAsync();
        await visit.Page.GetByLabel("Resin in the last bed").FillAsync("20");
        await Assertions.Expect(answer).ToContainTextAsync("more than now");
        Assert.NotEqual(before, await answer.InnerTextAsync(), StringComparer.Ordinal);
        ILocator picture = visit.Page.Locator("img[data-picture=bed]");
        await visit.Page.GetByLabel("Move through its life").FillAsync("100");
        await Assertions
            .Expect(picture)
            .ToHaveAttributeAsync(
                "src",
                new System.Text.RegularExpressions.Regex(
                    "at=1$",
                    System.Text.RegularExpressions.RegexOptions.None,
                    TimeSpan.FromSeconds(1)
                )
            );
        await visit.ExpectWellAsync();
    }

    [Fact]
    public async Task The_bed_picture_plays_through_the_life_to_its_end_and_stops_when_told()
    {
        await using Visit visit = await browser.VisitAsync(demo.Site, "desktop");
        var noon = new DateTime(2026, 6, 1, 12, 0, 0, DateTimeKind.Utc);
        await visit.Page.Clock.InstallAsync(new() { TimeDate = noon });
        await visit.OpenAsync("/rig");
        await visit.Page.Clock.PauseAtAsync(noon.AddHours(1));
        ILocator slider = visit.Page.GetByLabel("Move through its life");
        ILocator play = visit.Page.GetByRole(AriaRole.Button, new() { Name = "Play its life" });
        ILocator stop = visit.Page.GetByRole(AriaRole.Button, new() { Name = "Stop" });
        async Task PlayTo(string percent)
        {
            while (
                await slider.InputValueAsync() is { } at
                && !string.Equals(at, percent, StringComparison.Ordinal)
            )
            {
                Assert.True(int.Parse(at, CultureInfo.InvariantCulture) <= 125, at);
                await visit.Page.Clock.RunForAsync(250);
                await visit.ShowPicturesAsync();
            }
        }

        await slider.FillAsync("110");
        await play.ClickAsync();
        await Assertions.Expect(stop).ToBeVisibleAsync();
        await PlayTo("125");
        await Assertions.Expect(play).ToBeVisibleAsync();
        await play.ClickAsync();
        await PlayTo("10");
        await stop.ClickAsync();
        await Assertions.Expect(play).ToBeVisibleAsync();
        await visit.Page.Clock.RunForAsync(2000);
        Assert.Equal("10", await slider.InputValueAsync());
        await Assertions.Expect(visit.Page.Locator("output[for=life]")).ToHaveTextAsync("10 %");
        await visit.Page.Clock.ResumeAsync();
        await visit.ExpectWellAsync();
    }

    [Fact]
    public async Task Any_split_of_the_tasks_is_answered_live_and_everything_wears_the_bed_out_sooner()
    {
        await using Visit visit = await browser.VisitAsync(demo.Site, "desktop");
        await visit.OpenAsync("/rig");
        ILocator answer = visit.Page.Locator("#split-answer");
        await Assertions.Expect(answer).ToContainTextAsync("Deionised water for last rinse");
        await visit.Page.GetByLabel("pre-rinse").CheckAsync();
        await Assertions.Expect(answer).ToContainTextAsync("pre-rinse, last rinse");
        JsonElement rig = (await demo.Site.Http.GetFromJsonAsync<JsonElement>("/api/rigs", Stop))
            .EnumerateArray()
            .First(r => r.GetProperty("name").GetString() is "Van 1");
        string address = $"/api/rigs/{rig.GetProperty("id").GetString()}/split";
        JsonElement now = await demo.Site.Http.GetFromJsonAsync<JsonElement>(address, Stop);
        string all = string.Join(
            '&',
            now.GetProperty("tasks").EnumerateArray().Select(t => $"di={t.GetProperty("id").GetString()}")
        );
        JsonElement everything = await demo.Site.Http.GetFromJsonAsync<JsonElement>($"{address}?{all}", Stop);
        Assert.True(Median(everything) < Median(now));
        Assert.True(everything.GetProperty("per_year").GetDouble() > now.GetProperty("per_year").GetDouble());
        await visit.ExpectWellAsync();

        static double Median(JsonElement split) =>
            split.GetProperty("weeks").GetProperty("median").GetDouble();
    }

    [Fact]
    public async Task The_pressure_falls_from_the_spigot_to_the_tool_and_a_longer_hose_costs_flow()
    {
        string id = (await demo.Site.Http.GetFromJsonAsync<JsonElement>("/api/rigs", Stop))
            .EnumerateArray()
            .First(r => r.GetProperty("name").GetString() is "Van 1")
            .GetProperty("id")
            .GetString()!;
        JsonElement near = await PressureAsync("hoseAfter=5+m");
        JsonElement far = await PressureAsync("hoseAfter=60+m");
        Assert.True(far.GetProperty("flow_L_min").GetDouble() < near.GetProperty("flow_L_min").GetDouble());
        double[] before =
        [
            .. near.GetProperty("along")
                .EnumerateArray()
                .Select(p => p.GetProperty("before_bar").GetDouble()),
        ];
        Assert.Equal(before.OrderDescending(), before);
        Assert.Equal(5, before.Length);

        async Task<JsonElement> PressureAsync(string query) =>
            (await demo.Site.Http.GetFromJsonAsync<JsonElement>($"/api/rigs/{id}/pressure?{query}", Stop))[0];
    }

    [Fact]
    public async Task A_task_of_the_usual_week_is_added_and_then_split()
    {
        await using Site site = await Site.EmptyAsync();
        await site.FirstRigAsync();
        await using Visit visit = await browser.VisitAsync(site, scripts: false);
        await visit.OpenAsync("/rig");
        await visit.Page.GetByLabel("What it is").FillAsync("last rinse");
        await visit.Page.GetByLabel("Water each time").FillAsync("30 L");
        await visit.Page.GetByLabel("Times a week").FillAsync("4");
        await visit.Page.GetByRole(AriaRole.Button, new() { Name = "Write it" }).ClickAsync();
        await Assertions
            .Expect(visit.Page.Locator("#split-answer"))
            .ToContainTextAsync("Deionised water for last rinse: 120 L a week");
    }

    [Fact]
    public async Task A_keyboard_alone_gets_to_the_log_and_writes()
    {
        await using Site site = await Site.EmptyAsync();
        Guid stage = await site.FirstRigAsync();
        await using Visit visit = await browser.VisitAsync(site, "desktop");
        await visit.OpenAsync($"/log/{stage}");
        await visit.Page.Keyboard.PressAsync("Tab");
        await Assertions
            .Expect(visit.Page.GetByRole(AriaRole.Link, new() { Name = "Skip to the content" }))
            .ToBeFocusedAsync();
        await visit.Page.Keyboard.PressAsync("Enter");
        await visit.Page.Keyboard.PressAsync("Tab");
        await visit.Page.Keyboard.PressAsync("ArrowRight");
        await visit.Page.Keyboard.PressAsync("Enter");
        await Assertions.Expect(visit.Page.GetByText("Written.")).ToBeVisibleAsync();
        await visit.ExpectWellAsync();
    }

    [Fact]
    public async Task Today_is_light()
    {
        HttpResponseMessage page = await demo.Site.Http.GetAsync("/", TestContext.Current.CancellationToken);
        string[] others =
        [
            "/assets/rinsewright.css",
            "/assets/pages.js",
            "/assets/queue.js",
            "/assets/mark.svg",
        ];
        long bytes = (await page.Content.ReadAsByteArrayAsync(TestContext.Current.CancellationToken)).Length;
        foreach (string other in others)
        {
            bytes += (
                await demo.Site.Http.GetByteArrayAsync(other, TestContext.Current.CancellationToken)
            ).Length;
        }

        Assert.InRange(bytes, 1, 200 * 1024);
    }
}
