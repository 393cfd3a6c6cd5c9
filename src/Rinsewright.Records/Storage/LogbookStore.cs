using System.Data.Common;
using System.Diagnostics.CodeAnalysis;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Storage;
using Npgsql;
using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Storage;

/// <summary>Who makes an edit, and why.</summary>
/// <param name="Author">Name of the person or program.</param>
/// <param name="Reason">Why, in their words; may be empty.</param>
/// <param name="IdempotencyKey">Names the edit so that sending it again does not write it again.</param>
public sealed record EditDraft(string Author, string Reason = "", Guid? IdempotencyKey = null);

/// <summary>What came of an edit.</summary>
/// <param name="Edit">The edit as written, or nothing when it was refused.</param>
/// <param name="Problems">Why it was refused; empty when it was written.</param>
public sealed record WriteOutcome(Edit? Edit, IReadOnlyList<InputProblem> Problems);

/// <summary>
/// The record. Every change is an <see cref="Edit"/> in one transaction: it is written whole and kept, or
/// not at all. Safe for use from several threads and processes.
/// </summary>
public sealed partial class LogbookStore : IAsyncDisposable
{
    private readonly FileStream? _inUse;
    private readonly RecordScope? _scope;

    private LogbookStore(
        StoreAddress address,
        TimeProvider clock,
        FileStream? inUse,
        IdSource ids,
        RecordScope? scope
    )
    {
        Address = address;
        Clock = clock;
        _inUse = inUse;
        Ids = ids;
        _scope = scope;
    }

    public StoreAddress Address { get; }

    public TimeProvider Clock { get; }

    /// <summary>Ids for new entries.</summary>
    public IdSource Ids { get; }

    /// <summary>Dated copies; nothing for PostgreSQL, which has backup tools of its own.</summary>
    public Backups? Backups => Address.Folder is null ? null : new Backups(Address, Clock);

    /// <summary>Checks the record, brings it up to date, makes the day's backup and opens it.</summary>
    /// <exception cref="RecordUnavailableException">With the reason.</exception>
    public static async Task<LogbookStore> OpenAsync(
        StoreAddress address,
        TimeProvider clock,
        CancellationToken cancel = default
    )
    {
        try
        {
            return new LogbookStore(
                address,
                clock,
                await StoreOpening.PrepareAsync(address, clock, cancel),
                new IdSource(clock),
                scope: null
            );
        }
        catch (Exception problem) when (Unavailable.From(problem, address) is not null)
        {
            throw Unavailable.From(problem, address)!;
        }
    }

    /// <summary>
    /// The same record as someone of an organisation may see it: entries of others are not there, neither to read nor to
    /// refer to nor to change, and every edit is in that person's name.
    /// Without a scope all of it is there. It is closed with the whole record.
    /// </summary>
    public LogbookStore Within(RecordScope? scope) => new(Address, Clock, inUse: null, Ids, scope);

    /// <summary>The organisation that it is kept to; nothing for the whole record.</summary>
    public Id<Organisation>? Scope => _scope?.Organisation;

    /// <summary>Why the record could not be used, or nothing when <paramref name="problem"/> is something else.</summary>
    public RecordUnavailableException? WhyUnavailable(Exception problem) =>
        problem as RecordUnavailableException ?? Unavailable.From(problem, Address);

    /// <summary>A view for reading; dispose it after use.</summary>
    public LogbookContext Read() => Address.NewContext(mayWrite: false, scope: Scope);

    /// <summary>
    /// Writes new entries (version 0) and new versions of known ones (the version that was read) as one edit.
    /// </summary>
    /// <exception cref="RecordUnavailableException">The database cannot be written.</exception>
    public Task<WriteOutcome> WriteAsync(
        EditDraft draft,
        IReadOnlyCollection<Entry> entries,
        CancellationToken cancel = default
    ) =>
        EditAsync(
            draft,
            undoes: null,
            entries.FirstOrDefault(),
            async (context, edit, problems) =>
            {
                foreach (Entry entry in entries)
                {
                    EntryCheck.Run(entry, problems);
                }

                if (problems.Problems.Count > 0)
                {
                    return;
                }

                foreach (Entry entry in entries)
                {
                    Entry owned = edit.OrganisationId is { } whose ? entry.In(whose) : entry;
                    if (Scope is null || await RefersToOwnAsync(context, owned, problems, cancel))
                    {
                        await PutAsync(context, edit.Number, owned, problems, cancel);
                    }
                }
            },
            cancel
        );

    /// <summary>Marks the entry as deleted; its versions stay.</summary>
    public Task<WriteOutcome> DeleteAsync(EditDraft draft, Entry entry, CancellationToken cancel = default) =>
        WriteAsync(draft, [EntryKind.Of(entry).AsDeleted(entry)], cancel);

    /// <summary>Closes every connection, so that the file is whole in itself, and lets go of the folder.</summary>
    public async ValueTask DisposeAsync()
    {
        if (_inUse is not null)
        {
            await using var any = new SqliteConnection(SqliteFile.ConnectionString(Address.DatabaseFile));
            SqliteConnection.ClearPool(any);
            await _inUse.DisposeAsync();
        }
    }

    private static async Task<bool> RefersToOwnAsync(
        LogbookContext context,
        Entry entry,
        ProblemList problems,
        CancellationToken cancel
    )
    {
        foreach ((EntryKind kind, Guid key) in Ownership.ReferencesOf(entry))
        {
            if (await kind.FindAsync(context, key, cancel) is null)
            {
                problems.Add(kind.Name, key.ToString(), $"a {kind.Name} of the record");
                return false;
            }
        }

        return true;
    }

