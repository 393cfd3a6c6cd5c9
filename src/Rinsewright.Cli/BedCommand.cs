using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Rinsewright.Quantities;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Cli;

/// <summary>Runs water through a rig's beds and says how far they last.</summary>
internal static class BedCommand
{
    private const double UsualMeterFactor = 0.5;
    private static readonly string[] UsualLines = ["10 ppm", "1 mg/L silica"];

    private static readonly (string Name, Component Component)[] Shown =
    [
        .. ResinCatalog
            .IonNames.Where(n => n.Value is not Component.InorganicCarbon)
            .OrderBy(n => n.Value)
            .Select(n => (n.Key, n.Value)),
    ];

    public static Command Create(Terminal terminal)
    {
        var verb = new Verb(
            "bed",
            "Run water through the beds of a rig: litres to each line, what leaves, in which order.",
            "rinsewright bed examples/rigs/small-cartridge.json examples/waters/soft-river.json --flow \"8 L/min\"",
            "rinsewright bed examples/rigs/large-tank.json examples/waters/chalk-tap.json --flow \"2.1 gpm\" --line \"10 ppm\" --line \"5 mg/L residue\" --json"
        );
        Argument<string> rig = verb.Takes<string>(
            "rig",
            "Rig file (docs/formats/rig.md), or - for standard input."
        );
        Argument<string> water = verb.Takes<string>("water", "Water file (docs/formats/water.md).");
        Option<string> flow = verb.Has<string>(
            "--flow",
            "Flow through the beds, such as \"8 L/min\".",
            o => o.Required = true
        );
        Option<string?> to = verb.Has<string?>(
            "--to",
            "Water to run, such as \"1500 gal\"; else half as much again as the resin can hold."
        );
        Option<string?> temperature = verb.Has<string?>(
            "--temperature",
            "Temperature of the water, if not that of its file."
        );
        Option<string[]> lines = verb.Has<string[]>(
            "--line",
            "A line to change out at: \"10 ppm\", \"20 uS/cm\", \"5 mg/L residue\", \"1 mg/L silica\". May be repeated."
        );
        Option<double?> factor = verb.Has<double?>(
            "--meter-factor",
            "The meter's factor from conductivity to TDS, 0.4 to 0.8; 0.5 if not given."
        );
        Option<string?> plot = verb.Has<string?>("--plot", "Draw the curves into this SVG file too.");
        verb.AnswersInJson()
            .SetAction(line =>
            {
                List<InputProblem> problems = [];
                BedInput input = BedInput.Read(
                    terminal,
                    line.GetValue(rig)!,
                    line.GetValue(water)!,
                    (line.GetValue(flow)!, line.GetValue(to), line.GetValue(temperature)),
                    line.GetValue(lines) is { Length: > 0 } given ? given : UsualLines,
                    line.GetValue(factor) ?? UsualMeterFactor,
                    problems
                );
                return problems.Count > 0
                    ? terminal.Refuse(problems)
                    : Run(terminal, input, line.GetValue(plot), Verb.WantsJson(line));
            });
        return verb;
    }

    private static int Run(Terminal terminal, BedInput input, string? plot, bool json)
    {
        BedAnswer[]? runs = terminal.WithProgress(input.Rig.Name, progress => RunAll(input, progress));
        if (runs is null)
        {
            return terminal.Fail("the beds could not be run to the end: please report the two files");
        }

        BedAnswer middle = runs[runs.Length / 2];
        if (plot is not null)
        {
            BedPlot.Write(plot, input, middle.Report);
        }

        return json ? WriteJson(terminal, input, runs) : WriteText(terminal, input, runs);
    }

    private static BedAnswer[]? RunAll(BedInput input, IProgress<double> progress)
    {
        var runs = new BedAnswer[input.Feeds.Count];
        int done = 0;
        bool good = true;
        Parallel.For(
            0,
            runs.Length,
            i =>
            {
                BedAnswer? run = BedAnswer.Of(input, input.Feeds[i]);
                good &= run is not null;
                runs[i] = run!;
                progress.Report(Interlocked.Increment(ref done) / (double)runs.Length);
            }
        );
        return good ? runs : null;
    }

    private static int WriteJson(Terminal terminal, BedInput input, BedAnswer[] runs) =>
        terminal.WriteJson(writer =>
        {
            BedAnswer middle = runs[runs.Length / 2];
            writer.WriteString("rig", input.Rig.Name);
            writer.WriteString("water", input.WaterName);
            writer.WriteNumber("temperature_degC", Celsius(input), 5);
            writer.WriteNumber("flow_L_min", input.Flow.LitersPerMinute, 6);
            writer.WriteNumber("meter_factor", input.MeterFactor, 6);
            writer.WriteStartArray("lines");
            foreach (ChangeOutLine line in input.Lines)
            {
                double[] liters = LitersTo(line, input, runs);
                writer.WriteStartObject();
                writer.WriteString("line", line.Text);
                WriteOpen(writer, "liters", liters);
                WriteOpen(writer, "us_gallons", [.. liters.Select(l => Volume.FromLiters(1).UsGallons * l)]);
                WriteOpen(writer, "bed_volumes", [.. liters.Select(l => 1e-3 * l / BedVolume(input))]);
                writer.WriteEndObject();
            }

            writer.WriteEndArray();
            writer.WriteStartArray("first_out");
            foreach ((Component ion, _) in middle.Report.FirstOut())
            {
                writer.WriteStringValue(NameOf(ion));
            }

            writer.WriteEndArray();
            writer.WriteNumber("balance_error", runs.Max(r => r.BalanceError), 3);
            writer.WriteStartObject("curve");
            WriteCurve(writer, input, middle.Report);
            writer.WriteEndObject();
            writer.WriteStartArray("warnings");
            foreach (string warning in input.Remarks)
            {
                writer.WriteStringValue(warning);
            }

            writer.WriteEndArray();
        });

