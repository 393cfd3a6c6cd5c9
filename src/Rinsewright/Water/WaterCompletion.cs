using System.Collections.Immutable;
using System.Runtime.InteropServices;
using Rinsewright.Numerics;
using Rinsewright.Quantities;

namespace Rinsewright.Water;

/// <summary>
/// Draws complete waters that agree with an analysis: the prior conditioned exactly on what is stated exactly, then brought
/// by tempered sequential Monte Carlo (Del Moral, Doucet and Jasra 2006, key <c>delmoral2006</c>) to the balance of charge
/// and to everything stated otherwise: ranges, limits, hardness, conductivity. See docs/models/source-water.md.
/// </summary>
internal sealed class WaterCompletion
{
    private const double ChargeTolerance = 0.02; // of the sum of ions
    private const double ChargeToleranceOfReports = 0.05; // where only minor ions are open
    private const double GreatestCorrection = 0.25; // of an ion, for the balance of charge
    private const double HardnessTolerance = 0.03;
    private const double ConductivityTolerance = 0.04; // of the reading, quick formula included
    private const double LimitSoftness = 0.05;
    private const double LeastRangeSpread = 0.02;
    private const double Nothing = 1e-6; // what is stated as 0 is present in less than any method finds [mol/m³]
    private const double RangeSpan = 3.29; // standard deviations between the 5th and 95th percentile
    private const int Moves = 6;
    private const int ParticlesPerPoint = 4; // neighbours are often copies of one another

    private readonly int _members;
    private readonly Random _random;
    private readonly double[] _known = new double[WaterPrior.Size];
    private readonly List<(int Coordinate, double Mean, double Spread)> _ranges = [];
    private readonly List<(int Coordinate, double Limit)> _limits = [];
    private readonly double[] _traces = new double[IonCatalog.ComponentCount];
    private readonly double _chargeTolerance;
    private readonly StatedSum? _hardness;
    private readonly StatedSum? _conductance;

    public WaterCompletion(WaterAnalysis analysis, WaterMode mode, int members, int seed)
    {
        _members = members;
        _random = new Random(seed);
        Array.Fill(_known, double.NaN);
        foreach ((Component component, Stated<MolarConcentration> stated) in analysis.Totals)
        {
            int coordinate = Coordinate(component);
            if (coordinate < 0)
            {
                _traces[(int)component] = Usual(stated);
            }
            else
            {
                double equivalents =
                    coordinate == WaterPrior.Silica ? 1 : WaterPrior.EquivalentsPerMole(coordinate);
                State(coordinate, stated.Select(m => m.MolesPerCubicMeter * equivalents, equivalents));
            }
        }

        if (analysis.Alkalinity is { } alkalinity)
        {
            State(WaterPrior.Alkalinity, alkalinity.Select(a => a.EquivalentsPerCubicMeter, 1));
        }

        if (analysis.PH is { } pH)
        {
            StatePH(pH);
        }

        if (analysis.Hardness is { } hardness && !(Known(0) && Known(1)))
        {
            _hardness = StatedSum.Of(
                hardness.Select(h => h.EquivalentsPerCubicMeter, 1),
                1e-6,
                HardnessTolerance
            );
        }

        if (analysis.ConductanceOrReading is { } conductance)
        {
            _conductance = StatedSum.Of(
                conductance.Select(c => c.MicrosiemensPerCentimeter, 1),
                0.1,
                ConductivityTolerance
            );
        }

        if (analysis.CarbonDioxide is { } dioxide)
        {
            CarbonDioxide = Math.Max(Usual(dioxide.Select(c => c.MolesPerCubicMeter, 1)), Nothing);
        }

        if (CarbonDioxide is not null || mode.OpenToAir)
        {
            NotNeeded(WaterPrior.PH);
        }

        if (
            mode is { OpenToAir: true, FromCharge: true }
            && Enumerable.Range(0, WaterPrior.PH).All(i => i == WaterPrior.Alkalinity || Known(i))
        )
        {
            NotNeeded(WaterPrior.Alkalinity);
        }

        _chargeTolerance = new[] { 0, 1, 2, WaterPrior.Alkalinity, 5, 6 }.All(Known)
            ? ChargeToleranceOfReports
            : ChargeTolerance;
    }

    /// <summary>Stated dissolved carbon dioxide [mol/m³]; with alkalinity it settles the pH.</summary>
    public double? CarbonDioxide { get; }

    /// <summary>Whether nothing is stated that says how strong the water is.</summary>
    public bool IsEmpty =>
        _known.Take(WaterPrior.PH).All(double.IsNaN)
        && _ranges.Count == 0
        && _limits.Count == 0
        && _hardness is null
        && _conductance is null;

    /// <summary>Whether the last draw took all that is stated into account in full.</summary>
    public bool IsReached { get; private set; } = true;

