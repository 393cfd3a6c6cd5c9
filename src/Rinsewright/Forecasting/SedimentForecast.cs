using System.Collections.Immutable;
using Rinsewright.Numerics;
using Rinsewright.Quantities;
using Rinsewright.Treatment;

namespace Rinsewright.Forecasting;

/// <summary>Pressure lost in a sediment cartridge, read before and after it while water flows.</summary>
/// <param name="Liters">Logged water that had passed it [L].</param>
/// <param name="Loss">The loss.</param>
/// <param name="Flow">The flow.</param>
public sealed record LossReading(double Liters, Pressure Loss, VolumeFlow Flow);

/// <summary>One sediment cartridge under way.</summary>
public sealed record SedimentCase
{
    /// <summary>The cartridge as it was put in.</summary>
    public required SedimentFilter Filter { get; init; }

    /// <summary>Temperature of the water.</summary>
    public required Temperature Temperature { get; init; }

    /// <summary>Water logged through it so far [L].</summary>
    public required double LoggedLiters { get; init; }

    /// <summary>Losses read since it was put in.</summary>
    public ImmutableArray<LossReading> Readings { get; init; } = [];

    /// <summary>How fast water will be drawn.</summary>
    public required Usage Usage { get; init; }
}

/// <summary>
/// How long a sediment cartridge lasts until its full loss: the solids of the water, what it can hold and its loss when new are
/// hardly known, so the range is wide until pressures are read (docs/models/forecast.md).
/// </summary>
public static class SedimentForecast
{
    private const int Moves = 6;
    private const double RelativeScatter = 0.1; // of a loss at one flow; our choice
    private const double GaugeScatter_kPa = 6; // two readings of a pocket gauge; our choice
    private const double GaugeStep_kPa = 2;
    private const double NonsenseReach_kPa = 800;
    private const int Load = 0;
    private const int Clean = 1;

    /// <summary>Forecasts a cartridge.</summary>
    /// <param name="sediment">The case.</param>
    /// <param name="members">Number of members.</param>
    /// <param name="seed">Seed; the same seed gives the same answer.</param>
    /// <exception cref="InvalidOperationException">The readings could not be taken into account in full.</exception>
    public static StageOutlook Of(SedimentCase sediment, int members, int seed)
    {
        double solids = CarbonForecast.SdOf(SedimentFilter.Defaults["tapSolids"]);
        double capacity = CarbonForecast.SdOf(SedimentFilter.Defaults["holdingCapacity"]);
        double loadSd = Math.Sqrt((solids * solids) + (capacity * capacity));
        double cleanSd = CarbonForecast.SdOf(SedimentFilter.Defaults["cleanLoss"]);
        var sampler = new TemperedSampler(
            [0, 0],
            [loadSd, 0, 0, cleanSd],
            unknowns => LogLikelihood(sediment, unknowns),
            new Random(seed)
        );
        double[] left =
        [
            .. sampler.DrawInFull(members, Moves).Select(u => LifeOf(sediment, u) - sediment.LoggedLiters),
        ];
        return StageOutlook.Of(left, sediment.Usage, seed);
    }

    private static double LogLikelihood(SedimentCase sediment, double[] unknowns)
    {
        SedimentFilter filter = With(sediment.Filter, unknowns);
        MassConcentration solids = Solids(unknowns);
        FlowingWater water = FlowingWater.At(sediment.Temperature);
        double sum = 0;
        foreach (LossReading read in sediment.Readings)
        {
            double expected =
                1e-3
                * filter
                    .Element("", filter.Held(solids, Volume.FromLiters(read.Liters)))
                    .Loss_Pa(read.Flow.CubicMetersPerSecond, water);
            double relative = RelativeScatter * expected;
            sum += ReadingModel.LogProbability(
                read.Loss.Kilopascals,
                GaugeStep_kPa,
                false,
                expected,
                Math.Sqrt((relative * relative) + (GaugeScatter_kPa * GaugeScatter_kPa)),
                NonsenseReach_kPa
            );
        }

        return sum;
    }

    private static double LifeOf(SedimentCase sediment, double[] unknowns)
    {
        SedimentFilter filter = With(sediment.Filter, unknowns);
        return filter
            .LifeTo(Solids(unknowns), filter.RatedFlow, filter.FullLoss, Temperature.FromDegreesCelsius(20))!
            .Value.Liters;
    }

    private static MassConcentration Solids(double[] unknowns) =>
        MassConcentration.FromMilligramsPerLiter(
            SedimentFilter.Defaults["tapSolids"].Value * Math.Exp(unknowns[Load])
        );

    private static SedimentFilter With(SedimentFilter filter, double[] unknowns) =>
        filter with
        {
            CleanLoss = Pressure.FromPascals(
                Math.Min(filter.CleanLoss.Pascals * Math.Exp(unknowns[Clean]), 0.9 * filter.FullLoss.Pascals)
            ),
        };
}
