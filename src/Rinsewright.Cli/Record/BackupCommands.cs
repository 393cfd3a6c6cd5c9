using System.CommandLine;
using Rinsewright.Quantities;
using Rinsewright.Records.Storage;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright backup</c> and <c>rinsewright restore</c>.</summary>
internal static class BackupCommands
{
    private static readonly InputProblem Postgres = new(
        "--data",
        "a PostgreSQL database",
        "a folder; for PostgreSQL use its own backup tools, or 'rinsewright export' and 'rinsewright import'"
    );

    public static Command CreateBackup(Terminal terminal)
    {
        var verb = new Verb(
            "backup",
            "Make a checked, dated copy of the record now. One is made every day all the same.",
            "rinsewright backup"
        );
        var record = new RecordOptions(verb, terminal, writes: false);
        verb.SetAction(
            async (line, cancel) =>
            {
                await using LogbookStore store = await record.OpenAsync(line, cancel);
                if (store.Backups is not { } backups)
                {
                    return terminal.Refuse([Postgres]);
                }

                string copy = await backups.MakeAsync(cancel);
                if (Verb.WantsJson(line))
                {
                    return terminal.WriteJson(json => json.WriteString("backup", copy));
                }

                terminal.WriteText($"Backup made: {copy}");
                return ExitCode.Done;
            }
        );
        return verb;
    }

    public static Command CreateRestore(Terminal terminal)
    {
        var verb = new Verb(
            "restore",
            "Put a backup in the place of the record. What stood there is kept beside it.",
            "rinsewright restore"
        );
        Argument<string?> file = verb.Takes<string?>(
            "BACKUP",
            "The backup. Default: the newest whole one.",
            a => a.Arity = ArgumentArity.ZeroOrOne
        );
        var record = new RecordOptions(verb, terminal, writes: false);
        verb.SetAction(
            async (line, cancel) =>
            {
                StoreAddress address = record.Address(line);
                if (address.Folder is null)
                {
                    return terminal.Refuse([Postgres]);
                }

                string? backup =
                    line.GetValue(file) ?? await new Backups(address, terminal.Clock).NewestGoodAsync(cancel);
                if (backup is null)
                {
                    return terminal.Refuse([
                        new InputProblem("BACKUP", "none found", $"a backup in {address.Folder}/backups"),
                    ]);
                }

                string? aside = await Backups.RestoreAsync(address, backup, terminal.Clock, cancel);
                if (Verb.WantsJson(line))
                {
                    return terminal.WriteJson(json =>
                    {
                        json.WriteString("restored", backup);
                        json.WriteString("kept_aside", aside);
                    });
                }

                terminal.WriteText(
                    $"Restored from {backup}."
                        + (aside is null ? "" : $" What stood there before is {aside}.")
                );
                return ExitCode.Done;
            }
        );
        return verb;
    }
}