    /// <summary>Points of the prior's coordinates, of equal weight.</summary>
    public IReadOnlyList<double[]> Draw()
    {
        if (_known.All(double.IsFinite))
        {
            return
            [
                [.. _known],
            ];
        }

        (int[] free, double[] mean, double[] factor) = WaterPrior.Default.Given(_known);
        var sampler = new TemperedSampler(mean, factor, x => LogLikelihood(Fill(free, x)), _random);
        int wanted = _conductance is null ? _members : 2 * _members;
        IReadOnlyList<double[]> drawn = sampler.Draw(ParticlesPerPoint * wanted, Moves);
        IsReached = sampler.IsReached;
        return [.. drawn.Where((_, i) => i % ParticlesPerPoint == 0).Select(x => Fill(free, x))];
    }

    /// <summary>Totals of a point by component, carbon left at 0 [mol/m³]; length of the components.</summary>
    public double[] Totals(double[] point)
    {
        double[] totals = [.. _traces];
        for (int i = 0; i < WaterPrior.Components.Count; i++)
        {
            if (i != WaterPrior.Alkalinity)
            {
                totals[(int)WaterPrior.Components[i]] = Value(i, point[i]) / WaterPrior.EquivalentsPerMole(i);
            }
        }

        totals[(int)Component.Silica] = Value(WaterPrior.Silica, point[WaterPrior.Silica]);
        return totals;
    }

    /// <summary>
    /// Takes the charge that a drawn water has over off its largest drawn ion on that side (or adds it to the largest on
    /// the other). The stated ions' share of it stays with the water: it is the analysis that errs there, and an ion that
    /// closed the balance to the last digit would look known to the last digit. A water whose ions are all stated keeps
    /// its charge.
    /// </summary>
    public WaterComposition Balance(WaterComposition water, double[] point)
    {
        double stated = 0;
        double all = 0;
        for (int i = 0; i < WaterPrior.PH; i++)
        {
            double equivalents = Math.Exp(point[i]);
            all += equivalents;
            stated += Known(i) ? equivalents : 0;
        }

        double kept = water.ChargeResidual * stated / all;
        double charge = water.ChargeResidual - kept;
        int best = -1;
        for (int i = 0; i < WaterPrior.PH; i++)
        {
            bool enough = Math.Abs(charge) <= GreatestCorrection * Math.Exp(point[i]);
            if (
                double.IsNaN(_known[i])
                && i != WaterPrior.Alkalinity
                && enough
                && (best < 0 || point[i] > point[best])
            )
            {
                best = i;
            }
        }

        if (best < 0)
        {
            return water;
        }

        Component component = WaterPrior.Components[best];
        double change = (best < WaterPrior.Cations ? -charge : charge) / WaterPrior.EquivalentsPerMole(best);
        return water.With(component, water[component] + change, kept);
    }

    /// <summary>
    /// Where a conductivity is stated, the waters were drawn by the quick formula: weighs them again by the conductivity of
    /// their species, and keeps as many as were asked for.
    /// </summary>
    public ImmutableArray<WaterComposition> Weigh(
        IReadOnlyList<WaterComposition> waters,
        SpeciationSolver solver,
        Speciation state
    )
    {
        if (_conductance is not { } stated || waters.Count <= _members)
        {
            return [.. waters];
        }

        var scratch = new Speciation();
        var logWeights = new double[waters.Count];
        Span<double> equivalents = stackalloc double[WaterPrior.PH];
        for (int m = 0; m < waters.Count; m++)
        {
            if (solver.Solve(waters[m], waters[m].Closed, state) != SpeciationStatus.Solved)
            {
                logWeights[m] = double.NegativeInfinity;
                continue;
            }

            double full = Math.Log(1e4 * Conductance.SpecificConductance(state, solver, scratch));
            for (int i = 0; i < WaterPrior.PH; i++)
            {
                equivalents[i] = waters[m][WaterPrior.Components[i]] * WaterPrior.EquivalentsPerMole(i);
            }

            equivalents[WaterPrior.Alkalinity] = state.Alkalinity;
            double quick = Math.Log(QuickConductance.At25(equivalents));
            logWeights[m] = stated.LogLikelihood(full) - stated.LogLikelihood(quick);
        }

        return [.. TemperedSampler.Systematic(logWeights, _members, _random).Select(m => waters[m])];
    }

    /// <summary>Coordinate of a component in the prior, or −1.</summary>
    private static int Coordinate(Component component)
    {
        if (component == Component.Silica)
        {
            return WaterPrior.Silica;
        }

        for (int i = 0; i < WaterPrior.Components.Count; i++)
        {
            if (WaterPrior.Components[i] == component)
            {
                return i;
            }
        }

        return -1;
    }

    /// <summary>The value taken for something that is not sampled: half a limit, the mean or middle of a range.</summary>
    private static double Usual(Stated<double> stated) =>
        stated.Kind switch
        {
            StatementKind.Below => 0.5 * stated.High,
            StatementKind.Between => stated.Middle ?? 0.5 * (stated.Low + stated.High),
            _ => stated.High,
        };

