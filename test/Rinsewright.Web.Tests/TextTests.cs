using System.Text.RegularExpressions;
using System.Xml.Linq;

namespace Rinsewright.Web.Tests;

/// <summary>The resource file of the texts is complete, so that it can be put into another language.</summary>
public sealed partial class TextTests
{
    private static readonly string Pages = Repository.PathOf("src/Rinsewright.Web");

    [Fact]
    public void Every_text_of_the_pages_stands_in_the_resource_file()
    {
        string file = Path.Combine(Pages, "Texts.resx");
        string[] used =
        [
            .. Directory
                .EnumerateFiles(Pages, "*.*", SearchOption.AllDirectories)
                .Where(f =>
                    f.EndsWith(".razor", StringComparison.Ordinal)
                    || f.EndsWith(".cs", StringComparison.Ordinal)
                )
                .SelectMany(f => Text().Matches(File.ReadAllText(f)))
                .Select(m => m.Groups["text"].Value)
                .Concat(Rinsewright.Handouts.CautionTexts.All)
                .Concat(Rinsewright.Drying.ResidueSolid.All.Select(s => s.Name))
                .Concat(SentenceTexts.Of(typeof(Texts).Assembly))
                // Names of resources are told apart without regard to case.
                .Order(StringComparer.Ordinal)
                .DistinctBy(t => t, StringComparer.OrdinalIgnoreCase),
        ];
        var resources = XDocument.Load(file);
        if (Environment.GetEnvironmentVariable("RINSEWRIGHT_APPROVE") is "1")
        {
            resources.Root!.Elements("data").Remove();
            resources.Root.Add(
                used.Select(t => new XElement("data", new XAttribute("name", t), new XElement("value", t)))
            );
            File.WriteAllText(file, $"{resources.Declaration}\n{resources}\n");
        }

        string[] known =
        [
            .. resources
                .Root!.Elements("data")
                .Select(d => d.Attribute("name")!.Value)
                .Order(StringComparer.Ordinal),
        ];
        Assert.NotEmpty(used);
        Assert.Equal(used, known);
    }

    [GeneratedRegex(
        """"(?:\bS|\bspeech|\btexts)\[\s*"(?<text>[^"]+)"|\bKey\(\s*"(?<text>[^"]+)(?=")"""",
        RegexOptions.ExplicitCapture,
        10_000
    )]
    private static partial Regex Text();
}
