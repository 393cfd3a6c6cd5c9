using System.Collections.Immutable;
using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Rinsewright.Forecasting;
using Rinsewright.Quantities;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Forecasts;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Treatment;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright forecast</c>: what is left of a fill, when to change it, and why the meter reads what it reads.</summary>
internal static class ForecastCommand
{
    private const double MeterFactor = 0.5;
    private const int UsualMembers = 1000;
    private const int MostMembers = 20_000;
    private const int UsualSeed = 1;
    private const int ShownCauses = 4;
    private static readonly string[] UsualLines = ["10 ppm", "1 mg/L silica"];

    public static Command Create(Terminal terminal)
    {
        var verb = new Verb(
            "forecast",
            "Say what is left of the fill in a rig's last bed, when to change it, and why the meter reads what it reads.",
            "rinsewright forecast \"Van 1\"",
            "rinsewright forecast \"Van 1\" --line \"10 ppm\" --fill-cost 80 --spot-cost 0.5 --json"
        );
        Argument<string?> rig = verb.Takes<string?>(
            "RIG",
            "Name of the rig in the record; not needed when there is only one.",
            a => a.DefaultValueFactory = _ => null
        );
        Option<string[]> lines = verb.Has<string[]>(
            "--line",
            "A line to change out at, as for bed. May be repeated; else \"10 ppm\" and \"1 mg/L silica\"."
        );
        Option<string?> at = verb.Has<string?>("--at", "The moment of asking; now if not given.");
        Option<int?> members = verb.Has<int?>("--members", "Members of the forecast; 1000 if not given.");
        Option<int?> seed = verb.Has<int?>("--seed", "Seed of the chance in them; 1 if not given.");
        Option<double?> fillCost = verb.Has<double?>(
            "--fill-cost",
            "What a fill and its change cost, in your money: adds when a change is cheapest."
        );
        Option<double?> spotCost = verb.Has<double?>(
            "--spot-cost",
            "What a litre used past the first line costs you, in the same money; 0.5 if not given."
        );
        var record = new RecordOptions(verb, terminal, writes: false);
        verb.SetAction(
            async (line, cancel) =>
            {
                var problems = new ProblemList();
                ImmutableArray<ChangeOutLine> asked = LinesOf(line.GetValue(lines), problems);
                int count = line.GetValue(members) ?? UsualMembers;
                problems.Require(
                    count is >= 10 and <= MostMembers,
                    "--members",
                    $"{count}",
                    $"a whole number from 10 to {MostMembers}"
                );
                foreach (
                    (string name, double? cost) in new[]
                    {
                        ("--fill-cost", line.GetValue(fillCost)),
                        ("--spot-cost", line.GetValue(spotCost)),
                    }
                )
                {
                    problems.Require(cost is null or > 0, name, $"{cost}", "more than zero");
                }

                await using LogbookStore store = await record.OpenAsync(line, cancel);
                await using LogbookContext context = store.Read();
                RecordNames names = await RecordNames.LoadAsync(context, cancel);
                Records.Logbook.Rig? found = names.FindRig(line.GetValue(rig), "RIG", problems);
                DateTimeOffset moment = record.At(line.GetValue(at), found, problems);
                if (problems.Problems.Count > 0)
                {
                    return terminal.Refuse(problems.Problems);
                }

                RigHistory history = (await RigHistory.LoadAsync(context, found!.Id, moment, cancel))!;
                IReadOnlyList<InputProblem> missing = [];
                RigForecast? forecast = terminal.WithProgress(
                    found.Name,
                    progress =>
                        RigForecast.Of(
                            history,
                            moment,
                            count,
                            line.GetValue(seed) ?? UsualSeed,
                            out missing,
                            null,
                            progress,
                            cancel
                        )
                );
                if (forecast is null)
                {
                    return terminal.Refuse(missing);
                }

                var answer = new Answer(
                    forecast,
                    WearForecast.Of(history, moment, line.GetValue(seed) ?? UsualSeed),
                    moment,
                    line.GetValue(seed) ?? UsualSeed,
                    [.. asked.Select(l => forecast.Answers.To(l, MeterFactor))],
                    line.GetValue(fillCost) is { } cost1
                        ? forecast.Answers.WhenToChange(
                            asked[0],
                            MeterFactor,
                            cost1,
                            line.GetValue(spotCost) ?? 0.5
                        )
                        : null
                );
                return Verb.WantsJson(line) ? WriteJson(terminal, answer) : WriteText(terminal, answer);
            }
        );
        return verb;
    }

