using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Rinsewright.Quantities;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Records.Trust;
using Rinsewright.Water;
using Meter = Rinsewright.Records.Logbook.Meter;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright meter</c>: whether a meter can be trusted, and what it means by what it shows.</summary>
internal static class MeterCommand
{
    public static Command Create(Terminal terminal)
    {
        var verb = new Verb(
            "meter",
            "Say whether a meter can be trusted, what a reading of it stands for, and when to check it again.",
            "rinsewright meter \"Pocket meter\"",
            "rinsewright meter \"Pocket meter\" --shows \"8 ppm\" --temperature \"9 °C\""
        );
        Argument<string?> name = verb.Takes<string?>(
            "METER",
            "Name of the meter in the record; not needed when there is only one.",
            a => a.Arity = ArgumentArity.ZeroOrOne
        );
        Option<string?> shows = verb.Has<string?>("--shows", "A reading to correct, such as \"8 ppm\".");
        Option<string?> temperature = verb.Has<string?>(
            "--temperature",
            "Temperature of the water it was in."
        );
        Option<string?> at = verb.Has<string?>(
            "--at",
            "The moment of asking (UTC unless it says an offset). Default: now."
        );
        var record = new RecordOptions(verb, terminal, writes: false);
        verb.SetAction(
            async (line, cancel) =>
            {
                var problems = new ProblemList();
                problems.AddAll(
                    line.GetValue(shows) is null
                        ? Given.Idle(line, Sentence.Of("--shows beside it"), temperature)
                        : []
                );

                await using LogbookStore store = await record.OpenAsync(line, cancel);
                await using LogbookContext context = store.Read();
                RecordNames names = await RecordNames.LoadAsync(context, cancel);
                Meter? meter =
                    line.GetValue(name) is null && names.Meters is [var only]
                        ? only
                        : names.FindMeter(line.GetValue(name) ?? "", "METER", problems);
                DateTimeOffset moment = record.At(line.GetValue(at), null, problems);
                Temperature? warmth = WrittenText.Quantity<Temperature>(
                    "--temperature",
                    line.GetValue(temperature),
                    problems
                );
                problems.Require(
                    meter is null || MeterTrust.IsOfStrength(meter.Measurand),
                    "METER",
                    $"{meter?.Name}",
                    "a meter of conductance or dissolved solids: others are not corrected"
                );
                Reading? reading = meter is null
                    ? null
                    : Shown(meter, line.GetValue(shows), moment, warmth, problems);
                if (meter is null || problems.Problems.Count > 0)
                {
                    return terminal.Refuse(problems.Problems);
                }

                MeterTrust trust = (await MeterTrust.ForAsync(context, meter.Id, cancel))!;
                var answer = new Answer(meter, trust, moment, trust.Verdict(moment), reading);
                return Verb.WantsJson(line) ? WriteJson(terminal, answer) : WriteText(terminal, answer);
            }
        );
        return verb;
    }

    /// <summary>All that is printed.</summary>
    private sealed record Answer(
        Meter Meter,
        MeterTrust Trust,
        DateTimeOffset At,
        MeterVerdict Verdict,
        Reading? Reading
    )
    {
        public MeterCalibration Now { get; } = Trust.At(At);

        public CorrectedReading? Corrected { get; } = Reading is null ? null : Trust.Correct(Reading);

        public NormalEstimate Gain => new(Now.Gain, Math.Sqrt(Now.GainVariance));

        public NormalEstimate Offset_uS_cm => new(Now.Offset, Math.Sqrt(Now.OffsetVariance));

        /// <summary>What it showed of water at the line when each check was made, by all its checks.</summary>
        public IReadOnlyList<NormalEstimate> AtLineThen { get; } =
        [.. Trust.Checks.Select(c => Trust.At(c.Check.At).Predict(MeterTrust.Line_uS_cm, 0))];

        /// <summary>How much more it shows at the line than when it was first checked [µS/cm]; nothing with one check.</summary>
        public double? Drift_uS_cm =>
            AtLineThen.Count > 1 ? Verdict.AtLine_uS_cm.Mean - AtLineThen[0].Mean : null;
    }

    private static Reading? Shown(
        Meter meter,
        string? text,
        DateTimeOffset at,
        Temperature? temperature,
        ProblemList problems
    )
    {
        if (text is null || WrittenText.Value("--shows", meter.Measurand, text, problems) is not { } value)
        {
            return null;
        }

        return new Reading
        {
            Id = default,
            RigId = default,
            Place = Place.Nozzle,
            MeterId = meter.Id,
            At = at,
            Measurand = meter.Measurand,
            Value_SI = value.Value_SI,
            Written = value.Written,
            Unit = value.Unit,
            IsBelowLimit = value.IsBelowLimit,
            Temperature_K = temperature?.Kelvins,
        };
    }

