using System.Collections.Immutable;
using Rinsewright.Numerics;
using Rinsewright.Quantities;
using Rinsewright.Treatment;

namespace Rinsewright.Forecasting;

/// <summary>A strip or drop test of chlorine during the life of a carbon block.</summary>
/// <param name="Liters">Logged water that had passed the carbon [L].</param>
/// <param name="Side">Before or after the carbon.</param>
/// <param name="Shown">Total chlorine as Cl2; the limit when <paramref name="IsBelow"/> [mg/L].</param>
/// <param name="IsBelow">Whether the test said only that it is below.</param>
public sealed record ChlorineReading(double Liters, ReadingSide Side, double Shown, bool IsBelow = false);

/// <summary>One carbon block under way.</summary>
public sealed record CarbonCase
{
    /// <summary>The carbon as it was put in.</summary>
    public required CarbonBlock Carbon { get; init; }

    /// <summary>Chlorine and chloramine of its inlet, as far as known before the readings.</summary>
    public required Oxidants Inlet { get; init; }

    /// <summary>Standard deviation of the logarithm of its inlet's chlorine [-].</summary>
    public required double InletSd { get; init; }

    /// <summary>pH of its inlet [-].</summary>
    public required double PH { get; init; }

    /// <summary>Total chlorine allowed behind it.</summary>
    public required MassConcentration Line { get; init; }

    /// <summary>Usual flow.</summary>
    public required VolumeFlow Flow { get; init; }

    /// <summary>Temperature of the water.</summary>
    public required Temperature Temperature { get; init; }

    /// <summary>Water logged through it so far [L].</summary>
    public required double LoggedLiters { get; init; }

    /// <summary>Readings of chlorine since it was put in.</summary>
    public ImmutableArray<ChlorineReading> Readings { get; init; } = [];

    /// <summary>How fast water will be drawn.</summary>
    public required Usage Usage { get; init; }
}

/// <summary>
/// How long a carbon block still holds back chlorine: its capacity, its rate and the chlorine that reaches it are not known, and
/// strip readings narrow them (docs/models/forecast.md).
/// </summary>
public static class CarbonForecast
{
    private const int Moves = 6;
    private const double RelativeScatter = 0.25; // of a colour read by eye; our choice
    private const double LeastScatter = 0.02; // [mg/L]; our choice
    private const double Step = 0.02; // [mg/L]; strips are read between their fields
    private const double LongestLife = 1e7; // [L]; water that never holds more than the line
    private const int Capacity = 0;
    private const int Rate = 1;
    private const int Inlet = 2;

    /// <summary>Forecasts a carbon block.</summary>
    /// <param name="carbon">The case.</param>
    /// <param name="members">Number of members.</param>
    /// <param name="seed">Seed; the same seed gives the same answer.</param>
    /// <exception cref="InvalidOperationException">The readings could not be taken into account in full.</exception>
    public static StageOutlook Of(CarbonCase carbon, int members, int seed)
    {
        double capacitySd = Math.Sqrt(
            Square(SdOf(CarbonBlock.Defaults["chlorineCapacity"]))
                + Square(SdOf(CarbonBlock.Defaults["carbonDensity"]))
        );
        double[] sd = [capacitySd, SdOf(CarbonBlock.Defaults["rateHypochlorousAcidAt25C"]), carbon.InletSd];
        var factor = new double[sd.Length * sd.Length];
        for (int i = 0; i < sd.Length; i++)
        {
            factor[i * sd.Length + i] = sd[i];
        }

        var sampler = new TemperedSampler(
            new double[sd.Length],
            factor,
            unknowns => LogLikelihood(carbon, unknowns),
            new Random(seed)
        );
        double[] left =
        [
            .. sampler.DrawInFull(members, Moves).Select(u => LifeOf(carbon, u) - carbon.LoggedLiters),
        ];
        return StageOutlook.Of(left, carbon.Usage, seed);
    }

    /// <summary>Standard deviation of the logarithm of a default whose bounds hold nine of ten [-].</summary>
    internal static double SdOf(Assumption value) => Math.Log(value.High / value.Low) / (2 * 1.6449);

    private static double Square(double x) => x * x;

    private static double LogLikelihood(CarbonCase carbon, double[] unknowns)
    {
        (CarbonBlock block, Oxidants inlet) = With(carbon, unknowns);
        double source = inlet.Total.MilligramsPerLiter;
        double sum = 0;
        foreach (ChlorineReading read in carbon.Readings)
        {
            double expected =
                read.Side is ReadingSide.Inlet
                    ? source
                    : block
                        .Outlet(
                            inlet,
                            Volume.FromLiters(read.Liters),
                            carbon.Flow,
                            carbon.Temperature,
                            carbon.PH
                        )
                        .Total.MilligramsPerLiter;
            double sd = Math.Sqrt(Square(RelativeScatter * expected) + Square(LeastScatter));
            sum += ReadingModel.LogProbability(
                read.Shown,
                Step,
                read.IsBelow,
                expected,
                sd,
                Math.Max(2 * source, read.Shown)
            );
        }

        return sum;
    }

    private static double LifeOf(CarbonCase carbon, double[] unknowns)
    {
        (CarbonBlock block, Oxidants inlet) = With(carbon, unknowns);
        return block.LifeTo(inlet, carbon.Line, carbon.Flow, carbon.Temperature, carbon.PH)?.Liters
            ?? LongestLife;
    }

    private static (CarbonBlock Block, Oxidants Inlet) With(CarbonCase carbon, double[] unknowns)
    {
        double strength = Math.Exp(unknowns[Inlet]);
        MassConcentration Scaled(MassConcentration c) =>
            MassConcentration.FromKilogramsPerCubicMeter(strength * c.KilogramsPerCubicMeter);
        return (
            carbon.Carbon with
            {
                Capacity_kg_kg = carbon.Carbon.Capacity_kg_kg * Math.Exp(unknowns[Capacity]),
                Rate_1_s = carbon.Carbon.Rate_1_s * Math.Exp(unknowns[Rate]),
            },
            new Oxidants(Scaled(carbon.Inlet.FreeChlorine), Scaled(carbon.Inlet.Chloramine))
        );
    }
}
