namespace Rinsewright.Treatment.Beds;

/// <summary>
/// What happens at one depth of a bed in one implicit stage: every resin takes up or gives off ions through its film, and
/// the water between the beads stays electroneutral. This is the readable form of the equations; the ensemble form
/// (BedEnsemble) is held to it by a test.
/// </summary>
/// <remarks>
/// Symbols: c, c* total in the bulk and at the interface [mol/m³]; y equivalent fraction on the resin [-]; F = k·a·(c − c*)
/// uptake per volume of bed [mol/(m³·s)]; θ = c_ref*/y_ref [mol/m³] with ref = H+ or OH-; X = c_ref*; b weight of this
/// node's uptake in the march, so that c = arriving − b·F [s]; g implicit part of the stage [s].
/// </remarks>
internal static class BedNode
{
    private const int MaxIterations = 100;
    private const int MaxPasses = 120;
    private const double ThetaTolerance = 1e-13;
    public const double ReferenceFloor = 1e-4; // of the bulk's reference ion
    private const double AcidityTolerance = 1e-10;
    private const double BracketTolerance = 1e-13;

    /// <summary>Solves one node.</summary>
    /// <param name="k">Coefficients of the bed.</param>
    /// <param name="forward">
    /// Whether resins that compete for the same ions are served in their order or against it; nodes take turns, so that
    /// the splitting is of second order.
    /// </param>
    /// <param name="arriving">Water that arrives, with the known part of the march taken off [mol/m³].</param>
    /// <param name="march">b, 0 at the inlet [s].</param>
    /// <param name="stage">g, above 0 [s].</param>
    /// <param name="basis">Fractions on the resins before the implicit part, resin after resin [-].</param>
    /// <param name="loading">Fractions on the resins at the start of the step [-].</param>
    /// <param name="keep">Part of an excess over full loading that may stay in this step [-].</param>
    /// <param name="theta">θ of each resin: first guess in, root out [mol/m³].</param>
    /// <param name="hydrogen">H+ in the bulk: first guess in, root out [mol/m³].</param>
    /// <param name="uptake">F of each ion on each resin, resin after resin [mol/(m³·s)].</param>
    /// <param name="liquid">Water that leaves the node [mol/m³].</param>
    /// <returns>Whether the bulk's H+ was found.</returns>
    public static bool Solve(
        BedCoefficients k,
        bool forward,
        ReadOnlySpan<double> arriving,
        double march,
        double stage,
        ReadOnlySpan<double> basis,
        ReadOnlySpan<double> loading,
        double keep,
        Span<double> theta,
        ref double hydrogen,
        Span<double> uptake,
        Span<double> liquid
    )
    {
        double low = BulkAcidity.Lowest;
        double high = BulkAcidity.Highest;
        double lastGuess = 0;
        double lastMiss = 0;
        for (int pass = 0; pass < MaxPasses; pass++)
        {
            double sensitivity = 0;
            arriving.CopyTo(liquid);
            for (int turn = 0; turn < k.Resins.Length; turn++)
            {
                int r = forward ? turn : k.Resins.Length - 1 - turn;
                ResinCoefficients resin = k.Resins[r];
                int count = resin.Ion.Length;
                Span<double> taken = uptake.Slice(resin.Slot, count);
                TakeUp(
                    k,
                    resin,
                    liquid,
                    march,
                    stage,
                    basis.Slice(resin.Slot, count),
                    Full(loading.Slice(resin.Slot, count), keep),
                    hydrogen,
                    ref theta[r],
                    taken,
                    ref sensitivity
                );
                for (int n = 0; n < count; n++)
                {
                    liquid[resin.Ion[n]] -= march * taken[n];
                }
            }

            if (march == 0)
            {
                return true;
            }

            double found = BulkAcidity.Solve(k, liquid, hydrogen);
            double miss = found - hydrogen;
            if (Math.Abs(miss) <= AcidityTolerance * hydrogen / Math.Max(sensitivity, 1e-12))
            {
                hydrogen = found;
                return true;
            }

            if (miss > 0)
            {
                low = hydrogen;
            }
            else
            {
                high = hydrogen;
            }

            double next =
                pass > 0 && lastMiss != miss
                    ? hydrogen - miss * (hydrogen - lastGuess) / (miss - lastMiss)
                    : found;
            if (!(next > low && next < high) || pass % 3 == 2)
            {
                next = Math.Sqrt(low * high);
            }

            if (high - low <= BracketTolerance * hydrogen)
            {
                return true;
            }

            lastGuess = hydrogen;
            lastMiss = miss;
            hydrogen = next;
        }

        return false;
    }

