using System.Text.Json;
using Rinsewright.App.Tests.CommandLine;
using Rinsewright.Cli;
using Rinsewright.Quantities;
using Rinsewright.Records.Forecasts;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Treatment;
using Fill = Rinsewright.Records.Logbook.Fill;

namespace Rinsewright.App.Tests.Records;

/// <summary>Forecasts that are kept, computed again, and scored when the truth is known.</summary>
public sealed class KeptForecastTests
{
    [Fact]
    public async Task A_kept_forecast_is_computed_again_from_its_seed_and_scored_when_the_record_has_gone_on()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        CliRun none = await home.RunAsync("forecast", "Van 1", "--scores", "--json");
        Assert.Equal((ExitCode.Done, ""), (none.ExitCode, none.Error));
        Assert.Equal(0, none.Json.GetProperty("scored").GetInt32());
        Assert.Equal(JsonValueKind.Null, none.Json.GetProperty("mean_crps_liters").ValueKind);
        CliRun run = await home.RunAsync([
            "forecast",
            "Van 1",
            "--at",
            "2025-06-01 12:00",
            "--members",
            "60",
            "--seed",
            "7",
            "--fill-cost",
            "80",
            "--spot-cost",
            "0.2",
            "--keep",
            "--json",
        ]);
        Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
        string[] ids = [.. run.Json.GetProperty("kept_as").EnumerateArray().Select(i => i.GetString()!)];
        Assert.Equal(2, ids.Length);
        foreach (string one in ids)
        {
            KeptForecast kept = await RecomputeAsync(home.Record, new Id<KeptForecast>(Guid.Parse(one)));
            Assert.Equal(
                kept.Line is "10 ppm",
                kept.CostThen_per_m3 < kept.CostNow_per_m3 && kept.ChangeAfter_m3 > 0
            );
        }

        string id = ids[0];

        CliRun scores = await home.RunAsync("forecast", "Van 1", "--scores", "--json");
        Assert.Equal((ExitCode.Done, ""), (scores.ExitCode, scores.Error));
        JsonElement scored = Assert.Single(scores.Json.GetProperty("forecasts").EnumerateArray());
        Assert.Equal(id, scored.GetProperty("id").GetString());
        // Nobody tested silica before that fill was taken out.
        Assert.Equal(0, scores.Json.GetProperty("waiting_for_silica").GetInt32());
        JsonElement truth = scored.GetProperty("truth");
        Assert.True(truth.GetProperty("passed").GetBoolean());
        Assert.InRange(
            truth.GetProperty("least_liters").GetDouble(),
            0,
            truth.GetProperty("most_liters").GetDouble()
        );
        Assert.True(scored.GetProperty("crps_liters").GetDouble() > 0);
        Assert.Equal(
            scores.Json.GetProperty("mean_crps_liters").GetDouble(),
            scored.GetProperty("crps_liters").GetDouble()
        );
        double[] curve =
        [
            .. scores
                .Json.GetProperty("calibration")
                .EnumerateArray()
                .Select(p => p.GetProperty("truths_share").GetDouble()),
        ];
        Assert.Equal(11, curve.Length);
        Assert.Equal(curve.Order(), curve);
        CliRun text = await home.RunAsync("forecast", "Van 1", "--scores");
        Assert.Equal((ExitCode.Done, ""), (text.ExitCode, text.Error));
        Assert.Contains("Mean score", text.Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task What_was_advised_on_moving_beds_up_is_computed_again_too()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        CliRun run = await home.RunAsync([
            "forecast",
            "Wall set",
            "--at",
            "2026-02-20 12:00",
            "--members",
            "60",
            "--seed",
            "7",
            "--fill-cost",
            "80",
            "--spot-cost",
            "0.2",
            "--keep",
            "--json",
        ]);
        Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
        JsonElement rotate = run.Json.GetProperty("change").GetProperty("rotate").GetProperty("cost_share");
        JsonElement id = run.Json.GetProperty("kept_as").EnumerateArray().First();
        KeptForecast kept = await RecomputeAsync(home.Record, new Id<KeptForecast>(id.GetGuid()));
        Assert.Equal(3, kept.RotationCostShares!.Length);
        Assert.Equal(rotate.GetProperty("median").GetDouble(), kept.RotationCostShares[0]!.Value, 1e-5);
    }

