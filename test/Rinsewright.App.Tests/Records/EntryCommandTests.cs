using System.Text.Json;
using System.Text.Json.Nodes;
using Rinsewright.App.Tests.CommandLine;
using Rinsewright.Cli;
using Rinsewright.Records.Storage;

namespace Rinsewright.App.Tests.Records;

/// <summary>Every kind of entry from the command line, on both databases.</summary>
public sealed class EntryCommandTests
{
    private static readonly byte[] Picture = [0x89, 0x50, 0x4E, 0x47, 0x0D, 0x0A, 0x1A, 0x0A, 0, 255, 1];

    private static readonly Lazy<Task<byte[]>> Filled = new(FillAsync);

    private static readonly string[][] OneOfEach =
    [
        ["person", "name=Ana", "units=us customary"],
        ["organisation", "name=Two vans"],
        ["source", "name=Town mains"],
        ["season", "source=town mains", "name=winter", "start_month=11", "specific_conductance=412 µS/cm"],
        ["rig", "name=Wall", "source=Town mains", "organisation=two vans", "time_zone=Europe/Vienna"],
        ["stage", "rig=Wall", "name=Bed", "position=1", "kind=mixed bed", "volume=10 L"],
        [
            "purchase",
            "what=resin",
            "kind=medium",
            "volume=25 L",
            "amount=189.50",
            "currency=EUR",
            "keeps_until=2028-06-30",
        ],
        ["fill", "stage=Bed", "medium=resin", "volume=10 L", "put_in_at=2026-03-01T08:00Z", "purchase=resin"],
        ["upkeep", "rig=Wall", "name=meter check", "every_days=30"],
        ["meter", "name=Pocket", "measurand=dissolved solids", "resolution=1 ppm"],
        [
            "bench_check",
            "meter=Pocket",
            "solution=KCl",
            "reference=42 ppm",
            "shown=44 ppm",
            "at=2026-03-01T09:00Z",
        ],
        ["wash_task", "name=last rinse", "volume=40 L", "flow=8 L/min"],
        ["habit", "rig=Wall", "wash task=last rinse", "times_per_week=4.5"],
        ["draw", "rig=Wall", "wash_task=last rinse", "volume=0.04", "basis=measured", "washes=1"],
        [
            "reading",
            "rig=Wall",
            "place=outlet",
            "stage=Bed",
            "meter=Pocket",
            "measurand=dissolved solids",
            "value=8 ppm",
            "temperature=6 °C",
            "settled=yes",
            "at=2026-03-02 10:00",
        ],
        [
            "price",
            "what=mains water",
            "kind=water",
            "amount=0.0031",
            "currency=EUR",
            "basis=per cubic meter",
            "from=2026-01-01",
        ],
        ["note", "rig=Wall", "text=O-ring renewed"],
        [
            "share_link",
            "rig=Wall",
            "kind=calendar",
            "name=phone",
            "token_hash=ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
            "shows_costs=no",
        ],
    ];

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task Every_kind_is_written_listed_and_moved_to_another_record_to_the_bit(
        DatabaseKind database
    )
    {
        await using TestRecord record = await TestRecord.OpenAsync(database);
        await record.Store.DisposeAsync();
        foreach (string[] line in OneOfEach)
        {
            await DoneAsync(record, ["log", "add", .. line]);
        }

        await DoneAsync(record, ["log", "add", .. await KeptForecastAsync(record)]);
        await DoneAsync(record, ["log", "add", .. await KeptWearAsync(record)]);
        string picture = Path.GetTempFileName();
        string back = picture + ".back";
        string export = picture + ".json";
        try
        {
            await File.WriteAllBytesAsync(picture, Picture);
            JsonElement kept = await DoneAsync(record, ["log", "photo", picture, "--caption", "spots"]);
            string id = kept.GetProperty("entries")[0]
                .GetProperty("photograph")
                .GetProperty("id")
                .GetString()!;
            await DoneAsync(record, ["log", "show", "photograph", id, "--to", back]);
            Assert.Equal(Picture, await File.ReadAllBytesAsync(back));
            foreach (EntryKind kind in EntryKind.All)
            {
                JsonElement list = await DoneAsync(record, ["log", "list", kind.Name]);
                Assert.True(list.GetProperty(kind.Name).GetArrayLength() == 1, kind.Name);
            }

            await DoneAsync(record, ["export", export]);
            await using TestRecord other = await TestRecord.OpenAsync(
                database is DatabaseKind.Sqlite ? DatabaseKind.Postgres : DatabaseKind.Sqlite
            );
            await other.Store.DisposeAsync();
            await DoneAsync(other, ["import", export]);
            await DoneAsync(other, ["export", back]);
            Assert.Equal(await File.ReadAllBytesAsync(export), await File.ReadAllBytesAsync(back));
        }
        finally
        {
            foreach (string file in (string[])[picture, back, export])
            {
                File.Delete(file);
            }
        }
    }

