namespace Rinsewright.Cli;

/// <summary>What a command returns to the shell.</summary>
internal static class ExitCode
{
    public const int Done = 0;

    /// <summary>The input was good and the work failed.</summary>
    public const int Failed = 1;

    /// <summary>The input or the command line was bad; nothing was written.</summary>
    public const int BadInput = 2;

    /// <summary>Stopped by the user, as shells count SIGINT.</summary>
    public const int Stopped = 130;
}
