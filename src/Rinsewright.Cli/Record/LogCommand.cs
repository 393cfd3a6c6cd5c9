using System.CommandLine;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright log</c>: writes one thing into the record.</summary>
internal static class LogCommand
{
    public static Command Create(Terminal terminal)
    {
        var log = new Command(
            "log",
            "Write a reading, a draw, a change-out or another thing into the record."
        );
        log.Subcommands.Add(LogReading.Create(terminal));
        log.Subcommands.Add(LogDraw.Create(terminal));
        log.Subcommands.Add(LogChange.Create(terminal));
        log.Subcommands.Add(LogCheck.Create(terminal));
        log.Subcommands.Add(LogBuy.Create(terminal));
        log.Subcommands.Add(LogNote.Create(terminal));
        log.Subcommands.Add(LogRig.Create(terminal));
        log.Subcommands.Add(LogMeter.Create(terminal));
        return log;
    }
}
