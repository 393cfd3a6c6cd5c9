using System.Text.Json;
using Microsoft.Playwright;

namespace Rinsewright.Web.Tests;

/// <summary>Every page on paper, and under a keyboard alone.</summary>
public sealed class PaperAndKeyboardTests(Browser browser, DemoSite demo)
{
    private const int MostTabs = 400;

    /// <summary>Counts what the tab key must reach; of a group of choices it reaches one.</summary>
    private const string Reachable = """
        () => {
          const all = [...document.querySelectorAll("a[href], button, input, select, textarea, summary, [tabindex='0']")];
          const shown = all.filter(e => !e.disabled && e.type !== "hidden" && e.tabIndex >= 0 && e.checkVisibility({ visibilityProperty: true }));
          const groups = new Set(shown.filter(e => e.type === "radio").map(e => e.form?.id + e.name));
          return shown.filter(e => e.type !== "radio").length + groups.size;
        }
        """;

    /// <summary>
    /// Marks what has the focus; tells whether it was marked before, whether it has it still (a date has three parts), and whether the
    /// eye can see that it has it.
    /// </summary>
    private const string Mark = """
        () => {
          const e = document.activeElement;
          if (!e || e === document.body) return { again: true, still: false, seen: true, what: "" };
          const still = e === globalThis.lastReached;
          globalThis.lastReached = e;
          const again = e.dataset.reached === "yes";
          e.dataset.reached = "yes";
          const style = getComputedStyle(e);
          return { again, still, seen: style.outlineStyle !== "none" && parseFloat(style.outlineWidth) > 0, what: e.outerHTML.slice(0, 120) };
        }
        """;

    public static TheoryData<string> Paths => [.. PageTests.Paths];

    [Theory]
    [MemberData(nameof(Paths))]
    public async Task The_tab_key_reaches_everything_in_turn_and_shows_where_it_is(string path)
    {
        await using Visit visit = await browser.VisitAsync(demo.Site, "desktop");
        await visit.OpenAsync(path);
        int expected = await visit.Page.EvaluateAsync<int>(Reachable);
        int reached = 0;
        for (int i = 0; i < MostTabs; i++)
        {
            await visit.Page.Keyboard.PressAsync("Tab");
            JsonElement at = await visit.Page.EvaluateAsync<JsonElement>(Mark);
            if (at.GetProperty("still").GetBoolean())
            {
                continue;
            }

            if (at.GetProperty("again").GetBoolean())
            {
                break;
            }

            Assert.True(
                at.GetProperty("seen").GetBoolean(),
                $"the focus does not show on {at.GetProperty("what")}"
            );
            reached++;
        }

        // A box that scrolls is reached, too, so there may be more.
        Assert.True(reached >= expected && expected > 5, $"{reached} of {expected} are reached");
    }

    [Theory]
    [MemberData(nameof(Paths))]
    public async Task On_paper_a_page_has_its_heading_and_nothing_to_press(string path)
    {
        await using Visit visit = await browser.VisitAsync(demo.Site, "desktop");
        await visit.OpenAsync(path);
        string heading = await visit.Page.GetByRole(AriaRole.Heading, new() { Level = 1 }).InnerTextAsync();
        await visit.ShowPicturesAsync();
        string file = Path.Combine(Path.GetTempPath(), $"rinsewright-{Guid.NewGuid():N}.pdf");
        try
        {
            await visit.Page.PdfAsync(new PagePdfOptions { Path = file, Format = "A4" });
            PdfFile paper = PdfFile.Read(file);
            Assert.Contains(heading, paper.Text, StringComparison.OrdinalIgnoreCase);
            Assert.DoesNotContain("Skip to the content", paper.Text, StringComparison.Ordinal);
            Assert.DoesNotContain("Log a reading or water", paper.Text, StringComparison.Ordinal);
            Assert.InRange(paper.Pages, 1, 12);
        }
        finally
        {
            File.Delete(file);
        }
    }
}
