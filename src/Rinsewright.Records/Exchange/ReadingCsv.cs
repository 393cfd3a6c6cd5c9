using System.Buffers.Text;
using System.Globalization;
using System.Text;
using CsvHelper;
using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Exchange;

/// <summary>How a CSV file of readings is written, where the file itself does not say.</summary>
public sealed record ReadingCsvOptions
{
    /// <summary>Field separator; told from the file when empty.</summary>
    public char? Separator { get; init; }

    /// <summary>Whether numbers have a decimal comma; told from the file when empty.</summary>
    public bool? HasDecimalComma { get; init; }

    /// <summary>.NET format of dates that are not ISO 8601, such as <c>dd.MM.yyyy HH:mm</c>.</summary>
    public string? DateFormat { get; init; }

    /// <summary>Values for columns that the file does not have.</summary>
    public string? Rig { get; init; }
    public string? Stage { get; init; }
    public string? Place { get; init; }
    public string? Meter { get; init; }
}

/// <summary>Turns a CSV file into readings, row by row. Problems name the row and column.</summary>
internal sealed class ReadingCsv : IDisposable
{
    private const int SampleBytes = 65536;
    private readonly CsvFormat _format;
    private readonly CsvReader _reader;
    private readonly ReadingCsvOptions _options;
    private readonly RecordNames _names;
    private readonly IdSource _ids;
    private readonly ReadingColumns _columns;
    private readonly bool _hasDecimalComma;
    private readonly Dictionary<string, Origin?> _origins = new(StringComparer.Ordinal);
    private readonly Dictionary<string, string> _texts = new(StringComparer.Ordinal);
    private readonly byte[] _buffer = new byte[256];
    private readonly byte[] _lastKey = new byte[512];
    private int _lastKeyLength = -1;
    private Origin? _lastOrigin;

    public ReadingCsv(
        Stream file,
        ReadingCsvOptions options,
        RecordNames names,
        IdSource ids,
        ProblemList problems
    )
    {
        _options = options;
        _names = names;
        _ids = ids;
        byte[] sample = new byte[SampleBytes];
        int length = file.ReadAtLeast(sample, SampleBytes, throwOnEndOfStream: false);
        file.Position = 0;
        char separator = options.Separator ?? FindSeparator(sample.AsSpan(0, length));
        _format = new CsvFormat(separator);
        using (CsvReader first = _format.OpenBeginning(sample.AsMemory(0, length)))
        {
            _columns = ReadingColumns.Read(first.Headers, problems);
            _hasDecimalComma = options.HasDecimalComma ?? FindDecimalMark(first, separator, problems);
        }

        _reader = _format.Open(file);
    }

    /// <summary>Number of the row last read, the header being 1.</summary>
    public long Row => _reader.RowNumber + 1;

    /// <summary>Reads the next row; its readings, if it has any and no problem, are put into <paramref name="readings"/>.</summary>
    public bool Read(List<Reading> readings, ProblemList problems)
    {
        readings.Clear();
        if (!_reader.Read())
        {
            return false;
        }

        if (_format.TakeProblem() is { } malformed)
        {
            problems.Add(malformed);
            return true;
        }

        if (FindOrigin(problems) is not { } origin)
        {
            return true;
        }

        if (!TryReadAt(origin.Zone, out DateTimeOffset at))
        {
            problems.Add(
                Where("at"),
                Text(_columns.At!.Value),
                _options.DateFormat is { } declared
                    ? Sentence.Of($"a date and time as {declared}")
                    : Sentence.Of("a date and time such as 2026-03-31 14:05, one that the clock showed there")
            );
            return true;
        }

        bool? isSettled = null;
        if (_columns.Settled is { } settled && !_reader.GetSpan(settled).IsEmpty)
        {
            isSettled = Text(settled).ToLowerInvariant() switch
            {
                "yes" or "true" or "1" => true,
                "no" or "false" or "0" => false,
                _ => null,
            };
            if (isSettled is null)
            {
                problems.Add(Where("settled"), Text(settled), "yes or no");
            }
        }

        if (_columns.IsLong)
        {
            ReadLong(origin, at, isSettled, readings, problems);
        }
        else
        {
            ReadWide(origin, at, isSettled, readings, problems);
        }

        return true;
    }

    public void Dispose() => _reader.Dispose();

    private void ReadWide(
        Origin origin,
        DateTimeOffset at,
        bool? isSettled,
        List<Reading> readings,
        ProblemList problems
    )
    {
        double? temperature = _columns.Temperature is { } t ? Value(t, problems, out _) : null;
        double? flow = _columns.Flow is { } f ? Value(f, problems, out _) : null;
        foreach (ValueColumn column in _columns.Values)
        {
            if (
                column.Measurand is Measurand.Temperature or Measurand.Flow && _columns.Values.Count > 1
                || Value(column, problems, out bool isBelow) is not { } value
            )
            {
                continue;
            }

            readings.Add(
                new Reading
                {
                    Id = _ids.Next<Reading>(),
                    RigId = origin.Rig,
                    Place = origin.Place,
                    StageId = origin.Stage,
                    MeterId = origin.Meter,
                    At = at,
                    Measurand = column.Measurand,
                    Value_SI = value,
                    Written = SharedText(_reader.GetSpan(column.Index)),
                    Unit = column.Unit,
                    IsBelowLimit = isBelow,
                    Temperature_K = temperature,
                    Flow_m3_s = flow,
                    IsSettled = isSettled,
                }
            );
        }
    }

