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
    private readonly LinkedList<Shelf> _kept = [];

    /// <summary>The library of a key, simulated if it is not at hand; who asks for one that is being simulated waits for it.</summary>
    /// <param name="key">Everything that the library depends on.</param>
    /// <param name="simulate">Makes it.</param>
    internal LifeLibrary Of(string key, Func<LifeLibrary> simulate)
    {
        Shelf shelf = ShelfOf(key);
        lock (shelf)
        {
            return shelf.Library ??= simulate();
        }
    }

    private Shelf ShelfOf(string key)
    {
        lock (_gate)
        {
            Shelf shelf =
                _kept.FirstOrDefault(s => string.Equals(s.Key, key, StringComparison.Ordinal))
                ?? new Shelf(key);
            _kept.Remove(shelf);
            _kept.AddFirst(shelf);
            if (_kept.Count > MostKept)
            {
                _kept.RemoveLast();
            }

            return shelf;
        }
    }

    private sealed class Shelf(string key)
    {
        public string Key => key;

        public LifeLibrary? Library { get; set; }
    }
}
