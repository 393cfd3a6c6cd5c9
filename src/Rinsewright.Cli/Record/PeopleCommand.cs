using System.CommandLine;
using System.Globalization;
using Rinsewright.Quantities;
using Rinsewright.Records.Access;
using Rinsewright.Records.Storage;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright people</c>: who signs in to the pages, as what; from the first owner on everyone has to.</summary>
internal static class PeopleCommand
{
    private const int UsualLines = 50;
    private const string Roles = "owner, technician or viewer";

    public static Command Create(Terminal terminal)
    {
        var people = new Command(
            "people",
            "Let several people use the record, each with what they may do. Until the first owner is made nobody has to sign in."
        );
        people.Subcommands.Add(CreateAdd(terminal));
        people.Subcommands.Add(CreateAgain(terminal));
        people.Subcommands.Add(CreateList(terminal));
        people.Subcommands.Add(CreateRole(terminal));
        people.Subcommands.Add(CreateRemove(terminal));
        people.Subcommands.Add(CreateLog(terminal));
        return people;
    }

    private static Verb CreateAdd(Terminal terminal)
    {
        var verb = new Verb(
            "add",
            "Invite someone: print a link that opens once, within three days. The first must be an owner; from then on everyone signs in.",
            "rinsewright people add Ana --role owner --organisation \"Two vans\" --address https://rinse.example"
        );
        Argument<string> name = verb.Takes<string>("NAME", "What they sign in with.");
        Option<string> role = verb.Has<string>(
            "--role",
            $"{Roles}: everything; logging and editing rigs; only reading.",
            o => o.DefaultValueFactory = _ => "technician"
        );
        Option<string?> organisation = verb.Has<string?>(
            "--organisation",
            "Whose rigs they are to see; it is made if it is new. Not needed when there is only one."
        );
        Option<string?> address = AddressOf(verb);
        var record = new RecordOptions(verb, terminal);
        verb.SetAction(
            async (line, cancel) =>
            {
                if (RightText.OfRole(line.GetValue(role)) is not { } right)
                {
                    return terminal.Refuse([NoRole("--role", line.GetValue(role)!)]);
                }

                if (WrongAddress(line.GetValue(address)) is { } wrong)
                {
                    return terminal.Refuse([wrong]);
                }

                await using LogbookStore store = await record.OpenAsync(line, cancel);
                return Answer(
                    terminal,
                    line,
                    await new PeopleRegister(store).InviteAsync(
                        line.GetValue(name)!,
                        right,
                        line.GetValue(organisation),
                        ActorOf(record, line),
                        cancel
                    ),
                    line.GetValue(address)
                );
            }
        );
        return verb;
    }

    private static Verb CreateAgain(Terminal terminal)
    {
        var verb = new Verb(
            "again",
            "Invite someone again who lost the link, the password or the passkey; the password and all sessions end."
        );
        Argument<string> name = verb.Takes<string>("NAME", "Whom.");
        Option<string?> address = AddressOf(verb);
        var record = new RecordOptions(verb, terminal);
        verb.SetAction(
            async (line, cancel) =>
            {
                if (WrongAddress(line.GetValue(address)) is { } wrong)
                {
                    return terminal.Refuse([wrong]);
                }

                await using LogbookStore store = await record.OpenAsync(line, cancel);
                return Answer(
                    terminal,
                    line,
                    await new PeopleRegister(store).InviteAgainAsync(
                        line.GetValue(name)!,
                        ActorOf(record, line),
                        cancel
                    ),
                    line.GetValue(address)
                );
            }
        );
        return verb;
    }

    private static Verb CreateList(Terminal terminal)
    {
        var verb = new Verb("list", "Show who signs in, as what.", "rinsewright people list");
        var record = new RecordOptions(verb, terminal, writes: false);
        verb.SetAction(
            async (line, cancel) =>
            {
                await using LogbookStore store = await record.OpenAsync(line, cancel);
                IReadOnlyList<(Account Account, string Organisation)> people = await new PeopleRegister(
                    store
                ).ListAsync(cancel);
                if (Verb.WantsJson(line))
                {
                    return terminal.WriteJson(json =>
                    {
                        json.WriteStartArray("people");
                        foreach ((Account account, string organisation) in people)
                        {
                            json.WriteStartObject();
                            json.WriteString("name", account.Name);
                            json.WriteString("role", account.Right.Role());
                            json.WriteString("organisation", organisation);
                            json.WriteString("state", StateOf(account));
                            json.WriteString("last_seen_at", At(account.LastSeenAt));
                            json.WriteEndObject();
                        }

                        json.WriteEndArray();
                    });
                }

                terminal.WriteTable(
                    [
                        Heading.Words("name"),
                        Heading.Words("role"),
                        Heading.Words("organisation"),
                        Heading.Words("state"),
                        Heading.Words("last seen (UTC)"),
                    ],
                    people.Select(p =>
                        (IReadOnlyList<string>)
                            [
                                p.Account.Name,
                                p.Account.Right.Role(),
                                p.Organisation,
                                StateOf(p.Account),
                                At(p.Account.LastSeenAt) ?? "–",
                            ]
                    )
                );
                return ExitCode.Done;
            }
        );
        return verb;
    }

