using System.Collections.Immutable;
using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Rinsewright.Cli.Record;
using Rinsewright.Handouts;
using Rinsewright.Quantities;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Cli;

/// <summary>Runs water through a rig's beds and says how far they last.</summary>
internal static class BedCommand
{
    private const double UsualMeterFactor = 0.5;
    private const int BandPoints = 100;
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
            "A line to change out at: \"10 ppm\", \"20 uS/cm\", \"5 mg/L residue\", \"1 mg/L silica\", \"20 mg/m2\" (spots). May be repeated."
        );
        Option<double?> factor = verb.Has<double?>(
            "--meter-factor",
            "The meter's factor from conductivity to TDS, 0.4 to 0.8; 0.5 if not given."
        );
        Option<int?> members = verb.Has<int?>(
            "--members",
            "Lives to run over what is not known of water, resins and films; adds ranges to every line and curve."
        );
        Option<int?> seed = verb.Has<int?>("--seed", "Seed of the chance in them; 1 if not given.");
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
                    (line.GetValue(members), line.GetValue(seed) ?? WaterInput.Seed),
                    problems
                );
                string? picture = PaperFile.Checked("--plot", line.GetValue(plot), [".svg"], problems);
                return problems.Count > 0
                    ? terminal.Refuse(problems)
                    : Run(terminal, input, picture, Verb.WantsJson(line));
            });
        return verb;
    }

    private static int Run(Terminal terminal, BedInput input, string? plot, bool json)
    {
        foreach (string left in json ? input.LeftOut : [])
        {
            terminal.Error.WriteLine("rinsewright: " + left);
        }

        if (UnsolvedException.Unless(input.Rig.Name, () => BedAnswer.Of(input, input.Feed)) is not { } answer)
        {
            return terminal.Fail("the beds could not be run to the end: please report the two files");
        }

        BedOutlook? outlook =
            input.Members > 0 ? terminal.WithProgress(input.Rig.Name, p => OutlookOf(input, p)) : null;
        if (plot is not null)
        {
            BedPlot.Write(plot, input, answer.Report);
        }

        return json
            ? WriteJson(terminal, input, answer, outlook)
            : WriteText(terminal, input, answer, outlook);
    }

    private static BedOutlook OutlookOf(BedInput input, IProgress<double> progress) =>
        BedOutlook.Run(
            input.Rig.Beds,
            input.Feeds,
            input.Flow,
            input.To,
            input.Members,
            input.Seed,
            progress: progress
        );

    private static int WriteJson(Terminal terminal, BedInput input, BedAnswer answer, BedOutlook? outlook) =>
        terminal.WriteJson(writer =>
        {
            writer.WriteString("rig", input.Rig.Name);
            writer.WriteString("water", input.WaterName);
            writer.WriteNumber("temperature_degC", Celsius(input), 5);
            writer.WriteNumber("flow_L_min", input.Flow.LitersPerMinute, 6);
            writer.WriteNumber("meter_factor", input.MeterFactor, 6);
            if (outlook is not null)
            {
                writer.WriteNumber("members", input.Members);
                writer.WriteNumber("seed", input.Seed);
            }

            writer.WriteStartArray("lines");
            foreach (ChangeOutLine line in input.Lines)
            {
                Band liters = LitersTo(line, input, answer, outlook);
                writer.WriteStartObject();
                writer.WriteString("line", line.Text);
                WriteOpen(writer, "liters", liters, 1, outlook);
                WriteOpen(writer, "us_gallons", liters, Volume.FromLiters(1).UsGallons, outlook);
                WriteOpen(writer, "bed_volumes", liters, 1e-3 / BedVolume(input), outlook);
                writer.WriteEndObject();
            }

            writer.WriteEndArray();
            writer.WriteStartArray("first_out");
            foreach ((Component ion, _) in answer.Report.FirstOut())
            {
                writer.WriteStringValue(NameOf(ion));
            }

            writer.WriteEndArray();
            writer.WriteNumber("balance_error", answer.BalanceError, 3);
            writer.WriteStartObject("curve");
            WriteCurve(writer, input, answer.Report);
            writer.WriteEndObject();
            if (outlook is not null)
            {
                writer.WriteStartObject("bands");
                WriteBands(writer, input, answer.Report, outlook);
                writer.WriteEndObject();
            }

            writer.WriteStartArray("warnings");
            foreach (string warning in input.Remarks)
            {
                writer.WriteStringValue(warning);
            }

            writer.WriteEndArray();
        });

    /// <summary>One number of the run with the designs as they stand, or median and range of the outlook.</summary>
    private static void WriteOpen(
        Utf8JsonWriter writer,
        string name,
        Band value,
        double factor,
        BedOutlook? outlook
    )
    {
        if (outlook is null)
        {
            writer.WriteNumber(name, factor * value.Median, JsonOutput.Digits);
        }
        else
        {
            writer.WriteInterval(name, factor * value.Median, factor * value.P05, factor * value.P95);
        }
    }

    /// <summary>Litres to a line; infinite where it is not reached.</summary>
    private static Band LitersTo(ChangeOutLine line, BedInput input, BedAnswer answer, BedOutlook? outlook)
    {
        if (outlook is not null)
        {
            return UnsolvedException.Unless(input.Rig.Name, () => outlook.LitersTo(line, input.MeterFactor));
        }

        double liters = UnsolvedException.Unless(
            input.Rig.Name,
            () => answer.Report.Reaches(line, input.MeterFactor)?.Liters ?? double.PositiveInfinity
        );
        return new Band(liters, liters, liters);
    }

    /// <summary>The quantities of a curve by name.</summary>
    private static IEnumerable<(string Name, Func<EffluentSample, double> Value)> Quantities(
        BedInput input
    ) =>
        [
            ("conductivity25_uS_cm", s => s.Conductivity25),
            ("pH", s => s.PH),
            ("meter_ppm", s => s.ValueFor(LineKind.MeterReading, input.MeterFactor)),
            ("silica_mg_L", s => s.Silica),
            ("residue_mg_L", s => s.Residue),
            ("spot_index_mg_m2", s => s.Spots.MilligramsPerSquareMeter),
        ];

    private static IEnumerable<(string Name, Func<EffluentSample, double> Value)> Ions(
        EffluentReport report
    ) =>
        [
            .. Shown
                .Where(ion => report.Samples.Any(s => s.Totals[(int)ion.Component] > 0))
                .Select(ion => (ion.Name, (Func<EffluentSample, double>)(s => s.MassOf(ion.Component)))),
            ("HCO3", s => s.Bicarbonate),
            ("CO2", s => s.CarbonDioxide),
        ];

    private static void WriteBands(
        Utf8JsonWriter writer,
        BedInput input,
        EffluentReport report,
        BedOutlook outlook
    )
    {
        double last = outlook.Members.Max(m => m.Samples[^1].Liters);
        double[] liters = [.. Enumerable.Range(0, BandPoints + 1).Select(i => last * i / BandPoints)];
        void Write(string name, Func<EffluentSample, double> value)
        {
            ImmutableArray<Band> bands = outlook.Along(liters, value);
            writer.WriteStartObject(name);
            writer.WriteNumbers("median", [.. bands.Select(b => b.Median)]);
            writer.WriteNumbers("p05", [.. bands.Select(b => b.P05)]);
            writer.WriteNumbers("p95", [.. bands.Select(b => b.P95)]);
            writer.WriteEndObject();
        }

        writer.WriteNumbers("liters", liters);
        foreach ((string name, Func<EffluentSample, double> value) in Quantities(input))
        {
            Write(name, value);
        }

        writer.WriteStartObject("ions_mg_L");
        foreach ((string name, Func<EffluentSample, double> value) in Ions(report))
        {
            Write(name, value);
        }

        writer.WriteEndObject();
    }

    private static void WriteCurve(Utf8JsonWriter writer, BedInput input, EffluentReport report)
    {
        double[] Of(Func<EffluentSample, double> value) => [.. report.Samples.Select(value)];
        writer.WriteNumbers("liters", Of(s => s.Liters));
        foreach ((string name, Func<EffluentSample, double> value) in Quantities(input))
        {
            writer.WriteNumbers(name, Of(value));
        }

        writer.WriteStartObject("ions_mg_L");
        foreach ((string name, Func<EffluentSample, double> value) in Ions(report))
        {
            writer.WriteNumbers(name, Of(value));
        }

        writer.WriteEndObject();
    }

    private static int WriteText(Terminal terminal, BedInput input, BedAnswer answer, BedOutlook? outlook)
    {
        EffluentReport report = answer.Report;
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
            input.Lines.Select(line => Row(line.Text, LitersTo(line, input, answer, outlook), input, outlook))
        );
        if (outlook is not null)
        {
            terminal.WriteText(
                $"Each number is the median and, in brackets, the range that holds nine in ten of {input.Members} lives over what is not known of the water, the resins and their films."
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
                $"Balance of equivalents closes to {answer.BalanceError:0.0e+0}. The figures are estimates; the water is not for drinking."
            )
        );
        foreach (string remark in input.Remarks)
        {
            terminal.WriteCaution(remark);
        }

        return ExitCode.Done;
    }

    private static string[] Row(string line, Band liters, BedInput input, BedOutlook? outlook)
    {
        string Of(double factor)
        {
            string Text(double value) =>
                double.IsFinite(value) ? value.ToString("#,0", CultureInfo.InvariantCulture) : "not reached";
            string middle = Text(factor * liters.Median);
            return outlook is null
                ? middle
                : $"{middle} ({Text(factor * liters.P05)}–{Text(factor * liters.P95)})";
        }

        return [line, Of(1), Of(Volume.FromLiters(1).UsGallons), Of(1e-3 / BedVolume(input))];
    }

    private static double BedVolume(BedInput input) => input.Rig.Beds.Sum(b => b.Volume.CubicMeters);

    private static double Celsius(BedInput input) =>
        input.Feed.TemperatureKelvin - PhysicalConstants.ZeroCelsius;

    private static string NameOf(Component ion) => ResinCatalog.IonNames.First(n => n.Value == ion).Key;
}
