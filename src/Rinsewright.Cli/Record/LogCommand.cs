using System.CommandLine;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright log</c>: writes things into the record and shows them.</summary>
internal static class LogCommand
{
    public static Command Create(Terminal terminal)
    {
        var log = new Command(
            "log",
            "Write a reading, a draw, a change-out or another thing into the record, and look at what is in it."
        );
        log.Subcommands.Add(LogReading.Create(terminal));
        log.Subcommands.Add(LogDraw.Create(terminal));
        log.Subcommands.Add(LogChange.Create(terminal));
        log.Subcommands.Add(LogCheck.Create(terminal));
        log.Subcommands.Add(LogBuy.Create(terminal));
        log.Subcommands.Add(LogNote.Create(terminal));
        log.Subcommands.Add(LogRig.Create(terminal));
        log.Subcommands.Add(LogMeter.Create(terminal));
        log.Subcommands.Add(LogPhoto.Create(terminal));
        log.Subcommands.Add(LogAdd.CreateAdd(terminal));
        log.Subcommands.Add(LogAdd.CreateEdit(terminal));
        log.Subcommands.Add(LogAdd.CreateDelete(terminal));
        log.Subcommands.Add(LogList.Create(terminal));
        log.Subcommands.Add(LogShow.Create(terminal));
        log.Subcommands.Add(LogStock.Create(terminal));
        return log;
    }
}