    private static double Usual(Stated<MolarConcentration> stated) =>
        Usual(stated.Select(m => m.MolesPerCubicMeter, 1));

    private bool Known(int coordinate) => double.IsFinite(_known[coordinate]);

    private void State(int coordinate, Stated<double> stated)
    {
        switch (stated.Kind)
        {
            case StatementKind.Below:
                _limits.Add((coordinate, Math.Log(Math.Max(stated.High, Nothing))));
                break;
            case StatementKind.Between when stated.High > Nothing:
                (double middle, double spread) = Range(stated, Nothing);
                _ranges.Add((coordinate, middle, Math.Max(spread, LeastRangeSpread)));
                break;
            default:
                _known[coordinate] = Math.Log(Math.Max(stated.High, Nothing));
                break;
        }
    }

    private void StatePH(Stated<double> pH)
    {
        if (pH.Kind == StatementKind.Exactly)
        {
            _known[WaterPrior.PH] = pH.High;
        }
        else if (pH.Kind == StatementKind.Between)
        {
            double middle = pH.Middle ?? 0.5 * (pH.Low + pH.High);
            _ranges.Add((WaterPrior.PH, middle, Math.Max((pH.High - pH.Low) / RangeSpan, LeastRangeSpread)));
        }
        else
        {
            _limits.Add((WaterPrior.PH, pH.High));
        }
    }

    private void NotNeeded(int coordinate)
    {
        if (!Known(coordinate))
        {
            _known[coordinate] = WaterPrior.Default.Mean[coordinate];
        }
    }

    private double Value(int coordinate, double log)
    {
        double value = Math.Exp(log);
        return Known(coordinate) && value < 2e-6 ? 0 : value;
    }

    private double[] Fill(int[] free, double[] values)
    {
        double[] point = [.. _known];
        for (int i = 0; i < free.Length; i++)
        {
            point[free[i]] = values[i];
        }

        return point;
    }

    private double LogLikelihood(double[] point)
    {
        double log = 0;
        foreach ((int coordinate, double mean, double spread) in _ranges)
        {
            log += Normal(point[coordinate], mean, spread);
        }

        foreach ((int coordinate, double limit) in _limits)
        {
            log += UnderLimit(point[coordinate], limit);
        }

        Span<double> equivalents = stackalloc double[WaterPrior.PH];
        double cations = 0;
        double anions = 0;
        for (int i = 0; i < WaterPrior.PH; i++)
        {
            equivalents[i] = Math.Exp(point[i]);
            (i < WaterPrior.Cations ? ref cations : ref anions) += equivalents[i];
        }

        log += Normal((cations - anions) / (0.5 * (cations + anions)), 0, _chargeTolerance);
        if (_hardness is { } hardness)
        {
            log += hardness.LogLikelihood(Math.Log(equivalents[0] + equivalents[1]));
        }

        if (_conductance is { } conductance)
        {
            log += conductance.LogLikelihood(Math.Log(QuickConductance.At25(equivalents)));
        }

        return log;
    }

    private static double Normal(double value, double mean, double spread)
    {
        double miss = (value - mean) / spread;
        return -0.5 * miss * miss;
    }

    private static double UnderLimit(double value, double limit) =>
        Math.Log(Math.Max(NormalDistribution.Probability((limit - value) / LimitSoftness), 1e-300));

    /// <summary>Middle and standard deviation of the logarithm of a range whose ends are the 5th and 95th percentile [-].</summary>
    private static (double Middle, double Spread) Range(Stated<double> stated, double nothing)
    {
        double low = Math.Log(Math.Max(Math.Max(stated.Low, 0.05 * stated.High), nothing));
        double high = Math.Log(Math.Max(stated.High, nothing));
        double middle = stated.Middle is { } m ? Math.Log(Math.Max(m, nothing)) : 0.5 * (low + high);
        return (middle, (high - low) / RangeSpan);
    }

    /// <summary>What is stated of something that all ions add up to: the logarithm of its value, or of its limit [-].</summary>
    [StructLayout(LayoutKind.Auto)]
    private readonly record struct StatedSum(double Log, double Spread, bool IsLimit)
    {
        public static StatedSum Of(Stated<double> stated, double nothing, double tolerance)
        {
            if (stated.Kind == StatementKind.Between)
            {
                (double middle, double spread) = Range(stated, nothing);
                return new StatedSum(middle, Math.Sqrt(tolerance * tolerance + spread * spread), false);
            }

            double log = Math.Log(Math.Max(stated.High, nothing));
            return new StatedSum(log, tolerance, stated.Kind == StatementKind.Below);
        }

        public double LogLikelihood(double log) => IsLimit ? UnderLimit(log, Log) : Normal(log, Log, Spread);
    }
}
