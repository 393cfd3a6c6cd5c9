namespace Rinsewright.Treatment.Beds;

/// <summary>Progress of many draws that several threads work on, each draw counting alike.</summary>
internal sealed class SharedProgress(IProgress<double>? told, int draws)
{
    private readonly Lock _lock = new();
    private double _done;

    /// <summary>A part of a draw is done.</summary>
    /// <param name="fraction">The part [-].</param>
    public void Add(double fraction)
    {
        if (told is null)
        {
            return;
        }

        lock (_lock)
        {
            _done += fraction / draws;
            told.Report(Math.Min(_done, 1));
        }
    }
}
