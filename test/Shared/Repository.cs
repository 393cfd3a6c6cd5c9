using System.Reflection;

namespace Rinsewright.Shared;

/// <summary>Finds files of this checkout.</summary>
internal static class Repository
{
    /// <summary>Absolute path of the root of the checkout.</summary>
    public static string Root { get; } =
        typeof(Repository)
            .Assembly.GetCustomAttributes<AssemblyMetadataAttribute>()
            .Single(a => string.Equals(a.Key, "RepositoryRoot", StringComparison.Ordinal))
            .Value!;

    /// <summary>Absolute path of a file or folder named from the root.</summary>
    public static string PathOf(string relative) => Path.Combine(Root, relative);
}