    /// <summary>A fill has no name, so a forecast of it names it by its id.</summary>
    private static async Task<string[]> KeptWearAsync(TestRecord record) =>
        [
            "kept_wear",
            .. (await KeptForecastAsync(record)).Where(f =>
                f.Split('_', '=')[0] is "rig" or "stage" or "fill" or "at" or "seed" or "days"
            ),
            "ended_by=0.1 mg/L chlorine in its outlet",
            "service_until=2026-09-01T08:00:00.000Z",
        ];

    private static async Task<string[]> KeptForecastAsync(TestRecord record)
    {
        JsonElement fill = (await DoneAsync(record, ["log", "list", "fill"])).GetProperty("fill")[0];
        string quantiles = $"[{string.Join(", ", Enumerable.Range(0, 40).Select(i => 0.25 * i))}, null]";
        return
        [
            "kept_forecast",
            "rig=Wall",
            "stage=Bed",
            $"fill={fill.GetProperty("id").GetString()}",
            "model=1",
            "members=1000",
            "seed=1",
            "line=10 ppm",
            "meter_factor=0.5",
            $"left_quantiles_m3={quantiles}",
            $"days_quantiles_d={quantiles}",
            "passed_now=0.125",
        ];
    }

    [Fact]
    public async Task Fields_are_kept_in_SI_beside_what_was_written()
    {
        await using TestRecord record = await FilledAsync();
        JsonElement stage = await OnlyAsync(record, "stage");
        Assert.Equal(0.01, stage.GetProperty("volume_m3").GetDouble());
        Assert.Equal("10 L", stage.GetProperty("volume_written").GetString());
        Assert.Equal("0.04 m3", (await OnlyAsync(record, "draw")).GetProperty("volume_written").GetString());
        JsonElement season = await OnlyAsync(record, "season");
        Assert.Equal(0.0412, season.GetProperty("specific_conductance_S_m").GetDouble(), 1e-12);
        JsonElement check = await OnlyAsync(record, "bench_check");
        Assert.Equal(0.042, check.GetProperty("reference_SI").GetDouble(), 1e-12);
        Assert.Equal(
            ("44", "ppm"),
            (check.GetProperty("shown_written").GetString(), check.GetProperty("unit").GetString())
        );
        // Ten in the morning in Vienna.
        JsonElement reading = (await OnlyAsync(record, "reading")).GetProperty("written");
        Assert.Equal("2026-03-02T09:00:00.000Z", reading.GetProperty("at").GetString());
        Assert.Equal(279.15, reading.GetProperty("temperature_K").GetDouble(), 1e-9);
    }

