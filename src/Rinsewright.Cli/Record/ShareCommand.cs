using System.CommandLine;
using System.Globalization;
using Rinsewright.Quantities;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Sharing;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright share</c>: links by which others read of a rig, without the passphrase.</summary>
internal static class ShareCommand
{
    public static Command Create(Terminal terminal)
    {
        var verb = new Verb(
            "share",
            "Make a link by which others read how a rig stands, or subscribe to its calendar; list and revoke such links.",
            "rinsewright share \"Van 1\" --for \"the workshop next door\" --days 30",
            "rinsewright share --list"
        );
        Argument<string?> rig = verb.Takes<string?>(
            "RIG",
            "Name of the rig in the record; not needed when there is only one.",
            a => a.DefaultValueFactory = _ => null
        );
        Option<string?> name = verb.Has<string?>("--for", "Whom the link is for.");
        Option<bool> calendar = verb.Has<bool>("--calendar", "A calendar to subscribe to instead of a page.");
        Option<string?> days = verb.Has<string?>(
            "--days",
            "Days until it runs out, 1 to 3650; 90 for a page, none for a calendar if not given."
        );
        Option<bool> costs = verb.Has<bool>("--costs", "Show what the rig costs, too.");
        Option<string?> address = verb.Has<string?>(
            "--address",
            "Address at which others reach the pages, such as https://rinse.example; else the path alone is printed."
        );
        Option<bool> list = verb.Has<bool>("--list", "List the links that are not revoked.");
        Option<string?> revoke = verb.Has<string?>("--revoke", "Revoke the link of this id.");
        var record = new RecordOptions(verb, terminal);
        verb.SetAction(
            async (line, cancel) =>
            {
                var problems = new ProblemList();
                problems.Require(
                    !line.GetValue(list) || line.GetValue(revoke) is null,
                    "--list",
                    $"with --revoke",
                    "one of the two"
                );
                if (problems.Problems.Count > 0)
                {
                    return terminal.Refuse(problems.Problems);
                }

                await using LogbookStore store = await record.OpenAsync(line, cancel);
                var desk = new LinkDesk(store);
                EditDraft draft = record.Draft(line);
                if (line.GetValue(list))
                {
                    return List(terminal, line, await desk.ListAsync(cancel));
                }

                if (line.GetValue(revoke) is { } id)
                {
                    WriteOutcome? outcome = Guid.TryParse(id, out Guid known)
                        ? await desk.RevokeAsync(new Id<ShareLink>(known), draft.Author, cancel)
                        : null;
                    return outcome is null
                        ? terminal.Refuse([
                            new InputProblem("--revoke", id, "the id of a link, see share --list"),
                        ])
                        : record.Answer(line, outcome, [], "a link revoked");
                }

                RecordNames names;
                await using (LogbookContext context = store.Read())
                {
                    names = await RecordNames.LoadAsync(context, cancel);
                }

                Rig? found = names.FindRig(line.GetValue(rig), "RIG", problems);
                Uri? site = null;
                if (
                    line.GetValue(address) is { } text
                    && !(Uri.TryCreate(text, UriKind.Absolute, out site) && site.Scheme is "http" or "https")
                )
                {
                    problems.Add("--address", text, "an address that begins with http:// or https://");
                }

                if (found is null || problems.Problems.Count > 0)
                {
                    return terminal.Refuse(problems.Problems);
                }

                LinkOutcome made = (
                    await desk.MakeAsync(
                        found.Id,
                        new NewLink
                        {
                            Kind = (line.GetValue(calendar) ? LinkKind.Calendar : LinkKind.Page).ToString(),
                            Name = line.GetValue(name),
                            Days = line.GetValue(days),
                            Costs = line.GetValue(costs),
                            By = draft.Author,
                        },
                        cancel
                    )
                )!;
                return made.Link is { } link
                    ? Write(
                        terminal,
                        line,
                        link,
                        site is null ? made.Path! : new Uri(site, made.Path).AbsoluteUri
                    )
                    : terminal.Refuse(made.Problems);
            }
        );
        return verb;
    }

    private static int Write(Terminal terminal, ParseResult line, ShareLink link, string address)
    {
        if (Verb.WantsJson(line))
        {
            return terminal.WriteJson(json =>
            {
                json.WriteString("id", link.Id.Value);
                json.WriteString("address", address);
                json.WriteString("expires_at", Until(link));
            });
        }

        terminal.WriteText($"{address} (id {link.Id}, until {Until(link) ?? "it is revoked"})");
        terminal.WriteCaution(
            "Whoever has it reads how this rig stands. It is told this once; 'rinsewright share --revoke ID' shuts it."
        );
        return ExitCode.Done;
    }

    private static int List(
        Terminal terminal,
        ParseResult line,
        IReadOnlyList<(ShareLink Link, Rig Rig)> links
    )
    {
        if (Verb.WantsJson(line))
        {
            return terminal.WriteJson(json =>
            {
                json.WriteStartArray("links");
                foreach ((ShareLink link, Rig rig) in links)
                {
                    json.WriteStartObject();
                    json.WriteString("id", link.Id.Value);
                    json.WriteString("rig", rig.Name);
                    json.WriteString("kind", link.Kind.ToString().ToLowerInvariant());
                    json.WriteString("for", link.Name);
                    json.WriteString("expires_at", Until(link));
                    json.WriteBoolean("costs", link.ShowsCosts);
                    json.WriteEndObject();
                }

                json.WriteEndArray();
            });
        }

        terminal.WriteTable(
            [
                Heading.Words("for"),
                Heading.Words("rig"),
                Heading.Words("opens"),
                Heading.Words("until (UTC)"),
                Heading.Words("id"),
            ],
            links.Select(l =>
                (IReadOnlyList<string>)
                    [
                        l.Link.Name,
                        l.Rig.Name,
                        l.Link.Kind.ToString().ToLowerInvariant(),
                        Until(l.Link) ?? "it is revoked",
                        l.Link.Id.ToString(),
                    ]
            )
        );
        return ExitCode.Done;
    }

    private static string? Until(ShareLink link) =>
        link.ExpiresAt?.UtcDateTime.ToString("yyyy-MM-dd'T'HH:mm:ss'Z'", CultureInfo.InvariantCulture);
}
