using System.Collections.Immutable;
using System.Globalization;
using System.Text.Json;
using Rinsewright.Forecasting;
using Rinsewright.Handouts;
using Rinsewright.Quantities;
using Rinsewright.Records.Forecasts;
using Rinsewright.Records.Logbook;
using Rinsewright.Treatment;

namespace Rinsewright.Cli.Record;

/// <summary>All that <c>forecast</c> prints.</summary>
internal sealed record ForecastAnswer(
    RigForecast Forecast,
    ImmutableArray<WearForecast> Before,
    DateTimeOffset At,
    int Seed,
    ImmutableArray<Id<KeptForecast>> Kept,
    ImmutableArray<LineOutlook> Lines,
    ChangeAdvice? Change,
    Rotation? Rotation
)
{
    public FillForecast Answers => Forecast.Answers;

    public ImmutableArray<Explanation> Causes { get; } = Forecast.Answers.Explain();

    public IEnumerable<string> Remarks =>
        Forecast
            .Remarks.Select(r => r.ToString())
            .Concat(Before.SelectMany(b => b.Remarks.Select(r => $"{b.Stage.Stage.Name}: {r}")))
            .Distinct(StringComparer.Ordinal);

    public ImmutableArray<NextReading> Next { get; } =
        Forecast.Answers.WorthReading(Lines[0].Line, ForecastCommand.MeterFactor, 2);

    /// <summary>The date that lies some weeks on; nothing beyond ten years.</summary>
    public DateOnly? DateIn(double weeks) => weeks < 520 ? DayOf(At.AddDays(7 * weeks)) : null;

    public DateOnly DayOf(DateTimeOffset instant) =>
        DateOnly.FromDateTime(TimeZoneInfo.ConvertTime(instant, Forecast.History.Zone).DateTime);
}

/// <summary>Prints the answer of <c>forecast</c>.</summary>
internal static class ForecastOutput
{
    private const int ShownCauses = 4;

    public static int WriteJson(Terminal terminal, ForecastAnswer answer) =>
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
                json.WriteString("ended_by", wear.EndedBy.ToString());
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
                json.WriteString("cause", cause.Cause.ToString());
                json.WriteNumber("probability", cause.Probability, 3);
                json.WriteString("evidence", cause.Evidence.ToString());
                json.WriteString("test", cause.Test.ToString());
                json.WriteEndObject();
            }

            json.WriteEndArray();
            if (answer.Change is { } change)
            {
                json.WriteStartObject("change");
                json.WriteNumber("liters_from_now", change.LitersFromNow, JsonOutput.Digits);
                json.WriteNumber("cost_per_liter_now", change.CostNow, 5);
                json.WriteNumber("cost_per_liter_then", change.CostThen, 5);
                if (answer.Rotation is { } rotation)
                {
                    json.WriteStartObject("rotate");
                    Write(json, "water_share", rotation.WaterShare);
                    Write(json, "cost_share", rotation.CostShare);
                    json.WriteEndObject();
                }

                json.WriteEndObject();
            }

            if (!answer.Kept.IsEmpty)
            {
                json.WriteStartArray("kept_as");
                foreach (Id<KeptForecast> id in answer.Kept)
                {
                    json.WriteStringValue(id.ToString());
                }

                json.WriteEndArray();
            }

            json.WriteStartArray("warnings");
            foreach (string remark in answer.Remarks)
            {
                json.WriteStringValue(remark);
            }

            json.WriteEndArray();
        });

    public static int WriteText(Terminal terminal, ForecastAnswer answer)
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
            : !double.IsFinite(first.Liters.Median)
                ? $"{first.Line.Text} is not reached within what was computed ({OpenRange.Of(first.Liters.P05, first.Liters.P95, Round, "–")} litres left)."
            : FormattableString.Invariant(
                $"About {Round(first.Liters.Median)} litres are left to {first.Line.Text} ({OpenRange.Of(first.Liters.P05, first.Liters.P95, Round, "–")}): change it around {Day(answer.DateIn(first.Weeks.Median))} ({Day(answer.DateIn(first.Weeks.P05))} to {Day(answer.DateIn(first.Weeks.P95))})."
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
                            b.EndedBy.ToString(),
                        ]
                )
            );
        }

        if (answer.Causes is [var likely, ..])
        {
            terminal.WriteText(
                $"The last reading at the outlet. {(likely.IsAsExpected ? $"{likely.Evidence}" : "Possible causes, most probable first:")}"
            );
            foreach (Explanation cause in answer.Causes.Take(likely.IsAsExpected ? 0 : ShownCauses))
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
                    : "Cheapest: go on; at these prices a change never pays."
            );
        }

        if (answer.Rotation is { } moved)
        {
            string least = answer.Forecast.FirstBed.Stage.Name;
            terminal.WriteText(
                FormattableString.Invariant(
                    $"Or rotate: at the line fill only the first bed ({least}) anew and put it last. Each such change gives {Percent(moved.WaterShare)} of the water that all {moved.Beds} filled together give, so that fills cost {Percent(moved.CostShare)} of theirs a litre."
                )
            );
        }

        foreach (string remark in answer.Remarks)
        {
            terminal.WriteCaution(remark);
        }

        if (!answer.Kept.IsEmpty)
        {
            string[] never =
            [
                .. answer
                    .Lines.Select(l => l.Line)
                    .Where(l => !ForecastLines.CanComeTrue(l))
                    .Select(l => l.Text),
            ];
            terminal.WriteText(
                never.Length == 0
                    ? "Kept: it is scored when a reading passes the line or the fill is changed."
                    : $"Kept: it is scored when a reading passes the line or the fill is changed; that to {string.Join(", ", never)} never, for no reading shows it."
            );
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
        return (step * Math.Round(liters / step)).ToString("#,0", CultureInfo.InvariantCulture);
    }

    private static string Text(Band band, double factor)
    {
        string Of(double value) =>
            (factor * value).ToString(factor * value < 10 ? "0.#" : "#,0", CultureInfo.InvariantCulture);
        string range = OpenRange.Of(band.P05, band.P95, Of, between: "–");
        return double.IsFinite(band.Median) ? $"{Of(band.Median)} ({range})"
            : double.IsFinite(band.P05) ? $"not reached ({range})"
            : "not reached";
    }

    private static string Day(DateOnly? date) =>
        date?.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture) ?? "beyond ten years";

    private static string Percent(Band share) =>
        FormattableString.Invariant($"{share.Median:P0} ({100 * share.P05:0}–{100 * share.P95:0})");

    private static Band Scaled(Band band, double factor) =>
        new(factor * band.Median, factor * band.P05, factor * band.P95);

    private static void Write(Utf8JsonWriter json, string name, Band band) =>
        json.WriteInterval(name, band.Median, band.P05, band.P95);

    private static void WriteDates(Utf8JsonWriter json, ForecastAnswer answer, StageOutlook outlook)
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
