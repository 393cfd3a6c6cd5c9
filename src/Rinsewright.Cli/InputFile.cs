using System.Text;
using System.Text.Json;
using Rinsewright.Quantities;

namespace Rinsewright.Cli;

/// <summary>Reads what the user names, or says what is wrong with it and where.</summary>
internal static class InputFile
{
    private static readonly UTF8Encoding Strict = new(
        encoderShouldEmitUTF8Identifier: false,
        throwOnInvalidBytes: true
    );

    private static readonly JsonDocumentOptions Options = new()
    {
        CommentHandling = JsonCommentHandling.Skip,
        AllowTrailingCommas = true,
        AllowDuplicateProperties = false,
    };

    /// <summary>The text of a UTF-8 file (a hyphen stands for standard input), or null with a problem added.</summary>
    public static string? ReadText(Terminal terminal, string path, List<InputProblem> problems)
    {
        if (path is "-")
        {
            return terminal.Input.ReadToEnd();
        }

        if (string.IsNullOrWhiteSpace(path))
        {
            problems.Add(new("file", path, "the path of an existing file"));
            return null;
        }

        byte[] bytes;
        try
        {
            bytes = File.ReadAllBytes(path);
        }
        catch (Exception e) when (e is FileNotFoundException or DirectoryNotFoundException)
        {
            problems.Add(new(path, "no such file", "the path of an existing file"));
            return null;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            string found = Directory.Exists(path) ? "a folder" : e.Message;
            problems.Add(new(path, found, "a file that can be read"));
            return null;
        }

        ReadOnlySpan<byte> text = bytes;
        if (text.StartsWith(Encoding.UTF8.Preamble))
        {
            text = text[Encoding.UTF8.Preamble.Length..];
        }

        try
        {
            return Strict.GetString(text);
        }
        catch (DecoderFallbackException e)
        {
            int line = 1 + text[..Math.Clamp(e.Index, 0, text.Length)].Count((byte)'\n');
            problems.Add(new($"{path}:{line}", "bytes that are not UTF-8", "text saved as UTF-8"));
            return null;
        }
    }

    /// <summary>
    /// The JSON of a file (comments and trailing commas allowed), or null with a problem that names line and column.
    /// </summary>
    public static JsonDocument? ReadJson(Terminal terminal, string path, List<InputProblem> problems)
    {
        string? text = ReadText(terminal, path, problems);
        if (text is null)
        {
            return null;
        }

        try
        {
            return JsonDocument.Parse(text, Options);
        }
        catch (JsonException e)
        {
            (int line, int column) = Locate(text, e);
            // The reader's own words end in its zero-based place, which ours replaces.
            string reason = e.Message.Split(" LineNumber:", 2)[0].Split(" Path:", 2)[0].TrimEnd('.');
            problems.Add(new($"{path}:{line}:{column}", reason, "JSON (RFC 8259; comments are allowed)"));
            return null;
        }
        catch (InvalidOperationException e)
        {
            // A name that is half of a surrogate pair.
            problems.Add(new(path, e.Message.TrimEnd('.'), "JSON whose names are whole characters"));
            return null;
        }
    }

    /// <summary>Reads the root of a file of some kind.</summary>
    public delegate bool Reader<T>(JsonElement root, out T? value, out IReadOnlyList<InputProblem> problems);

    /// <summary>What a JSON file says, or null with the problems added.</summary>
    public static T? Read<T>(Terminal terminal, string path, Reader<T> reader, List<InputProblem> problems)
        where T : class
    {
        using JsonDocument? json = ReadJson(terminal, path, problems);
        if (json is null)
        {
            return null;
        }

        reader(json.RootElement, out T? value, out IReadOnlyList<InputProblem> found);
        problems.AddRange(found.Select(p => p with { Place = $"{path}: {p.Place}" }));
        return value;
    }

    /// <summary>One-based line, and column in characters where the reader counts bytes.</summary>
    private static (int Line, int Column) Locate(string text, JsonException e)
    {
        int line = (int)(e.LineNumber ?? 0);
        ReadOnlySpan<char> rest = text;
        for (int i = 0; i < line; i++)
        {
            rest = rest[(rest.IndexOf('\n') + 1)..];
        }

        int end = rest.IndexOf('\n');
        byte[] bytes = Encoding.UTF8.GetBytes(rest[..(end < 0 ? rest.Length : end)].ToString());
        int before = (int)Math.Min(e.BytePositionInLine ?? 0, bytes.Length);
        return (line + 1, Encoding.UTF8.GetCharCount(bytes.AsSpan(0, before)) + 1);
    }
}
