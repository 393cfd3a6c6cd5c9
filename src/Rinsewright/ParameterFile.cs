using System.Text.Json;

namespace Rinsewright;

/// <summary>Reads a file of data/parameters, which is embedded in this assembly under its file name.</summary>
internal static class ParameterFile
{
    /// <summary>Parses the file and hands its root to <paramref name="read"/>.</summary>
    /// <exception cref="InvalidOperationException">There is no such file.</exception>
    public static T Read<T>(string fileName, Func<JsonElement, T> read)
    {
        using Stream stream =
            typeof(ParameterFile).Assembly.GetManifestResourceStream(fileName)
            ?? throw new InvalidOperationException(
                $"The parameter file {fileName} is not part of this build."
            );
        using var document = JsonDocument.Parse(stream);
        return read(document.RootElement);
    }

    /// <summary>The number under <paramref name="name"/>, or <paramref name="absent"/> [any] when there is none.</summary>
    public static double Number(this JsonElement element, string name, double absent) =>
        element.TryGetProperty(name, out JsonElement value) ? value.GetDouble() : absent;
}
