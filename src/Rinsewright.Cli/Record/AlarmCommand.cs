using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Rinsewright.Quantities;
using Rinsewright.Records.Alarms;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright alarm</c>: what is wrong, who sees to it, when alarms are raised.</summary>
internal static class AlarmCommand
{
    private const int UsualCount = 50;

    public static Command Create(Terminal terminal)
    {
        var alarm = new Command(
            "alarm",
            "See what is wrong, say that you see to it, and set when alarms are raised and where they go."
        );
        alarm.Subcommands.Add(CreateList(terminal));
        alarm.Subcommands.Add(CreateAcknowledge(terminal));
        alarm.Subcommands.Add(CreateRule(terminal));
        alarm.Subcommands.Add(AlarmDestinations.CreateAdd(terminal));
        alarm.Subcommands.Add(AlarmDestinations.CreateList(terminal));
        alarm.Subcommands.Add(AlarmDestinations.CreateRemove(terminal));
        return alarm;
    }

    /// <summary>The organisation that was named, or nothing; a wrong name is a problem.</summary>
    public static async Task<Id<Organisation>?> OrganisationAsync(
        LogbookStore store,
        string? name,
        ProblemList problems,
        CancellationToken cancel
    )
    {
        if (name is null)
        {
            return null;
        }

        await using LogbookContext context = store.Read();
        return (await DeviceCommand.FindAsync(context, name, problems, cancel))?.Id;
    }

    /// <summary>Whose it is, where the record is kept for several.</summary>
    public static Option<string?> OrganisationOption(Verb verb) =>
        verb.Has<string?>("--organisation", "Whose it is; not needed when there is only one.");

    private static Verb CreateList(Terminal terminal)
    {
        var verb = new Verb(
            "list",
            "Show the alarms: open ones first, then those that are over.",
            "rinsewright alarm list",
            "rinsewright alarm list --open --json"
        );
        Option<bool> open = verb.Has<bool>("--open", "Only those that are open.");
        Option<int> last = verb.Has<int>(
            "--last",
            "How many at most.",
            o => o.DefaultValueFactory = _ => UsualCount
        );
        var record = new RecordOptions(verb, terminal, writes: false);
        verb.SetAction(
            async (line, cancel) =>
            {
                int count = line.GetValue(last);
                if (count is < 1 or > 10_000)
                {
                    return terminal.Refuse([
                        new InputProblem("--last", FormattableString.Invariant($"{count}"), "1 to 10000"),
                    ]);
                }

                await using LogbookStore store = await record.OpenAsync(line, cancel);
                IReadOnlyList<NamedAlarm> alarms = await new AlarmBook(store).ListAsync(
                    line.GetValue(open),
                    count,
                    cancel
                );
                if (Verb.WantsJson(line))
                {
                    return terminal.WriteJson(json =>
                    {
                        json.WriteStartArray("alarms");
                        foreach (NamedAlarm named in alarms)
                        {
                            Write(json, named);
                        }

                        json.WriteEndArray();
                    });
                }

                if (alarms.Count == 0)
                {
                    terminal.WriteText("There is no alarm.");
                    return ExitCode.Done;
                }

                terminal.WriteTable(
                    [
                        Heading.Words("id"),
                        Heading.Words("raised (UTC)"),
                        Heading.Words("of"),
                        Heading.Words("kind"),
                        Heading.Words("seen, limit"),
                        Heading.Words("state"),
                    ],
                    alarms.Select(a =>
                        (IReadOnlyList<string>)
                            [
                                a.Alarm.Id.ToString(),
                                PeopleCommand.At(a.Alarm.RaisedAt)!,
                                string.Join(", ", new[] { a.Rig, a.Device }.OfType<string>()),
                                AlarmMeasure.Of(a.Alarm.Kind).Word + (a.Alarm.IsUrgent ? ", urgent" : ""),
                                string.Create(
                                    CultureInfo.InvariantCulture,
                                    $"{a.Alarm.Seen:0.#}, {a.Alarm.Limit:0.#} {a.Alarm.Unit}"
                                ),
                                StateOf(a.Alarm),
                            ]
                    )
                );
                return ExitCode.Done;
            }
        );
        return verb;
    }

