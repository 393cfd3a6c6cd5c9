using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Rinsewright.Handouts;
using Rinsewright.Handouts.Lives;
using Rinsewright.Quantities;
using Rinsewright.Treatment;

namespace Rinsewright.Cli;

/// <summary><c>rinsewright answer</c>: how long a bed lasts on someone's own water, what it costs, what dries, what would help.</summary>
internal static class AnswerCommand
{
    public static Command Create(Terminal terminal)
    {
        var verb = new Verb(
            "answer",
            "Answer someone for their own water: how long a mixed bed lasts, what a wash costs, what dries, and what would help.",
            "rinsewright answer --reading \"62 ppm\"",
            "rinsewright answer --reading \"310 ppm\" --origin chalk --size housing-4.5x20 --washes 3 --per-wash \"7 gal\" --resin-price 9.50 --visit 8 --helps --json"
        );
        Option<string?> reading = verb.Has<string?>(
            "--reading",
            "What the meter shows in the raw water: \"62 ppm\", \"490 uS/cm\"; or leave it out and state a hardness."
        );
        Option<string?> hardness = verb.Has<string?>(
            "--hardness",
            "Hardness: \"120 mg/L as CaCO3\", \"7 gr/gal\"."
        );
        Option<string?> silica = verb.Has<string?>("--silica", "Silica: \"8 mg/L\".");
        Option<string?> origin = verb.Has<string?>(
            "--origin",
            $"Where it comes from, if no hardness is known: {string.Join(", ", WaterOrigin.All.Select(o => o.Word))}."
        );
        Option<double?> factor = verb.Has<double?>(
            "--factor",
            "The meter's factor, 0.3 to 1; 0.5 if not given."
        );
        Option<string?> temperature = verb.Has<string?>(
            "--temperature",
            "Temperature of the water: \"12 degC\"."
        );
        Option<string?> size = verb.Has<string?>(
            "--size",
            $"Generic size of the bed: {string.Join(", ", HousingCatalog.All.Select(h => h.Id))}; {FirstMinute.UsualSize} if not given."
        );
        Option<string?> resin = verb.Has<string?>(
            "--resin",
            "Resin in it, if not the usual fill: \"4 L\", \"0.5 ft3\"."
        );
        Option<string?> flow = verb.Has<string?>(
            "--flow",
            "Flow: \"8 L/min\", \"2 gpm\"; 8 L/min if not given."
        );
        Option<string?> change = verb.Has<string?>(
            "--line",
            "Where the bed is changed: \"10 ppm\", \"20 uS/cm\", \"1 mg/L silica\", \"20 mg/m2\"; 10 ppm if not given."
        );
        Option<string?> habit = verb.Has<string?>(
            "--habit",
            "Habit file (docs/formats/habit.md); it says flow, washes and water of a wash where they are not given."
        );
        Option<string?> perWash = verb.Has<string?>(
            "--per-wash",
            "Deionised water of a wash; 25 L if not given."
        );
        Option<double?> washes = verb.Has<double?>("--washes", "Washes a week.");
        Option<decimal?> price = verb.Has<decimal?>(
            "--resin-price",
            "Price of a litre of resin, in any currency."
        );
        Option<decimal?> visit = verb.Has<decimal?>("--visit", "What a change costs besides.");
        Option<decimal?> waterPrice = verb.Has<decimal?>("--water-price", "Price of a cubic metre of water.");
        Option<bool> helps = verb.Has<bool>("--helps", "Run what would help as well.");
        verb.AnswersInJson()
            .SetAction(
                (line, _) =>
                {
                    List<InputProblem> problems = [];
                    Habit? week = line.GetValue(habit) is { } path
                        ? TrainInput.Habit(terminal, path, problems)
                        : null;
                    if (line.GetValue(price) is null)
                    {
                        problems.AddRange(
                            Given.Idle(line, Sentence.Of("--resin-price beside it"), visit, waterPrice)
                        );
                    }

                    double? times = line.GetValue(washes) ?? week?.WashesPerWeek;
                    var asked = new YourQuestion
                    {
                        First = new FirstQuestion
                        {
                            Water = new WaterStatement
                            {
                                Reading = line.GetValue(reading),
                                Hardness = line.GetValue(hardness),
                                Silica = line.GetValue(silica),
                                Factor = line.GetValue(factor),
                                Temperature = line.GetValue(temperature),
                            },
                            Size = line.GetValue(size),
                            Volume = line.GetValue(resin),
                            Flow = line.GetValue(flow) ?? FlowOf(week),
                            Line = line.GetValue(change),
                        },
                        Origin = line.GetValue(origin),
                        PerWash = line.GetValue(perWash) ?? PerWashOf(week),
                        WashesPerWeek = times,
                        ResinPerLiter = line.GetValue(price),
                        Visit = line.GetValue(visit),
                        WaterPerCubicMeter = line.GetValue(waterPrice),
                    };
                    if (problems.Count > 0)
                    {
                        return Task.FromResult(terminal.Refuse(problems));
                    }

                    var waters = new SourceWaters();
                    var yours = new ForYourWater(waters, new FillLives(waters));
                    IReadOnlyList<InputProblem> wrong = [];
                    (YourAnswer? answer, IReadOnlyList<Help> changes) = terminal.WithProgress(
                        "Your water",
                        progress =>
                        {
                            YourAnswer? found = yours.Of(asked, out wrong);
                            progress.Report(0.3);
                            return (
                                found,
                                found is not null && line.GetValue(helps) ? yours.Helps(found) : []
                            );
                        }
                    );
                    return Task.FromResult(
                        answer is null
                            ? terminal.Refuse([.. wrong.Select(p => p with { Place = OptionOf(p.Place) })])
                        : Verb.WantsJson(line) ? WriteJson(terminal, answer, changes)
                        : WriteText(terminal, answer, changes)
                    );
                }
            );
        return verb;
    }