    internal static async Task PutAsync(
        LogbookContext context,
        long editNumber,
        Entry entry,
        ProblemList problems,
        CancellationToken cancel
    )
    {
        EntryKind kind = EntryKind.Of(entry);
        Entry? current = await kind.FindAsync(context, entry.Key, cancel);
        if ((current?.Version ?? 0) != entry.Version)
        {
            problems.Add(
                new InputProblem(
                    kind.Name,
                    Sentence.Of($"version {entry.Version} of {entry.Key}"),
                    current is null
                        ? Sentence.Of("an entry that is in the record")
                        : Sentence.Of($"version {current.Version}: it was changed meanwhile; read it again")
                )
            );
            return;
        }

        Entry next = kind.WithVersion(entry, entry.Version + 1, editNumber);
        if (current is null)
        {
            context.Add(next);
            return;
        }

        context.Add(
            new EntryVersion
            {
                Kind = kind.Name,
                Key = current.Key,
                Version = current.Version,
                EditNumber = current.EditNumber,
                Payload = kind.ToJson(current),
            }
        );
        context.Entry(current).CurrentValues.SetValues(next);
    }

    private async Task<WriteOutcome> EditAsync(
        EditDraft draft,
        long? undoes,
        Entry? first,
        Func<LogbookContext, Edit, ProblemList, Task> change,
        CancellationToken cancel
    )
    {
        // The key is fixed before the first try: if the connection breaks just as the edit is committed,
        // the next try finds it and does not write it twice.
        Guid key = draft.IdempotencyKey ?? Ids.Next();
        try
        {
            await using LogbookContext outer = Address.NewContext(mayWrite: true);
            IExecutionStrategy strategy = outer.Database.CreateExecutionStrategy();
            return await strategy.ExecuteAsync(
                token => TryEditAsync(draft, undoes, key, first, change, token),
                cancel
            );
        }
        catch (Exception problem) when (IsTaken(problem))
        {
            return await FindEditAsync(key, cancel) is { } earlier
                ? new WriteOutcome(earlier, [])
                : Refused(Sentence.Written(draft.Reason), "an entry that is not in the record yet");
        }
        catch (DbUpdateConcurrencyException)
        {
            return Refused(
                Sentence.Written(draft.Reason),
                "the newest version: it was changed meanwhile; read it again"
            );
        }
        catch (Exception problem) when (Unavailable.From(problem, Address) is not null)
        {
            throw Unavailable.From(problem, Address)!;
        }
    }

    private async Task<WriteOutcome> TryEditAsync(
        EditDraft draft,
        long? undoes,
        Guid key,
        Entry? first,
        Func<LogbookContext, Edit, ProblemList, Task> change,
        CancellationToken cancel
    )
    {
        await using LogbookContext context = Address.NewContext(mayWrite: true, scope: Scope);
        await using IDbContextTransaction transaction = await context.Database.BeginTransactionAsync(cancel);
        if (
            await context.Edits.AsNoTracking().FirstOrDefaultAsync(e => e.IdempotencyKey == key, cancel) is
            { } earlier
        )
        {
            return new WriteOutcome(earlier, []);
        }

        var edit = new Edit
        {
            At = Instant.Now(Clock),
            Author = _scope?.Author ?? draft.Author,
            Reason = draft.Reason,
            IdempotencyKey = key,
            Undoes = undoes,
            OrganisationId =
                Scope
                ?? (
                    undoes is { } number
                        ? await context
                            .Edits.Where(e => e.Number == number)
                            .Select(e => e.OrganisationId)
                            .FirstOrDefaultAsync(cancel)
                        : await Ownership.OfAsync(context, first!, cancel)
                ),
        };
        var problems = new ProblemList();
        EntryCheck.Text("author", edit.Author, problems);
        EntryCheck.Text("reason", edit.Reason, problems);
        if (undoes is { } undone && !await context.Edits.AnyAsync(e => e.Number == undone, cancel))
        {
            problems.Add(
                new InputProblem(
                    "undo",
                    Sentence.Of($"edit {undone}"),
                    "the number of an edit in the history"
                )
            );
        }

        if (problems.Problems.Count == 0)
        {
            context.Add(edit);
            await context.SaveChangesAsync(cancel);
            await change(context, edit, problems);
        }

        if (problems.Problems.Count > 0)
        {
            return new WriteOutcome(null, problems.Problems);
        }

        await context.SaveChangesAsync(cancel);
        await transaction.CommitAsync(cancel);
        return new WriteOutcome(edit, []);
    }

    private async Task<Edit?> FindEditAsync(Guid key, CancellationToken cancel)
    {
        await using LogbookContext context = Read();
        return await context.Edits.AsNoTracking().FirstOrDefaultAsync(e => e.IdempotencyKey == key, cancel);
    }

    private static WriteOutcome Refused(Sentence text, [ConstantExpected] string expected) =>
        new(null, [new InputProblem("edit", text, expected)]);

    private static bool IsTaken(Exception problem) =>
        (problem is DbUpdateException ? problem.InnerException : problem as DbException) switch
        {
            SqliteException sqlite => SqliteError.IsTaken(sqlite.SqliteExtendedErrorCode),
            PostgresException postgres => postgres.SqlState is PostgresErrorCodes.UniqueViolation,
            _ => false,
        };
}