    private void ReadLong(
        Origin origin,
        DateTimeOffset at,
        bool? isSettled,
        List<Reading> readings,
        ProblemList problems
    )
    {
        string name = Text(_columns.Measurand!.Value).Replace('_', ' ');
        Measurand measurand = MeasurandText
            .Names.FirstOrDefault(n => string.Equals(n.Name, name, StringComparison.OrdinalIgnoreCase))
            .Measurand;
        if (measurand == default)
        {
            problems.Add(Where("measurand"), name, "what was measured, such as tds or conductivity");
            return;
        }

        string unit = Text(_columns.Unit!.Value);
        if (!MeasurandText.TryFindUnit(measurand, unit, out UnitScale? scale))
        {
            problems.Add(Where("unit"), unit, $"a unit of {name}");
            return;
        }

        var column = new ValueColumn(_columns.Written!.Value, "written", measurand, unit, scale);
        if (Value(column, problems, out bool isBelow) is not { } value)
        {
            return;
        }

        readings.Add(
            new Reading
            {
                Id = _ids.Next<Reading>(),
                RigId = origin.Rig,
                Place = origin.Place,
                StageId = origin.Stage,
                MeterId = origin.Meter,
                At = at,
                Measurand = measurand,
                Value_SI = value,
                Written = Text(column.Index),
                Unit = unit,
                IsBelowLimit = isBelow,
                Temperature_K = _columns.Temperature is { } t ? Value(t, problems, out _) : null,
                Flow_m3_s = _columns.Flow is { } f ? Value(f, problems, out _) : null,
                IsSettled = isSettled,
            }
        );
    }

    private double? Value(ValueColumn column, ProblemList problems, out bool isBelow)
    {
        isBelow = false;
        ReadOnlySpan<byte> text = _reader.GetSpan(column.Index);
        if (text.IsEmpty)
        {
            return null;
        }

        ReadOnlySpan<byte> digits = text;
        if (digits[0] == '<' || digits.StartsWith("≤"u8))
        {
            isBelow = true;
            digits = digits[(digits[0] == '<' ? 1 : "≤"u8.Length)..];
            digits = digits[(digits.StartsWith("="u8) ? 1 : 0)..].TrimStart((byte)' ');
        }

        if (digits.StartsWith("−"u8) && digits.Length <= _buffer.Length)
        {
            digits[("−"u8.Length - 1)..].CopyTo(_buffer);
            _buffer[0] = (byte)'-';
            digits = _buffer.AsSpan(0, digits.Length - "−"u8.Length + 1);
        }

        if (_hasDecimalComma && digits.Length <= _buffer.Length)
        {
            digits.CopyTo(_buffer);
            Span<byte> copy = _buffer.AsSpan(0, digits.Length);
            copy.Replace((byte)'.', (byte)'?');
            copy.Replace((byte)',', (byte)'.');
            digits = copy;
        }

        if (
            Utf8Parser.TryParse(digits, out double number, out int used)
            && used == digits.Length
            && double.IsFinite(column.Scale.ToSI(number))
        )
        {
            return column.Scale.ToSI(number);
        }

        problems.Add(
            Where(column.Header),
            Encoding.UTF8.GetString(text),
            _hasDecimalComma
                ? Sentence.Of("a number with a decimal comma and no thousands mark")
                : Sentence.Of("a number with a decimal point and no thousands mark")
        );
        return null;
    }

    private bool TryReadAt(TimeZoneInfo zone, out DateTimeOffset at)
    {
        ReadOnlySpan<byte> date = _reader.GetSpan(_columns.At!.Value);
        if (_columns.Time is not { } timeColumn)
        {
            return InstantText.TryParse(date, _options.DateFormat, zone, out at);
        }

        ReadOnlySpan<byte> time = _reader.GetSpan(timeColumn);
        if (date.Length + time.Length + 1 > _buffer.Length)
        {
            at = default;
            return false;
        }

        date.CopyTo(_buffer);
        _buffer[date.Length] = (byte)' ';
        time.CopyTo(_buffer.AsSpan(date.Length + 1));
        return InstantText.TryParse(
            _buffer.AsSpan(0, date.Length + 1 + time.Length),
            _options.DateFormat,
            zone,
            out at
        );
    }

