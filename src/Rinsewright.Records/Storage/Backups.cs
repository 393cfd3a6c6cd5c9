using System.Globalization;

namespace Rinsewright.Records.Storage;

/// <summary>Dated copies of an SQLite record in the folder <c>backups</c> beside it.</summary>
public sealed class Backups
{
    /// <summary>How many dated copies are kept.</summary>
    public const int Kept = 14;

    private const string Prefix = "rinsewright-";
    private const string Stamp = "yyyy-MM-dd'T'HHmmss'Z'";
    private readonly StoreAddress _address;
    private readonly TimeProvider _clock;

    /// <summary>Looks at the copies beside the record at <paramref name="address"/>.</summary>
    public Backups(StoreAddress address, TimeProvider clock)
    {
        _address = address;
        _clock = clock;
    }

    private string Folder => Path.Combine(_address.Folder!, "backups");

    /// <summary>The copies, newest first.</summary>
    public IReadOnlyList<string> List() => [.. Numbered().Select(b => b.File)];

    // A number comes before the date, so that a clock that goes back cannot put an old copy first.
    private IEnumerable<(int Number, DateTime At, string File)> Numbered()
    {
        if (!Directory.Exists(Folder))
        {
            return [];
        }

        var found = new List<(int Number, DateTime At, string File)>();
        foreach (string file in Directory.EnumerateFiles(Folder, Prefix + "*.db"))
        {
            string[] parts = Path.GetFileNameWithoutExtension(file)[Prefix.Length..].Split('-', 2);
            if (
                parts.Length == 2
                && int.TryParse(parts[0], NumberStyles.None, CultureInfo.InvariantCulture, out int number)
                && DateTime.TryParseExact(
                    parts[1],
                    Stamp,
                    CultureInfo.InvariantCulture,
                    DateTimeStyles.AdjustToUniversal | DateTimeStyles.AssumeUniversal,
                    out DateTime at
                )
            )
            {
                found.Add((number, at, file));
            }
        }

        return found.OrderByDescending(b => b.Number);
    }

    /// <summary>The newest copy that passes its check.</summary>
    public async Task<string?> NewestGoodAsync(CancellationToken cancel)
    {
        foreach (string file in List())
        {
            if (await SqliteFile.IsSoundAsync(file, cancel))
            {
                return file;
            }
        }

        return null;
    }

    /// <summary>Makes a dated copy now, then removes the oldest beyond <see cref="Kept"/>.</summary>
    /// <returns>Path of the copy.</returns>
    public async Task<string> MakeAsync(CancellationToken cancel)
    {
        Directory.CreateDirectory(Folder);
        int number = Numbered().Select(b => b.Number).FirstOrDefault() + 1;
        string stamp = _clock.GetUtcNow().UtcDateTime.ToString(Stamp, CultureInfo.InvariantCulture);
        string copy = Path.Combine(Folder, FormattableString.Invariant($"{Prefix}{number:D6}-{stamp}.db"));
        await SqliteFile.CopyAsync(_address.DatabaseFile, copy, cancel);
        foreach (string old in List().Skip(Kept))
        {
            File.Delete(old);
        }

        return copy;
    }

    /// <summary>Makes a copy unless the newest is less than a day old and the clock has not gone back behind it.</summary>
    public async Task<string?> MakeIfDueAsync(CancellationToken cancel)
    {
        foreach ((_, DateTime at, _) in Numbered().Take(1))
        {
            TimeSpan age = _clock.GetUtcNow().UtcDateTime - at;
            if (age >= TimeSpan.Zero && age < TimeSpan.FromDays(1))
            {
                return null;
            }
        }

        return await MakeAsync(cancel);
    }

    /// <summary>
    /// Puts <paramref name="backup"/> in the place of the record. What stood there is kept beside it under a
    /// dated name, damaged or not.
    /// </summary>
    /// <exception cref="RecordUnavailableException">The backup fails its check, or the record is in use.</exception>
    public static async Task<string?> RestoreAsync(
        StoreAddress address,
        string backup,
        TimeProvider clock,
        CancellationToken cancel
    )
    {
        if (
            !File.Exists(backup)
            || !await SqliteFile.IsSoundAsync(backup, cancel)
            || !await SqliteFile.IsRecordAsync(backup, cancel)
        )
        {
            throw new RecordUnavailableException(
                UnavailableReason.Damaged,
                $"{backup} is not a whole backup of a record; nothing was changed."
            );
        }

        Directory.CreateDirectory(address.Folder!);
        using FileStream alone = FolderLock.TakeAlone(address.Folder!);
        string fresh = address.DatabaseFile + ".restored";
        File.Delete(fresh);
        await SqliteFile.CopyAsync(backup, fresh, cancel);
        string? aside = null;
        if (File.Exists(address.DatabaseFile))
        {
            string stamp = clock.GetUtcNow().UtcDateTime.ToString(Stamp, CultureInfo.InvariantCulture);
            aside = Path.Combine(address.Folder!, $"replaced-{stamp}.db");
            for (int i = 2; File.Exists(aside); i++)
            {
                aside = Path.Combine(
                    address.Folder!,
                    FormattableString.Invariant($"replaced-{stamp}-{i}.db")
                );
            }

            foreach (string tail in (string[])["-wal", "-shm", ""])
            {
                if (File.Exists(address.DatabaseFile + tail))
                {
                    File.Move(address.DatabaseFile + tail, aside + tail);
                }
            }
        }

        File.Move(fresh, address.DatabaseFile);
        return aside;
    }
}