    private static int WriteJson(Terminal terminal, Answer answer) =>
        terminal.WriteJson(json =>
        {
            json.WriteString("meter", answer.Meter.Name);
            json.WriteString("at", answer.At);
            json.WriteString("grade", answer.Verdict.Grade.ToString().ToLowerInvariant());
            json.WriteString("says", answer.Verdict.Says.ToString());
            json.WriteString("advice", answer.Verdict.Advice.ToString());
            if (answer.Verdict.CheckBy is { } due)
            {
                json.WriteString("check_by", Day(due));
            }
            else
            {
                json.WriteNull("check_by");
            }

            json.WriteNumber("line_uS_cm", MeterTrust.Line_uS_cm);
            Write(json, "shown_of_line_uS_cm", answer.Verdict.AtLine_uS_cm);
            Write(json, "gain", answer.Gain);
            Write(json, "offset_uS_cm", answer.Offset_uS_cm);
            if (answer.Drift_uS_cm is { } drift)
            {
                json.WriteNumber("drift_since_first_check_uS_cm", drift, JsonOutput.Digits);
            }
            else
            {
                json.WriteNull("drift_since_first_check_uS_cm");
            }

            if (answer.Corrected is { } corrected)
            {
                json.WriteStartObject("reading");
                json.WriteString("shown", $"{answer.Reading!.Written} {answer.Reading.Unit}".TrimEnd());
                Write(json, "true_conductance_uS_cm", corrected.Conductance_uS_cm);
                Write(json, "true_value_SI", corrected.Shown_SI);
                json.WriteEndObject();
            }

            json.WriteStartArray("checks");
            foreach ((CheckTrust check, NormalEstimate then) in answer.Trust.Checks.Zip(answer.AtLineThen))
            {
                json.WriteStartObject();
                json.WriteString("at", check.Check.At);
                json.WriteString("solution", check.Check.Solution);
                json.WriteNumber("reference_SI", check.Check.Reference_SI, JsonOutput.Digits);
                json.WriteNumber("shown_SI", check.Check.Shown_SI, JsonOutput.Digits);
                json.WriteNumber("surprise", check.Surprise, JsonOutput.Digits);
                json.WriteBoolean("is_doubtful", check.IsDoubtful);
                json.WriteBoolean("counts", check.Counts);
                Write(json, "shown_of_line_uS_cm", then);
                json.WriteEndObject();
            }

            json.WriteEndArray();
        });

    private static int WriteText(Terminal terminal, Answer answer)
    {
        MeterVerdict verdict = answer.Verdict;
        terminal.WriteHeading(answer.Meter.Name);
        terminal.WriteText(verdict.Says.ToString());
        terminal.WriteText(verdict.Advice.ToString());
        terminal.WriteText(
            verdict.CheckBy is { } due ? $"Check it again by {Day(due)}." : "Its next check is due now."
        );
        terminal.WriteTable(
            [Heading.Words("What"), Heading.Number("now"), Heading.Number("90 % interval")],
            [
                [
                    $"shows of a true {Number(MeterTrust.Line_uS_cm)} µS/cm",
                    $"{Number(verdict.AtLine_uS_cm.Mean)} µS/cm",
                    Range(verdict.AtLine_uS_cm),
                ],
                ["gain", Number(answer.Gain.Mean), Range(answer.Gain)],
                ["offset [µS/cm]", Number(answer.Offset_uS_cm.Mean), Range(answer.Offset_uS_cm)],
            ]
        );
        if (answer.Corrected is { } corrected)
        {
            // Less than nothing is what noise and offset can make of water near pure.
            NormalEstimate conductance = corrected.Conductance_uS_cm;
            terminal.WriteText(
                FormattableString.Invariant(
                    $"{answer.Reading!.Written} {answer.Reading.Unit} on it stands for {Number(Math.Max(0, conductance.Mean))} µS/cm at 25 °C ({Number(Math.Max(0, conductance.Lower))}–{Number(Math.Max(0, conductance.Upper))}); a true one would show {Written(answer.Reading, Math.Max(0, corrected.Shown_SI.Mean))}."
                )
            );
        }

        if (answer.Trust.Checks.Count == 0)
        {
            return ExitCode.Done;
        }

        terminal.WriteTable(
            [
                Heading.Words("Checked (UTC)"),
                Heading.Words("solution"),
                Heading.Number("shown"),
                Heading.Number("then off at the line"),
                Heading.Words("used"),
            ],
            answer.Trust.Checks.Zip(
                answer.AtLineThen,
                (check, then) =>
                    (IReadOnlyList<string>)
                        [
                            Day(check.Check.At),
                            check.Check.Solution,
                            $"{check.Check.ShownWritten} {check.Check.Unit}",
                            $"{Percent(then.Mean)} %",
                            check.Counts
                                ? check.IsDoubtful
                                    ? "yes, but it disagrees"
                                    : "yes"
                                : $"no: {Number(Math.Abs(check.Surprise))} standard deviations off",
                        ]
            )
        );
        if (answer.Drift_uS_cm is { } drift)
        {
            terminal.WriteText(
                $"Since its first check it has drifted by {Signed(100 * drift / MeterTrust.Line_uS_cm)} % at the line."
            );
        }

        return ExitCode.Done;
    }

    /// <summary>A value in the unit that the person wrote.</summary>
    private static string Written(Reading reading, double value_SI) =>
        MeasurandText.TryFindUnit(reading.Measurand, reading.Unit, out UnitScale? unit)
            ? $"{Number((value_SI - unit.Offset) / unit.Scale)} {reading.Unit}"
            : $"{Number(value_SI)} (SI)";

    private static void Write(Utf8JsonWriter json, string name, NormalEstimate value) =>
        json.WriteInterval(name, value.Mean, value.Lower, value.Upper);

    private static string Percent(double shown_uS_cm) =>
        Signed(100 * ((shown_uS_cm / MeterTrust.Line_uS_cm) - 1));

    private static string Signed(double value) =>
        value.ToString("+0.0;-0.0;0.0", CultureInfo.InvariantCulture);

    private static string Range(NormalEstimate value) => $"{Number(value.Lower)} to {Number(value.Upper)}";

    private static string Number(double value) => value.ToString("G3", CultureInfo.InvariantCulture);

    private static string Day(DateTimeOffset at) =>
        at.UtcDateTime.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
}
