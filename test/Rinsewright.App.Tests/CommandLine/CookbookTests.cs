using System.CommandLine.Parsing;
using System.Xml.Linq;
using Microsoft.Extensions.Time.Testing;
using Rinsewright.Cli;

namespace Rinsewright.App.Tests.CommandLine;

/// <summary>
/// Every page of docs/cookbook, and the tutorial, is run as it stands: its commands one after another on the made-up record, or on none,
/// their answers and figures beside those of the page. RINSEWRIGHT_APPROVE=1 writes them into it.
/// </summary>
public sealed class CookbookTests
{
    private const string Fence = "```";
    private const string Prompt = "$ rinsewright ";
    private static readonly string Folder = Path.Combine(Repository.Root, "docs", "cookbook");
    private static readonly DateTimeOffset Noon = new(2026, 3, 1, 12, 0, 0, TimeSpan.Zero);

    private static bool Approves => Environment.GetEnvironmentVariable("RINSEWRIGHT_APPROVE") is "1";

    public static TheoryData<string> Pages =>
        [
            .. Directory
                .EnumerateFiles(Folder, "*.md")
                .Select(p => Path.GetFileName(p))
                .Where(p => p is not "README.md")
                .Order(StringComparer.Ordinal),
        ];

    [Theory]
    [MemberData(nameof(Pages))]
    public async Task A_recipe_gives_what_its_page_shows(string page)
    {
        using DemoHome home = await DemoHome.FilledAsync();
        await RunAsync(home, Path.Combine(Folder, page));
    }

    [Fact]
    public async Task The_tutorial_gives_what_it_shows_to_who_begins_with_nothing()
    {
        using DemoHome home = DemoHome.Empty();
        await RunAsync(home, Path.Combine(Repository.Root, "docs", "tutorial.md"));
    }

    private static async Task RunAsync(DemoHome home, string path)
    {
        string text = await File.ReadAllTextAsync(path, TestContext.Current.CancellationToken);
        using var written = new TempFolder();
        List<string> found = [];
        bool answers = false;
        foreach (string line in text.ReplaceLineEndings("\n").Split('\n'))
        {
            if (line.StartsWith(Prompt, StringComparison.Ordinal))
            {
                found.Add(line);
                found.AddRange(await AnswerAsync(home, line[Prompt.Length..], written));
                answers = true;
            }
            else if (!answers || line.StartsWith(Fence, StringComparison.Ordinal))
            {
                found.Add(line);
                answers = false;
            }
        }

        string now = string.Join('\n', found);
        foreach (string figure in written.Names())
        {
            await CompareAsync(Path.Combine(Folder, "figures", figure), written.PathOf(figure));
        }

        if (Approves)
        {
            await File.WriteAllTextAsync(path, now, TestContext.Current.CancellationToken);
        }

        Assert.Contains(Prompt, text, StringComparison.Ordinal);
        Assert.Equal(Approves ? now : text.ReplaceLineEndings("\n"), now);
    }

    [Fact]
    public void The_first_page_leads_to_every_recipe_and_every_figure_is_shown()
    {
        string first = File.ReadAllText(Path.Combine(Folder, "README.md"));
        string[] pages = [.. Pages.Select(p => p.Data)];
        Assert.All(pages, p => Assert.Contains($"]({p})", first, StringComparison.Ordinal));
        string all = string.Concat(pages.Select(p => File.ReadAllText(Path.Combine(Folder, p))));
        Assert.All(
            Directory.EnumerateFiles(Path.Combine(Folder, "figures")),
            f => Assert.Contains($"](figures/{Path.GetFileName(f)})", all, StringComparison.Ordinal)
        );
    }

    /// <summary>Runs one command; figures go to the folder, whatever else it writes to its answer.</summary>
    private static async Task<IEnumerable<string>> AnswerAsync(
        DemoHome home,
        string command,
        TempFolder written
    )
    {
        string[] args =
        [
            .. CommandLineParser
                .SplitCommandLine(command)
                .Select(w =>
                    w.StartsWith("examples/", StringComparison.Ordinal) ? Path.Combine(Repository.Root, w)
                    : Path.GetExtension(w) is ".svg" or ".pdf" or ".ics" or ".html" or ".csv"
                        ? written.PathOf(w)
                    : w
                ),
        ];
        CliRun run = await home.RunAsync(new FakeTimeProvider(Noon), args);
        Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
        return run
            .Output.Replace(
                Path.TrimEndingDirectorySeparator(written.PathOf("")) + Path.DirectorySeparatorChar,
                "",
                StringComparison.Ordinal
            )
            .Replace(Repository.Root + "/", "", StringComparison.Ordinal)
            .TrimEnd()
            .Split('\n')
            .Select(l => l.TrimEnd());
    }

    /// <summary>
    /// Figures are kept, and must say the same words: where they stand depends on the fonts of the machine. Papers and other files that a
    /// recipe writes are only made.
    /// </summary>
    private static async Task CompareAsync(string kept, string made)
    {
        if (Path.GetExtension(made) is not ".svg")
        {
            Assert.NotEqual(0, new FileInfo(made).Length);
            return;
        }

        if (Approves)
        {
            File.Copy(made, kept, overwrite: true);
        }

        Assert.NotEmpty(await WordsAsync(made));
        Assert.Equal(await WordsAsync(kept), await WordsAsync(made));
    }

    private static async Task<SortedSet<string>> WordsAsync(string figure)
    {
        await using FileStream stream = File.OpenRead(figure);
        XDocument drawing = await XDocument.LoadAsync(
            stream,
            LoadOptions.None,
            TestContext.Current.CancellationToken
        );
        string text = string.Join(' ', drawing.DescendantNodes().OfType<XText>().Select(t => t.Value));
        return new(
            text.Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries).Where(w => w.Any(char.IsLetter)),
            StringComparer.Ordinal
        );
    }
}
