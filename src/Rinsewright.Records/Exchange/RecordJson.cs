using System.Data;
using System.Data.Common;
using System.Text.Json;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Storage;
using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Exchange;

/// <summary>
/// The whole record with its history as one JSON array, one element a line: a head, every edit in order, then
/// every version of every entry, kind by kind. Exporting, importing and exporting again gives the same bytes.
/// </summary>
public static class RecordJson
{
    private const int FormatVersion = 1;
    private const int BatchSize = 2000;

    /// <summary>Writes everything.</summary>
    /// <returns>How many edits and versions were written.</returns>
    public static async Task<long> ExportAsync(LogbookStore store, Stream output, CancellationToken cancel)
    {
        await using LogbookContext context = store.Address.NewContext(mayWrite: false, retries: false);
        await using DbTransaction picture = await OnePictureAsync(context, cancel);
        await using var text = new StreamWriter(output, leaveOpen: true);
        await text.WriteAsync(FormattableString.Invariant($"[\n{{\"rinsewright_record\":{FormatVersion}}}"));
        long count = 0;
        await foreach (
            Edit edit in context
                .Edits.AsNoTracking()
                .OrderBy(e => e.Number)
                .AsAsyncEnumerable()
                .WithCancellation(cancel)
        )
        {
            await WriteAsync("edit", JsonSerializer.Serialize(edit, EntryJson.Options));
        }

        foreach (EntryKind kind in EntryKind.All)
        {
            ILookup<Guid, EntryVersion> history = (
                await context
                    .History.AsNoTracking()
                    .Where(v => v.Kind == kind.Name)
                    .OrderBy(v => v.Version)
                    .ToListAsync(cancel)
            ).ToLookup(v => v.Key);
            await foreach (Entry entry in kind.AllByKey(context).WithCancellation(cancel))
            {
                foreach (EntryVersion earlier in history[entry.Key])
                {
                    await WriteAsync(kind.Name, earlier.Payload);
                }

                await WriteAsync(kind.Name, kind.ToJson(entry));
            }
        }

        await text.WriteAsync("\n]\n");
        return count;

        async Task WriteAsync(string name, string json)
        {
            await text.WriteAsync(",\n{\"");
            await text.WriteAsync(name);
            await text.WriteAsync("\":");
            await text.WriteAsync(json);
            await text.WriteAsync('}');
            count++;
        }
    }

    /// <summary>Fills an empty record from an export; all of it or nothing.</summary>
    /// <exception cref="RecordUnavailableException">The database cannot be written.</exception>
    public static async Task<IReadOnlyList<InputProblem>> ImportAsync(
        LogbookStore store,
        Stream input,
        CancellationToken cancel
    )
    {
        try
        {
            await using LogbookContext context = store.Address.NewContext(mayWrite: true);
            IExecutionStrategy strategy = context.Database.CreateExecutionStrategy();
            return await strategy.ExecuteAsync(
                token =>
                {
                    input.Position = 0;
                    return TryImportAsync(store, input, token);
                },
                cancel
            );
        }
        catch (JsonException problem)
        {
            return [new InputProblem("JSON", problem.Message, "an export of a record")];
        }
        catch (Exception problem) when (Unavailable.From(problem, store.Address) is not null)
        {
            throw Unavailable.From(problem, store.Address)!;
        }
    }

    private static async Task<IReadOnlyList<InputProblem>> TryImportAsync(
        LogbookStore store,
        Stream input,
        CancellationToken cancel
    )
    {
        await using LogbookContext context = store.Address.NewContext(mayWrite: true);
        await using IDbContextTransaction transaction = await context.Database.BeginTransactionAsync(cancel);
        if (await context.Edits.AnyAsync(cancel))
        {
            return
            [
                new InputProblem(
                    "record",
                    store.Address.ToString(),
                    "an empty record; give another folder with --data"
                ),
            ];
        }

        var problems = new ProblemList();
        Entry? last = null;
        long element = 0;
        await foreach (
            JsonElement item in JsonSerializer.DeserializeAsyncEnumerable<JsonElement>(
                input,
                cancellationToken: cancel
            )
        )
        {
            element++;
            JsonProperty property = Single(item, element);
            if (element == 1)
            {
                if (property.Name is not "rinsewright_record" || property.Value.GetInt32() != FormatVersion)
                {
                    throw new JsonException("The first element does not say rinsewright_record 1.");
                }
            }
            else if (property.Name is "edit")
            {
                context.Add(property.Value.Deserialize<Edit>(EntryJson.Options)!);
            }
            else if (EntryKind.Named(property.Name) is { } kind)
            {
                Entry entry = kind.FromJson(property.Value.GetRawText());
                EntryCheck.Run(entry, problems);
                last = Take(context, last, entry, element);
            }
            else
            {
                throw new JsonException(
                    $"Element {element} is a {property.Name}, which is no kind of entry."
                );
            }

            if (element % BatchSize == 0 && problems.Problems.Count == 0)
            {
                await context.SaveChangesAsync(cancel);
                context.ChangeTracker.Clear();
            }
        }

        Put(context, last);
        if (problems.Problems.Count > 0)
        {
            return problems.Problems;
        }

        await context.SaveChangesAsync(cancel);
        if (store.Address.Folder is null)
        {
            await context.Database.ExecuteSqlAsync(
                $"SELECT setval(pg_get_serial_sequence('edit', 'number'), (SELECT max(number) FROM edit))",
                cancel
            );
        }

        await transaction.CommitAsync(cancel);
        return [];
    }

    /// <summary>Versions of one entry follow one another: each but the last is history.</summary>
    private static Entry Take(LogbookContext context, Entry? last, Entry entry, long element)
    {
        bool isNext = last is not null && last.GetType() == entry.GetType() && last.Key == entry.Key;
        if (entry.Version != (isNext ? last!.Version + 1 : 1))
        {
            throw new JsonException($"Element {element} is version {entry.Version} out of turn.");
        }

        if (isNext)
        {
            EntryKind kind = EntryKind.Of(last!);
            context.Add(
                new EntryVersion
                {
                    Kind = kind.Name,
                    Key = last!.Key,
                    Version = last.Version,
                    EditNumber = last.EditNumber,
                    Payload = kind.ToJson(last),
                }
            );
        }
        else
        {
            Put(context, last);
        }

        return entry;
    }

    private static void Put(LogbookContext context, Entry? entry)
    {
        if (entry is not null)
        {
            context.Add(entry);
        }
    }

    /// <summary>A transaction in which what others write meanwhile is not seen, and which holds nobody up.</summary>
    private static async Task<DbTransaction> OnePictureAsync(LogbookContext context, CancellationToken cancel)
    {
        await context.Database.OpenConnectionAsync(cancel);
        DbConnection connection = context.Database.GetDbConnection();
        DbTransaction picture = connection is SqliteConnection sqlite
            ? sqlite.BeginTransaction(deferred: true)
            : await connection.BeginTransactionAsync(IsolationLevel.RepeatableRead, cancel);
        await context.Database.UseTransactionAsync(picture, cancel);
        return picture;
    }

    private static JsonProperty Single(JsonElement item, long element) =>
        item.ValueKind is JsonValueKind.Object && item.EnumerateObject().Count() == 1
            ? item.EnumerateObject().First()
            : throw new JsonException($"Element {element} is not one named object.");
}