    /// <summary>All that is printed.</summary>
    private sealed record Answer(
        RigForecast Forecast,
        ImmutableArray<WearForecast> Before,
        DateTimeOffset At,
        int Seed,
        ImmutableArray<LineOutlook> Lines,
        ChangeAdvice? Change
    )
    {
        public FillForecast Answers => Forecast.Answers;

        public ImmutableArray<Explanation> Causes { get; } = Forecast.Answers.Explain();

        public IEnumerable<string> Remarks =>
            Forecast
                .Remarks.Concat(Before.SelectMany(b => b.Remarks.Select(r => $"{b.Stage.Stage.Name}: {r}")))
                .Distinct(StringComparer.Ordinal);

        public ImmutableArray<NextReading> Next { get; } =
            Forecast.Answers.WorthReading(Lines[0].Line, MeterFactor, 2);

        /// <summary>The date that lies some weeks on; nothing beyond ten years.</summary>
        public DateOnly? DateIn(double weeks) => weeks < 520 ? DayOf(At.AddDays(7 * weeks)) : null;

        public DateOnly DayOf(DateTimeOffset instant) =>
            DateOnly.FromDateTime(TimeZoneInfo.ConvertTime(instant, Forecast.History.Zone).DateTime);
    }

    private static ImmutableArray<ChangeOutLine> LinesOf(string[]? texts, ProblemList problems)
    {
        var read = ImmutableArray.CreateBuilder<ChangeOutLine>();
        foreach (string text in texts is { Length: > 0 } ? texts : UsualLines)
        {
            if (ChangeOutLine.TryParse("--line", text, out ChangeOutLine? parsed, out InputProblem? problem))
            {
                read.Add(parsed);
            }
            else
            {
                problems.Add(problem.Place, problem.Text, problem.Expected);
            }
        }

        return read.ToImmutable();
    }