    /// <summary>The option that says what a problem is of.</summary>
    private static string OptionOf(string place) =>
        place switch
        {
            "volume" => "--resin",
            "conductivity" or "tds" or "tds.reading" => "--reading",
            "tds.factor" => "--factor",
            "water" => place,
            _ => "--" + place.Replace(' ', '-'),
        };

    private static string? FlowOf(Habit? habit) =>
        habit?.UsualFlow(Outlet.Deionised) is { } flow
            ? string.Create(CultureInfo.InvariantCulture, $"{flow.LitersPerMinute:R} L/min")
            : null;

    private static string? PerWashOf(Habit? habit) =>
        habit is { WashesPerWeek: > 0 } && habit.Weekly_m3(Outlet.Deionised) is > 0 and var weekly
            ? string.Create(CultureInfo.InvariantCulture, $"{1e3 * weekly / habit.WashesPerWeek:R} L")
            : null;

    private static int WriteJson(Terminal terminal, YourAnswer answer, IReadOnlyList<Help> helps) =>
        terminal.WriteJson(json =>
        {
            LifeQuestion question = answer.First.Question;
            FillLife life = answer.First.Life;
            json.WriteNumber("resin_L", question.Beds[^1].Liters, JsonOutput.Digits);
            json.WriteNumber("flow_L_min", question.Flow_L_min, JsonOutput.Digits);
            json.WriteString("line", question.Line.Text);
            Write(json, "life_L", life.Liters);
            Write(json, "life_us_gal", life.Liters.Select(l => l * Volume.FromLiters(1).UsGallons));
            Write(json, "silica_out_L", life.SilicaLiters);
            json.WriteNumber("per_wash_L", answer.PerWash_L, JsonOutput.Digits);
            Write(json, "washes", answer.Washes);
            Write(json, "weeks", answer.Weeks);
            Write(json, "cost_per_wash", answer.CostPerWash);
            Write(json, "cost_per_year", answer.CostPerYear);
            json.WriteStartArray("spots");
            foreach (SpotsOf spots in answer.Spots)
            {
                json.WriteStartObject();
                json.WriteString("water", Word(spots.Moment));
                Write(json, "spot_index_mg_m2", spots.Index_mg_m2);
                json.WriteString("grade", spots.Grade.ToString().ToLowerInvariant());
                Write(json, "residue_mg_L", spots.Residue_mg_L);
                Write(json, "silica_mg_L", spots.Silica_mg_L);
                json.WriteEndObject();
            }

            json.WriteEndArray();
            json.WriteStartArray("helps");
            foreach (Help help in helps)
            {
                json.WriteStartObject();
                json.WriteString("change", help.InWords.ToString());
                Write(json, "life_L", help.Liters);
                json.WriteNumber("times_per_liter_of_resin", help.PerLiterOfResin, 4);
                json.WriteEndObject();
            }

            json.WriteEndArray();
            json.WriteStartArray("remarks");
            foreach (Sentence remark in answer.Remarks.Concat(answer.First.Water.Remarks))
            {
                json.WriteStringValue(remark.ToString());
            }

            json.WriteEndArray();
        });

