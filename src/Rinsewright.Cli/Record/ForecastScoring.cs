using System.Globalization;
using System.Text.Json;
using Rinsewright.Records.Forecasts;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;
using Rinsewright.Treatment;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright forecast --scores</c>: how the kept forecasts of a rig have fared.</summary>
internal static class ForecastScoring
{
    private const int CurveSteps = 10;

    public static int WriteJson(Terminal terminal, RigHistory history, ForecastScores scores) =>
        terminal.WriteJson(json =>
        {
            json.WriteString("rig", history.Rig.Name);
            json.WriteNumber("scored", scores.Scored.Length);
            json.WriteNumber("fills", scores.Fills);
            json.WriteNumber("waiting", scores.Waiting);
            json.WriteNumber("waiting_for_silica", scores.WaitingForSilica);
            json.WriteNumber("never_scored", scores.NeverScored);
            json.WriteNumber("taken_out_before", scores.Scored.Count(s => !s.Truth.IsPassed));
            Write(json, "mean_crps_liters", scores.MeanCrps_L);
            Write(json, "mean_crps_days", scores.MeanCrps_d);
            Write(json, "held_80", scores.Held(0.8));
            Write(json, "held_95", scores.Held(0.95));
            json.WriteStartArray("calibration");
            foreach ((double share, double truths) in CurveOf(scores))
            {
                json.WriteStartObject();
                json.WriteNumber("forecast_share", share, JsonOutput.Digits);
                json.WriteNumber("truths_share", truths, JsonOutput.Digits);
                json.WriteEndObject();
            }

            json.WriteEndArray();
            json.WriteStartArray("forecasts");
            foreach (ScoredForecast scored in scores.Scored)
            {
                Write(json, scored);
            }

            json.WriteEndArray();
        });

    public static int WriteText(Terminal terminal, RigHistory history, ForecastScores scores)
    {
        terminal.WriteHeading($"{history.Rig.Name}: kept forecasts against what came true");
        if (scores.Scored.IsEmpty)
        {
            terminal.WriteText(
                scores.Waiting + scores.NeverScored == 0
                    ? "No forecast of this rig has been kept: 'rinsewright forecast RIG --keep' keeps one."
                    : FormattableString.Invariant(
                        $"{scores.Waiting} forecasts wait for their truth: a reading past the line, or a change before it."
                    )
            );
            WriteUnseen(terminal, scores);
            return ExitCode.Done;
        }

        terminal.WriteTable(
            [
                Heading.Words("Asked"),
                Heading.Words("line"),
                Heading.Number("litres left"),
                Heading.Number("true"),
                Heading.Number("score, L"),
                Heading.Number("score, d"),
                Heading.Number("place"),
            ],
            scores.Scored.Select(s =>
                (IReadOnlyList<string>)
                    [
                        TimeZoneInfo
                            .ConvertTime(s.Forecast.At, history.Zone)
                            .ToString("yyyy-MM-dd", CultureInfo.InvariantCulture),
                        s.Forecast.Line,
                        Text(ForecastKeeping.LeftOf(s.Forecast)),
                        s.Truth.IsPassed
                            ? $"{Text(s.Truth.Least_L)}–{Text(s.Truth.Most_L)}"
                            : $"over {Text(s.Truth.Least_L)}",
                        Text(s.Crps_L),
                        Text(s.Crps_d),
                        FormattableString.Invariant($"{s.Place.Below:0.00}–{s.Place.UpTo:0.00}"),
                    ]
            )
        );
        if (scores is { MeanCrps_L: { } liters, MeanCrps_d: { } days })
        {
            terminal.WriteText(
                FormattableString.Invariant(
                    $"Mean score {Text(liters)} L and {Text(days)} days where the line was passed (CRPS: 0 is perfect; for a single number it is the distance)."
                )
            );
        }

        terminal.WriteText(
            FormattableString.Invariant(
                $"Their middle 80 % held {scores.Held(0.8):P0} of the truths, their middle 95 % {scores.Held(0.95):P0}."
            )
        );
        terminal.WriteText(
            FormattableString.Invariant(
                $"Fills that these are of: {scores.Fills}; each counts alike, for its forecasts share one truth. Forecasts that still wait for theirs: {scores.Waiting}."
            )
        );
        if (scores.Scored.Any(s => !s.Truth.IsPassed))
        {
            terminal.WriteText(
                "Where a fill was taken out before the line, the score is the least that it can be, and stays out of the mean."
            );
        }

        WriteUnseen(terminal, scores);
        return ExitCode.Done;
    }

