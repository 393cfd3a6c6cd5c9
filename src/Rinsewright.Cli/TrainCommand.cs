using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Rinsewright.Quantities;
using Rinsewright.Treatment;

namespace Rinsewright.Cli;

/// <summary>Walks a week through a rig's whole train: lives, water, pressure, money.</summary>
internal static class TrainCommand
{
    public static Command Create(Terminal terminal)
    {
        var verb = new Verb(
            "train",
            "Walk a week's water through a rig: how long each stage lasts, what each task gets, what it costs.",
            "rinsewright train examples/rigs/carbon-then-mixed-bed.json examples/waters/chalk-tap.json --habit examples/habits/two-vans.json --prices examples/prices/example.json",
            "rinsewright train examples/rigs/small-cartridge.json examples/waters/upland-tap.json --habit examples/habits/weekend.json --compare --json",
            "rinsewright train examples/rigs/small-cartridge.json examples/waters/chalk-tap.json --habit examples/habits/weekend.json --prices examples/prices/example.json --instead examples/rigs/large-tank.json --change-cost 350"
        );
        Argument<string> rig = verb.Takes<string>(
            "rig",
            "Rig file (docs/formats/rig.md), or - for standard input."
        );
        Argument<string> water = verb.Takes<string>("water", "Water file (docs/formats/water.md).");
        Option<string> habit = verb.Has<string>(
            "--habit",
            "Habit file (docs/formats/habit.md).",
            o => o.Required = true
        );
        Option<string?> prices = verb.Has<string?>("--prices", "Prices file (docs/formats/prices.md).");
        Option<string?> change = verb.Has<string?>(
            "--line",
            "Change the last beds out at this line instead of the rig's: \"10 ppm\", \"20 uS/cm\", \"5 mg/L residue\", \"1 mg/L silica\", \"20 mg/m2\" (spots)."
        );
        Option<bool> compare = verb.Has<bool>(
            "--compare",
            "Set deionised water for everything, and for the last rinse only, beside what the habit says."
        );
        Option<string?> instead = verb.Has<string?>(
            "--instead",
            "Another rig file: set it beside this one, under the same habit."
        );
        Option<decimal> changeCost = verb.Has<decimal>(
            "--change-cost",
            "What a change of use or rig costs once, in the currency of the prices; 0 if not given."
        );
        verb.AnswersInJson()
            .SetAction(
                (line, cancellation) =>
                {
                    List<InputProblem> problems = [];
                    Rig? read = TrainInput.Rig(terminal, line.GetValue(rig)!, problems);
                    List<string> remarks = [];
                    SourceRange? source = TrainInput.Water(
                        terminal,
                        line.GetValue(water)!,
                        problems,
                        remarks
                    );
                    Habit? week = TrainInput.Habit(terminal, line.GetValue(habit)!, problems);
                    Prices? paid = TrainInput.Prices(terminal, line.GetValue(prices), problems);
                    Rig? other = line.GetValue(instead) is { } path
                        ? TrainInput.Rig(terminal, path, problems)
                        : null;
                    decimal once = TrainSplits.ChangeCost(
                        line.GetValue(changeCost),
                        paid is not null && (line.GetValue(compare) || line.GetValue(instead) is not null),
                        problems
                    );
                    Train? train = read?.Train;
                    if (
                        Given.Line("--line", line.GetValue(change), problems) is { } drawn
                        && train is not null
                    )
                    {
                        train = train.ChangedAt(ExitLine.Of(drawn));
                        if (train is null)
                        {
                            problems.Add(new("--line", drawn.Text, "a rig with an exchange bed"));
                        }
                    }

                    if (problems.Count > 0 || read is null || train is null || source is null || week is null)
                    {
                        return Task.FromResult(terminal.Refuse(problems));
                    }

                    TrainWalks? walks = terminal.WithProgress(
                        read.Name,
                        progress => TrainWalks.Of(train, source, week, progress, cancellation)
                    );
                    if (walks is not { Usual: { } report })
                    {
                        return Task.FromResult(
                            terminal.Fail("the train could not be run to the end: please report the files")
                        );
                    }

                    IReadOnlyList<FlowSolution> tools =
                        read.Plumbing?.Solve(train, source.Usual.Temperature) ?? [];
                    walks = walks with
                    {
                        Tools = tools,
                        Splits = TrainSplits.Of(
                            (read.Name, train),
                            other is null ? null : (other.Name, other.Train),
                            source.Usual,
                            week,
                            line.GetValue(compare),
                            paid,
                            once,
                            cancellation
                        ),
                        Short = [.. Plumbing.Short(week, tools)],
                    };
                    if (
                        other is not null
                        && !walks
                            .Splits.Skip(1)
                            .Any(s => string.Equals(s.Rig, other.Name, StringComparison.Ordinal))
                    )
                    {
                        remarks.Add(
                            $"{other.Name}: its week could not be run to the end, so it is not compared."
                        );
                    }

                    Bill? bill = paid is null
                        ? null
                        : Costing.Yearly(paid, report.Consumptions, report.YearlyUse(week));
                    return Task.FromResult(
                        Verb.WantsJson(line)
                            ? WriteJson(terminal, read, week, walks, bill, remarks)
                            : WriteText(terminal, read, week, walks, bill, remarks)
                    );
                }
            );
        return verb;
    }