    private static Verb CreateRole(Terminal terminal)
    {
        var verb = new Verb("role", "Give someone another role; their sessions end.");
        Argument<string> name = verb.Takes<string>("NAME", "Whom.");
        Argument<string> role = verb.Takes<string>("ROLE", Roles + ".");
        var record = new RecordOptions(verb, terminal);
        verb.SetAction(
            async (line, cancel) =>
            {
                if (RightText.OfRole(line.GetValue(role)) is not { } right)
                {
                    return terminal.Refuse([NoRole("ROLE", line.GetValue(role)!)]);
                }

                await using LogbookStore store = await record.OpenAsync(line, cancel);
                return Answer(
                    terminal,
                    line,
                    await new PeopleRegister(store).SetRightAsync(
                        line.GetValue(name)!,
                        right,
                        ActorOf(record, line),
                        cancel
                    ),
                    $"{line.GetValue(name)} is {right.Role()}."
                );
            }
        );
        return verb;
    }

    private static Verb CreateRemove(Terminal terminal)
    {
        var verb = new Verb("remove", "Take someone's account away; what they wrote stays, in their name.");
        Argument<string> name = verb.Takes<string>("NAME", "Whom.");
        var record = new RecordOptions(verb, terminal);
        verb.SetAction(
            async (line, cancel) =>
            {
                await using LogbookStore store = await record.OpenAsync(line, cancel);
                return Answer(
                    terminal,
                    line,
                    await new PeopleRegister(store).RemoveAsync(
                        line.GetValue(name)!,
                        ActorOf(record, line),
                        cancel
                    ),
                    $"{line.GetValue(name)} may not sign in any more."
                );
            }
        );
        return verb;
    }

    private static Verb CreateLog(Terminal terminal)
    {
        var verb = new Verb(
            "log",
            "Show what was done about people and keys, the last first: who, what, when, from where.",
            "rinsewright people log --last 200"
        );
        Option<int> last = verb.Has<int>(
            "--last",
            "How many lines.",
            o => o.DefaultValueFactory = _ => UsualLines
        );
        var record = new RecordOptions(verb, terminal, writes: false);
        verb.SetAction(
            async (line, cancel) =>
            {
                int count = line.GetValue(last);
                if (count is < 1 or > 100_000)
                {
                    return terminal.Refuse([new InputProblem("--last", $"{count}", "1 to 100000")]);
                }

                await using LogbookStore store = await record.OpenAsync(line, cancel);
                IReadOnlyList<AuditLine> lines = await new AuditTrail(store).ListAsync(count, cancel);
                if (Verb.WantsJson(line))
                {
                    return terminal.WriteJson(json =>
                    {
                        json.WriteStartArray("lines");
                        foreach (AuditLine done in lines)
                        {
                            json.WriteStartObject();
                            json.WriteString("at", At(done.At));
                            json.WriteString("who", done.Who);
                            json.WriteString("what", done.What);
                            json.WriteString("from", done.Address);
                            json.WriteEndObject();
                        }

                        json.WriteEndArray();
                    });
                }

                terminal.WriteTable(
                    [
                        Heading.Words("when (UTC)"),
                        Heading.Words("who"),
                        Heading.Words("what"),
                        Heading.Words("from"),
                    ],
                    lines.Select(l => (IReadOnlyList<string>)[At(l.At)!, l.Who, l.What, l.Address])
                );
                return ExitCode.Done;
            }
        );
        return verb;
    }

    internal static Actor ActorOf(RecordOptions record, ParseResult line) => new(record.Draft(line).Author);

    internal static string? At(DateTimeOffset? at) =>
        at?.UtcDateTime.ToString("yyyy-MM-dd'T'HH:mm:ss'Z'", CultureInfo.InvariantCulture);

    private static Option<string?> AddressOf(Verb verb) =>
        verb.Has<string?>(
            "--address",
            "Address at which they reach the pages, such as https://rinse.example; else the path alone is printed."
        );

    private static int Answer(Terminal terminal, ParseResult line, Invitation invitation, string? address)
    {
        if (invitation.Account is not { } account)
        {
            return terminal.Refuse(invitation.Problems);
        }

        string path = $"/join/{invitation.Key}";
        string link = address is null ? path : new Uri(new Uri(address), path).AbsoluteUri;

        if (Verb.WantsJson(line))
        {
            return terminal.WriteJson(json =>
            {
                json.WriteString("name", account.Name);
                json.WriteString("role", account.Right.Role());
                json.WriteString("link", link);
                json.WriteString("open_until", At(account.InvitedUntil));
            });
        }

        terminal.WriteText($"{account.Name}, {account.Right.Role()}, joins by this link, once:");
        terminal.Output.WriteLine(link);
        terminal.WriteCaution(
            "Whoever has the link joins as this person. It is shown this once. From now on everyone who opens the pages has to sign in."
        );
        return ExitCode.Done;
    }

    private static int Answer(
        Terminal terminal,
        ParseResult line,
        IReadOnlyList<InputProblem> problems,
        string done
    )
    {
        if (problems.Count > 0)
        {
            return terminal.Refuse(problems);
        }

        if (Verb.WantsJson(line))
        {
            return terminal.WriteJson(json => json.WriteString("done", done));
        }

        terminal.WriteText(done);
        return ExitCode.Done;
    }

    private static InputProblem? WrongAddress(string? address) =>
        address is null
        || (Uri.TryCreate(address, UriKind.Absolute, out Uri? site) && site.Scheme is "http" or "https")
            ? null
            : new InputProblem("--address", address, "an address that begins with http:// or https://");

    private static InputProblem NoRole(string place, string text) => new(place, text, Roles);

    private static string StateOf(Account account) =>
        account.RemovedAt is not null ? "removed"
        : account.InvitationName is not null ? "invited"
        : "joined";
}