    /// <summary>
    /// Uptake of one resin at a given H+ of the bulk. With θ known every ion's update is explicit, because c* = κ(θ)·y is
    /// linear in y; θ is the unique root of Σ y + y_ref = 1, whose left side falls with θ.
    /// </summary>
    private static void TakeUp(
        BedCoefficients k,
        ResinCoefficients resin,
        ReadOnlySpan<double> arriving,
        double march,
        double stage,
        ReadOnlySpan<double> basis,
        double full,
        double hydrogen,
        ref double theta,
        Span<double> uptake,
        ref double sensitivity
    )
    {
        int count = resin.Ion.Length;
        Span<double> gain = stackalloc double[count];
        Span<double> top = stackalloc double[count];
        double surface = stage + resin.ParticleTime;
        double held = 0;
        for (int n = 0; n < count; n++)
        {
            held += basis[n];
            gain[n] =
                surface * resin.Charge[n] * resin.Rate[n] / (resin.Capacity * (1 + march * resin.Rate[n])); // eq. exchange-bed-16
            top[n] = basis[n] + gain[n] * arriving[resin.Ion[n]];
        }

        double bulk = resin.Sign > 0 ? hydrogen : k.Kw / hydrogen;
        double tau = resin.Capacity / (resin.ReferenceRate * surface);
        double supply = bulk + tau * Math.Max(full - held, 0); // eq. exchange-bed-7 with eq. exchange-bed-6
        double floor = ReferenceFloor * bulk;
        sensitivity = Math.Max(sensitivity, bulk / supply);

        double low = 0;
        double high = double.PositiveInfinity;
        double t = theta;
        for (int iteration = 0; iteration < MaxIterations; iteration++)
        {
            double reference = supply / (t + tau); // y_ref, eq. exchange-bed-17
            double sum = reference;
            double slope = -reference / (t + tau);
            for (int n = 0; n < count; n++)
            {
                (double kappa, double kappaSlope) = InterfaceFactor(resin, n, t, tau, supply, floor);
                double fraction = top[n] / (1 + gain[n] * kappa); // y at the bead's surface
                sum += fraction;
                slope -= fraction * gain[n] * kappaSlope / (1 + gain[n] * kappa);
            }

            if (sum > full)
            {
                low = t;
            }
            else
            {
                high = t;
            }

            double next = t - (sum - full) * sum / (full * slope); // Newton's step for 1/sum = 1/full
            if (!(next > low && next < high))
            {
                next = double.IsFinite(high) ? (low > 0 ? Math.Sqrt(low * high) : high / 16) : t * 16;
            }

            bool done = Math.Abs(next - t) <= ThetaTolerance * next;
            t = next;
            if (done)
            {
                break;
            }
        }

        theta = t;
        for (int n = 0; n < count; n++)
        {
            (double kappa, _) = InterfaceFactor(resin, n, t, tau, supply, floor);
            double fraction = top[n] / (1 + gain[n] * kappa);
            uptake[n] =
                resin.Rate[n] * (arriving[resin.Ion[n]] - kappa * fraction) / (1 + march * resin.Rate[n]); // eq. exchange-bed-2
        }
    }

    /// <summary>
    /// What the fractions of a resin sum to: 1, or more while an excess that a step left behind runs off. Were it cast off
    /// at once, a shorter step would throw it out faster.
    /// </summary>
    private static double Full(ReadOnlySpan<double> loading, double keep)
    {
        double held = 0;
        foreach (double fraction in loading)
        {
            held += fraction;
        }

        return 1 + keep * Math.Max(held - 1, 0);
    }

    /// <summary>κ with c* = κ·y at the interface, and dκ/dθ.</summary>
    private static (double Kappa, double Slope) InterfaceFactor(
        ResinCoefficients resin,
        int n,
        double theta,
        double tau,
        double supply,
        double floor
    )
    {
        double scale = resin.Scale[n];
        if (resin.Charge[n] > 1)
        {
            return (scale * theta * theta, 2 * scale * theta); // eq. exchange-bed-3
        }

        double shared = theta / (theta + tau);
        double basic = resin.Basic[n] * supply * shared;
        double weighted = theta * supply + floor * (theta + tau);
        double acidic = resin.Acidic[n] * (theta + tau) / weighted;
        double kappa = scale * theta * (1 + acidic + basic); // eq. exchange-bed-4
        double acidicSlope =
            resin.Acidic[n]
            * (2 * theta + tau - theta * (theta + tau) * (supply + floor) / weighted)
            / weighted;
        double slope = scale * (1 + acidicSlope + basic * (2 - shared));
        return (kappa, slope);
    }
}
