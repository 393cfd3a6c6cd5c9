using System.CommandLine;
using Rinsewright.Quantities;
using Rinsewright.Records.Alarms;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Cli.Record;

/// <summary>Where alarms go: <c>rinsewright alarm send-to</c>, <c>destinations</c>, <c>send-no-more</c>.</summary>
internal static class AlarmDestinations
{
    public static Verb CreateAdd(Terminal terminal)
    {
        var verb = new Verb(
            "send-to",
            "Let alarms go somewhere: an e-mail address, a webhook or the broker of serve --mqtt.",
            "rinsewright alarm send-to Mira --mail mira@example.org --quiet 22:00-06:30 --urgent-breaks-through",
            "rinsewright alarm send-to Office --webhook https://hooks.example.org/rinse",
            "rinsewright alarm send-to Panel --mqtt"
        );
        Argument<string> name = verb.Takes<string>("NAME", "What it is called.");
        Option<string?> mail = verb.Has<string?>("--mail", "An e-mail address.");
        Option<string?> hook = verb.Has<string?>("--webhook", "An address that gets a signed request.");
        Option<bool> mqtt = verb.Has<bool>("--mqtt", "A topic of its own at the broker.");
        Option<string?> quiet = verb.Has<string?>(
            "--quiet",
            "Quiet hours, such as 22:00-06:30: what is raised then comes after them, together."
        );
        Option<string?> zone = verb.Has<string?>(
            "--time-zone",
            "IANA time zone of the quiet hours. Default: that of the first rig."
        );
        Option<bool> breaks = verb.Has<bool>(
            "--urgent-breaks-through",
            "Urgent alarms come in quiet hours, too."
        );
        Option<bool> urgent = verb.Has<bool>("--urgent-only", "Only urgent alarms go there.");
        Option<int> most = verb.Has<int>(
            "--most-per-hour",
            "Messages in an hour at most; what is above comes together later.",
            o => o.DefaultValueFactory = _ => AlarmDestination.UsualMostPerHour
        );
        Option<string?> organisation = AlarmCommand.OrganisationOption(verb);
        var record = new RecordOptions(verb, terminal);
        verb.SetAction(
            async (line, cancel) =>
            {
                var problems = new ProblemList();
                (string Route, string? Address)[] given =
                [
                    .. new (string, string?)[]
                    {
                        ("mail", line.GetValue(mail)),
                        ("webhook", line.GetValue(hook)),
                        ("mqtt", line.GetValue(mqtt) ? "" : null),
                    }.Where(g => g.Item2 is not null),
                ];
                problems.Require(
                    given.Length == 1,
                    "send-to",
                    $"{line.GetValue(name)}",
                    "one of --mail, --webhook and --mqtt"
                );
                await using LogbookStore store = await record.OpenAsync(line, cancel);
                Id<Organisation>? whose = await AlarmCommand.OrganisationAsync(
                    store,
                    line.GetValue(organisation),
                    problems,
                    cancel
                );
                if (problems.Problems.Count > 0)
                {
                    return terminal.Refuse(problems.Problems);
                }

                (AlarmDestination? added, string? secret, IReadOnlyList<InputProblem> refused) =
                    await new AlarmDesk(store).AddAsync(
                        new DestinationDraft(line.GetValue(name), given[0].Route, given[0].Address)
                        {
                            Quiet = line.GetValue(quiet),
                            TimeZone = line.GetValue(zone),
                            DoesUrgentBreakThrough = line.GetValue(breaks),
                            IsUrgentOnly = line.GetValue(urgent),
                            MostPerHour = line.GetValue(most),
                        },
                        whose,
                        PeopleCommand.ActorOf(record, line),
                        cancel
                    );
                if (added is null)
                {
                    return terminal.Refuse(refused);
                }

                if (Verb.WantsJson(line))
                {
                    return terminal.WriteJson(json =>
                    {
                        json.WriteString("id", added.Id);
                        json.WriteString("name", added.Name);
                        json.WriteString("secret", secret);
                    });
                }

                terminal.WriteText(
                    added.Route is DeliveryRoute.Mqtt
                        ? $"Alarms go to {added.Name}, at the topic PREFIX/alarms/{added.Id}."
                        : $"Alarms go to {added.Name}."
                );
                if (secret is not null)
                {
                    terminal.WriteText("The secret of its signatures (base64), which is not shown again:");
                    terminal.Output.WriteLine(secret);
                }

                return ExitCode.Done;
            }
        );
        return verb;
    }