    private static Verb CreateAcknowledge(Terminal terminal)
    {
        var verb = new Verb(
            "acknowledge",
            "Say that somebody sees to an alarm. It stays open until what it is about is gone."
        );
        Argument<Guid> id = verb.Takes<Guid>("ALARM", "Its id, as alarm list shows it.");
        Option<string?> note = verb.Has<string?>("--note", "What is done about it.");
        var record = new RecordOptions(verb, terminal);
        verb.SetAction(
            async (line, cancel) =>
            {
                await using LogbookStore store = await record.OpenAsync(line, cancel);
                IReadOnlyList<InputProblem> problems = await new AlarmBook(store).AcknowledgeAsync(
                    line.GetValue(id),
                    PeopleCommand.ActorOf(record, line),
                    line.GetValue(note),
                    cancel
                );
                if (problems.Count > 0)
                {
                    return terminal.Refuse(problems);
                }

                if (Verb.WantsJson(line))
                {
                    return terminal.WriteJson(json => json.WriteString("acknowledged", line.GetValue(id)));
                }

                terminal.WriteText("Acknowledged.");
                return ExitCode.Done;
            }
        );
        return verb;
    }

    private static Verb CreateRule(Terminal terminal)
    {
        var verb = new Verb(
            "rule",
            "Show when alarms are raised or, with a kind, set it: for all rigs or for one.",
            "rinsewright alarm rule",
            "rinsewright alarm rule due --limit 14",
            "rinsewright alarm rule chance --rig \"Van 1\" --limit 30 --urgent on"
        );
        Argument<string?> kind = verb.Takes<string?>(
            "KIND",
            $"{string.Join(", ", AlarmMeasure.All.Select(m => m.Word))}.",
            a => a.Arity = ArgumentArity.ZeroOrOne
        );
        Option<string?> rigName = verb.Has<string?>("--rig", "The rig that it is for. Default: all.");
        Option<double?> limit = verb.Has<double?>("--limit", "The limit, in the unit that the list shows.");
        Option<string?> on = verb.Has<string?>(
            "--raise",
            "Whether such alarms are raised: on or off.",
            o => o.AcceptOnlyFromAmong("on", "off")
        );
        Option<string?> urgent = verb.Has<string?>(
            "--urgent",
            "Whether they are urgent: on or off.",
            o => o.AcceptOnlyFromAmong("on", "off")
        );
        Option<bool> usual = verb.Has<bool>("--usual", "Let the usual rule hold again.");
        Option<string?> organisation = OrganisationOption(verb);
        var record = new RecordOptions(verb, terminal);
        verb.SetAction(
            async (line, cancel) =>
            {
                var problems = new ProblemList();
                problems.AddAll(
                    line.GetValue(kind) is null
                        ? Given.Idle(line, Sentence.Of("a KIND before it"), rigName, limit, on, urgent, usual)
                    : line.GetValue(usual)
                        ? Given.Idle(line, Sentence.Of("--usual alone or this"), limit, on, urgent)
                    : []
                );

                await using LogbookStore store = await record.OpenAsync(line, cancel);
                var desk = new AlarmDesk(store);
                Id<Organisation>? whose = await OrganisationAsync(
                    store,
                    line.GetValue(organisation),
                    problems,
                    cancel
                );
                Rig? rig = null;
                if (line.GetValue(rigName) is { } said)
                {
                    await using LogbookContext context = store.Read();
                    RecordNames names = await RecordNames.LoadAsync(context, cancel);
                    rig = names.FindRig(said, "--rig", problems);
                }

                if (problems.Problems.Count > 0)
                {
                    return terminal.Refuse(problems.Problems);
                }

                if (line.GetValue(kind) is { } word)
                {
                    IReadOnlyList<InputProblem> refused = await SetAsync(word);
                    if (refused.Count > 0)
                    {
                        return terminal.Refuse(refused);
                    }
                }

                return Show(terminal, line, await desk.RulesAsync(whose, cancel));

                async Task<IReadOnlyList<InputProblem>> SetAsync(string word)
                {
                    if (!line.GetValue(usual))
                    {
                        return await desk.SetAsync(
                            new RuleDraft(
                                word,
                                rig?.Id,
                                line.GetValue(limit),
                                IsOn(line.GetValue(on)),
                                IsOn(line.GetValue(urgent))
                            ),
                            whose,
                            PeopleCommand.ActorOf(record, line),
                            cancel
                        );
                    }

                    if (AlarmMeasure.Named(word) is not { } measure)
                    {
                        return [AlarmDesk.NoKind(word)];
                    }

                    await desk.ResetAsync(
                        measure.Kind,
                        rig?.Id,
                        whose,
                        PeopleCommand.ActorOf(record, line),
                        cancel
                    );
                    return [];
                }
            }
        );
        return verb;
    }

