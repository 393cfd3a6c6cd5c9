namespace Rinsewright.Treatment.Beds;

/// <summary>A draw that has begun and waits for a lane.</summary>
internal sealed class LaneWork
{
    private LaneWork(BedDraw draw, int index, double end, Conditions conditions)
    {
        Index = index;
        Series = draw.Beds;
        Conditions = conditions;
        End = end;
        Volume = end - draw.Beds.Drawn.CubicMeters;
        Structure = string.Join(
            '|',
            Series.States.Select(s =>
                $"{s.Grid.NodeCount}:{string.Join(',', s.Ions.Components)}:"
                + string.Join(
                    ';',
                    s.Resins.Zip(s.Bed.Resins, (ions, r) => $"{r.Sign}{string.Join(',', ions)}")
                )
            )
        );
    }

    /// <summary>Place among the draws.</summary>
    public int Index { get; }

    public BedSeries Series { get; }

    public Conditions Conditions { get; }

    /// <summary>Volume that is left to draw as it begins [m³].</summary>
    public double Volume { get; }

    /// <summary>Volume of the series at which it ends [m³].</summary>
    public double End { get; }

    /// <summary>What must be the same for beds that share a block of lanes.</summary>
    public string Structure { get; }

    /// <summary>Whether a bed has two resins that take the same ion, which the lanes do not solve.</summary>
    public bool ResinsCompete =>
        Series.States.Any(s => s.Resins.SelectMany(r => r).Distinct().Count() < s.Slots);

    /// <summary>Begins a draw, or gives nothing when its first water is not found.</summary>
    public static LaneWork? Begin(BedDraw draw, int index)
    {
        double end = draw.Beds.Drawn.CubicMeters + draw.Volume.CubicMeters;
        return draw.Beds.Begin(draw.Totals.Span, draw.Temperature, draw.Flow, draw.Volume) is { } conditions
            ? new LaneWork(draw, index, end, conditions)
            : null;
    }
}
