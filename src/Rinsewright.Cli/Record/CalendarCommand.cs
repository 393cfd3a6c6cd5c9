using System.CommandLine;
using System.Globalization;
using System.Text;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Handouts;
using Rinsewright.Handouts.Plan;
using Rinsewright.Quantities;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Forecasts;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright calendar</c>: what must be done to a rig and when, as a calendar file.</summary>
internal static class CalendarCommand
{
    private const int Members = 500;
    private const int Seed = 1;

    public static Command Create(Terminal terminal)
    {
        var verb = new Verb(
            "calendar",
            "Plan the upkeep of a rig: change-outs by forecast, flushing, sanitising, seals, frost, meter checks; as a calendar file.",
            "rinsewright calendar \"Van 1\""
        );
        Argument<string?> rig = verb.Takes<string?>(
            "RIG",
            "Name of the rig in the record; not needed when there is only one.",
            a => a.DefaultValueFactory = _ => null
        );
        Option<string?> at = verb.Has<string?>("--at", "The moment of asking; now if not given.");
        Option<string?> hemisphere = verb.Has<string?>(
            "--hemisphere",
            "north, south or tropics, for frost and warmth; by the rig's time zone if not given."
        );
        Option<string?> output = verb.Has<string?>(
            "--output",
            "Write the calendar to this .ics file; entries of one that is there keep their identity, and moved ones count up."
        );
        var record = new RecordOptions(verb, terminal, writes: false);
        verb.SetAction(
            async (line, cancel) =>
            {
                var problems = new ProblemList();
                List<InputProblem> wrong = [];
                string? path = PaperFile.Checked("--output", line.GetValue(output), [".ics"], wrong);
                string? earlier =
                    wrong.Count == 0 && File.Exists(path) ? await File.ReadAllTextAsync(path, cancel) : null;
                if (earlier is not null && !PlanCalendar.CanRenew(earlier))
                {
                    wrong.Add(new InputProblem("--output", path!, "a new file, or a calendar (RFC 5545)"));
                }

                Hemisphere? place = null;
                if (line.GetValue(hemisphere) is { } word)
                {
                    place = Given.Word<Hemisphere>(word);
                    if (place is null)
                    {
                        wrong.Add(new InputProblem("--hemisphere", word, "north, south or tropics"));
                    }
                }

                await using LogbookStore store = await record.OpenAsync(line, cancel);
                await using LogbookContext context = store.Read();
                RecordNames names = await RecordNames.LoadAsync(context, cancel);
                Rig? found = names.FindRig(line.GetValue(rig), "RIG", problems);
                DateTimeOffset moment = record.At(line.GetValue(at), found, problems);
                wrong.AddRange(problems.Problems);
                if (wrong.Count > 0)
                {
                    return terminal.Refuse(wrong);
                }

                RigHistory history = (await RigHistory.LoadAsync(context, found!.Id, moment, cancel))!;
                List<Upkeep> own = await context
                    .Live<Upkeep>()
                    .Where(u => u.RigId == found.Id)
                    .ToListAsync(cancel);
                IReadOnlyList<InputProblem> missing = [];
                RigForecast? forecast = terminal.WithProgress(
                    found.Name,
                    progress =>
                        RigForecast.Of(
                            history,
                            moment,
                            Members,
                            Seed,
                            out missing,
                            terminal.Libraries,
                            progress,
                            cancel
                        )
                );
                var plan = MaintenancePlan.Of(
                    history,
                    own,
                    forecast?.Answers.To(
                        ForecastLines.Of(forecast.Stage.Stage),
                        RigBed.MeterFactorOf(history)
                    ),
                    moment,
                    place ?? MaintenancePlan.HemisphereOf(history.Zone, moment.Year)
                );
                if (path is not null)
                {
                    long edits = await context.Edits.MaxAsync(e => (long?)e.Number, cancel) ?? 0;
                    string calendar = PlanCalendar.Write(plan, (int)Math.Min(edits, int.MaxValue), earlier);
                    OutputFile.Replace(path, stream => stream.Write(Encoding.UTF8.GetBytes(calendar)));
                }

                return Verb.WantsJson(line)
                    ? WriteJson(terminal, plan, missing)
                    : WriteText(terminal, plan, place, missing, path);
            }
        );
        return verb;
    }

    private static int WriteJson(
        Terminal terminal,
        MaintenancePlan plan,
        IReadOnlyList<InputProblem> missing
    ) =>
        terminal.WriteJson(json =>
        {
            json.WriteString("rig", plan.Rig);
            json.WriteString("at", plan.At);
            json.WriteStartArray("duties");
            foreach (Duty duty in plan.Duties)
            {
                json.WriteStartObject();
                json.WriteString("uid", duty.Uid);
                json.WriteString("kind", duty.Kind.ToString().ToLowerInvariant());
                json.WriteString("on", duty.On.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture));
                json.WriteNumber("every_days", duty.EveryDays ?? double.NaN, JsonOutput.Digits);
                json.WriteNumber("every_months", duty.EveryMonths ?? double.NaN, JsonOutput.Digits);
                json.WriteString("summary", duty.Summary.ToString());
                json.WriteString("text", duty.Text);
                json.WriteEndObject();
            }

            json.WriteEndArray();
            json.WriteStartArray("missing");
            foreach (InputProblem problem in missing)
            {
                json.WriteStringValue(problem.ToString());
            }

            json.WriteEndArray();
        });

    private static int WriteText(
        Terminal terminal,
        MaintenancePlan plan,
        Hemisphere? place,
        IReadOnlyList<InputProblem> missing,
        string? path
    )
    {
        terminal.WriteHeading($"{plan.Rig}: what to do, and when");
        terminal.WriteTable(
            [Heading.Words("on"), Heading.Words("what"), Heading.Words("again")],
            plan.Duties.Select(d =>
                (IReadOnlyList<string>)
                    [
                        d.On.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture),
                        d.Summary.ToString(),
                        d.EveryDays is { } days ? FormattableString.Invariant($"every {days} days")
                        : d.EveryMonths is { } months ? FormattableString.Invariant($"every {months} months")
                        : "",
                    ]
            )
        );
        foreach (InputProblem problem in missing)
        {
            terminal.WriteText(
                $"No change-out by forecast: {problem.Place}: {problem.Text}: {problem.Expected}."
            );
        }

        if (place is null)
        {
            terminal.WriteText("Frost and warmth by the rig's time zone; say --hemisphere if that is wrong.");
        }

        terminal.WriteCaution(
            "Relieve the pressure before you open a housing. Intervals without a forecast are common practice; what the makers say goes before them."
        );
        terminal.WriteText(path is null ? "Write the calendar with --output plan.ics." : $"Written: {path}");
        return ExitCode.Done;
    }
}
