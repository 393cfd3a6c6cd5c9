using System.Collections.Immutable;
using System.Runtime.InteropServices;
using Rinsewright.Numerics;
using Rinsewright.Quantities;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Treatment;

/// <summary>How several beds of a stage stand to each other.</summary>
public enum BedArrangement
{
    /// <summary>One after the other, changed together.</summary>
    Series,

    /// <summary>Side by side, the flow divided evenly, changed together.</summary>
    Parallel,

    /// <summary>
    /// One after the other; when the last one's water reaches the line the first is refilled and moves to the end.
    /// </summary>
    LeadLag,
}

/// <summary>A bed stage's life: what leaves it against the water it gave.</summary>
/// <param name="Effluent">Water that leaves one row of beds.</param>
/// <param name="From">Where on that curve the reported life begins.</param>
/// <param name="Rows">Rows of beds side by side; the stage gives that many times the curve's volume.</param>
/// <param name="BalanceError">Imbalance of the worst ion over all that was handled [-].</param>
/// <param name="AtLine">Reading of the water when the life ends.</param>
/// <param name="Drawn">Water drawn through one row since that point; a little past the line.</param>
/// <param name="Held_mol">What its resins took up meanwhile, by component [mol]; negative for what they gave.</param>
public sealed record BedLife(
    EffluentCurve Effluent,
    Volume From,
    int Rows,
    double BalanceError,
    WaterReading AtLine,
    Volume Drawn,
    IReadOnlyList<double> Held_mol
)
{
    private const int Points = 120;

    /// <summary>Charge of the ions that the analysis did not find, in the water that leaves [mol/m³].</summary>
    public double ChargeResidual_mol_m3 { get; init; }

    /// <summary>Conductivity of the water that the stage gives [µS/cm] against the water given [L].</summary>
    /// <param name="temperature">Temperature of the water.</param>
    public (double[] Liters, double[] Conductivity_uS_cm) Conductivity(Temperature temperature)
    {
        var solver = new SpeciationSolver();
        var species = new Speciation();
        var liters = new double[Points];
        var conductivity = new double[Points];
        for (int i = 0; i < Points; i++)
        {
            double passed = Drawn.CubicMeters * (i + 0.5) / Points;
            double[] totals = Effluent.At(Volume.FromCubicMeters(From.CubicMeters + passed));
            var water = new WaterComposition(totals, ChargeResidual_mol_m3, temperature.Kelvins);
            liters[i] = 1e3 * Rows * passed;
            conductivity[i] = WaterReading.Of(water, solver, species)?.Conductivity_uS_cm ?? double.NaN;
        }

        return (liters, conductivity);
    }
}

