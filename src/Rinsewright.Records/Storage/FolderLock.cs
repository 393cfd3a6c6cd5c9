namespace Rinsewright.Records.Storage;

/// <summary>
/// Advisory locks on a record's folder. Everyone who uses the record shares <c>in-use.lock</c>; replacing the
/// file needs it alone. The operating system lets go of them when a process dies.
/// </summary>
internal static class FolderLock
{
    public static FileStream Share(string folder) => Open(folder, "in-use.lock", FileShare.Read);

    /// <summary>Takes the record for one program alone.</summary>
    /// <exception cref="RecordUnavailableException">Another program uses the record.</exception>
    public static FileStream TakeAlone(string folder) => Open(folder, "in-use.lock", FileShare.None);

    /// <summary>Waits for its turn to bring the tables up to date.</summary>
    public static async Task<FileStream> TurnAsync(
        string folder,
        TimeProvider clock,
        CancellationToken cancel
    )
    {
        for (int attempt = 0; ; attempt++)
        {
            try
            {
                return Open(folder, "upgrade.lock", FileShare.None);
            }
            catch (RecordUnavailableException) when (attempt < 600)
            {
                await Task.Delay(TimeSpan.FromMilliseconds(50), clock, cancel);
            }
        }
    }

    private static FileStream Open(string folder, string name, FileShare share)
    {
        try
        {
            // On Unix a reader that shares takes a shared lock and one that does not an exclusive lock.
            return new FileStream(
                Path.Combine(folder, name),
                FileMode.OpenOrCreate,
                share is FileShare.None ? FileAccess.ReadWrite : FileAccess.Read,
                share
            );
        }
        catch (IOException problem) when (IsHeld(problem))
        {
            throw new RecordUnavailableException(
                UnavailableReason.InUse,
                $"The record in {folder} is in use by another program. Stop it and try again.",
                problem
            );
        }
    }

    // EWOULDBLOCK of Linux and of macOS, ERROR_SHARING_VIOLATION and ERROR_LOCK_VIOLATION of Windows.
    private static bool IsHeld(IOException problem) => (problem.HResult & 0xFFFF) is 11 or 35 or 32 or 33;
}
