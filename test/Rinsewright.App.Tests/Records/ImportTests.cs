using System.Text;
using CsCheck;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Records.Trust;
using Rinsewright.Water;

namespace Rinsewright.App.Tests.Records;

public sealed class ImportTests
{
    private static readonly ReadingCsvOptions Defaults = new();
    private static readonly string[] Pieces =
    [
        "at",
        "tds (ppm)",
        "Bed",
        "stage",
        ",",
        ";",
        "\n",
        "\"",
        "2026-03-01",
        "<",
        "1,5",
        "\t",
    ];

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task Columns_may_stand_in_any_order_and_say_their_unit(DatabaseKind database)
    {
        await using TestRecord record = await FilledAsync(database);
        ImportReport report = await ImportAsync(
            record,
            "tds (ppm),temperature (°C),meter,when,stage,rig,settled,pressure [bar]\n"
                + "3,12,Pocket meter,2026-03-01 10:00,Bed,Van 1,yes,2.5\n"
                + "<1,,pocket METER,2026-03-02T10:00:30.250+01:00,bed,van 1,,\n"
        );
        Assert.Empty(report.Problems);
        Assert.Equal((2, 3), (report.Rows, report.Added));
        List<Reading> readings = await ReadingsAsync(record);
        Reading first = readings[0];
        Assert.Equal(Measurand.DissolvedSolids, first.Measurand);
        Assert.Equal(
            (0.003, "3", "ppm", 285.15, true),
            (first.Value_SI, first.Written, first.Unit, first.Temperature_K!.Value, first.IsSettled!.Value)
        );
        // The rig's clocks show Central European Time.
        Assert.Equal(new DateTimeOffset(2026, 3, 1, 9, 0, 0, TimeSpan.Zero), first.At);
        Assert.Equal(250_000, readings.Single(r => r.Measurand is Measurand.Pressure).Value_SI);
        Assert.Equal(
            (0.001, "<1", true),
            (readings[2].Value_SI, readings[2].Written, readings[2].IsBelowLimit)
        );
        Assert.Equal(new DateTimeOffset(2026, 3, 2, 9, 0, 30, 250, TimeSpan.Zero), readings[2].At);
    }

    [Theory]
    [InlineData("at;conductivity (µS/cm)\n2026-03-01 10:00;12,5\n", null)]
    [InlineData("at\tconductivity_uS_cm\n2026-03-01 10:00\t12.5\n", null)]
    [InlineData("at,conductivity (mS/m)\n2026-03-01 10:00,\"1.25\"\n", null)]
    [InlineData("at;conductivity (uS/cm)\n01.03.2026 10:00;12,5\n", "dd.MM.yyyy HH:mm")]
    [InlineData("date,time,conductivity (uS/cm)\n3/1/2026,10:00 AM,12.5\n", "M/d/yyyy h:mm tt")]
    [InlineData("\ufeffat,conductivity (uS/cm)\r\n2026-03-01T09:00Z,12.5\r\n", null)]
    public async Task Separators_decimal_marks_and_dates_of_every_custom_are_read(string csv, string? dates)
    {
        await using TestRecord record = await FilledAsync(DatabaseKind.Sqlite);
        ImportReport report = await ImportAsync(record, csv, Defaults with { DateFormat = dates });
        Assert.Empty(report.Problems);
        Reading reading = Assert.Single(await ReadingsAsync(record));
        Assert.Equal(0.00125, reading.Value_SI, 15);
        Assert.Equal(new DateTimeOffset(2026, 3, 1, 9, 0, 0, TimeSpan.Zero), reading.At);
    }

    [Fact]
    public async Task Signs_and_limits_are_read_as_the_record_writes_them()
    {
        await using TestRecord record = await FilledAsync(DatabaseKind.Sqlite);
        ImportReport report = await ImportAsync(
            record,
            "at;temperature (°C);tds (ppm)\n2026-03-01 10:00;−0,5;≤0,5\n2026-03-02 10:00;-1;<= 0,7\n"
        );
        Assert.Empty(report.Problems);
        Assert.Equal(
            [(0.0005, true, 272.65), (0.0007, true, 272.15)],
            (await ReadingsAsync(record)).Select(r => (r.Value_SI, r.IsBelowLimit, r.Temperature_K!.Value))
        );
    }