    private static int WriteJson(
        Terminal terminal,
        Rig rig,
        Habit habit,
        TrainWalks walks,
        Bill? bill,
        List<string> remarks
    ) =>
        terminal.WriteJson(writer =>
        {
            TrainReport report = walks.Usual;
            writer.WriteString("rig", rig.Name);
            writer.WriteString("habit", habit.Name);
            writer.WriteNumber("utility_L_per_week", 1e3 * report.Utility_m3, 6);
            writer.WriteNumber("waste_L_per_week", 1e3 * report.Waste_m3, 6);
            writer.WriteNumber("electricity_kWh_per_week", report.Electricity_kWh, 6);
            writer.WriteStartArray("stages");
            for (int i = 0; i < report.Stages.Count; i++)
            {
                StageReport stage = report.Stages[i];
                (double? least, double? most) = walks.Weeks(i);
                writer.WriteStartObject();
                writer.WriteString("name", stage.Stage.Name);
                writer.WriteNumber("flow_L_min", stage.Duty.Flow.LitersPerMinute, 5);
                writer.WriteNumber("life_L", stage.Life?.Liters ?? double.NaN, 6);
                writer.WriteNumber("life_weeks", TrainWalks.Weeks(stage) ?? double.NaN, 5);
                writer.WriteNumber("life_weeks_least", least ?? double.NaN, 5);
                writer.WriteNumber("life_weeks_most", most ?? double.NaN, 5);
                writer.WriteNumber(
                    "life_washes",
                    TrainWalks.Weeks(stage) * habit.WashesPerWeek ?? double.NaN,
                    5
                );
                writer.WriteNumber("changes_per_year", stage.ChangesPerYear, 5);
                writer.WriteString("ended_by", stage.EndedBy);
                writer.WriteNumber("pressure_loss_kPa", stage.Loss.Kilopascals, 5);
                writer.WriteNumber("waste_per_product", stage.WastePerProduct, 5);
                writer.WriteNumber("capacity_lost_share", stage.CapacityLost, 3);
                writer.WriteEndObject();
            }

            writer.WriteEndArray();
            WriteTasks(writer, report);
            TrainFlow.WriteJson(writer, walks.Tools);
            TrainSplits.WriteJson(writer, walks.Splits);
            writer.WriteStartArray("warnings");
            foreach (Warning warning in walks.Warnings)
            {
                writer.WriteStartObject();
                writer.WriteString("level", warning.Level.ToString().ToLowerInvariant());
                writer.WriteString("place", warning.Place);
                writer.WriteString("text", warning.Text.ToString());
                writer.WriteEndObject();
            }

            writer.WriteEndArray();
            writer.WriteStartArray("remarks");
            foreach (string remark in remarks)
            {
                writer.WriteStringValue(remark);
            }

            writer.WriteEndArray();
            TrainBill.WriteJson(writer, bill);
        });