    private static int WriteJson(Terminal terminal, Answer answer) =>
        terminal.WriteJson(json =>
        {
            RigForecast forecast = answer.Forecast;
            json.WriteString("rig", forecast.History.Rig.Name);
            json.WriteString("stage", forecast.Stage.Stage.Name);
            json.WriteString("fill", forecast.Fill.Fill.Medium);
            json.WriteString("put_in", forecast.Fill.Fill.PutInAt);
            json.WriteString("at", answer.At);
            json.WriteString("model", FillForecast.ModelVersion);
            json.WriteNumber("members", answer.Answers.Members);
            json.WriteNumber("seed", answer.Seed);
            json.WriteNumber("logged_liters", forecast.Case.LoggedLiters, JsonOutput.Digits);
            json.WriteNumber("readings", forecast.Case.Readings.Length);
            json.WriteStartArray("lines");
            foreach (LineOutlook line in answer.Lines)
            {
                json.WriteStartObject();
                json.WriteString("line", line.Line.Text);
                Write(json, "liters_left", line.Liters);
                Write(json, "us_gallons_left", Scaled(line.Liters, Volume.FromLiters(1).UsGallons));
                if (forecast.LitersPerWash is { } perWash)
                {
                    Write(json, "washes_left", Scaled(line.Liters, 1 / perWash));
                }

                Write(json, "weeks_left", line.Weeks);
                WriteDates(json, answer, line);
                json.WriteNumber("passed_now", line.PassedNow, 4);
                double[] liters = [.. line.LitersLeft];
                json.WriteNumbers(
                    "liters_left_quantiles",
                    [.. Enumerable.Range(0, 21).Select(i => Band.Quantile(liters, i / 20.0))]
                );
                json.WriteEndObject();
            }

            json.WriteEndArray();
            json.WriteStartArray("other_stages");
            foreach (WearForecast wear in answer.Before)
            {
                json.WriteStartObject();
                json.WriteString("stage", wear.Stage.Stage.Name);
                json.WriteString("fill", wear.Fill.Fill.Medium);
                json.WriteString("put_in", wear.Fill.Fill.PutInAt);
                json.WriteString("ended_by", wear.EndedBy);
                Write(json, "liters_left", wear.Outlook.Liters);
                Write(json, "us_gallons_left", Scaled(wear.Outlook.Liters, Volume.FromLiters(1).UsGallons));
                Write(json, "weeks_left", wear.Outlook.Weeks);
                WriteDates(json, answer, wear.Outlook);
                json.WriteNumber("passed_now", wear.Outlook.PassedNow, 4);
                json.WriteNumber("readings", wear.Readings);
                WriteDate(json, "service_until", answer.DayOf(wear.ServiceUntil));
                json.WriteEndObject();
            }

            json.WriteEndArray();
            Write(json, "source_uS_cm", answer.Answers.SourceNow);
            Write(json, "outlet_uS_cm", answer.Answers.OutletNow);
            Write(json, "bypass", answer.Answers.Bypass);
            json.WriteStartArray("next_readings");
            foreach (NextReading next in answer.Next)
            {
                json.WriteStartObject();
                json.WriteString("reading", next.Name);
                json.WriteNumber("narrows", next.Narrows, 3);
                json.WriteEndObject();
            }

            json.WriteEndArray();
            json.WriteStartArray("explanations");
            foreach (Explanation cause in answer.Causes)
            {
                json.WriteStartObject();
                json.WriteString("cause", cause.Cause);
                json.WriteNumber("probability", cause.Probability, 3);
                json.WriteString("evidence", cause.Evidence);
                json.WriteString("test", cause.Test);
                json.WriteEndObject();
            }

            json.WriteEndArray();
            if (answer.Change is { } change)
            {
                json.WriteStartObject("change");
                json.WriteNumber("liters_from_now", change.LitersFromNow, JsonOutput.Digits);
                json.WriteNumber("cost_per_liter_now", change.CostNow, 5);
                json.WriteNumber("cost_per_liter_then", change.CostThen, 5);
                json.WriteEndObject();
            }

            json.WriteStartArray("warnings");
            foreach (string remark in answer.Remarks)
            {
                json.WriteStringValue(remark);
            }

            json.WriteEndArray();
        });

