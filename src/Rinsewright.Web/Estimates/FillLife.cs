using System.Collections.Immutable;
using System.Runtime.InteropServices;
using Rinsewright.Quantities;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Web.Estimates;

/// <summary>How far beds last, from new to a change-out line.</summary>
/// <param name="Liters">Litres to the line [L].</param>
/// <param name="SilicaLiters">Litres until silica passes 1 mg/L [L]; nothing when it stays below until the line.</param>
/// <param name="Report">The curve of the middle run.</param>
/// <param name="Moments">The beds of the middle run from new to just past the line.</param>
/// <param name="FirstOut">Ions in the order in which they come out.</param>
public sealed record FillLife(
    Interval Liters,
    Interval? SilicaLiters,
    EffluentReport Report,
    ImmutableArray<BedMoment> Moments,
    ImmutableArray<Component> FirstOut
)
{
    /// <summary>The line at which silica counts as out [mg/L]; it etches, our choice.</summary>
    public const double SilicaLine_mg_L = 1;

    private const int Members = 16;
    private const int Chunks = 16; // of the volume that exhausts all resins
    private const int MostChunks = 32;
    private const int Bisections = 12;
    private static readonly double Silica_mg_L = 1e3 * IonCatalog.MolarMass(Component.Silica);

    /// <summary>
    /// Runs members of the source water through beds whose capacity varies as the data of the resins say, and reads
    /// when each passes the line.
    /// </summary>
    /// <returns>The life; nothing when the equations of a bed were not solved.</returns>
    public static FillLife? Of(LifeQuestion question, SourceWater source, CancellationToken cancel = default)
    {
        WaterComposition[] ordered = [.. source.Members.OrderBy(Load)];
        var runs = new Run?[Members];
        Parallel.For(
            0,
            Members,
            new ParallelOptions { CancellationToken = cancel },
            i =>
            {
                WaterComposition member = ordered[(int)((i + 0.5) * ordered.Length / Members)];
                // Loads rise with i; capacities are dealt so that each half of one meets each half of the other.
                int dealt = ((i * 7) + 3) % Members;
                double capacity = Math.Exp(StandardQuantile(dealt) * CapacitySpread(question));
                runs[i] = RunOne(question, member, capacity, i == Members / 2);
            }
        );
        if (runs.Any(r => r is null))
        {
            return null;
        }

        Run middle = runs[Members / 2]!;
        double[] silica = [.. runs.Select(r => r!.SilicaLiters)];
        return new FillLife(
            Interval.Of(runs.Select(r => r!.Liters)),
            silica.Count(double.IsFinite) > Members / 2
                ? Interval.Of(
                    silica.Select(s => double.IsFinite(s) ? s : silica.Where(double.IsFinite).Max())
                )
                : null,
            middle.Report!,
            middle.Moments,
            [.. middle.Report!.FirstOut().Select(f => f.Ion)]
        );
    }

    private static Run? RunOne(LifeQuestion question, WaterComposition member, double capacity, bool keeps)
    {
        if (question.Feed(member) is not { } feed)
        {
            return null;
        }

        var temperature = Temperature.FromKelvins(feed.TemperatureKelvin);
        VolumeFlow flow = VolumeFlow.FromLitersPerMinute(question.Flow_L_min);
        ImmutableArray<ExchangeBed> beds = [.. question.Beds.Select(b => b.ToBed(capacity))];
        var series = new BedSeries(beds, flow, temperature);
        var chunk = Volume.FromCubicMeters(series.StoichiometricVolume(feed.Totals).CubicMeters / Chunks);
        var moments = ImmutableArray.CreateBuilder<BedMoment>();
        double? liters = null;
        double? silica = null;
        EffluentCurve curve = series.Effluent;
        for (int n = 0; n < MostChunks && liters is null; n++)
        {
            int first = Math.Max(0, curve.Count - 1);
            if (series.Advance(feed.Totals, temperature, flow, chunk) != BedRunStatus.Completed)
            {
                return null;
            }

            if (keeps)
            {
                moments.Add(BedMoment.Of(series));
            }

            // The curve is not walked with a speciation at each point: only in the stretch in which the line is passed.
            var report = new EffluentReport(curve, feed, beds, samples: 1);
            double Shown(Volume passed) =>
                report.At(passed).ValueFor(question.Line.Kind, question.MeterFactor);
            double SilicaAt(Volume passed) => Silica_mg_L * curve.At(Component.Silica, passed);
            silica ??= Crossing(curve, first, SilicaAt, SilicaLine_mg_L);
            if (Shown(curve.VolumeAt(curve.Count - 1)) >= question.Line.Value)
            {
                liters = Crossing(curve, first, Shown, question.Line.Value);
            }
        }

        return new Run(
            liters ?? double.PositiveInfinity,
            silica ?? double.PositiveInfinity,
            keeps ? new EffluentReport(curve, feed, beds, samples: 120) : null,
            moments.ToImmutable()
        );
    }

    /// <summary>Litres at which a value first reaches a level from a sample of the curve on; nothing when it does not.</summary>
    private static double? Crossing(EffluentCurve curve, int first, Func<Volume, double> value, double level)
    {
        Volume low = curve.VolumeAt(first);
        if (value(low) >= level)
        {
            return low.Liters;
        }

        for (int i = first + 1; i < curve.Count; i++)
        {
            Volume high = curve.VolumeAt(i);
            if (value(high) >= level)
            {
                for (int n = 0; n < Bisections; n++)
                {
                    var middle = Volume.FromCubicMeters((low.CubicMeters + high.CubicMeters) / 2);
                    (low, high) = value(middle) < level ? (middle, high) : (low, middle);
                }

                return high.Liters;
            }

            low = high;
        }

        return null;
    }

    /// <summary>ln of the geometric standard deviation of the capacity of the scarcest resin's data [-].</summary>
    private static double CapacitySpread(LifeQuestion question) =>
        question
            .Beds.SelectMany(b => b.ToBed().Resins)
            .Max(r => Math.Log(ResinCatalog.Of(r.Kind).Capacity.GeometricSd));

    /// <summary>Quantile of the standard normal distribution at the middle of one of <see cref="Members"/> equal shares.</summary>
    private static double StandardQuantile(int share)
    {
        // Logistic approximation of the normal quantile, within 0.02 over the shares used.
        double p = (share + 0.5) / Members;
        return Math.Log(p / (1 - p)) / 1.702;
    }

    /// <summary>Equivalents of the ions, and moles of silica [per m³].</summary>
    private static double Load(WaterComposition water) =>
        Enum.GetValues<Component>()
            .Sum(c => water[c] * Math.Max(1, Math.Abs(IonCatalog.Of(IonCatalog.Master(c)).Charge)));

    private sealed record Run(
        double Liters,
        double SilicaLiters,
        EffluentReport? Report,
        ImmutableArray<BedMoment> Moments
    );
}

