using Rinsewright.Water;

namespace Rinsewright.Treatment.Beds;

/// <summary>
/// What sits on the resins of one bed, node by node from inlet to outlet, and the water between its beads. It is carried
/// from draw to draw.
/// </summary>
public sealed class BedState
{
    private readonly double[] _rate;
    private readonly double[] _next;

    internal BedState(ExchangeBed bed, BedIons ions, BedGrid grid, BedState? from = null)
    {
        Bed = bed;
        Ions = ions;
        Grid = grid;
        int nodes = grid.NodeCount;
        Resins = [.. bed.Resins.Select(r => ions.Components.Where(r.Selectivity.ContainsKey).ToArray())];
        Slots = Resins.Sum(r => r.Length);
        Loading = new double[nodes * Slots];
        _rate = new double[nodes * Slots];
        _next = new double[nodes * Slots];
        Pore = new double[nodes * ions.Count];
        Theta = new double[nodes * bed.Resins.Length];
        Hydrogen = new double[nodes];
        Array.Fill(Theta, 1e-2);
        Array.Fill(Hydrogen, 1e-4);
        for (int j = 0; j < nodes; j++)
        {
            for (int r = 0; r < Resins.Length; r++)
            {
                foreach (Component ion in Resins[r])
                {
                    Fraction(j, r, ion) = from is null
                        ? bed.Resins[r].Form.GetValueOrDefault(ion)
                        : from.FractionAt(j, r, ion);
                }
            }

            for (int i = 0; i < ions.Count; i++)
            {
                int old = from is null ? -1 : from.Ions.IndexOf(ions.Components[i]);
                Pore[j * ions.Count + i] = old < 0 ? 0 : from!.Pore[j * from.Ions.Count + old];
            }
        }
    }

    /// <summary>The design of the bed.</summary>
    public ExchangeBed Bed { get; }

    internal BedIons Ions { get; }

    internal BedGrid Grid { get; }

    /// <summary>The ions on each resin, in the order in which <see cref="Loading"/> holds them.</summary>
    internal Component[][] Resins { get; }

    /// <summary>Equivalent fractions, node after node, within a node resin after resin [-].</summary>
    internal double[] Loading { get; }

    /// <summary>Totals in the water between the beads, node after node [mol/m³].</summary>
    internal double[] Pore { get; }

    /// <summary>Fractions that a node holds, over all its resins.</summary>
    internal int Slots { get; }

    /// <summary>θ of every resin, node after node: where the next solution starts [mol/m³].</summary>
    internal double[] Theta { get; }

    /// <summary>H+ in the bulk, node after node: where the next solution starts [mol/m³].</summary>
    internal double[] Hydrogen { get; }

    /// <summary>Whether <see cref="Theta"/> and <see cref="Hydrogen"/> are roots of an earlier march.</summary>
    internal bool Rooted { get; set; }

    /// <summary>Depths of the nodes as fractions of the bed's depth, inlet 0, outlet 1 [-].</summary>
    public IReadOnlyList<double> RelativeDepths
    {
        get
        {
            var depths = new double[Grid.NodeCount];
            for (int j = 1; j < depths.Length; j++)
            {
                depths[j] = depths[j - 1] + Grid.Slice[j];
            }

            return depths;
        }
    }

    /// <summary>Equivalent fraction of a resin's capacity held by an ion at a node [-].</summary>
    /// <param name="node">Node, 0 at the inlet.</param>
    /// <param name="resin">Index of the resin in the bed.</param>
    /// <param name="ion">The ion.</param>
    public double FractionAt(int node, int resin, Component ion)
    {
        int place = Array.IndexOf(Resins[resin], ion);
        return place < 0 ? 0 : Loading[node * Slots + Offset(resin) + place];
    }

    /// <summary>Equivalent fraction of a resin's capacity held by an ion, averaged over the bed [-].</summary>
    /// <param name="resin">Index of the resin in the bed.</param>
    /// <param name="ion">The ion.</param>
    public double MeanFraction(int resin, Component ion)
    {
        double sum = 0;
        for (int j = 0; j < Grid.NodeCount; j++)
        {
            sum += Grid.Weight(j) * FractionAt(j, resin, ion);
        }

        return sum;
    }

    /// <summary>Amount of a component on all resins of the bed [mol].</summary>
    public double Held(Component component)
    {
        int charge = Math.Abs(BedIons.ExchangedForm(component).Charge);
        double held = 0;
        for (int r = 0; r < Resins.Length; r++)
        {
            held +=
                MeanFraction(r, component)
                * Bed.Resins[r].Capacity.EquivalentsPerCubicMeter
                * Bed.Resins[r].Share
                / charge;
        }

        return held * Bed.Volume.CubicMeters;
    }

    /// <summary>A copy that can be stepped on its own.</summary>
    public BedState Clone()
    {
        var copy = new BedState(Bed, Ions, Grid, this);
        Theta.CopyTo(copy.Theta, 0);
        Hydrogen.CopyTo(copy.Hydrogen, 0);
        copy.Rooted = Rooted;
        return copy;
    }

    internal BedState WithIons(BedIons ions) => ions == Ions ? this : new BedState(Bed, ions, Grid, this);

    internal double PoreAmount(int ion)
    {
        double sum = 0;
        for (int j = 0; j < Grid.NodeCount; j++)
        {
            sum += Grid.Weight(j) * Pore[j * Ions.Count + ion];
        }

        return sum * Bed.VoidFraction * Bed.Volume.CubicMeters;
    }