    /// <summary>One number where the water leaves nothing open, else its median and range over the waters that fit.</summary>
    private static void WriteOpen(Utf8JsonWriter writer, string name, double[] values)
    {
        if (values.Length == 1)
        {
            writer.WriteNumber(name, values[0], JsonOutput.Digits);
        }
        else
        {
            writer.WriteInterval(name, values[values.Length / 2], values[0], values[^1]);
        }
    }

    /// <summary>Litres to a line over the waters, in rising order; infinite where it is not reached.</summary>
    private static double[] LitersTo(ChangeOutLine line, BedInput input, BedAnswer[] runs) =>
        [
            .. runs.Select(r => r.Report.Reaches(line, input.MeterFactor)?.Liters ?? double.PositiveInfinity)
                .Order(),
        ];

    private static void WriteCurve(Utf8JsonWriter writer, BedInput input, EffluentReport report)
    {
        double[] Of(Func<EffluentSample, double> value) => [.. report.Samples.Select(value)];
        writer.WriteNumbers("liters", Of(s => s.Liters));
        writer.WriteNumbers("conductivity25_uS_cm", Of(s => s.Conductivity25));
        writer.WriteNumbers("pH", Of(s => s.PH), 5);
        writer.WriteNumbers("meter_ppm", Of(s => s.ValueFor(LineKind.MeterReading, input.MeterFactor)));
        writer.WriteNumbers("silica_mg_L", Of(s => s.Silica));
        writer.WriteNumbers("residue_mg_L", Of(s => s.Residue));
        writer.WriteStartObject("ions_mg_L");
        foreach ((string name, Component component) in Shown)
        {
            if (report.Samples.Any(s => s.Totals[(int)component] > 0))
            {
                writer.WriteNumbers(name, Of(s => s.MassOf(component)));
            }
        }

        writer.WriteNumbers("HCO3", Of(s => s.Bicarbonate));
        writer.WriteNumbers("CO2", Of(s => s.CarbonDioxide));
        writer.WriteEndObject();
    }

    private static int WriteText(Terminal terminal, BedInput input, BedAnswer[] runs)
    {
        EffluentReport report = runs[runs.Length / 2].Report;
        terminal.WriteHeading(
            FormattableString.Invariant(
                $"{input.Rig.Name}: {input.WaterName}, {input.Flow.LitersPerMinute:0.##} L/min, {Celsius(input):0.#} °C"
            )
        );
        terminal.WriteTable(
            [
                Heading.Words("Line"),
                Heading.Number("litres"),
                Heading.Number("US gal"),
                Heading.Number("bed volumes"),
            ],
            input.Lines.Select(line => Row(line.Text, LitersTo(line, input, runs), input))
        );
        if (runs.Length > 1)
        {
            terminal.WriteText(
                "The water file leaves things open: each number is the median, and in brackets the range over waters that fit it."
            );
        }

        double[] liters = [.. report.Samples.Select(s => s.Liters)];
        terminal.WritePlot(
            new TextPlot("litres", "meter [ppm], silica and residue [mg/L]")
                .Add(
                    "meter",
                    liters,
                    [.. report.Samples.Select(s => s.ValueFor(LineKind.MeterReading, input.MeterFactor))]
                )
                .Add("silica", liters, [.. report.Samples.Select(s => s.Silica)])
                .Add("residue", liters, [.. report.Samples.Select(s => s.Residue)])
        );
        IEnumerable<string> order = report
            .FirstOut()
            .Select(o => FormattableString.Invariant($"{NameOf(o.Ion)} at {o.Passed.Liters:#,0} L"));
        terminal.WriteText("First out: " + string.Join(", ", order));
        terminal.WriteText(
            FormattableString.Invariant(
                $"Balance of equivalents closes to {runs.Max(r => r.BalanceError):0.0e+0}. The figures are estimates; the water is not for drinking."
            )
        );
        foreach (string remark in input.Remarks)
        {
            terminal.WriteCaution(remark);
        }

        return ExitCode.Done;
    }

    private static string[] Row(string line, double[] liters, BedInput input)
    {
        string Of(double factor)
        {
            string Text(double value) =>
                double.IsFinite(value) ? value.ToString("#,0", CultureInfo.InvariantCulture) : "not reached";
            string middle = Text(factor * liters[liters.Length / 2]);
            return liters.Length == 1
                ? middle
                : $"{middle} ({Text(factor * liters[0])}–{Text(factor * liters[^1])})";
        }

        return [line, Of(1), Of(Volume.FromLiters(1).UsGallons), Of(1e-3 / BedVolume(input))];
    }

    private static double BedVolume(BedInput input) => input.Rig.Beds.Sum(b => b.Volume.CubicMeters);

    private static double Celsius(BedInput input) =>
        input.Feed.TemperatureKelvin - PhysicalConstants.ZeroCelsius;

    private static string NameOf(Component ion) => ResinCatalog.IonNames.First(n => n.Value == ion).Key;
}
