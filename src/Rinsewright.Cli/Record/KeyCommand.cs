using System.CommandLine;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Quantities;
using Rinsewright.Records.Access;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright key</c>: keys by which programs use the HTTP API where people sign in.</summary>
internal static class KeyCommand
{
    public static Command Create(Terminal terminal)
    {
        var key = new Command(
            "key",
            "Let a program use the HTTP API of a record that people sign in to, and take its key away."
        );
        key.Subcommands.Add(CreateAdd(terminal));
        key.Subcommands.Add(CreateList(terminal));
        key.Subcommands.Add(CreateRevoke(terminal));
        return key;
    }

    private static Verb CreateAdd(Terminal terminal)
    {
        var verb = new Verb(
            "add",
            "Make a key and print it, once; the program sends it as Authorization: Bearer."
        );
        Argument<string> name = verb.Takes<string>("NAME", "What it is for.");
        Option<string> right = verb.Has<string>(
            "--right",
            "read; log: read and log; manage: everything.",
            o => o.DefaultValueFactory = _ => "read"
        );
        Option<string?> organisation = verb.Has<string?>(
            "--organisation",
            "Whose rigs it is to see; not needed when there is only one."
        );
        var record = new RecordOptions(verb, terminal);
        verb.SetAction(
            async (line, cancel) =>
            {
                var problems = new ProblemList();
                if (RightText.Named(line.GetValue(right)) is not { } may)
                {
                    return terminal.Refuse([
                        new InputProblem("--right", line.GetValue(right)!, "read, log or manage"),
                    ]);
                }

                await using LogbookStore store = await record.OpenAsync(line, cancel);
                if (!await new PeopleRegister(store).AreThereAsync(cancel))
                {
                    return terminal.Refuse([
                        new InputProblem(
                            "key",
                            line.GetValue(name)!,
                            "a record that people sign in to: make the first owner by 'rinsewright people add'"
                        ),
                    ]);
                }

                if (await WhoseAsync(store, line.GetValue(organisation), problems, cancel) is not { } whose)
                {
                    return terminal.Refuse(problems.Problems);
                }

                (ApiKey? key, string? told, IReadOnlyList<InputProblem> refused) = await new KeyRegister(
                    store
                ).AddAsync(line.GetValue(name)!, may, whose.Id, PeopleCommand.ActorOf(record, line), cancel);
                if (key is null)
                {
                    return terminal.Refuse(refused);
                }

                if (Verb.WantsJson(line))
                {
                    return terminal.WriteJson(json =>
                    {
                        json.WriteString("name", key.Name);
                        json.WriteString("key", told);
                    });
                }

                terminal.WriteText($"Made: {key.Name}. The key, which is not shown again:");
                terminal.Output.WriteLine(told);
                terminal.WriteCaution(
                    "Whoever has the key does what it may. Send it over https or in a network that you trust."
                );
                return ExitCode.Done;
            }
        );
        return verb;
    }

    private static Verb CreateList(Terminal terminal)
    {
        var verb = new Verb("list", "Show the keys, and when each was last used.", "rinsewright key list");
        var record = new RecordOptions(verb, terminal, writes: false);
        verb.SetAction(
            async (line, cancel) =>
            {
                await using LogbookStore store = await record.OpenAsync(line, cancel);
                IReadOnlyList<ApiKey> keys = await new KeyRegister(store).ListAsync(cancel);
                if (Verb.WantsJson(line))
                {
                    return terminal.WriteJson(json =>
                    {
                        json.WriteStartArray("keys");
                        foreach (ApiKey key in keys)
                        {
                            json.WriteStartObject();
                            json.WriteString("name", key.Name);
                            json.WriteString("right", WordOf(key));
                            json.WriteString("added_by", key.AddedBy);
                            json.WriteString("added_at", PeopleCommand.At(key.AddedAt));
                            json.WriteString("last_used_at", PeopleCommand.At(key.LastUsedAt));
                            json.WriteString("revoked_at", PeopleCommand.At(key.RevokedAt));
                            json.WriteEndObject();
                        }

                        json.WriteEndArray();
                    });
                }

                terminal.WriteTable(
                    [
                        Heading.Words("name"),
                        Heading.Words("right"),
                        Heading.Words("made by"),
                        Heading.Words("last used (UTC)"),
                        Heading.Words("state"),
                    ],
                    keys.Select(k =>
                        (IReadOnlyList<string>)
                            [
                                k.Name,
                                WordOf(k),
                                k.AddedBy,
                                PeopleCommand.At(k.LastUsedAt) ?? "never",
                                k.RevokedAt is null ? "open" : "revoked",
                            ]
                    )
                );
                return ExitCode.Done;
            }
        );
        return verb;
    }

    private static Verb CreateRevoke(Terminal terminal)
    {
        var verb = new Verb("revoke", "Take a key away, at once and for good.");
        Argument<string> name = verb.Takes<string>("NAME", "Its name.");
        Option<string?> organisation = verb.Has<string?>(
            "--organisation",
            "Whose key it is; not needed when there is only one."
        );
        var record = new RecordOptions(verb, terminal);
        verb.SetAction(
            async (line, cancel) =>
            {
                await using LogbookStore store = await record.OpenAsync(line, cancel);
                var problems = new ProblemList();
                Organisation? whose = await WhoseAsync(store, line.GetValue(organisation), problems, cancel);
                if (problems.Problems.Count > 0)
                {
                    return terminal.Refuse(problems.Problems);
                }

                string key = line.GetValue(name)!;
                Actor actor = PeopleCommand.ActorOf(record, line);
                if (whose is null || !await new KeyRegister(store).RevokeAsync(key, whose.Id, actor, cancel))
                {
                    return terminal.Refuse([
                        new InputProblem("NAME", key, "a key that is open, see key list"),
                    ]);
                }

                if (Verb.WantsJson(line))
                {
                    return terminal.WriteJson(json => json.WriteString("revoked", key));
                }

                terminal.WriteText($"Revoked: {key}.");
                return ExitCode.Done;
            }
        );
        return verb;
    }

    /// <summary>The organisation that is named, or the only one; nothing where there is none, or one is to be named (told among the problems).</summary>
    private static async Task<Organisation?> WhoseAsync(
        LogbookStore store,
        string? named,
        ProblemList problems,
        CancellationToken cancel
    )
    {
        await using LogbookContext context = store.Read();
        if (named is not null)
        {
            return await DeviceCommand.FindAsync(context, named, problems, cancel);
        }

        List<Organisation> all = await context.Live<Organisation>().Take(2).ToListAsync(cancel);
        problems.Require(all.Count < 2, "--organisation", $"", "one of several organisations");
        return all is [var only] ? only : null;
    }

    private static string WordOf(ApiKey key) => key.Right.ToString().ToLowerInvariant();
}
