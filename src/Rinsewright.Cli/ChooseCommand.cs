using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Rinsewright.Quantities;
using Rinsewright.Treatment;

namespace Rinsewright.Cli;

/// <summary>Finds the cheapest train for a water, a habit, prices, a space and a budget.</summary>
internal static class ChooseCommand
{
    private const int FrontRows = 12;
    private const decimal MostDrawn = 3m; // times the yearly bill of the best

    public static Command Create(Terminal terminal)
    {
        var verb = new Verb(
            "choose",
            "Find the cheapest train for a water and a habit, and show what is given up for what.",
            "rinsewright choose examples/waters/chalk-tap.json --habit examples/habits/two-vans.json --prices examples/prices/example.json",
            "rinsewright choose examples/waters/upland-tap.json --habit examples/habits/weekend.json --prices examples/prices/example.json --budget 500 --height \"1.2 m\" --json"
        );
        Argument<string> water = verb.Takes<string>(
            "water",
            "Water file (docs/formats/water.md), or - for standard input."
        );
        Option<string> habit = verb.Has<string>(
            "--habit",
            "Habit file (docs/formats/habit.md).",
            o => o.Required = true
        );
        Option<string> prices = verb.Has<string>(
            "--prices",
            "Prices file (docs/formats/prices.md).",
            o => o.Required = true
        );
        Option<decimal?> budget = verb.Has<decimal?>(
            "--budget",
            "Greatest first cost, in the currency of the prices."
        );
        Option<string?> width = verb.Has<string?>("--width", "Width of wall or floor, such as \"1.2 m\".");
        Option<string?> height = verb.Has<string?>("--height", "Height under which everything must fit.");
        Option<string?> supply = verb.Has<string?>(
            "--supply",
            "Pressure at the spigot with everything shut; 3.5 bar if not given."
        );
        Option<double?> risk = verb.Has<double?>(
            "--risk",
            "Greatest probability that a litre of deionised water misses the line, in %."
        );
        Option<string?> drawn = verb.Has<string?>(
            "--line",
            "What the deionised water must hold: \"10 ppm\", \"20 uS/cm\", \"5 mg/L residue\", \"1 mg/L silica\", \"20 mg/m2\" (spots); 20 uS/cm if not given."
        );
        verb.AnswersInJson()
            .SetAction(
                (line, cancellation) =>
                {
                    List<InputProblem> problems = [];
                    List<string> remarks = [];
                    SourceRange? source = TrainInput.Water(
                        terminal,
                        line.GetValue(water)!,
                        problems,
                        remarks
                    );
                    Habit? week = TrainInput.Habit(terminal, line.GetValue(habit)!, problems);
                    Prices? paid = TrainInput.Prices(terminal, line.GetValue(prices)!, problems);
                    Length? wide = Given.AboveZero<Length>("--width", line.GetValue(width), problems);
                    Length? high = Given.AboveZero<Length>("--height", line.GetValue(height), problems);
                    if (line.GetValue(budget) is < 0m and var cost)
                    {
                        problems.Add(new("--budget", $"{cost}", "an amount of zero or more"));
                    }

                    Pressure? pressure = Given.AboveZero<Pressure>(
                        "--supply",
                        line.GetValue(supply),
                        problems
                    );
                    if (line.GetValue(risk) is { } most)
                    {
                        Given.Number("--risk", most, 0, 100, problems);
                    }

                    ChangeOutLine? hold = Given.Line("--line", line.GetValue(drawn), problems);
                    if (problems.Count > 0 || source is null || week is null || paid is null)
                    {
                        return Task.FromResult(terminal.Refuse(problems));
                    }

                    var request = new ChoiceRequest(source.Usual, week, paid)
                    {
                        Waters = source.Waters,
                        MostRisk = 0.01 * line.GetValue(risk),
                        Budget = line.GetValue(budget),
                        Width = wide,
                        Height = high,
                    };
                    request = pressure is { } given ? request with { Supply = given } : request;
                    request = hold is null ? request : request with { Line = ExitLine.Of(hold) };
                    ChoiceResult result = terminal.WithProgress(
                        "Weighing trains",
                        progress => Choice.Search(request, progress, cancellation)
                    );
                    return Task.FromResult(
                        Verb.WantsJson(line)
                            ? WriteJson(terminal, request, result, remarks)
                            : WriteText(terminal, request, result, remarks)
                    );
                }
            );
        return verb;
    }