    private static int WriteText(Terminal terminal, Answer answer)
    {
        RigForecast forecast = answer.Forecast;
        terminal.WriteHeading(
            FormattableString.Invariant(
                $"{forecast.History.Rig.Name}, {forecast.Stage.Stage.Name}: {forecast.Case.LoggedLiters:#,0} L drawn in {forecast.Case.Now:0} days, {forecast.Case.Readings.Length} readings"
            )
        );
        LineOutlook first = answer.Lines[0];
        terminal.WriteText(
            first.PassedNow > 0.5
                ? FormattableString.Invariant(
                    $"Change it: the water is past {first.Line.Text} with a probability of {first.PassedNow:P0}."
                )
                : FormattableString.Invariant(
                    $"About {Round(first.Liters.Median)} litres are left to {first.Line.Text} ({Round(first.Liters.P05)}–{Round(first.Liters.P95)}): change it around {Day(answer.DateIn(first.Weeks.Median))} ({Day(answer.DateIn(first.Weeks.P05))} to {Day(answer.DateIn(first.Weeks.P95))})."
                )
        );
        terminal.WriteTable(
            [
                Heading.Words("Line"),
                Heading.Number("litres left"),
                Heading.Number("US gal left"),
                Heading.Number("weeks left"),
                Heading.Number("passed now"),
            ],
            answer.Lines.Select(l =>
                (IReadOnlyList<string>)
                    [
                        l.Line.Text,
                        Text(l.Liters, 1),
                        Text(l.Liters, Volume.FromLiters(1).UsGallons),
                        Text(l.Weeks, 1),
                        l.PassedNow.ToString("P0", CultureInfo.InvariantCulture),
                    ]
            )
        );
        if (!answer.Before.IsEmpty)
        {
            terminal.WriteTable(
                [
                    Heading.Words("Before it"),
                    Heading.Number("litres left"),
                    Heading.Number("weeks left"),
                    Heading.Number("passed now"),
                    Heading.Words("by the calendar"),
                    Heading.Words("ended by"),
                ],
                answer.Before.Select(b =>
                    (IReadOnlyList<string>)
                        [
                            b.Stage.Stage.Name,
                            Text(b.Outlook.Liters, 1),
                            Text(b.Outlook.Weeks, 1),
                            b.Outlook.PassedNow.ToString("P0", CultureInfo.InvariantCulture),
                            Day(answer.DayOf(b.ServiceUntil)),
                            b.EndedBy,
                        ]
                )
            );
        }

        if (answer.Causes is [var likely, ..])
        {
            terminal.WriteText(
                $"The last reading at the outlet. {(likely.Cause is "as expected" ? likely.Evidence : "Possible causes, most probable first:")}"
            );
            foreach (Explanation cause in answer.Causes.Take(likely.Cause is "as expected" ? 0 : ShownCauses))
            {
                terminal.WriteText(
                    FormattableString.Invariant(
                        $"  {cause.Probability:P0} {cause.Cause}. {cause.Evidence} Test: {cause.Test}"
                    )
                );
            }
        }

        terminal.WriteText(
            FormattableString.Invariant(
                $"What would tell most next: {answer.Next[0].Name} (narrows the answer by {answer.Next[0].Narrows:P0})."
            )
        );
        if (answer.Change is { } change)
        {
            terminal.WriteText(
                double.IsFinite(change.LitersFromNow)
                    ? FormattableString.Invariant(
                        $"Cheapest: change it after {Round(change.LitersFromNow)} more litres ({change.CostThen:0.0000} a litre over its life; now it would be {change.CostNow:0.0000})."
                    )
                    : "Cheapest: go on, the line is not reached."
            );
        }

        foreach (string remark in answer.Remarks)
        {
            terminal.WriteCaution(remark);
        }

        terminal.WriteText("The figures are estimates; the water is not for drinking.");
        return ExitCode.Done;
    }

    private static string Round(double liters)
    {
        double step = liters switch
        {
            < 100 => 5,
            < 1000 => 10,
            _ => 50,
        };
        return double.IsFinite(liters)
            ? (step * Math.Round(liters / step)).ToString("#,0", CultureInfo.InvariantCulture)
            : "more than computed";
    }

    private static string Text(Band band, double factor)
    {
        string Of(double value) =>
            double.IsFinite(value)
                ? (factor * value).ToString(factor * value < 10 ? "0.#" : "#,0", CultureInfo.InvariantCulture)
                : "not reached";
        return $"{Of(band.Median)} ({Of(band.P05)}–{Of(band.P95)})";
    }

    private static string Day(DateOnly? date) =>
        date?.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture) ?? "beyond ten years";

    private static Band Scaled(Band band, double factor) =>
        new(factor * band.Median, factor * band.P05, factor * band.P95);

    private static void Write(Utf8JsonWriter json, string name, Band band) =>
        json.WriteInterval(name, band.Median, band.P05, band.P95);

    private static void WriteDates(Utf8JsonWriter json, Answer answer, StageOutlook outlook)
    {
        json.WriteStartObject("change_date");
        WriteDate(json, "median", answer.DateIn(outlook.Weeks.Median));
        WriteDate(json, "p05", answer.DateIn(outlook.Weeks.P05));
        WriteDate(json, "p95", answer.DateIn(outlook.Weeks.P95));
        json.WriteEndObject();
    }

    private static void WriteDate(Utf8JsonWriter json, string name, DateOnly? date)
    {
        if (date is { } day)
        {
            json.WriteString(name, day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture));
        }
        else
        {
            json.WriteNull(name);
        }
    }
}