/// <summary>Ion-exchange beds: a softener, mixed beds, a cation and an anion bed.</summary>
/// <param name="Name">What it is called in reports.</param>
/// <param name="Beds">The beds in the order of the water; for parallel beds all alike.</param>
/// <param name="Arrangement">How they stand to each other.</param>
/// <param name="Line">What its water must hold.</param>
public sealed record BedStage(
    string Name,
    ImmutableArray<ExchangeBed> Beds,
    BedArrangement Arrangement,
    ExitLine Line
) : Stage(Name)
{
    private const int ChunksPerCapacity = 80;
    private const double LongestRun = 3.0; // times the larger stoichiometric volume
    private const int MostPauses = 24; // in the time of the smaller stoichiometric volume; more frequent draws are joined
    private const int LeadLagChanges = 4; // refills after which the cycle repeats itself
    private const double ChlorineForAnion_mg_L = 0.1; // published limit for continuous contact, gel styrenic
    private const double ChlorineForCation_mg_L = 0.2;
    private const double HighestVelocity_m_h = 60.0; // common practice, no source

    /// <inheritdoc/>
    public override (string Item, double Units)? Consumable => (ItemOf(), UnitsChanged);

    /// <inheritdoc/>
    public override FlowElement? Element
    {
        get
        {
            if (Arrangement == BedArrangement.Parallel)
            {
                return new EvenSplit(Name, Beds.Length, ElementOf(Beds[0]));
            }

            return Beds.Length == 1
                ? ElementOf(Beds[0]) with
                {
                    Name = Name,
                }
                : new InRow(Name, [.. Beds.Select(ElementOf)]);
        }
    }

    private double UnitsChanged =>
        Arrangement == BedArrangement.LeadLag ? Beds[0].Volume.Liters : Beds.Sum(b => b.Volume.Liters);

    private int Rows => Arrangement == BedArrangement.Parallel ? Beds.Length : 1;

    private bool HoldsBothSigns => Beds.SelectMany(b => b.Resins).Select(r => r.Sign).Distinct().Count() == 2;

    internal override Stage? ChangedAt(ExitLine line) => this with { Line = line };

    internal override StageReport? Treat(TrainWater feed, StageDuty duty, CancellationToken cancellation)
    {
        Temperature temperature = feed.Temperature;
        VolumeFlow flow = VolumeFlow.FromCubicMetersPerSecond(duty.Flow.CubicMetersPerSecond / Rows);
        var series = new BedSeries(Row, flow, temperature);
        var pauses = Pauses.Of(duty, flow, Rows);
        BedRun? run = RunToLine(series, feed.Composition, flow, pauses, cancellation);
        for (
            int i = 0;
            run is { Spent: true } && Arrangement == BedArrangement.LeadLag && i < LeadLagChanges;
            i++
        )
        {
            series.Rotate();
            series.Refill(Beds.Length - 1);
            run = RunToLine(series, feed.Composition, flow, pauses, cancellation);
        }

        if (run is null)
        {
            return null;
        }

        double lost = ChlorineHarm.Lost(Row, feed.Oxidants, run.Life_m3);
        return new StageReport(
            this,
            duty,
            feed,
            feed with
            {
                Composition = run.Mean,
            },
            run.Spent ? Volume.FromCubicMeters(Rows * run.Life_m3 / (1.0 + lost)) : null,
            HoldsBothSigns && run.AtLine.PH < 6.0 ? "its anion resin (the water turns acid)"
                : HoldsBothSigns && run.AtLine.PH > 9.0 ? "its cation resin (the water turns caustic)"
                : "its line",
            LossAt(duty.Flow, temperature),
            0.0,
            [.. Warnings(feed, flow, run)]
        )
        {
            CapacityLost = lost,
            Bed = new BedLife(
                series.Effluent,
                Volume.FromCubicMeters(run.From_m3),
                Rows,
                series.BalanceError,
                run.AtLine,
                Volume.FromCubicMeters(series.Drawn.CubicMeters - run.From_m3),
                [.. Held(series).Select((held, c) => held - run.HeldBefore_mol[c])]
            )
            {
                ChargeResidual_mol_m3 = ChargeResidualOf(feed.Composition),
            },
        };
    }

    internal override Func<TrainWater, Volume, TrainWater?> Open(StageDuty duty)
    {
        VolumeFlow flow = VolumeFlow.FromCubicMetersPerSecond(duty.Flow.CubicMetersPerSecond / Rows);
        BedSeries? series = null;
        return (feed, given) =>
        {
            series ??= new BedSeries(Row, flow, feed.Temperature);
            double from = series.Drawn.CubicMeters;
            Volume piece = Volume.FromCubicMeters(given.CubicMeters / Rows);
            BedRunStatus status = series.Advance(feed.Composition.Totals, feed.Temperature, flow, piece);
            return status == BedRunStatus.Completed
                ? feed with
                {
                    Composition = ReaderOf(feed.Composition)
                        .Mean(series.Effluent, from, series.Drawn.CubicMeters),
                }
                : null;
        };
    }

    private ImmutableArray<ExchangeBed> Row => Arrangement == BedArrangement.Parallel ? [Beds[0]] : Beds;

    private Reader ReaderOf(WaterComposition feed) => new(feed, ChargeResidualOf(feed));

    /// <summary>Charge that the analysis did not find, in the water behind the beds [mol/m³]: beds of both signs take it.</summary>
    private double ChargeResidualOf(WaterComposition feed) => HoldsBothSigns ? 0.0 : feed.ChargeResidual;

    private BedRun? RunToLine(
        BedSeries series,
        WaterComposition feed,
        VolumeFlow flow,
        Pauses pauses,
        CancellationToken cancellation
    )
    {
        Reader reader = ReaderOf(feed);
        double[] held = Held(series);
        double from = series.Drawn.CubicMeters;
        double first = series.StoichiometricVolume(feed.Totals, last: false).CubicMeters;
        double longest = LongestRun * series.StoichiometricVolume(feed.Totals).CubicMeters;
        double draw = double.Max(pauses.Draw_m3, first / MostPauses);
        double chunk = double.Min(first / ChunksPerCapacity, draw);
        double drawn = 0.0;
        Temperature temperature = Temperature.FromKelvins(feed.TemperatureKelvin);
        int seen = series.Effluent.Count;
        double before = from;
        while (series.Drawn.CubicMeters - from < longest)
        {
            BedRunStatus status = series.Advance(
                feed.Totals,
                temperature,
                flow,
                Volume.FromCubicMeters(chunk),
                cancellation: cancellation
            );
            drawn += chunk;
            if (status == BedRunStatus.Completed && drawn >= draw)
            {
                drawn -= draw;
                status = series.Rest(pauses.Rest, temperature);
            }

            if (status != BedRunStatus.Completed)
            {
                cancellation.ThrowIfCancellationRequested();
                return null;
            }

            for (; seen < series.Effluent.Count; seen++)
            {
                double at = series.Effluent.VolumeAt(seen).CubicMeters;
                if (reader.Read(series.Effluent.TotalsAt(seen)) is not { } reading)
                {
                    return null;
                }

                if (Line.Excess(reading) > 0.0)
                {
                    double life = at <= from ? from : Crossing(series.Effluent, reader, before, at);
                    return reader.Finish(series.Effluent, from, life, held, spent: true);
                }

                before = at;
            }
        }

        return reader.Finish(series.Effluent, from, series.Drawn.CubicMeters, held, spent: false);
    }

    private static double[] Held(BedSeries series) =>
        [.. Enum.GetValues<Component>().Select(c => series.States.Sum(s => s.Held(c)))];

    private double Crossing(EffluentCurve curve, Reader reader, double low, double high) =>
        Bracketed.Root(
            v => reader.Read(curve.At(Volume.FromCubicMeters(v))) is { } r ? Line.Excess(r) : 0.0,
            low,
            high,
            1e-6 * high
        );

    private IEnumerable<Warning> Warnings(TrainWater feed, VolumeFlow flow, BedRun run)
    {
        if (run is { Spent: true, Life_m3: 0.0 })
        {
            yield return new Warning(
                WarningLevel.Caution,
                Name,
                Sentence.Of(
                    $"Even new its water misses the line at {flow}: it slips. Draw more gently or take a larger bed."
                )
            );
        }

        bool anion = Beds.SelectMany(b => b.Resins).Any(r => r.Sign < 0);
        double limit = anion ? ChlorineForAnion_mg_L : ChlorineForCation_mg_L;
        if (feed.Oxidants.Total.MilligramsPerLiter > limit)
        {
            yield return new Warning(
                WarningLevel.Caution,
                Name,
                Sentence.Of(
                    $"Chlorine of {feed.Oxidants.Total.MilligramsPerLiter:F2} mg/L reaches the resin, above the {limit} mg/L it bears: in one fill it loses {ChlorineHarm.InWords(Row, feed.Oxidants, run.Life_m3)} of its capacity. Carbon belongs before it."
                )
            );
        }

        foreach (ExchangeBed bed in Beds.Take(Rows > 1 ? 1 : Beds.Length))
        {
            double velocity_m_h = flow.CubicMetersPerHour / bed.Area;
            if (velocity_m_h > HighestVelocity_m_h)
            {
                yield return new Warning(
                    WarningLevel.Caution,
                    Name,
                    Sentence.Of(
                        $"Water passes the bed at {velocity_m_h:F0} m/h; above {HighestVelocity_m_h:F0} m/h it slips and channels."
                    )
                );
            }

            double hottest = bed.Resins.Min(r => ResinCatalog.Of(r.Kind).MaxTemperature);
            if (feed.Temperature.DegreesCelsius > hottest)
            {
                yield return new Warning(
                    WarningLevel.Caution,
                    Name,
                    Sentence.Of($"Water of {feed.Temperature} is above the {hottest:F0} °C its resin bears.")
                );
            }
        }
    }

    private static PackedBed ElementOf(ExchangeBed bed) =>
        new(
            bed.Name,
            bed.InnerDiameter,
            bed.Depth,
            bed.Resins.MinBy(r => r.Bead.Meters)!.Bead,
            bed.VoidFraction
        )
        {
            HighestVelocity = Speed.FromMetersPerHour(HighestVelocity_m_h),
        };

    private string ItemOf()
    {
        bool cation = Beds.SelectMany(b => b.Resins).Any(r => r.Sign > 0);
        bool sodium = Beds.SelectMany(b => b.Resins)
            .Any(r => r.Form.GetValueOrDefault(Component.Sodium) > 0.5);
        return HoldsBothSigns ? "mixed-bed-resin"
            : sodium ? "softener-resin"
            : cation ? "cation-resin"
            : "anion-resin";
    }

    /// <summary>Water drawn through a row between two rests [m³], and how long a rest is.</summary>
    [StructLayout(LayoutKind.Auto)]
    private readonly record struct Pauses(double Draw_m3, TimeSpan Rest)
    {
        public static Pauses Of(StageDuty duty, VolumeFlow flow, int rows)
        {
            if (!(duty is { DrawsPerWeek: > 0.0, Weekly_m3: > 0.0 }))
            {
                return new Pauses(double.PositiveInfinity, TimeSpan.Zero);
            }

            double draw = duty.Weekly_m3 / duty.DrawsPerWeek / rows;
            double idle = (7.0 * 86_400.0 / duty.DrawsPerWeek) - (draw / flow.CubicMetersPerSecond);
            return new Pauses(draw, TimeSpan.FromSeconds(double.Max(1.0, idle)));
        }
    }

    /// <summary>One run to the line: where it began, how much water it gave, the mean of that and the water at its end.</summary>
    private sealed record BedRun(
        double From_m3,
        double Life_m3,
        WaterComposition Mean,
        WaterReading AtLine,
        double[] HeldBefore_mol,
        bool Spent
    );

    /// <summary>Turns totals of the effluent into waters and readings.</summary>
    private sealed class Reader(WaterComposition feed, double chargeResidual)
    {
        private const int MeanSamples = 200;

        private readonly SpeciationSolver _solver = new();
        private readonly Speciation _species = new();

        public WaterReading? Read(ReadOnlySpan<double> totals) =>
            WaterReading.Of(Water(totals), _solver, _species);

        public BedRun? Finish(EffluentCurve curve, double from, double to, double[] held, bool spent)
        {
            return Read(curve.At(Volume.FromCubicMeters(to))) is { } atLine
                ? new BedRun(from, to - from, Mean(curve, from, to), atLine, held, spent)
                : null;
        }

        /// <summary>Water of a part of the curve, mixed.</summary>
        public WaterComposition Mean(EffluentCurve curve, double from, double to)
        {
            var mean = new double[IonCatalog.ComponentCount];
            for (int i = 0; i < MeanSamples; i++)
            {
                double at = from + ((to - from) * (i + 0.5) / MeanSamples);
                double[] totals = curve.At(Volume.FromCubicMeters(at));
                for (int c = 0; c < mean.Length; c++)
                {
                    mean[c] += totals[c] / MeanSamples;
                }
            }

            return Water(mean);
        }

        private WaterComposition Water(ReadOnlySpan<double> totals) =>
            new(totals, chargeResidual, feed.TemperatureKelvin);
    }
}