/// <summary>What sits on the resins of beds in series after some water has passed.</summary>
/// <param name="Liters">Water passed [L].</param>
/// <param name="Slices">Slices of equal thickness from the inlet of the first bed to the outlet of the last.</param>
public sealed record BedMoment(double Liters, ImmutableArray<BedSlice> Slices)
{
    private const int SlicesPerBed = 24;

    internal static BedMoment Of(BedSeries series)
    {
        var slices = ImmutableArray.CreateBuilder<BedSlice>();
        for (int b = 0; b < series.States.Count; b++)
        {
            BedState state = series.States[b];
            IReadOnlyList<double> depths = state.RelativeDepths;
            int node = 0;
            for (int s = 0; s < SlicesPerBed; s++)
            {
                double depth = (s + 0.5) / SlicesPerBed;
                while (node + 1 < depths.Count && depths[node + 1] <= depth)
                {
                    node++;
                }

                for (int r = 0; r < state.Bed.Resins.Length; r++)
                {
                    Resin resin = state.Bed.Resins[r];
                    slices.Add(
                        new BedSlice(
                            b,
                            s,
                            r,
                            resin.Sign,
                            [
                                .. resin
                                    .Selectivity.Keys.Order()
                                    .Select(ion => (Ion: ion, Share: state.FractionAt(node, r, ion)))
                                    .Where(f => f.Share > 1e-4),
                            ]
                        )
                    );
                }
            }
        }

        return new BedMoment(series.Drawn.Liters, slices.ToImmutable());
    }
}

/// <summary>One slice of one resin of one bed.</summary>
/// <param name="Bed">Index of the bed.</param>
/// <param name="Slice">Index of the slice, 0 at the inlet.</param>
/// <param name="Resin">Index of the resin in the bed.</param>
/// <param name="Sign">+1 for a cation resin, −1 for an anion resin.</param>
/// <param name="Held">Equivalent fractions by ion; what is missing to 1 is still fresh.</param>
[StructLayout(LayoutKind.Auto)]
public readonly record struct BedSlice(
    int Bed,
    int Slice,
    int Resin,
    int Sign,
    ImmutableArray<(Component Ion, double Share)> Held
)
{
    /// <summary>Share that is still in the form of a fresh fill.</summary>
    public double Fresh => Math.Max(0, 1 - Held.Sum(h => h.Share));
}

/// <summary>Lives that were asked for, kept for the next time.</summary>
public sealed class FillLives(SourceWaters waters)
{
    private const int MostKept = 200;
    private readonly System.Collections.Concurrent.ConcurrentDictionary<string, Lazy<FillLife?>> _known = new(
        StringComparer.Ordinal
    );

    /// <summary>The life, or nothing when the water cannot be completed or a bed was not solved.</summary>
    public FillLife? Of(LifeQuestion question)
    {
        if (_known.Count >= MostKept)
        {
            _known.Clear();
        }

        return _known
            .GetOrAdd(
                question.Key,
                _ => new Lazy<FillLife?>(() =>
                    waters.Of(question.WaterFile).Source is { } source ? FillLife.Of(question, source) : null
                )
            )
            .Value;
    }
}