    private static int Show(
        Terminal terminal,
        ParseResult line,
        IReadOnlyList<(AlarmRule Rule, string? Rig)> rules
    )
    {
        if (Verb.WantsJson(line))
        {
            return terminal.WriteJson(json =>
            {
                json.WriteStartArray("rules");
                foreach ((AlarmRule rule, string? rig) in rules)
                {
                    AlarmMeasure measure = AlarmMeasure.Of(rule.Kind);
                    json.WriteStartObject();
                    json.WriteString("kind", measure.Word);
                    json.WriteString("rig", rig);
                    json.WriteNumber("limit", rule.Limit);
                    json.WriteString("unit", measure.Unit);
                    json.WriteBoolean("on", rule.IsOn);
                    json.WriteBoolean("urgent", rule.IsUrgent);
                    json.WriteBoolean("usual", rule.Id == default);
                    json.WriteEndObject();
                }

                json.WriteEndArray();
            });
        }

        terminal.WriteTable(
            [
                Heading.Words("kind"),
                Heading.Words("of"),
                Heading.Words("raised from"),
                Heading.Words("urgent"),
                Heading.Words("what the limit is of"),
            ],
            rules.Select(r =>
            {
                AlarmMeasure measure = AlarmMeasure.Of(r.Rule.Kind);
                return (IReadOnlyList<string>)
                    [
                        measure.Word,
                        r.Rig ?? "all rigs",
                        r.Rule.IsOn ? FormattableString.Invariant($"{r.Rule.Limit} {measure.Unit}") : "off",
                        r.Rule.IsUrgent ? "yes" : "no",
                        measure.Meaning,
                    ];
            })
        );
        return ExitCode.Done;
    }

    private static bool? IsOn(string? word) => word is null ? null : word is "on";

    private static string StateOf(Alarm alarm) =>
        alarm.ClearedAt is not null ? "over"
        : alarm.AcknowledgedBy is { } who ? $"{who} sees to it"
        : "open";

    private static void Write(Utf8JsonWriter json, NamedAlarm named)
    {
        Alarm alarm = named.Alarm;
        json.WriteStartObject();
        json.WriteString("id", alarm.Id);
        json.WriteString("kind", AlarmMeasure.Of(alarm.Kind).Word);
        json.WriteString("rig", named.Rig);
        json.WriteString("device", named.Device);
        json.WriteBoolean("urgent", alarm.IsUrgent);
        json.WriteNumber("seen", alarm.Seen);
        json.WriteNumber("limit", alarm.Limit);
        json.WriteString("unit", alarm.Unit);
        json.WriteString("raised_at", PeopleCommand.At(alarm.RaisedAt));
        json.WriteString("cleared_at", PeopleCommand.At(alarm.ClearedAt));
        json.WriteString("acknowledged_at", PeopleCommand.At(alarm.AcknowledgedAt));
        json.WriteString("acknowledged_by", alarm.AcknowledgedBy);
        json.WriteString("note", alarm.Note);
        json.WriteEndObject();
    }
}