    private static void WriteUnseen(Terminal terminal, ForecastScores scores)
    {
        if (scores.WaitingForSilica > 0)
        {
            terminal.WriteText(
                FormattableString.Invariant(
                    $"Of those that wait, {scores.WaitingForSilica} are of silica: only a silica test behind the bed shows it."
                )
            );
        }

        if (scores.NeverScored > 0)
        {
            terminal.WriteText(
                FormattableString.Invariant(
                    $"Kept and never scored, for no reading shows residue or spots: {scores.NeverScored}."
                )
            );
        }
    }

    private static IEnumerable<(double Share, double Truths)> CurveOf(ForecastScores scores)
    {
        for (int i = 0; i <= CurveSteps; i++)
        {
            double share = (double)i / CurveSteps;
            if (scores.InLower(share) is { } truths)
            {
                yield return (share, truths);
            }
        }
    }

    private static void Write(Utf8JsonWriter json, ScoredForecast scored)
    {
        KeptForecast kept = scored.Forecast;
        json.WriteStartObject();
        json.WriteString("id", kept.Id.ToString());
        json.WriteString("at", kept.At);
        json.WriteString("stage", scored.Stage.Stage.Name);
        json.WriteString("fill", scored.Fill.Fill.Medium);
        json.WriteString("put_in", scored.Fill.Fill.PutInAt);
        json.WriteString("line", kept.Line);
        json.WriteString("model", kept.Model);
        json.WriteNumber("members", kept.Members);
        json.WriteNumber("seed", kept.Seed);
        Band left = ForecastKeeping.LeftOf(kept);
        json.WriteInterval("liters_left", left.Median, left.P05, left.P95);
        json.WriteNumber("passed_then", kept.PassedNow, 4);
        json.WriteStartObject("truth");
        json.WriteBoolean("passed", scored.Truth.IsPassed);
        json.WriteNumber("least_liters", scored.Truth.Least_L, JsonOutput.Digits);
        json.WriteNumber("most_liters", scored.Truth.Most_L, JsonOutput.Digits);
        json.WriteNumber("least_days", scored.Truth.Least_d, JsonOutput.Digits);
        json.WriteNumber("most_days", scored.Truth.Most_d, JsonOutput.Digits);
        json.WriteEndObject();
        json.WriteNumber("crps_liters", scored.Crps_L, JsonOutput.Digits);
        json.WriteNumber("crps_days", scored.Crps_d, JsonOutput.Digits);
        json.WriteStartObject("place");
        json.WriteNumber("below", scored.Place.Below, 4);
        json.WriteNumber("up_to", scored.Place.UpTo, 4);
        json.WriteEndObject();
        json.WriteEndObject();
    }

    private static void Write(Utf8JsonWriter json, string name, double? value)
    {
        if (value is { } number)
        {
            json.WriteNumber(name, number, JsonOutput.Digits);
        }
        else
        {
            json.WriteNull(name);
        }
    }

    private static string Text(Band band) => $"{Text(band.Median)} ({Text(band.P05)}–{Text(band.P95)})";

    private static string Text(double value) =>
        double.IsFinite(value)
            ? value.ToString(value < 10 ? "0.#" : "#,0", CultureInfo.InvariantCulture)
            : "not reached";
}
