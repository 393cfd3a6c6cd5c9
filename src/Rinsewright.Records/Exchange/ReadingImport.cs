using CsvHelper;
using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Exchange;

/// <summary>What an import did, or would do.</summary>
/// <param name="Edit">The edit, or nothing when nothing was written.</param>
/// <param name="Rows">Rows read, without the header.</param>
/// <param name="Added">Readings that are new.</param>
/// <param name="AlreadyThere">Readings that the record held already, or once held and deleted.</param>
/// <param name="FirstReadings">The first readings as they were understood.</param>
/// <param name="Problems">The first problems, at most <see cref="ReadingImport.ProblemsKept"/>.</param>
/// <param name="ProblemCount">How many problems there are in all.</param>
public sealed record ImportReport(
    Edit? Edit,
    long Rows,
    long Added,
    long AlreadyThere,
    IReadOnlyList<Reading> FirstReadings,
    IReadOnlyList<InputProblem> Problems,
    long ProblemCount
);

/// <summary>Takes a CSV file of readings into the record as one edit, which one undo takes back.</summary>
public static class ReadingImport
{
    /// <summary>Problems reported in full; beyond that they are counted.</summary>
    public const int ProblemsKept = 1000;

    private const int PreviewRows = 10;

    /// <summary>
    /// Reads the whole file. A file with problems is refused, unless <paramref name="skipBadRows"/>; then the
    /// good rows are taken. Importing again adds nothing.
    /// </summary>
    /// <param name="store">The record.</param>
    /// <param name="file">The file; it must be seekable.</param>
    /// <param name="options">How it is written.</param>
    /// <param name="draft">Who imports it and why.</param>
    /// <param name="preview">Whether only to say what would happen.</param>
    /// <param name="skipBadRows">Whether to take the good rows of a file with problems.</param>
    /// <param name="cancel">Stops the import; nothing is written then.</param>
    /// <exception cref="RecordUnavailableException">The database cannot be written.</exception>
    public static async Task<ImportReport> RunAsync(
        LogbookStore store,
        Stream file,
        ReadingCsvOptions options,
        EditDraft draft,
        bool preview = false,
        bool skipBadRows = false,
        CancellationToken cancel = default
    )
    {
        try
        {
            return await ImportAsync(store, file, options, draft, preview, skipBadRows, cancel);
        }
        catch (Exception problem) when (Unavailable.From(problem, store.Address) is not null)
        {
            throw Unavailable.From(problem, store.Address)!;
        }
    }

    internal static bool Agree(double a, double b) =>
        Math.Abs(a - b) <= 1e-12 * Math.Max(Math.Abs(a), Math.Abs(b));

    internal static Sentence Contradiction(double held) =>
        Sentence.Of(
            $"the value that the record holds for that instant ({held:G6} in SI); correct it there if it is wrong"
        );

    private static async Task<ImportReport> ImportAsync(
        LogbookStore store,
        Stream file,
        ReadingCsvOptions options,
        EditDraft draft,
        bool preview,
        bool skipBadRows,
        CancellationToken cancel
    )
    {
        RecordNames names;
        Id<Organisation>? whose;
        await using (LogbookContext context = store.Read())
        {
            names = await RecordNames.LoadAsync(context, cancel);
            whose = await Ownership.OnlyAsync(context, cancel);
        }

        var all = new ProblemList();
        using var csv = new ReadingCsv(file, options, names, store.Ids, all);
        if (all.Problems.Count > 0)
        {
            return new ImportReport(null, 0, 0, 0, [], all.Problems, all.Problems.Count);
        }

        await using IReadingSink sink = store.Address.Folder is null
            ? new PostgresReadingSink(store.Address)
            : new SqliteReadingSink(store.Address);
        Edit edit = await sink.BeginAsync(
            new Edit
            {
                At = Instant.Now(store.Clock),
                Author = draft.Author,
                Reason = draft.Reason,
                IdempotencyKey = draft.IdempotencyKey ?? store.Ids.Next(),
                OrganisationId = whose,
            },
            cancel
        );
        var first = new List<Reading>();
        long rows = 0;
        long problemCount = 0;
        var ofRow = new ProblemList();
        var readings = new List<Reading>();
        while (Next())
        {
            cancel.ThrowIfCancellationRequested();
            rows++;
            foreach (Reading reading in readings)
            {
                reading.Check(ofRow);
            }

            if (ofRow.Problems.Count > 0)
            {
                problemCount += ofRow.Problems.Count;
                Keep(ofRow.Problems);
                ofRow = new ProblemList();
                continue;
            }

            foreach (Reading reading in readings)
            {
                sink.Add(reading, csv.Row);
                if (first.Count < PreviewRows)
                {
                    first.Add(reading);
                }
            }
        }

        problemCount += ofRow.Problems.Count;
        Keep(ofRow.Problems);
        var contradictions = new ProblemList();
        SinkCounts counts = await sink.FinishAsync(contradictions, cancel);
        problemCount += contradictions.Problems.Count;
        Keep(contradictions.Problems);
        bool writes = !preview && counts.Added > 0 && (problemCount == 0 || skipBadRows);
        if (writes)
        {
            await sink.CommitAsync(cancel);
        }

        return new ImportReport(
            writes ? edit : null,
            rows,
            counts.Added,
            counts.AlreadyThere,
            first,
            all.Problems,
            problemCount
        );

        bool Next()
        {
            try
            {
                return csv.Read(readings, ofRow);
            }
            catch (CsvFormatException problem)
            {
                ofRow.Add(
                    FormattableString.Invariant($"row {csv.Row}"),
                    problem.Message,
                    "a row of 64 KiB at most, and quotes that are closed (RFC 4180); the file was not read further"
                );
                return false;
            }
        }

        void Keep(IEnumerable<InputProblem> problems)
        {
            foreach (InputProblem problem in problems.Take(ProblemsKept - all.Problems.Count))
            {
                all.Add(problem);
            }
        }
    }
}