    /// <summary>
    /// One implicit stage of a step, marched from inlet to outlet by the trapezoidal rule in depth. Stage 0 leaves the
    /// rates of change behind, stage 1 the loading at the end of the step, which <see cref="Accept"/> takes over.
    /// </summary>
    /// <param name="k">Coefficients.</param>
    /// <param name="index">Stage, 0 or 1.</param>
    /// <param name="implicitTime">Implicit part of the stage [s].</param>
    /// <param name="carriedTime">Time that the first stage's rates are carried over [s].</param>
    /// <param name="inlet">Water at the inlet [mol/m³].</param>
    /// <param name="outlet">Water at the outlet [mol/m³].</param>
    internal bool March(
        BedCoefficients k,
        int index,
        double implicitTime,
        double carriedTime,
        ReadOnlySpan<double> inlet,
        Span<double> outlet
    )
    {
        int ions = Ions.Count;
        Span<double> arriving = stackalloc double[ions];
        Span<double> basis = stackalloc double[Slots];
        Span<double> uptake = stackalloc double[Slots];
        inlet.CopyTo(outlet);
        double entering = BulkAcidity.Solve(k, inlet, Hydrogen[0]);
        Hydrogen[0] = entering;
        bool solved = true;
        double keep = k.ExcessTime / (k.ExcessTime + implicitTime + carriedTime);
        for (int j = 0; j < Grid.NodeCount; j++)
        {
            double march = 0.5 * Grid.Slice[j] * k.Depth / k.Velocity;
            outlet.CopyTo(arriving);
            Spread(k, uptake, -march, arriving); // eq. exchange-bed-1
            Span<double> loading = Loading.AsSpan(j * Slots, Slots);
            Span<double> rate = _rate.AsSpan(j * Slots, Slots);
            for (int s = 0; s < Slots; s++)
            {
                basis[s] = loading[s] + carriedTime * rate[s]; // eq. exchange-bed-15
            }

            Span<double> theta = Theta.AsSpan(j * k.Resins.Length, k.Resins.Length);
            if (!Rooted && j > 1)
            {
                Theta.AsSpan((j - 1) * k.Resins.Length, k.Resins.Length).CopyTo(theta);
                Hydrogen[j] = Hydrogen[j - 1];
            }

            solved &= BedNode.Solve(
                k,
                j % 2 == 0,
                arriving,
                march,
                implicitTime,
                basis,
                loading,
                keep,
                theta,
                ref Hydrogen[j],
                uptake,
                outlet
            );
            Span<double> target = index == 0 ? rate : _next.AsSpan(j * Slots, Slots);
            StoreStage(k, index, implicitTime, basis, uptake, target);
            outlet.CopyTo(Pore.AsSpan(j * ions, ions));
        }

        Rooted = true;
        return solved;
    }

    /// <summary>Takes over the loading that the last stage found.</summary>
    internal void Accept() => _next.CopyTo(Loading, 0);

    /// <summary>
    /// One implicit step of the bed at rest: in every node the water between the beads and the resins even out through a
    /// still film (backward Euler).
    /// </summary>
    /// <param name="k">Coefficients with the film of still water.</param>
    /// <param name="time">Length of the step [s].</param>
    internal bool Stand(BedCoefficients k, double time)
    {
        int ions = Ions.Count;
        Span<double> arriving = stackalloc double[ions];
        Span<double> uptake = stackalloc double[Slots];
        bool solved = true;
        for (int j = 0; j < Grid.NodeCount; j++)
        {
            Span<double> pore = Pore.AsSpan(j * ions, ions);
            Span<double> loading = Loading.AsSpan(j * Slots, Slots);
            pore.CopyTo(arriving);
            solved &= BedNode.Solve(
                k,
                j % 2 == 0,
                arriving,
                time / Bed.VoidFraction,
                time,
                loading,
                loading,
                1,
                Theta.AsSpan(j * k.Resins.Length, k.Resins.Length),
                ref Hydrogen[j],
                uptake,
                pore
            );
            StoreStage(k, 1, time, loading, uptake, loading);
        }

        return solved;
    }

    private static void StoreStage(
        BedCoefficients k,
        int index,
        double implicitTime,
        ReadOnlySpan<double> basis,
        ReadOnlySpan<double> uptake,
        Span<double> target
    )
    {
        int slot = 0;
        foreach (ResinCoefficients resin in k.Resins)
        {
            for (int n = 0; n < resin.Ion.Length; n++, slot++)
            {
                double rate = resin.Charge[n] * uptake[slot] / resin.Capacity; // eq. exchange-bed-5
                target[slot] = index == 0 ? rate : basis[slot] + implicitTime * rate;
            }
        }
    }

    private static void Spread(
        BedCoefficients k,
        ReadOnlySpan<double> uptake,
        double factor,
        Span<double> liquid
    )
    {
        int slot = 0;
        foreach (ResinCoefficients resin in k.Resins)
        {
            foreach (int ion in resin.Ion)
            {
                liquid[ion] += factor * uptake[slot++];
            }
        }
    }

    private int Offset(int resin)
    {
        int offset = 0;
        for (int r = 0; r < resin; r++)
        {
            offset += Resins[r].Length;
        }

        return offset;
    }

    private ref double Fraction(int node, int resin, Component ion) =>
        ref Loading[node * Slots + Offset(resin) + Array.IndexOf(Resins[resin], ion)];
}
