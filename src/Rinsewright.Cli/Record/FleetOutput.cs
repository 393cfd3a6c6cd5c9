using System.Globalization;
using System.Text.Json;
using Rinsewright.Records.Fleet;

namespace Rinsewright.Cli.Record;

/// <summary>Prints the board and the rounds, as text and as JSON.</summary>
internal static class FleetOutput
{
    private const double LitersPerCubicMeter = 1000;

    public static int WriteText(Terminal terminal, FleetPart page, DateTimeOffset now)
    {
        terminal.WriteTable(
            [
                Heading.Words("rig"),
                Heading.Words("site"),
                Heading.Words("van"),
                Heading.Words("why"),
                Heading.Words("next"),
                Heading.Words("due"),
                Heading.Number("past now"),
                Heading.Words("last read"),
            ],
            page.Rows.Select(row =>
                (IReadOnlyList<string>)
                    [
                        row.Rig.Name,
                        row.Rig.Site ?? "",
                        row.Rig.Van ?? "",
                        row.Rig.Reasons is FleetReasons.None
                            ? "-"
                            : string.Join(
                                ", ",
                                FleetList.Each(row.Rig.Reasons).Select(r => Say(row.Rig, r, now))
                            ),
                        row.Rig.DueStage ?? "",
                        Due(row.Rig, now),
                        row.PassedNow is { } passed ? $"{100 * passed:0} %" : "",
                        row.Rig.ReadAt is { } read
                            ? $"{row.Rig.ReadWritten}, {Age(now - read)} ago"
                            : "never",
                    ]
            )
        );
        terminal.WriteText(
            page.Rows.Count < page.Total
                ? $"{page.Rows.Count} of {page.Total} rigs, the most urgent first; --count shows more."
                : $"{Counted.Of(page.Total, "rig")}, the most urgent first."
        );
        if (page.Counts[FleetReasons.NoForecast] > 0)
        {
            terminal.WriteText(
                $"{page.Counts[FleetReasons.NoForecast]} without a forecast of the fill that is in: 'rinsewright fleet --renew' makes it."
            );
        }

        return ExitCode.Done;
    }

    public static int WriteJson(Terminal terminal, FleetPart page, DateTimeOffset now) =>
        terminal.WriteJson(json =>
        {
            json.WriteNumber("total", page.Total);
            json.WriteStartObject("reasons");
            foreach ((FleetReasons reason, int count) in page.Counts)
            {
                json.WriteNumber(FleetList.NameOf(reason), count);
            }

            json.WriteEndObject();
            json.WriteStartArray("rigs");
            foreach (FleetRow row in page.Rows)
            {
                FleetRig rig = row.Rig;
                json.WriteStartObject();
                json.WriteString("id", rig.RigId.Value);
                json.WriteString("name", rig.Name);
                json.WriteString("organisation", row.Organisation);
                json.WriteString("site", rig.Site);
                json.WriteString("van", rig.Van);
                json.WriteString("urgency", FleetList.NameOf(rig.Urgency));
                json.WriteStartArray("reasons");
                foreach (FleetReasons reason in FleetList.Each(rig.Reasons))
                {
                    json.WriteStringValue(FleetList.NameOf(reason));
                }

                json.WriteEndArray();
                json.WriteString("next_stage", rig.DueStage);
                WriteInstant(json, "due_from", rig.DueFrom);
                WriteInstant(json, "due_at", rig.DueAt);
                WriteInstant(json, "due_to", rig.DueTo);
                WriteNumber(json, "passed_now", row.PassedNow);
                WriteInstant(json, "past_since", rig.PastAt <= now ? rig.PastAt : null);
                json.WriteString("last_reading", rig.ReadWritten);
                WriteInstant(json, "last_reading_at", rig.ReadAt);
                WriteInstant(json, "heard_at", rig.HeardAt);
                WriteInstant(json, "forecast_at", rig.ForecastAt);
                json.WriteEndObject();
            }

            json.WriteEndArray();
        });

    public static int WriteFile(Terminal terminal, bool isJson, string file, int count)
    {
        if (isJson)
        {
            return terminal.WriteJson(json =>
            {
                json.WriteString("file", file);
                json.WriteNumber("rigs", count);
            });
        }

        terminal.WriteText($"Written: {Counted.Of(count, "rig")} to {file}.");
        return ExitCode.Done;
    }