    public static Verb CreateList(Terminal terminal)
    {
        var verb = new Verb(
            "destinations",
            "Show where alarms go, and how sending there goes.",
            "rinsewright alarm destinations"
        );
        var record = new RecordOptions(verb, terminal, writes: false);
        verb.SetAction(
            async (line, cancel) =>
            {
                await using LogbookStore store = await record.OpenAsync(line, cancel);
                IReadOnlyList<DestinationState> states = await new AlarmOutbox(store).StatesAsync(cancel);
                if (Verb.WantsJson(line))
                {
                    return terminal.WriteJson(json =>
                    {
                        json.WriteStartArray("destinations");
                        foreach (DestinationState state in states)
                        {
                            json.WriteStartObject();
                            json.WriteString("id", state.Destination.Id);
                            json.WriteString("name", state.Destination.Name);
                            json.WriteString("route", AlarmDesk.WordOf(state.Destination.Route));
                            json.WriteString("address", state.Destination.Address);
                            json.WriteString("quiet", QuietOf(state.Destination));
                            json.WriteString("time_zone", state.Destination.TimeZone);
                            json.WriteNumber("waiting", state.Waiting);
                            json.WriteString("last_sent_at", PeopleCommand.At(state.LastSentAt));
                            json.WriteString("last_problem", state.LastProblem);
                            json.WriteNumber("given_up", state.GivenUp);
                            json.WriteEndObject();
                        }

                        json.WriteEndArray();
                    });
                }

                if (states.Count == 0)
                {
                    terminal.WriteText("Alarms go nowhere yet; 'rinsewright alarm send-to' changes that.");
                    return ExitCode.Done;
                }

                terminal.WriteTable(
                    [
                        Heading.Words("name"),
                        Heading.Words("to"),
                        Heading.Words("quiet"),
                        Heading.Words("waiting"),
                        Heading.Words("last sent (UTC)"),
                        Heading.Words("problem"),
                    ],
                    states.Select(s =>
                        (IReadOnlyList<string>)
                            [
                                s.Destination.Name,
                                s.Destination.Address.Length > 0
                                    ? s.Destination.Address
                                    : $"PREFIX/alarms/{s.Destination.Id}",
                                QuietOf(s.Destination) ?? "",
                                FormattableString.Invariant($"{s.Waiting}"),
                                PeopleCommand.At(s.LastSentAt) ?? "never",
                                s.LastProblem ?? "",
                            ]
                    )
                );
                return ExitCode.Done;
            }
        );
        return verb;
    }

    public static Verb CreateRemove(Terminal terminal)
    {
        var verb = new Verb("send-no-more", "Send no more alarms somewhere, nor what waits.");
        Argument<string> name = verb.Takes<string>("NAME", "Its name.");
        Option<string?> organisation = AlarmCommand.OrganisationOption(verb);
        var record = new RecordOptions(verb, terminal);
        verb.SetAction(
            async (line, cancel) =>
            {
                var problems = new ProblemList();
                await using LogbookStore store = await record.OpenAsync(line, cancel);
                Id<Organisation>? whose = await AlarmCommand.OrganisationAsync(
                    store,
                    line.GetValue(organisation),
                    problems,
                    cancel
                );
                string removed = line.GetValue(name)!;
                if (
                    problems.Problems.Count == 0
                    && !await new AlarmDesk(store).RemoveAsync(
                        removed,
                        whose,
                        PeopleCommand.ActorOf(record, line),
                        cancel
                    )
                )
                {
                    problems.Add("NAME", removed, "a destination, see alarm destinations");
                }

                if (problems.Problems.Count > 0)
                {
                    return terminal.Refuse(problems.Problems);
                }

                if (Verb.WantsJson(line))
                {
                    return terminal.WriteJson(json => json.WriteString("removed", removed));
                }

                terminal.WriteText($"Alarms go to {removed} no more.");
                return ExitCode.Done;
            }
        );
        return verb;
    }

    private static string? QuietOf(AlarmDestination destination) =>
        (destination.QuietFrom, destination.QuietUntil) is ({ } from, { } until)
            ? FormattableString.Invariant($"{from:HH:mm}-{until:HH:mm} {destination.TimeZone}")
            : null;
}
