using Rinsewright.Quantities;

namespace Rinsewright.Cli.Record;

/// <summary>Files that are written where an option says, checked before the work begins.</summary>
internal static class PaperFile
{
    /// <summary>The path as it was given, with a problem added when no such file could be written.</summary>
    /// <param name="option">The option that names it.</param>
    /// <param name="path">The path; nothing when the option was left out.</param>
    /// <param name="endings">The endings that it may have; any when there are none.</param>
    /// <param name="problems">Receives what is wrong.</param>
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
        if (endings.Count > 0 && !endings.Contains(ending, StringComparer.Ordinal))
        {
            problems.Add(
                new InputProblem(option, path, $"a file that ends in {string.Join(" or ", endings)}")
            );
        }
        else if (
            string.IsNullOrWhiteSpace(path)
            || Directory.Exists(path)
            || !Directory.Exists(Path.GetDirectoryName(Path.GetFullPath(path)))
        )
        {
            problems.Add(new InputProblem(option, path, "a file in a folder that exists"));
        }

        return path;
    }

    public static bool IsPdf(string path) =>
        string.Equals(Path.GetExtension(path), ".pdf", StringComparison.OrdinalIgnoreCase);
}