    private static int WriteJson(
        Terminal terminal,
        ChoiceRequest request,
        ChoiceResult result,
        List<string> remarks
    )
    {
        terminal.WriteJson(writer =>
        {
            writer.WriteString("currency", request.Prices.Currency);
            writer.WriteNumber("considered", result.Considered);
            WriteChoice(writer, "best", result.Best, result, request);
            WriteChoice(writer, "runner_up", result.RunnerUp, result, request);
            writer.WriteString("why_runner_up_lost", result.WhyRunnerUpLost?.ToString() ?? "");
            writer.WriteStartArray("front");
            foreach (TrainChoice choice in result.Front)
            {
                writer.WriteStartObject();
                WriteMembers(writer, choice, result, request);
                writer.WriteEndObject();
            }

            writer.WriteEndArray();
            writer.WriteStartArray("remarks");
            foreach (string remark in remarks)
            {
                writer.WriteStringValue(remark);
            }

            writer.WriteEndArray();
            writer.WriteStartObject("rejected");
            foreach ((Sentence reason, int count) in result.Rejected.OrderByDescending(r => r.Value))
            {
                writer.WriteNumber(reason.ToString(), count);
            }

            writer.WriteEndObject();
        });
        return result.Best is null ? ExitCode.Failed : ExitCode.Done;
    }

    private static void WriteChoice(
        Utf8JsonWriter writer,
        string name,
        TrainChoice? choice,
        ChoiceResult result,
        ChoiceRequest request
    )
    {
        if (choice is null)
        {
            writer.WriteNull(name);
            return;
        }

        writer.WriteStartObject(name);
        WriteMembers(writer, choice, result, request);
        writer.WriteEndObject();
    }

    private static void WriteMembers(
        Utf8JsonWriter writer,
        TrainChoice choice,
        ChoiceResult result,
        ChoiceRequest request
    )
    {
        writer.WriteString("train", choice.Plan.Description.ToString());
        writer.WriteNumber("first_cost", decimal.Round(choice.FirstCost, 2));
        writer.WriteNumber("per_year", decimal.Round(choice.PerYear, 2));
        writer.WriteNumber("per_year_with_first_cost", decimal.Round(choice.Total(request.WriteOffYears), 2));
        writer.WriteNumber("pay_back_years", (double?)PayBack(choice, result) ?? double.NaN, 4);
        writer.WriteNumber("visits_per_year", choice.VisitsPerYear, 4);
        writer.WriteNumber("risk_share", choice.Risk, 4);
        writer.WriteNumber("misses_share", choice.Misses, 4);
        writer.WriteNumber("bed_life_weeks", choice.LifeWeeks ?? double.NaN, 4);
        writer.WriteBoolean("run_in_full", choice.Full);
    }