    private static async Task<KeptForecast> RecomputeAsync(string record, Id<KeptForecast> id)
    {
        await using LogbookStore store = await LogbookStore.OpenAsync(
            StoreAddress.InFolder(record),
            TimeProvider.System
        );
        await using LogbookContext context = store.Read();
        KeptForecast kept = (await context.FindAsync<KeptForecast>(id))!;
        RigHistory history = (await RigHistory.LoadAsync(context, kept.RigId, kept.At))!;
        RigForecast again = RigForecast.Of(
            history,
            kept.At,
            kept.Members,
            kept.Seed,
            out IReadOnlyList<InputProblem> problems
        )!;
        Assert.Empty(problems);
        Assert.True(ChangeOutLine.TryParse("line", kept.Line, out ChangeOutLine? line, out _));
        KeptForecast computed = ForecastKeeping.Of(
            store.Ids,
            again,
            again.Answers.To(line, kept.MeterFactor),
            kept.MeterFactor,
            kept.At,
            kept.Seed,
            kept is { FillCost: { } fill, SpotCost_per_m3: { } spot }
                ? new ChangeCosts(fill, spot / 1000)
                : null,
            kept.RotationCostShares is null ? null : again.RotationAt(line, kept.MeterFactor)
        );
        Assert.Equal(
            (kept.ChangeAfter_m3, kept.CostNow_per_m3, kept.CostThen_per_m3),
            (computed.ChangeAfter_m3, computed.CostNow_per_m3, computed.CostThen_per_m3)
        );
        Assert.Equal(kept.FillId, computed.FillId);
        Assert.Equal(kept.Model, computed.Model);
        Assert.Equal(kept.LeftQuantiles_m3, computed.LeftQuantiles_m3);
        Assert.Equal(kept.DaysQuantiles_d, computed.DaysQuantiles_d);
        Assert.Equal(kept.PassedNow, computed.PassedNow);
        Assert.Equal(kept.RotationCostShares, computed.RotationCostShares);
        Assert.Contains(kept.LeftQuantiles_m3, q => q > 0);
        return kept;
    }

