using Microsoft.Playwright;

namespace Rinsewright.Web.Tests;

/// <summary>Every page with the demonstration's two years, on a phone and on a laptop.</summary>
public sealed class PageTests(Browser browser, DemoSite demo)
{
    private static readonly string[] Paths =
    [
        "/",
        "/logbook",
        "/water",
        "/rig",
        "/choose?reading=245+ppm&washes=3",
        "/dry-down?reading=245+ppm&hardness=9+%C2%B0dH",
        "/money",
        "/share",
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
        string name = path is "/" ? "today" : path[1..].Split('?')[0].Replace('/', '-');
        await visit.KeepPictureAsync(name);
        await visit.ExpectWellAsync();
    }

    [Fact]
    public async Task Dark_pages_are_well_too()
    {
        await using Visit visit = await browser.VisitAsync(demo.Site);
        await visit.Page.EmulateMediaAsync(new() { ColorScheme = ColorScheme.Dark });
        await visit.OpenAsync("/rig");
        await visit.ShowPicturesAsync();
        await visit.KeepPictureAsync("rig-dark");
        await visit.ExpectWellAsync();
    }

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