    private static void WriteTasks(Utf8JsonWriter writer, TrainReport report)
    {
        writer.WriteStartArray("tasks");
        foreach (TaskWater task in report.Tasks)
        {
            writer.WriteStartObject();
            writer.WriteString("name", task.Task.Name);
            writer.WriteNumber("liters_per_week", 1e3 * task.Task.Weekly_m3, 6);
            writer.WriteNumber("pH", task.Reading.PH, 4);
            writer.WriteNumber("conductivity25_uS_cm", task.Reading.Conductivity_uS_cm, 5);
            writer.WriteNumber("residue_mg_L", task.Reading.Residue_mg_L, 5);
            writer.WriteNumber("spot_index_mg_m2", task.Reading.Spots.MilligramsPerSquareMeter, 5);
            writer.WriteString("spot_risk", RiskWord(task.Risk));
            writer.WriteEndObject();
        }

        writer.WriteEndArray();
    }

    private static int WriteText(
        Terminal terminal,
        Rig rig,
        Habit habit,
        TrainWalks walks,
        Bill? bill,
        List<string> remarks
    )
    {
        TrainReport report = walks.Usual;
        terminal.WriteHeading($"{rig.Name}: {habit.Name}");
        terminal.WriteTable(
            [
                Heading.Words("stage"),
                Heading.Number("L/min"),
                Heading.Number("lasts [L]"),
                Heading.Number("weeks"),
                Heading.Number("washes"),
                Heading.Words("ended by"),
                Heading.Number("loss [kPa]"),
            ],
            report.Stages.Select(
                (s, i) =>
                    (IReadOnlyList<string>)
                        [
                            s.Stage.Name,
                            Number(s.Duty.Flow.LitersPerMinute, "F1"),
                            s.Life is { } life ? Number(life.Liters, "#,0") : "–",
                            InWeeks(s, walks.Weeks(i)),
                            TrainWalks.Weeks(s) is { } weeks
                                ? Number(weeks * habit.WashesPerWeek, "#,0")
                                : "–",
                            s.EndedBy,
                            Number(s.Loss.Kilopascals, "F0"),
                        ]
            )
        );
        terminal.WriteTable(
            [
                Heading.Words("task"),
                Heading.Number("L/week"),
                Heading.Number("µS/cm"),
                Heading.Number("residue [mg/L]"),
                Heading.Number("spot index [mg/m²]"),
                Heading.Words("spots"),
            ],
            report.Tasks.Select(t =>
                (IReadOnlyList<string>)
                    [
                        t.Task.Name,
                        Number(1e3 * t.Task.Weekly_m3, "#,0"),
                        Number(t.Reading.Conductivity_uS_cm, "G3"),
                        Number(t.Reading.Residue_mg_L, "G3"),
                        Number(t.Reading.Spots.MilligramsPerSquareMeter, "G3"),
                        RiskWord(t.Risk),
                    ]
            )
        );
        WriteCurve(terminal, report);
        TrainFlow.Write(terminal, walks.Tools);
        TrainSplits.Write(terminal, walks.Splits);
        TrainBill.Write(terminal, bill);
        foreach (string remark in remarks)
        {
            terminal.WriteText(remark);
        }

        foreach (Warning warning in walks.Warnings)
        {
            terminal.WriteCaution($"{warning.Place}: {warning.Text}");
        }

        terminal.WriteText("The figures are estimates; the water is not for drinking.");
        return ExitCode.Done;
    }

    /// <summary>Conductivity behind the last bed over its life.</summary>
    private static void WriteCurve(Terminal terminal, TrainReport report)
    {
        if (report.Stages.LastOrDefault(s => s.Bed is not null) is not { Bed: { } bed } stage)
        {
            return;
        }

        (double[] liters, double[] conductivity) = bed.Conductivity(stage.Feed.Temperature);
        terminal.WritePlot(
            new TextPlot($"litres through {stage.Stage.Name}", "µS/cm").Add("behind it", liters, conductivity)
        );
    }

    private static string InWeeks(StageReport stage, (double? Least, double? Most) range) =>
        TrainWalks.Weeks(stage) is not { } weeks ? "–"
        : range is ({ } least, { } most) ? FormattableString.Invariant($"{weeks:F1} ({least:F1}–{most:F1})")
        : Number(weeks, "F1");

    internal static string RiskWord(SpotRisk risk) =>
        risk switch
        {
            SpotRisk.Low => "low",
            SpotRisk.Some => "some",
            SpotRisk.High => "high",
            _ => "does not dry",
        };

    private static string Number(double value, string format) =>
        value.ToString(format, CultureInfo.InvariantCulture);
}