    [Fact]
    public async Task A_forecast_is_kept_or_scored_but_not_both_at_once()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        CliRun run = await home.RunAsync("forecast", "Van 1", "--keep", "--scores");
        Assert.Equal(ExitCode.BadInput, run.ExitCode);
        Assert.StartsWith("--keep", Assert.Single(run.Problems), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_line_of_silica_is_passed_by_silica_tests_and_never_by_a_meter()
    {
        Story story = await Story.OfAsync(
            takenOut: null,
            [(1, 2), (20, 60), (24, 80)],
            [(5, "0.3"), (12, "<2"), (15, "<0.5"), (25, "1.4")]
        );
        ForecastScores scores = story.Scores([10], "1 mg/L silica");
        // That it is less than 2 mg/L on day 12 says nothing of a line of 1 mg/L.
        LineTruth truth = Assert.Single(scores.Scored).Truth;
        Assert.Equal((50, 150), (truth.Least_L, truth.Most_L), Close);
        ForecastScores waiting = story.Scores([10, 11], "2 mg/L silica");
        Assert.Equal((0, 2, 2), (waiting.Scored.Length, waiting.Waiting, waiting.WaitingForSilica));
        Assert.Equal(200, story.Scores(at: 0).Scored[0].Truth.Most_L, 1e-9);
    }

    [Fact]
    public async Task Residue_and_spots_are_kept_and_never_scored()
    {
        Story story = await Story.OfAsync((1, 2), (20, 60), (24, 80));
        foreach (string line in (string[])["5 mg/L residue", "20 mg/m2"])
        {
            ForecastScores scores = story.Scores([5, 10], line);
            Assert.Equal((0, 0, 2), (scores.Scored.Length, scores.Waiting, scores.NeverScored));
            Assert.Equal(TestRecord.Start.AddDays(10), Assert.Single(scores.Newest).At);
        }
    }

    [Fact]
    public async Task A_line_is_passed_between_the_last_reading_below_and_the_first_that_is_borne_out()
    {
        Story story = await Story.OfAsync(
            (1, 2),
            (5, 30), // a slip: the next reading is below again
            (6, 3),
            (20, 6),
            (24, 12),
            (25, 15)
        );
        ScoredForecast scored = Assert.Single(story.Scores(at: 10).Scored);
        Assert.True(scored.Truth.IsPassed);
        Assert.Equal((100, 140), (scored.Truth.Least_L, scored.Truth.Most_L), Close);
        Assert.Equal((10, 14), (scored.Truth.Least_d, scored.Truth.Most_d), Close);
        // Quantiles from 0 to 400 L: a quarter of the forecast lies below 100 L, 35 % below 140 L.
        Assert.Equal((0.25, 0.35), (scored.Place.Below, scored.Place.UpTo), Close);
        Assert.Equal((400 / 3.0 * (1 / 64.0 + 0.65 * 0.65 * 0.65)), scored.Crps_L, 1e-9);
        // Seen from between the two readings it may have been passed already.
        LineTruth late = Assert.Single(story.Scores(at: 22).Scored).Truth;
        Assert.Equal((0, 20), (late.Least_L, late.Most_L), Close);
        // Who asks after the reading is told nothing that could come true.
        Assert.Empty(story.Scores(at: 24.5).Scored);
    }

    [Fact]
    public async Task A_fill_taken_out_before_its_line_says_only_that_more_was_left()
    {
        Story story = await Story.OfAsync(takenOut: 30, (1, 2), (20, 6), (25, 7));
        ForecastScores scores = story.Scores(at: 10);
        ScoredForecast scored = Assert.Single(scores.Scored);
        Assert.False(scored.Truth.IsPassed);
        Assert.Equal(150, scored.Truth.Least_L, 1e-9);
        Assert.Equal((0.375, 1), (scored.Place.Below, scored.Place.UpTo), Close);
        Assert.Equal(400 / 3.0 * 0.375 * 0.375 * 0.375, scored.Crps_L, 1e-9);
        Assert.Equal(0.2, scores.InLower(0.5)!.Value, 1e-9);
        Assert.Null(scores.MeanCrps_L);
        Assert.Empty(story.Scores(at: 26).Scored);
    }

    [Fact]
    public async Task A_fill_that_is_in_and_below_its_line_keeps_its_forecasts_waiting()
    {
        Story story = await Story.OfAsync((1, 2), (20, 6));
        ForecastScores scores = story.Scores(at: 10);
        Assert.Empty(scores.Scored);
        Assert.Equal(1, scores.Waiting);
        Assert.Null(scores.Held(0.8));
        Assert.Null(scores.MeanCrps_L);
    }

    [Fact]
    public async Task Every_fill_counts_alike_however_many_of_its_forecasts_were_kept()
    {
        Story one = await Story.OfAsync((1, 2), (20, 6), (21, 12));
        Story other = await Story.OfAsync((1, 2), (35, 6), (36, 12));
        ForecastScores many = one.Scores(Enumerable.Range(10, 9).Select(d => (double)d));
        ForecastScores single = other.Scores(at: 10);
        var both = new ForecastScores { Scored = [.. many.Scored, .. single.Scored], Waiting = 0 };
        Assert.Equal(2, both.Fills);
        Assert.Equal(
            0.5 * (many.Scored.Average(s => s.Crps_L) + single.Scored[0].Crps_L),
            both.MeanCrps_L!.Value,
            1e-9
        );
    }

    [Fact]
    public async Task What_the_program_keeps_of_itself_is_not_what_undo_takes_back()
    {
        await using TestRecord record = await TestRecord.OpenAsync(DatabaseKind.Sqlite);
        var entries = new Entries(record.Store.Ids);
        var fill = entries.OneOfEach().OfType<Fill>().Single() with { PurchaseId = null };
        await record.WriteAsync([.. entries.Basis, fill]);
        Edit note = await record.WriteAsync(entries.Note("wet"));
        KeptForecast kept = entries.Kept(fill, TestRecord.Start.AddDays(1), i => i / 100.0);
        var day = new DateOnly(2026, 3, 2);
        WriteOutcome first = await record.Store.WriteAsync(ForecastKeeping.OfTheDay(kept, day), [kept]);
        KeptForecast again = entries.Kept(fill, TestRecord.Start.AddDays(1.2), i => i / 200.0);
        WriteOutcome second = await record.Store.WriteAsync(ForecastKeeping.OfTheDay(again, day), [again]);
        Assert.Equal(first.Edit!.Number, second.Edit!.Number);
        CliRun undo = await CliRun.OfAsync(terminal =>
            Commands.RunAsync(["undo", "--json", "--data", record.Address.Folder!], terminal)
        );
        Assert.Equal((ExitCode.Done, ""), (undo.ExitCode, undo.Error));
        Assert.Equal(note.Number, undo.Json.GetProperty("undoes").GetInt64());
        await using LogbookContext context = record.Store.Read();
        Assert.Equal(kept.At, Assert.Single(context.Live<KeptForecast>()).At);
    }

    private static bool Close((double, double) a, (double, double) b) =>
        Math.Abs(a.Item1 - b.Item1) < 1e-9 && Math.Abs(a.Item2 - b.Item2) < 1e-9;

    /// <summary>A fill with ten litres a day and readings behind it, loaded as a history.</summary>
    private sealed record Story(RigHistory History, Entries Entries, Fill Fill)
    {
        public static Task<Story> OfAsync(params (double Day, double Ppm)[] readings) =>
            OfAsync(takenOut: null, readings);

        public static Task<Story> OfAsync(double? takenOut, params (double Day, double Ppm)[] readings) =>
            OfAsync(takenOut, readings, []);

        public static async Task<Story> OfAsync(
            double? takenOut,
            (double Day, double Ppm)[] readings,
            (double Day, string Written)[] silica
        )
        {
            await using TestRecord record = await TestRecord.OpenAsync(DatabaseKind.Sqlite);
            var entries = new Entries(record.Store.Ids);
            Fill fill = entries.OneOfEach().OfType<Fill>().Single() with
            {
                PurchaseId = null,
                TakenOutAt = takenOut is { } day ? TestRecord.Start.AddDays(day) : null,
            };
            await record.WriteAsync([
                .. entries.Basis,
                fill,
                .. Enumerable
                    .Range(0, 40)
                    .Select(d => new Draw
                    {
                        Id = record.Store.Ids.Next<Draw>(),
                        RigId = entries.Rig.Id,
                        At = TestRecord.Start.AddDays(d + 0.5),
                        Volume_m3 = 0.01,
                        VolumeWritten = "10 L",
                        Basis = VolumeBasis.Measured,
                    }),
                .. readings.Select(r =>
                    entries.Reading(TestRecord.Start.AddDays(r.Day), r.Ppm) with
                    {
                        Temperature_K = 298.15,
                    }
                ),
                .. silica.Select(t =>
                {
                    Assert.True(
                        MeasurandText.TryParse(
                            "silica",
                            Measurand.Silica,
                            t.Written + " mg/L",
                            out WrittenValue? value,
                            out _
                        )
                    );
                    return entries.Reading(TestRecord.Start.AddDays(t.Day), 0) with
                    {
                        Measurand = Measurand.Silica,
                        Value_SI = value.Value_SI,
                        Written = value.Written,
                        Unit = value.Unit,
                        IsBelowLimit = value.IsBelowLimit,
                        Temperature_K = null,
                    };
                }),
            ]);
            await using LogbookContext context = record.Store.Read();
            return new Story((await RigHistory.LoadAsync(context, entries.Rig.Id))!, entries, fill);
        }

        public ForecastScores Scores(double at) => Scores([at]);

        public ForecastScores Scores(IEnumerable<double> at, string line = "10 ppm") =>
            ForecastScores.Of(
                History,
                [
                    .. at.Select(d =>
                        Entries.Kept(Fill, TestRecord.Start.AddDays(d), i => i / 100.0) with
                        {
                            Line = line,
                        }
                    ),
                ]
            );
    }
}
