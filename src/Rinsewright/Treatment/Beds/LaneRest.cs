using Rinsewright.Quantities;

namespace Rinsewright.Treatment.Beds;

/// <summary>Series of beds of one structure at rest, one in each lane.</summary>
internal sealed class LaneRest<TLanes>
    where TLanes : unmanaged, ILanes<TLanes>
{
    private readonly LaneBed<TLanes>[] _beds;

    /// <summary>Room for series like this one.</summary>
    public LaneRest((BedSeries Beds, Temperature Temperature) like) =>
        _beds = [
            .. like.Beds.States.Select(s => new LaneBed<TLanes>(s, like.Beds.Still(s, like.Temperature))),
        ];

    /// <summary>Leaves a few series standing, at most one for each lane.</summary>
    /// <param name="resting">The series, with the temperatures of the water in them.</param>
    /// <param name="steps">Steps of the rest [s].</param>
    /// <returns>Whether all were solved, by lane.</returns>
    public TLanes Run(
        ReadOnlySpan<(BedSeries Beds, Temperature Temperature)> resting,
        IReadOnlyList<double> steps
    )
    {
        Span<double> stood = stackalloc double[resting.Length];
        for (int i = 0; i < resting.Length; i++)
        {
            stood[i] = resting[i].Beds.LeaveStanding();
        }

        TLanes solved = TLanes.Mask;
        for (int b = 0; b < _beds.Length; b++)
        {
            LaneBed<TLanes> bed = _beds[b];
            for (int lane = 0; lane < TLanes.Count; lane++)
            {
                // Lanes without a series of their own do what the first does.
                (BedSeries beds, Temperature temperature) = resting[lane < resting.Length ? lane : 0];
                BedState state = beds.States[b];
                bed.Load(lane, state, beds.Still(state, temperature));
            }

            foreach (double step in steps)
            {
                solved &= bed.Stand(step);
            }

            for (int lane = 0; lane < resting.Length; lane++)
            {
                bed.Store(lane, resting[lane].Beds.States[b]);
            }
        }

        for (int i = 0; i < resting.Length; i++)
        {
            resting[i].Beds.Rested(stood[i]);
        }

        return solved;
    }
}