    private static int WriteText(Terminal terminal, YourAnswer answer, IReadOnlyList<Help> helps)
    {
        LifeQuestion question = answer.First.Question;
        Interval liters = answer.First.Life.Liters;
        terminal.WriteHeading(
            FormattableString.Invariant(
                $"{question.Beds[^1].Liters:0.##} L of mixed-bed resin, {question.Flow_L_min:0.#} L/min, changed at {question.Line.Text}"
            )
        );
        terminal.WriteText(
            double.IsFinite(liters.Middle)
                ? $"About {Round(liters.Middle)} litres ({Range(liters)}), {Round(liters.Middle * Volume.FromLiters(1).UsGallons)} US gallons: "
                    + $"about {Round(answer.Washes.Middle)} washes ({Range(answer.Washes)}) of {Round(answer.PerWash_L)} L"
                    + (answer.Weeks is { } weeks ? $", {Round(weeks.Middle)} weeks ({Range(weeks)})." : ".")
            : double.IsFinite(liters.Low)
                ? $"Most of the waters that fit do not reach the line within what was computed: {Round(liters.Low)} litres or more, which is {Round(answer.Washes.Low)} washes of {Round(answer.PerWash_L)} L."
            : "The line is not reached within what was computed."
        );
        if (answer.CostPerWash is { } wash)
        {
            terminal.WriteText(
                $"{Amount(wash.Middle, "F2")} a wash ({Amount(wash.Low, "F2")}–{Amount(wash.High, "F2")})"
                    + (
                        answer.CostPerYear is { } year
                            ? $", {Amount(year.Middle, "F0")} a year ({Amount(year.Low, "F0")}–{Amount(year.High, "F0")}), in your money."
                            : ", in your money."
                    )
            );
        }

        terminal.WriteTable(
            [
                Heading.Words("what dries"),
                Heading.Number("spot index [mg/m²]"),
                Heading.Words("spots"),
                Heading.Number("residue [mg/L]"),
                Heading.Number("silica [mg/L]"),
            ],
            answer.Spots.Select(s =>
                (IReadOnlyList<string>)
                    [
                        Name(s.Moment),
                        $"{Round(s.Index_mg_m2.Middle)} ({Range(s.Index_mg_m2)})",
                        s.Grade.ToString().ToLowerInvariant(),
                        $"{Round(s.Residue_mg_L.Middle)} ({Range(s.Residue_mg_L)})",
                        $"{Round(s.Silica_mg_L.Middle)} ({Range(s.Silica_mg_L)})",
                    ]
            )
        );
        if (helps.Count > 0)
        {
            terminal.WriteTable(
                [
                    Heading.Words("what would help"),
                    Heading.Number("litres"),
                    Heading.Number("a litre of resin gives"),
                ],
                helps.Select(h =>
                    (IReadOnlyList<string>)
                        [
                            h.InWords.ToString(),
                            double.IsFinite(h.Liters.Middle)
                                ? $"{Round(h.Liters.Middle)} ({Range(h.Liters)})"
                                : Range(h.Liters),
                            double.IsFinite(h.PerLiterOfResin)
                                ? FormattableString.Invariant($"{h.PerLiterOfResin:0.00} ×")
                                : "far more",
                        ]
                )
            );
        }

        foreach (Sentence remark in answer.Remarks.Concat(answer.First.Water.Remarks))
        {
            terminal.WriteText(remark.ToString());
        }

        terminal.WriteCaution("The figures are estimates; the water is not for drinking.");
        return ExitCode.Done;
    }

    private static string Name(SpotMoment moment) =>
        moment switch
        {
            SpotMoment.Raw => "raw water",
            SpotMoment.Fresh => "behind a fresh fill",
            _ => "at the line",
        };

    private static string Word(SpotMoment moment) =>
        moment switch
        {
            SpotMoment.Raw => "raw",
            SpotMoment.Fresh => "fresh",
            _ => "at-line",
        };

    private static string Amount(decimal? amount, string format) =>
        amount?.ToString(format, CultureInfo.InvariantCulture) ?? "no bound";

    private static string Range(Interval interval) =>
        OpenRange.Of(interval.Low, interval.High, Round, between: "–");

    /// <summary>Two digits.</summary>
    private static string Round(double value)
    {
        if (value < 10)
        {
            return value.ToString(value < 1 ? "0.##" : "0.#", CultureInfo.InvariantCulture);
        }

        double step = Math.Pow(10, Math.Floor(Math.Log10(value)) - 1);
        return (step * Math.Round(value / step)).ToString("#,0", CultureInfo.InvariantCulture);
    }

    private static void Write(Utf8JsonWriter json, string name, Interval? interval)
    {
        if (interval is { } range)
        {
            json.WriteInterval(name, range.Middle, range.Low, range.High);
        }
        else
        {
            json.WriteNull(name);
        }
    }

    private static void Write(Utf8JsonWriter json, string name, MoneyRange? money)
    {
        if (money is not { } range)
        {
            json.WriteNull(name);
            return;
        }

        json.WriteStartObject(name);
        foreach (
            (string member, decimal? amount) in new[]
            {
                ("median", range.Middle),
                ("p05", range.Low),
                ("p95", range.High),
            }
        )
        {
            if (amount is { } sum)
            {
                json.WriteNumber(member, decimal.Round(sum, 2));
            }
            else
            {
                json.WriteNull(member);
            }
        }

        json.WriteEndObject();
    }
}
