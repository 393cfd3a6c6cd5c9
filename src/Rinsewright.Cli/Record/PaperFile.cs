using Rinsewright.Quantities;

namespace Rinsewright.Cli.Record;

/// <summary>Files of handouts, known by their endings.</summary>
internal static class PaperFile
{
    /// <summary>A path with one of the endings; nothing when the option was left out or is wrong.</summary>
    public static string? Checked(
        string option,
        string? path,
        IReadOnlyList<string> endings,
        List<InputProblem> problems
    )
    {
        if (path is null)
        {
            return null;
        }

        string ending = Path.GetExtension(path).ToLowerInvariant();
        string? folder = Path.GetDirectoryName(Path.GetFullPath(path));
        if (!endings.Contains(ending, StringComparer.Ordinal))
        {
            problems.Add(
                new InputProblem(option, path, $"a file that ends in {string.Join(" or ", endings)}")
            );
        }
        else if (!Directory.Exists(folder))
        {
            problems.Add(new InputProblem(option, path, "a file in a folder that exists"));
        }

        return path;
    }

    public static bool IsPdf(string path) => Has(path, ".pdf");

    public static bool IsSvg(string path) => Has(path, ".svg");

    private static bool Has(string path, string ending) =>
        string.Equals(Path.GetExtension(path), ending, StringComparison.OrdinalIgnoreCase);
}
