namespace Rinsewright.Cli;

/// <summary>Writes files whole: a reader sees the old one or the new one, never a part.</summary>
internal static class OutputFile
{
    public static void Replace(string path, Action<Stream> write)
    {
        (string target, string part) = Names(path);
        try
        {
            using (FileStream stream = File.Create(part))
            {
                write(stream);
            }

            File.Move(part, target, overwrite: true);
        }
        finally
        {
            File.Delete(part);
        }
    }

    public static async Task<T> ReplaceAsync<T>(string path, Func<Stream, Task<T>> write)
    {
        (string target, string part) = Names(path);
        try
        {
            T written;
            await using (FileStream stream = File.Create(part))
            {
                written = await write(stream);
            }

            File.Move(part, target, overwrite: true);
            return written;
        }
        finally
        {
            File.Delete(part);
        }
    }

    private static (string Target, string Part) Names(string path)
    {
        string target = Path.GetFullPath(path);
        string part = $".{Path.GetFileName(target)}.{Environment.ProcessId}.part";
        return (target, Path.Combine(Path.GetDirectoryName(target)!, part));
    }
}