    private static int WriteText(
        Terminal terminal,
        ChoiceRequest request,
        ChoiceResult result,
        List<string> remarks
    )
    {
        if (result.Best is not { } best)
        {
            terminal.WriteHeading($"None of {result.Considered:#,0} trains will do.");
            WriteRejected(terminal, result);
            return ExitCode.Failed;
        }

        terminal.WriteHeading(best.Plan.Description.ToString());
        terminal.WriteText(
            FormattableString.Invariant(
                $"{best.PerYear:F0} {request.Prices.Currency} a year to run, {best.FirstCost:F0} at first, {best.VisitsPerYear:F1} change-outs a year{Life(best)}. The cheapest of {result.Considered:#,0} that holds the line, its beds run in full."
            )
        );
        if (best.Misses > 0.0)
        {
            terminal.WriteCaution(
                FormattableString.Invariant(
                    $"With {100.0 * best.Misses:F0} % of the waters that fit the file it cannot hold the line. Measure the water, or bound the risk with --risk."
                )
            );
        }

        if (result.WhyRunnerUpLost is { } lost)
        {
            terminal.WriteText($"Runner-up: {lost}");
        }

        terminal.WriteHeading("What is given up for what");
        terminal.WriteTable(
            [
                Heading.Words("train"),
                Heading.Number($"a year [{request.Prices.Currency}]"),
                Heading.Number("at first"),
                Heading.Number("pays back [years]"),
                Heading.Number("visits/a"),
                Heading.Number("risk %"),
                Heading.Number("misses %"),
                Heading.Words("figures"),
            ],
            result.Front.Take(FrontRows).Select(c => Row(c, result))
        );
        terminal.WriteText(
            "Pays back: until its dearer first cost, against the train that costs least at first, is saved. Risk: how likely a litre of deionised water misses the line when the outlet is looked at once a week. Misses: share of the waters that fit the file with which the train cannot hold it at all."
        );
        List<TrainChoice> drawn = CheapestForTheMoney(
            result.Front.Where(c => c.PerYear <= MostDrawn * best.PerYear)
        );
        terminal.WritePlot(
            new TextPlot("first cost", "cost a year").Add(
                "cheapest to run for that much at first",
                [.. drawn.Select(c => (double)c.FirstCost)],
                [.. drawn.Select(c => (double)c.PerYear)]
            )
        );
        foreach (string remark in remarks)
        {
            terminal.WriteText(remark);
        }

        terminal.WriteCaution(
            "Estimates from models and your prices. Backflow rules are local; pumps need residual-current protection; carbon takes out the disinfectant; the water is not for drinking."
        );
        return ExitCode.Done;
    }

    private static void WriteRejected(Terminal terminal, ChoiceResult result) =>
        terminal.WriteTable(
            [Heading.Words("why"), Heading.Number("trains")],
            result
                .Rejected.OrderByDescending(r => r.Value)
                .Select(r =>
                    (IReadOnlyList<string>)[$"{r.Key}", r.Value.ToString("#,0", CultureInfo.InvariantCulture)]
                )
        );

    private static string Life(TrainChoice choice) =>
        choice.LifeWeeks is { } weeks ? FormattableString.Invariant($", beds last {weeks:F1} weeks") : "";

    /// <summary>Years until a dearer first cost is saved, against the train of the front that costs least at first.</summary>
    private static decimal? PayBack(TrainChoice choice, ChoiceResult result)
    {
        TrainChoice least = result.Front.MinBy(c => (c.FirstCost, c.PerYear)) ?? choice;
        return Costing.PayBackYears(choice.FirstCost - least.FirstCost, least.PerYear - choice.PerYear);
    }

    /// <summary>Those that nothing which costs less at first undercuts in what they cost a year.</summary>
    private static List<TrainChoice> CheapestForTheMoney(IEnumerable<TrainChoice> front)
    {
        List<TrainChoice> kept = [];
        foreach (TrainChoice choice in front.OrderBy(c => c.FirstCost).ThenBy(c => c.PerYear))
        {
            if (kept.Count == 0 || choice.PerYear < kept[^1].PerYear)
            {
                kept.Add(choice);
            }
        }

        return kept;
    }

    private static IReadOnlyList<string> Row(TrainChoice choice, ChoiceResult result) =>
        [
            choice.Plan.Description.ToString(),
            choice.PerYear.ToString("F0", CultureInfo.InvariantCulture),
            choice.FirstCost.ToString("F0", CultureInfo.InvariantCulture),
            PayBack(choice, result) is { } years ? TrainSplits.Years(years) : "–",
            choice.VisitsPerYear.ToString("F1", CultureInfo.InvariantCulture),
            (100.0 * choice.Risk).ToString("F1", CultureInfo.InvariantCulture),
            (100.0 * choice.Misses).ToString("F0", CultureInfo.InvariantCulture),
            choice.Full ? "run in full" : "quick",
        ];
}
