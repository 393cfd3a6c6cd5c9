namespace Rinsewright.Treatment.Beds;

/// <summary>A draw that waits for a lane or runs in one.</summary>
internal sealed class LaneWork
{
    private readonly double _volume; // of the whole draw [m³]

    /// <summary>Makes a draw ready for a lane.</summary>
    /// <param name="draw">The draw.</param>
    /// <param name="index">Its place among the draws.</param>
    public LaneWork(BedDraw draw, int index)
    {
        Index = index;
        Series = draw.Beds;
        _volume = draw.Volume.CubicMeters;
        End = draw.Beds.Drawn.CubicMeters + _volume;
        Conditions = Series.Prepare(draw.Totals.Span, draw.Temperature, draw.Flow);
    }

    /// <summary>Place among the draws.</summary>
    public int Index { get; }

    public BedSeries Series { get; }

    public Conditions Conditions { get; }

    /// <summary>Volume that is left to draw as it begins [m³].</summary>
    public double Volume { get; private set; }

    /// <summary>Volume of the series at which it ends [m³].</summary>
    public double End { get; }

    /// <summary>Begins the draw, with its first water, if it needed one, in the outlet of its conditions.</summary>
    public void Open()
    {
        Series.Opened(Conditions, _volume);
        Volume = End - Series.Drawn.CubicMeters;
    }

    /// <summary>The step to try next, and what it would be were the end of the draw not near [s].</summary>
    public (double Step, double Wanted) Propose()
    {
        if (!Series.NeedsFirstWater)
        {
            return Series.Propose(Conditions, End);
        }

        double first = BedSeries.FirstStage(Conditions) / BedSeries.StageFraction;
        return (first, first);
    }
}
