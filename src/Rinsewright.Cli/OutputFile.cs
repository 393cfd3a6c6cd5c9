namespace Rinsewright.Cli;

/// <summary>Writes files whole: a reader sees the old one or the new one, never a part.</summary>
internal static class OutputFile
{
    public static void Replace(string path, Action<Stream> write)
    {
        string target = Path.GetFullPath(path);
        string part = Path.Combine(
            Path.GetDirectoryName(target)!,
            $".{Path.GetFileName(target)}.{Environment.ProcessId}.part"
        );
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
}
