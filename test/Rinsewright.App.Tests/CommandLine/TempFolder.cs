namespace Rinsewright.App.Tests.CommandLine;

/// <summary>A folder that lives as long as a test.</summary>
internal sealed class TempFolder : IDisposable
{
    private readonly string _path = Directory.CreateTempSubdirectory("rinsewright-").FullName;

    public string PathOf(string name) => Path.Combine(_path, name);

    /// <summary>Writes a file and returns its path.</summary>
    public string Write(string name, string text)
    {
        File.WriteAllText(PathOf(name), text);
        return PathOf(name);
    }

    /// <inheritdoc cref="Write(string, string)"/>
    public string Write(string name, byte[] bytes)
    {
        File.WriteAllBytes(PathOf(name), bytes);
        return PathOf(name);
    }

    public IEnumerable<string> Names() =>
        Directory.EnumerateFileSystemEntries(_path).Select(p => Path.GetFileName(p));

    public void Dispose() => Directory.Delete(_path, recursive: true);
}