    [Theory]
    [InlineData("dd.MM.yyyy HH:mm zzz", "01.03.2026 10:00 +03:00")]
    [InlineData("dd.MM.yyyy HH:mmK", "01.03.2026 07:00Z")]
    [InlineData("dd.MM.yyyy HH:mm", "01.03.2026 08:00")]
    public async Task A_declared_format_may_state_the_offset(string format, string at)
    {
        await using TestRecord record = await FilledAsync(DatabaseKind.Sqlite);
        ImportReport report = await ImportAsync(
            record,
            $"at,conductivity (uS/cm)\n{at},12.5\n",
            Defaults with
            {
                DateFormat = format,
            }
        );
        Assert.Empty(report.Problems);
        Assert.Equal(
            new DateTimeOffset(2026, 3, 1, 7, 0, 0, TimeSpan.Zero),
            Assert.Single(await ReadingsAsync(record)).At
        );
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task A_file_with_bad_rows_is_refused_with_each_named_and_its_good_rows_can_be_taken(
        DatabaseKind database
    )
    {
        await using TestRecord record = await FilledAsync(database);
        const string csv =
            "at,rig,stage,tds (ppm)\n"
            + "2026-03-01 10:00,Van 1,Bed,3\n"
            + "2026-02-30 10:00,Van 1,Bed,3\n"
            + "2026-03-29 02:30,Van 1,Bed,3\n"
            + "2026-03-02 10:00,Van 9,Bed,3\n"
            + "2026-03-03 10:00,Van 1,Bed,\"1,234\"\n"
            + "2026-03-04 10:00,Van 1,Bed,-3\n"
            + "2026-03-05 10:00,Van 1,Bed,4\n";
        ImportReport refused = await ImportAsync(record, csv);
        Assert.Null(refused.Edit);
        Assert.Equal(
            [
                "row 3, at: 2026-02-30 10:00",
                "row 4, at: 2026-03-29 02:30",
                "row 5, rig: Van 9",
                "row 6, tds (ppm): 1,234",
                "reading value: -3 ppm",
            ],
            refused.Problems.Select(p => $"{p.Place}: {p.Text}")
        );
        Assert.All(refused.Problems, p => Assert.NotEmpty(p.Expected.ToString()));
        Assert.Empty(await ReadingsAsync(record));

        ImportReport taken = await ImportAsync(record, csv, skipBadRows: true);
        Assert.Equal((2, 5), (taken.Added, taken.ProblemCount));
        Assert.Equal(2, (await ReadingsAsync(record)).Count);
    }

    [Fact]
    public async Task A_quote_that_is_not_closed_is_named_and_what_stands_before_it_can_be_taken()
    {
        await using TestRecord record = await FilledAsync(DatabaseKind.Sqlite);
        const string csv =
            "at,stage,tds (ppm)\n"
            + "2026-03-01 10:00,Bed,3\n"
            + "2026-03-02 10:00,B\"ed,3\n"
            + "2026-03-03 10:00,\"Bed,3\n"
            + "2026-03-04 10:00,Bed,3\n";
        ImportReport refused = await ImportAsync(record, csv);
        Assert.Null(refused.Edit);
        Assert.Equal(["row 3", "row 4"], refused.Problems.Select(p => p.Place));
        Assert.Contains(
            "takes in all that follows",
            refused.Problems[1].Expected.ToString(),
            StringComparison.Ordinal
        );
        Assert.Equal(1, (await ImportAsync(record, csv, skipBadRows: true)).Added);

        // One that would take in a whole large file ends the reading instead.
        ImportReport endless = await ImportAsync(record, csv + new string('x', 1 << 20));
        Assert.Null(endless.Edit);
        Assert.Equal("row 3", endless.Problems[^1].Place);
        Assert.Contains("64 KiB", endless.Problems[^1].Expected.ToString(), StringComparison.Ordinal);
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task Importing_twice_is_importing_once_and_a_contradiction_is_named(DatabaseKind database)
    {
        await using TestRecord record = await FilledAsync(database);
        const string csv = "at,stage,tds (ppm)\n2026-03-01 10:00,Bed,3\n2026-03-02 10:00,Bed,4\n";
        Assert.Equal(2, (await ImportAsync(record, csv)).Added);
        ImportReport again = await ImportAsync(record, csv);
        Assert.Null(again.Edit);
        Assert.Equal((0, 2), (again.Added, again.AlreadyThere));

        ImportReport other = await ImportAsync(
            record,
            csv.Replace("Bed,4", "Bed,5", StringComparison.Ordinal) + "2026-03-03 10:00,Bed,6\n"
        );
        Assert.Null(other.Edit);
        Assert.Equal(("row 3", "5 ppm"), (other.Problems[0].Place, other.Problems[0].Text.ToString()));
        Assert.Equal(2, (await ReadingsAsync(record)).Count);

        // Also where some reading of the record was deleted.
        await record.Store.DeleteAsync(TestRecord.Draft, (await ReadingsAsync(record))[0]);
        other = await ImportAsync(record, csv.Replace("Bed,4", "Bed,5", StringComparison.Ordinal));
        Assert.Equal("row 3", Assert.Single(other.Problems).Place);
        Assert.Equal(2, other.AlreadyThere);
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task One_undo_takes_an_import_back_and_a_deleted_row_does_not_return(DatabaseKind database)
    {
        await using TestRecord record = await FilledAsync(database);
        const string csv = "at,stage,tds (ppm)\n2026-03-01 10:00,Bed,3\n2026-03-02 10:00,Bed,4\n";
        Edit import = (await ImportAsync(record, csv)).Edit!;
        Assert.Empty((await record.Store.UndoAsync(TestRecord.Draft, import.Number)).Problems);
        Assert.Empty(await ReadingsAsync(record));
        ImportReport again = await ImportAsync(record, csv);
        Assert.Equal((0, 2), (again.Added, again.AlreadyThere));
        Assert.Empty((await record.Store.RedoAsync(TestRecord.Draft, import.Number)).Problems);
        Assert.Equal(2, (await ReadingsAsync(record)).Count);
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task A_preview_says_what_would_happen_and_writes_nothing(DatabaseKind database)
    {
        await using TestRecord record = await FilledAsync(database);
        ImportReport preview = await ImportAsync(
            record,
            "at,stage,tds (ppm)\n2026-03-01 10:00,Bed,3\n",
            preview: true
        );
        Assert.Equal((1, 1), (preview.Added, preview.FirstReadings.Count));
        Assert.Null(preview.Edit);
        Assert.Empty(await ReadingsAsync(record));
    }

    [Theory]
    [InlineData("tds (ppm)\n3\n", "header")]
    [InlineData("at,tds\n2026-03-01,3\n", "header")]
    [InlineData("at,colour\n2026-03-01,3\n", "header")]
    [InlineData("at;tds (ppm)\n2026-03-01;1,5\n2026-03-02;1.5\n", "numbers")]
    [InlineData("at,tds (ppm)\n2026-03-01,\"3\n", "row 2")]
    public async Task What_a_file_lacks_is_named(string csv, string place)
    {
        await using TestRecord record = await FilledAsync(DatabaseKind.Sqlite);
        ImportReport report = await ImportAsync(record, csv);
        Assert.Null(report.Edit);
        Assert.Contains(report.Problems, p => p.Place.StartsWith(place, StringComparison.Ordinal));
    }

    [Fact]
    public async Task No_file_makes_the_import_throw()
    {
        await using TestRecord record = await FilledAsync(DatabaseKind.Sqlite);
        Gen<string> piece = Gen.OneOf(
            Gen.String[0, 12],
            Gen.Int[0, Pieces.Length - 1].Select(i => Pieces[i])
        );
        await piece
            .Array[0, 24]
            .Repeat()
            .SampleAsync(
                async pieces => await ImportAsync(record, string.Concat(pieces), preview: true),
                iter: 60,
                threads: 1
            );
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task Exported_readings_are_taken_back_by_an_empty_record(DatabaseKind database)
    {
        await using TestRecord record = await FilledAsync(database);
        var entries = new Entries(record.Store.Ids);
        await record.WriteAsync(entries.OneOfEach());
        using var csv = new MemoryStream();
        Assert.Equal(1, await ReadingCsvExport.WriteAsync(record.Store, csv, default));
        string text = Encoding.UTF8.GetString(csv.ToArray());

        await using TestRecord other = await FilledAsync(database);
        ImportReport report = await ImportAsync(other, text);
        Assert.Empty(report.Problems);
        using var again = new MemoryStream();
        await ReadingCsvExport.WriteAsync(other.Store, again, default);
        // The other record knows of no bench check, so it corrects differently.
        Assert.Equal(AsWritten(text), AsWritten(Encoding.UTF8.GetString(again.ToArray())));

        await using LogbookContext context = record.Store.Read();
        Reading reading = Assert.Single(context.Live<Reading>());
        NormalEstimate worth = (await MeterTrust.ForAsync(context, reading.MeterId!.Value))!
            .Correct(reading)!
            .Conductance_uS_cm;
        string[] headers = text.Split("\r\n")[0].Split(',');
        string[] fields = text.Split("\r\n")[1].Split(',');
        Assert.Equal(["true_conductance_uS/cm", "true_conductance_sd_uS/cm", "remarks"], headers[^3..]);
        Assert.Equal(
            [
                FormattableString.Invariant($"{worth.Mean:G6}"),
                FormattableString.Invariant($"{worth.StandardDeviation:G6}"),
            ],
            fields[^3..^1]
        );

        static IEnumerable<string> AsWritten(string csv) =>
            csv.Split("\r\n", StringSplitOptions.RemoveEmptyEntries)
                .Select(l => string.Join(',', l.Split(',')[..12]));
    }

    [Theory]
    [InlineData(DatabaseKind.Sqlite, DatabaseKind.Postgres)]
    [InlineData(DatabaseKind.Postgres, DatabaseKind.Sqlite)]
    [InlineData(DatabaseKind.Sqlite, DatabaseKind.Sqlite)]
    public async Task A_record_exported_and_imported_is_the_same_to_the_bit(
        DatabaseKind from,
        DatabaseKind to
    )
    {
        await using TestRecord record = await TestRecord.OpenAsync(from);
        var entries = new Entries(record.Store.Ids);
        await record.WriteAsync(entries.OneOfEach());
        Edit renamed = await record.WriteAsync(await record.ReadAsync(entries.Rig.Id) with { Name = "Ü" });
        await record.Store.UndoAsync(new EditDraft("Ben", "typing \"slip\""), renamed.Number);
        await record.Store.DeleteAsync(TestRecord.Draft, await record.ReadAsync(entries.Pocket.Id));
        using var first = new MemoryStream();
        await RecordJson.ExportAsync(record.Store, first, default);

        await using TestRecord other = await TestRecord.OpenAsync(to);
        Assert.Empty(await RecordJson.ImportAsync(other.Store, first, default));
        using var second = new MemoryStream();
        await RecordJson.ExportAsync(other.Store, second, default);
        Assert.Equal(Encoding.UTF8.GetString(first.ToArray()), Encoding.UTF8.GetString(second.ToArray()));

        Edit next = await other.WriteAsync(entries.Note("written after the import"));
        Assert.True(next.Number > renamed.Number + 2);
        Assert.NotEmpty(await RecordJson.ImportAsync(other.Store, first, default));
    }

    [Theory]
    [InlineData("")]
    [InlineData("{}")]
    [InlineData("[{\"rinsewright_record\":1},{\"edit\":{\"number\":1}}]")]
    [InlineData("[{\"rinsewright_record\":2}]")]
    [InlineData("[{\"rinsewright_record\":1},{\"spaceship\":{}}]")]
    [InlineData("[{\"rinsewright_record\":1},{\"rig\":{\"id\":\"0197\"}}")]
    public async Task What_is_no_export_is_refused_and_leaves_nothing(string json)
    {
        await using TestRecord record = await TestRecord.OpenAsync(DatabaseKind.Sqlite);
        using var stream = new MemoryStream(Encoding.UTF8.GetBytes(json));
        Assert.NotEmpty(await RecordJson.ImportAsync(record.Store, stream, default));
        await using LogbookContext context = record.Store.Read();
        Assert.False(await context.Edits.AnyAsync(TestContext.Current.CancellationToken));
    }

    private static async Task<TestRecord> FilledAsync(DatabaseKind database)
    {
        TestRecord record = await TestRecord.OpenAsync(database);
        await record.WriteAsync(new Entries(record.Store.Ids).Basis);
        return record;
    }

    private static async Task<ImportReport> ImportAsync(
        TestRecord record,
        string csv,
        ReadingCsvOptions? options = null,
        bool preview = false,
        bool skipBadRows = false
    )
    {
        using var file = new MemoryStream(Encoding.UTF8.GetBytes(csv));
        return await ReadingImport.RunAsync(
            record.Store,
            file,
            options ?? Defaults,
            TestRecord.Draft,
            preview,
            skipBadRows
        );
    }

    private static async Task<List<Reading>> ReadingsAsync(TestRecord record)
    {
        await using LogbookContext context = record.Store.Read();
        return await context.Live<Reading>().OrderBy(r => r.At).ThenBy(r => r.Measurand).ToListAsync();
    }
}
