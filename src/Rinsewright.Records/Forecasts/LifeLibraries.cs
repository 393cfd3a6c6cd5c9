using Rinsewright.Forecasting;

namespace Rinsewright.Records.Forecasts;

/// <summary>
/// Libraries of lives that were simulated, the few that were used last. A library depends on the beds, on the water and on the
/// flow, not on what was read or drawn, so a new reading finds the library of the forecast before.
/// </summary>
public sealed class LifeLibraries
{
    private const int MostKept = 12; // some 5 MB each
    private readonly Lock _gate = new();
    private readonly LinkedList<(string Key, LifeLibrary Library)> _kept = [];

    /// <summary>The library of a key, simulated if it is not at hand.</summary>
    /// <param name="key">Everything that the library depends on.</param>
    /// <param name="simulate">Makes it.</param>
    internal LifeLibrary Of(string key, Func<LifeLibrary> simulate)
    {
        lock (_gate)
        {
            for (
                LinkedListNode<(string Key, LifeLibrary Library)>? node = _kept.First;
                node is not null;
                node = node.Next
            )
            {
                if (string.Equals(node.Value.Key, key, StringComparison.Ordinal))
                {
                    _kept.Remove(node);
                    _kept.AddFirst(node);
                    return node.Value.Library;
                }
            }
        }

        LifeLibrary library = simulate();
        lock (_gate)
        {
            _kept.AddFirst((key, library));
            if (_kept.Count > MostKept)
            {
                _kept.RemoveLast();
            }
        }

        return library;
    }
}