    [Fact]
    public async Task A_reading_is_listed_with_what_it_stands_for_and_what_may_be_wrong_with_it()
    {
        await using TestRecord record = await FilledAsync();
        JsonElement reading = await OnlyAsync(record, "reading");
        JsonElement conductance = reading.GetProperty("true_conductance_uS_cm");
        // 8 ppm are 16 µS/cm by its factor; it shows 5 % too much, and the water is cold.
        Assert.InRange(conductance.GetProperty("median").GetDouble(), 14, 16);
        Assert.True(conductance.GetProperty("p05").GetDouble() < conductance.GetProperty("p95").GetDouble());
        Assert.Equal(
            ["cold"],
            reading.GetProperty("remarks").EnumerateArray().Select(r => r.GetProperty("fault").GetString()!)
        );
        CliRun text = await RunAsync(record, ["log", "list"]);
        Assert.Contains("8 ppm", text.Output, StringComparison.Ordinal);
        Assert.Contains("cold: Let a cup", text.Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task An_entry_is_corrected_shown_with_its_history_deleted_and_brought_back()
    {
        await using TestRecord record = await FilledAsync();
        JsonElement before = (await OnlyAsync(record, "reading")).GetProperty("written");
        string id = before.GetProperty("id").GetString()!;
        await DoneAsync(
            record,
            ["log", "edit", "reading", id, "value=<3 ppm", "temperature=", "--by", "Ben", "--why", "misread"]
        );
        JsonElement[] versions =
        [
            .. (await DoneAsync(record, ["log", "show", "reading", id]))
                .GetProperty("versions")
                .EnumerateArray(),
        ];
        Assert.Equal(2, versions.Length);
        Assert.True(
            JsonNode.DeepEquals(
                JsonNode.Parse(before.GetRawText()),
                JsonNode.Parse(versions[0].GetProperty("reading").GetRawText())
            )
        );
        JsonElement after = versions[1].GetProperty("reading");
        Assert.Equal(0.003, after.GetProperty("value_SI").GetDouble(), 1e-12);
        Assert.Equal("<3", after.GetProperty("written").GetString());
        Assert.True(after.GetProperty("is_below_limit").GetBoolean());
        Assert.Equal(JsonValueKind.Null, after.GetProperty("temperature_K").ValueKind);
        Assert.Equal(
            ("Ben", "misread"),
            (versions[1].GetProperty("author").GetString(), versions[1].GetProperty("reason").GetString())
        );

        await DoneAsync(record, ["log", "delete", "reading", id]);
        Assert.Equal(0, (await DoneAsync(record, ["log", "list"])).GetProperty("reading").GetArrayLength());
        await DoneAsync(record, ["undo"]);
        await DoneAsync(record, ["undo"]);
        JsonElement restored = (await OnlyAsync(record, "reading")).GetProperty("written");
        Assert.Equal("8", restored.GetProperty("written").GetString());
        await DoneAsync(record, ["redo"]);
        Assert.Equal(
            "<3",
            (await OnlyAsync(record, "reading")).GetProperty("written").GetProperty("written").GetString()
        );
    }

    [Fact]
    public async Task The_shelf_holds_what_was_bought_and_not_yet_used_until_its_date()
    {
        await using TestRecord record = await FilledAsync();
        foreach ((string day, bool isPast) in new[] { ("2028-06-30", false), ("2028-07-01", true) })
        {
            JsonElement stock = (await DoneAsync(record, ["log", "stock", "--on", day])).GetProperty("stock")[
                0
            ];
            Assert.Equal(15, stock.GetProperty("left_liters").GetDouble(), 1e-9);
            Assert.Equal(isPast, stock.GetProperty("is_past_its_date").GetBoolean());
        }

        CliRun text = await RunAsync(record, ["log", "stock", "--on", "2028-06-20"]);
        Assert.Contains(" 10", text.Output, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("log add dragon name=Smok", "KIND")]
    [InlineData("log add rig colour=red", "colour")]
    [InlineData("log add draw volume=40", "rig_id", "basis")]
    [InlineData(
        "log add stage rig=Nowhere name=Bed position=first kind=magic volume=plenty",
        "rig_id",
        "position",
        "kind",
        "volume_m3"
    )]
    [InlineData("log add reading rig=Wall place=nozzle measurand=ph value=15", "value_SI")]
    [InlineData("log edit rig Wall name=", "name")]
    [InlineData("log edit rig Wall name", "FIELD=VALUE")]
    [InlineData("log delete rig Nowhere", "WHICH")]
    [InlineData("log list dragon --last 0", "KIND", "--last")]
    [InlineData("log photo nowhere.png", "FILE")]
    [InlineData("log show rig Wall --to file", "--to")]
    [InlineData("meter Nowhere --at noon", "METER", "--at")]
    [InlineData("meter Pocket --shows warm", "--shows")]
    public async Task Bad_input_is_named_and_writes_nothing(string line, params string[] places)
    {
        await using TestRecord record = await FilledAsync();
        string before = (await RunAsync(record, ["export"])).Output;
        CliRun run = await RunAsync(record, line.Split(' '));
        Assert.Equal((ExitCode.BadInput, ""), (run.ExitCode, run.Output));
        Assert.Equal(places, run.Problems.Select(p => p.Split(':')[0]));
        Assert.Equal(before, (await RunAsync(record, ["export"])).Output);
    }

    private static async Task<TestRecord> FilledAsync()
    {
        TestRecord record = await TestRecord.CreateAsync(DatabaseKind.Sqlite);
        await File.WriteAllBytesAsync(record.Address.DatabaseFile, await Filled.Value);
        return record;
    }

    /// <summary>The file of a record with one of each.</summary>
    private static async Task<byte[]> FillAsync()
    {
        await using TestRecord record = await TestRecord.OpenAsync(DatabaseKind.Sqlite);
        await record.Store.DisposeAsync();
        foreach (string[] line in OneOfEach)
        {
            await DoneAsync(record, ["log", "add", .. line]);
        }

        // A backup is whole in its one file.
        return await File.ReadAllBytesAsync(
            await new Backups(record.Address, record.Clock).MakeAsync(default)
        );
    }

    private static async Task<JsonElement> OnlyAsync(TestRecord record, string kind) =>
        Assert.Single(
            (await DoneAsync(record, ["log", "list", kind])).GetProperty(kind).EnumerateArray().ToArray()
        );

    private static async Task<JsonElement> DoneAsync(TestRecord record, string[] args)
    {
        CliRun run = await RunAsync(record, [.. args, "--json"]);
        Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
        return run.Json;
    }

    private static Task<CliRun> RunAsync(TestRecord record, string[] args) =>
        CliRun.OfAsync([.. args, "--data", record.Address.Folder ?? record.Address.ConnectionString!]);
}
