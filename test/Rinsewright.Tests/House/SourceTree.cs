using System.Text.RegularExpressions;

namespace Rinsewright.Tests.House;

/// <summary>The files of this checkout that people write.</summary>
internal static partial class SourceTree
{
    private static readonly string[] Folders =
    [
        "src",
        "test",
        "bench",
        "cookbook",
        "docs",
        "data",
        "examples",
        "packaging",
        ".ci",
    ];

    private static readonly string[] TextEndings =
    [
        ".cs",
        ".csproj",
        ".props",
        ".targets",
        ".slnx",
        ".editorconfig",
        ".resx",
        ".sql",
        ".service",
        ".webmanifest",
        ".txt",
        ".json",
        ".csv",
        ".md",
        ".bib",
        ".svg",
        ".css",
        ".js",
        ".razor",
        ".html",
        ".c",
        ".h",
        ".sh",
        ".py",
        "",
    ];

    /// <summary>Every text file, named from the root.</summary>
    public static IReadOnlyList<string> TextFiles { get; } =
    [
        .. Directory
            .EnumerateFiles(Repository.Root)
            .Concat(
                Folders
                    .Select(Repository.PathOf)
                    .Where(Directory.Exists)
                    .SelectMany(f => Directory.EnumerateFiles(f, "*", SearchOption.AllDirectories))
            )
            .Select(f => Path.GetRelativePath(Repository.Root, f).Replace('\\', '/'))
            .Where(f => TextEndings.Contains(Path.GetExtension(f), StringComparer.Ordinal))
            .Where(f => !Generated().IsMatch(f))
            .Order(StringComparer.Ordinal),
    ];

    /// <summary>The C# files under a folder, with their text.</summary>
    public static IEnumerable<(string File, string Text)> Code(string folder) =>
        TextFiles
            .Where(f =>
                f.StartsWith(folder + "/", StringComparison.Ordinal)
                && f.EndsWith(".cs", StringComparison.Ordinal)
            )
            .Select(f => (f, Read(f)));

    public static string Read(string file) => File.ReadAllText(Repository.PathOf(file));

    /// <summary>Fails with every line when there is one.</summary>
    public static void ExpectNone(IEnumerable<string> problems)
    {
        string lines = string.Join('\n', problems);
        Assert.True(lines.Length == 0, lines);
    }

    // Migrations are written by their tool, lock files by the package client.
    [GeneratedRegex(
        @"(^|/)(bin|obj|artifacts|node_modules|Migrations)/|packages\.lock\.json$|package-lock\.json$",
        RegexOptions.ExplicitCapture,
        10_000
    )]
    private static partial Regex Generated();
}