    /// <summary>Rig, place, stage and meter of the row. Rows of one origin mostly follow one another.</summary>
    private Origin? FindOrigin(ProblemList problems)
    {
        int length = 0;
        foreach (
            int? column in (ReadOnlySpan<int?>)[_columns.Rig, _columns.Stage, _columns.Place, _columns.Meter]
        )
        {
            ReadOnlySpan<byte> text = column is { } index ? _reader.GetSpan(index) : default;
            if (length + text.Length + 1 > _buffer.Length)
            {
                problems.Add(Where("row"), Encoding.UTF8.GetString(text), "names of ordinary length");
                return null;
            }

            text.CopyTo(_buffer.AsSpan(length));
            length += text.Length;
            _buffer[length++] = 0;
        }

        ReadOnlySpan<byte> key = _buffer.AsSpan(0, length);
        if (length == _lastKeyLength && key.SequenceEqual(_lastKey.AsSpan(0, length)))
        {
            return _lastOrigin;
        }

        string name = Encoding.UTF8.GetString(key);
        if (!_origins.TryGetValue(name, out Origin? origin))
        {
            int before = problems.Problems.Count;
            origin = ResolveOrigin(problems);
            if (problems.Problems.Count > before)
            {
                return null;
            }

            _origins.Add(name, origin);
        }

        key.CopyTo(_lastKey);
        _lastKeyLength = length;
        _lastOrigin = origin;
        return origin;
    }

    private Origin? ResolveOrigin(ProblemList problems)
    {
        if (_names.FindRig(Given(_columns.Rig, _options.Rig), Where("rig"), problems) is not { } rig)
        {
            return null;
        }

        Stage? stage = Given(_columns.Stage, _options.Stage) is { } stageName
            ? _names.FindStage(rig, stageName, Where("stage"), problems)
            : null;
        Meter? meter = Given(_columns.Meter, _options.Meter) is { } meterName
            ? _names.FindMeter(meterName, Where("meter"), problems)
            : null;
        string placeName =
            Given(_columns.Place, _options.Place)
            ?? (stage is null ? nameof(Place.Nozzle) : nameof(Place.Outlet));
        bool isPlace = Enum.TryParse(placeName, ignoreCase: true, out Place place) && Enum.IsDefined(place);
        problems.Require(isPlace, Where("place"), $"{placeName}", "source, inlet, outlet or nozzle");
        problems.Require(
            !isPlace || stage is not null || place is Place.Source or Place.Nozzle,
            Where("stage"),
            $"",
            "the stage whose inlet or outlet it is"
        );
        return new Origin(
            rig.Id,
            place,
            stage?.Id,
            meter?.Id,
            TimeZoneInfo.FindSystemTimeZoneById(rig.TimeZone)
        );
    }

    private string? Given(int? column, string? otherwise) =>
        column is { } index && !_reader.GetSpan(index).IsEmpty ? Text(index) : otherwise;

    private string Text(int column) => _reader.GetString(column).Trim();

    private string Where(string column) =>
        string.Create(CultureInfo.InvariantCulture, $"row {Row}, {column}");

    /// <summary>One string for each distinct text, up to a limit: values repeat.</summary>
    private string SharedText(ReadOnlySpan<byte> utf8)
    {
        Span<char> chars = stackalloc char[32];
        if (utf8.Length > chars.Length)
        {
            return Encoding.UTF8.GetString(utf8);
        }

        chars = chars[..Encoding.UTF8.GetChars(utf8, chars)];
        if (!_texts.GetAlternateLookup<ReadOnlySpan<char>>().TryGetValue(chars, out string? text))
        {
            text = chars.ToString();
            if (_texts.Count < 10_000)
            {
                _texts.Add(text, text);
            }
        }

        return text;
    }

    private static char FindSeparator(ReadOnlySpan<byte> sample)
    {
        int end = sample.IndexOfAny((byte)'\n', (byte)'\r');
        ReadOnlySpan<byte> header = end < 0 ? sample : sample[..end];
        return header.Contains((byte)'\t') ? '\t'
            : header.Contains((byte)';') ? ';'
            : ',';
    }

    private bool FindDecimalMark(CsvReader sample, char separator, ProblemList problems)
    {
        if (separator == ',')
        {
            return false;
        }

        bool hasComma = false;
        bool hasPoint = false;
        List<int> columns = [.. _columns.Values.Select(v => v.Index)];
        if (_columns.Written is { } written)
        {
            columns.Add(written);
        }

        for (int row = 0; row < 500 && sample.Read(); row++)
        {
            foreach (int column in columns)
            {
                hasComma |= sample.GetSpan(column).Contains((byte)',');
                hasPoint |= sample.GetSpan(column).Contains((byte)'.');
            }
        }

        problems.Require(
            !(hasComma && hasPoint),
            "numbers",
            $"both . and ,",
            "one decimal mark; say which it is when the file has both"
        );
        return hasComma && !hasPoint;
    }

    private sealed record Origin(
        Id<Rig> Rig,
        Place Place,
        Id<Stage>? Stage,
        Id<Meter>? Meter,
        TimeZoneInfo Zone
    );
}
