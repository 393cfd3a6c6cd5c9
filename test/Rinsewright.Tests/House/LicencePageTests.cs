using System.Globalization;
using System.Text.Json.Nodes;
using System.Xml.Linq;

namespace Rinsewright.Tests.House;

/// <summary>What the program is made of besides its own code, and under which terms.</summary>
public sealed class LicencePageTests
{
    private const string Page = "docs/licences.md";

    /// <summary>Licences that may be handed out with a program under Apache-2.0.</summary>
    private static readonly string[] Allowed =
    [
        "0BSD",
        "Apache-2.0",
        "BSD-2-Clause",
        "BSD-3-Clause",
        "MIT",
        "MS-PL OR Apache-2.0",
        "PostgreSQL",
    ];

    /// <summary>Packages that bring their licence as a file, which was read.</summary>
    private static readonly Dictionary<string, string> Read = new(StringComparer.Ordinal)
    {
        ["MQTTnet"] = "MIT",
    };

    [Fact]
    public void Every_package_that_is_handed_out_is_on_the_page_with_a_licence_that_allows_it()
    {
        List<Package> packages = [.. Packages()];
        SourceTree.ExpectNone(
            packages
                .Where(p => !Allowed.Contains(p.Licence, StringComparer.Ordinal))
                .Select(p => $"{p.Name} {p.Version}: {p.Licence}")
        );
        string today = Write(packages);
        string path = Repository.PathOf(Page);
        if (Environment.GetEnvironmentVariable("RINSEWRIGHT_APPROVE") is "1")
        {
            File.WriteAllText(path, today);
        }

        Assert.Equal(today, File.ReadAllText(path).ReplaceLineEndings("\n"));
    }

    private static IEnumerable<Package> Packages() =>
        Directory
            .EnumerateFiles(Repository.PathOf("src"), "packages.lock.json", SearchOption.AllDirectories)
            .SelectMany(lockFile =>
                JsonNode.Parse(File.ReadAllText(lockFile))!["dependencies"]!
                    .AsObject()
                    .SelectMany(framework => framework.Value!.AsObject())
            )
            .Where(p => p.Value!["type"]!.GetValue<string>() is not "Project")
            .Select(p => (Name: p.Key, Version: p.Value!["resolved"]!.GetValue<string>()))
            .Distinct()
            .OrderBy(p => p.Name, StringComparer.OrdinalIgnoreCase)
            .Select(p => new Package(p.Name, p.Version, LicenceOf(p.Name, p.Version)));

    private static string LicenceOf(string name, string version)
    {
        string folder =
            Environment.GetEnvironmentVariable("NUGET_PACKAGES")
            ?? Path.Combine(
                Environment.GetFolderPath(Environment.SpecialFolder.UserProfile),
                ".nuget",
                "packages"
            );
        string lower = name.ToLowerInvariant();
        var description = XDocument.Load(Path.Combine(folder, lower, version, $"{lower}.nuspec"));
        XElement? licence = description.Descendants().FirstOrDefault(e => e.Name.LocalName is "license");
        return licence?.Attribute("type")?.Value is "expression"
            ? licence.Value
            : Read.GetValueOrDefault(name, "not stated");
    }

    private static string Write(IReadOnlyList<Package> packages)
    {
        using var page = new StringWriter(CultureInfo.InvariantCulture) { NewLine = "\n" };
        page.WriteLine("# Licences");
        page.WriteLine();
        page.WriteLine(
            "Rinsewright is under the Apache licence 2.0 (`LICENSE`). These packages are handed out with it or used to build it; each is there for a reason ([decision 0001](decisions/0001-packages.md)) or because one of those needs it. The list is written from the lock files and from what each package states of itself, and checked by a test. The fonts in `src/Rinsewright.Handouts/Fonts` have their licence beside them."
        );
        page.WriteLine();
        page.WriteLine("| package | version | licence |");
        page.WriteLine("| --- | --- | --- |");
        foreach (Package package in packages)
        {
            page.WriteLine($"| {package.Name} | {package.Version} | {package.Licence} |");
        }

        return page.ToString();
    }

    private sealed record Package(string Name, string Version, string Licence);
}