    public static int WriteRounds(
        Terminal terminal,
        bool isJson,
        IReadOnlyList<FleetRound> rounds,
        bool withRoute,
        bool withStock
    )
    {
        if (isJson)
        {
            return terminal.WriteJson(json =>
            {
                json.WriteStartArray("rounds");
                foreach (FleetRound round in rounds)
                {
                    WriteRound(json, round, withRoute, withStock);
                }

                json.WriteEndArray();
            });
        }

        foreach (FleetRound round in rounds)
        {
            terminal.WriteHeading(round.Van ?? "no van yet");
            if (withRoute)
            {
                terminal.WriteTable(
                    [
                        Heading.Words("day"),
                        Heading.Words("rig"),
                        Heading.Words("site"),
                        Heading.Words("change"),
                    ],
                    round.Days.SelectMany(d =>
                        d.Visits.Select(v =>
                            (IReadOnlyList<string>)
                                [
                                    d.Day.ToString("ddd yyyy-MM-dd", CultureInfo.InvariantCulture),
                                    v.Rig.Name,
                                    v.Rig.Site ?? "",
                                    string.Join("; ", v.Stages.Select(Change)),
                                ]
                        )
                    )
                );
            }

            if (withStock)
            {
                terminal.WriteTable(
                    [
                        Heading.Words("load"),
                        Heading.Number("for the round"),
                        Heading.Number("to be expected"),
                        Heading.Number("enough 9 in 10"),
                    ],
                    round.Stock.Select(s =>
                        (IReadOnlyList<string>)
                            [
                                s.Medium,
                                Amount(s.Planned, s.Planned_L),
                                Amount(s.Expected, s.Expected_L),
                                Amount(s.NineInTen, s.NineInTen_L),
                            ]
                    )
                );
            }
        }

        terminal.WriteText(
            rounds.Count == 0
                ? "Nothing is due within a week."
                : "What is due at a rig within the week is changed in one visit."
        );
        return ExitCode.Done;
    }

    private static void WriteRound(Utf8JsonWriter json, FleetRound round, bool withRoute, bool withStock)
    {
        json.WriteStartObject();
        json.WriteString("van", round.Van);
        if (withRoute)
        {
            json.WriteStartArray("days");
            foreach (FleetDay day in round.Days)
            {
                json.WriteStartObject();
                json.WriteString("day", day.Day.ToString("O", CultureInfo.InvariantCulture));
                json.WriteStartArray("visits");
                foreach (FleetVisit visit in day.Visits)
                {
                    json.WriteStartObject();
                    json.WriteString("id", visit.Rig.RigId.Value);
                    json.WriteString("name", visit.Rig.Name);
                    json.WriteString("site", visit.Rig.Site);
                    json.WriteStartArray("changes");
                    foreach (FleetStage stage in visit.Stages)
                    {
                        json.WriteStartObject();
                        json.WriteString("stage", stage.Name);
                        json.WriteString("kind", FleetList.NameOf(stage.Kind));
                        json.WriteString("medium", stage.Medium);
                        WriteNumber(json, "volume_L", stage.Volume_m3 * LitersPerCubicMeter);
                        WriteInstant(json, "due_at", stage.DueAt);
                        json.WriteEndObject();
                    }

                    json.WriteEndArray();
                    json.WriteEndObject();
                }

                json.WriteEndArray();
                json.WriteEndObject();
            }

            json.WriteEndArray();
        }

        if (withStock)
        {
            json.WriteStartArray("stock");
            foreach (FleetStock stock in round.Stock)
            {
                json.WriteStartObject();
                json.WriteString("kind", FleetList.NameOf(stock.Kind));
                json.WriteString("medium", stock.Medium);
                json.WriteNumber("planned", stock.Planned);
                json.WriteNumber("expected", stock.Expected, JsonOutput.Digits);
                json.WriteNumber("nine_in_ten", stock.NineInTen);
                WriteNumber(json, "planned_L", stock.Planned_L);
                WriteNumber(json, "expected_L", stock.Expected_L);
                WriteNumber(json, "nine_in_ten_L", stock.NineInTen_L);
                json.WriteEndObject();
            }

            json.WriteEndArray();
        }

        json.WriteEndObject();
    }

    private static string Say(FleetRig rig, FleetReasons reason, DateTimeOffset now) =>
        reason switch
        {
            FleetReasons.PastLine when rig.PastAt is { } past && (now - past).TotalDays >= 1 =>
                $"past its line for {Age(now - past)}",
            FleetReasons.Silent when rig.HeardAt is { } heard => $"silent for {Age(now - heard)}",
            _ => FleetList.NameOf(reason).Replace('_', ' '),
        };

    private static string Due(FleetRig rig, DateTimeOffset now)
    {
        static string Day(DateTimeOffset at) => at.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
        return rig.DueAt is not { } due ? ""
            : rig.PastAt <= now ? $"since {Day(due)}"
            : $"{Day(due)} ({(rig.DueFrom is { } from ? Day(from) : "")} to {(rig.DueTo is { } to ? Day(to) : "out of sight")})";
    }

    private static string Change(FleetStage stage) =>
        stage.Volume_m3 is { } volume
            ? string.Create(
                CultureInfo.InvariantCulture,
                $"{stage.Name}: {stage.Medium}, {LitersPerCubicMeter * volume:0.#} L"
            )
            : $"{stage.Name}: {stage.Medium}";

    private static string Amount(double count, double? liters) =>
        string.Create(CultureInfo.InvariantCulture, $"{liters ?? count:0.#}{(liters is null ? "" : " L")}");

    private static string Age(TimeSpan age) =>
        age.TotalHours < 48
            ? string.Create(CultureInfo.InvariantCulture, $"{Math.Max(age.TotalHours, 0):0} h")
            : string.Create(CultureInfo.InvariantCulture, $"{age.TotalDays:0} days");

    private static void WriteInstant(Utf8JsonWriter json, string name, DateTimeOffset? at)
    {
        if (at is { } instant)
        {
            json.WriteString(name, instant);
        }
        else
        {
            json.WriteNull(name);
        }
    }

    private static void WriteNumber(Utf8JsonWriter json, string name, double? value)
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
}
