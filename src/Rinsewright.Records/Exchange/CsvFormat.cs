using CsvHelper;
using Rinsewright.Quantities;

namespace Rinsewright.Records.Exchange;

/// <summary>Tables of text (RFC 4180), and what is wrong with the quotes of a row: one that is never closed takes in all that follows.</summary>
internal sealed class CsvFormat(char separator)
{
    /// <summary>A row that is longer, while more of it is still to come, ends the reading [bytes]: no table of ours has one.</summary>
    private const int LongestRow = 1 << 16;
    private const int Shown = 80;

    private CsvMalformedRecord? _malformed;

    /// <summary>Reads rows, and keeps in mind what is wrong with the last one.</summary>
    public CsvReader Open(Stream file) =>
        CsvReader.Create(
            file,
            new CsvReaderOptions
            {
                Separator = separator,
                TrimWhitespace = true,
                MaxRecordSize = LongestRow,
                OnMalformedRecord = r => _malformed ??= r,
            },
            leaveOpen: true
        );

    /// <summary>Reads the beginning of a table, which may end anywhere.</summary>
    public CsvReader OpenBeginning(ReadOnlyMemory<byte> sample) =>
        CsvReader.Create(sample, new CsvReaderOptions { Separator = separator, TrimWhitespace = true });

    /// <summary>What was wrong with the row that was just read, or with the header before it; it is told once.</summary>
    public InputProblem? TakeProblem()
    {
        if (_malformed is not { } row)
        {
            return null;
        }

        _malformed = null;
        string text = row.RawRecord.Length > Shown ? row.RawRecord[..Shown] + "…" : row.RawRecord;
        return new InputProblem(
            FormattableString.Invariant($"row {row.RecordNumber}"),
            text.Trim(),
            row.Reason is CsvMalformedReason.UnterminatedQuote
                ? Sentence.Of(
                    "a quote that is closed (RFC 4180): this one takes in all that follows, of which nothing was read"
                )
                : Sentence.Of("quotes around a whole text, doubled within it (RFC 4180)")
        );
    }
}
