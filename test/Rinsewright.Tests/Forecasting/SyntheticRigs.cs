using System.Collections.Concurrent;
using System.Collections.Immutable;
using Rinsewright.Forecasting;
using Rinsewright.Quantities;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Tests.Forecasting;

/// <summary>
/// Invented rigs whose truth is known: each lives a full simulation of its own that no forecast has seen, with its own stretch,
/// by-pass, drift and meter, read now and then by a meter that rounds, scatters and slips.
/// </summary>
internal static class SyntheticRigs
{
    public const double MeterFactor = 0.5;
    private const double DaysPerYear = 365.25;

    /// <summary>The lives of so many rigs from a seed, which are the same in every world.</summary>
    private static readonly ConcurrentDictionary<(int Count, int Seed), Lazy<ImmutableArray<Life>>> Drawn =
        new();

    public static ChangeOutLine Line { get; } = new("10 ppm", LineKind.MeterReading, 10);

    public static VolumeFlow Flow { get; } = VolumeFlow.FromLitersPerMinute(8);

    public static ImmutableArray<ExchangeBed> Beds { get; } =
    [
        new ExchangeBed(
            Volume.FromLiters(4.5),
            Length.FromMillimeters(105),
            new Resin(ResinKind.StrongCation, 0.4),
            new Resin(ResinKind.StrongAnion1, 0.6)
        ),
    ];

    public static ImmutableArray<WaterComposition> Waters { get; } =
    [.. Enumerable.Range(0, 8).Select(Water)];

    /// <summary>
    /// Litres to the line as designed, on a middle water. When a forecast is asked for follows from this, never from the life that the
    /// rig turns out to have: that moment would tell of it, and no forecast knows what it tells.
    /// </summary>
    private static double NominalLife_L { get; } =
        LifeLibrary
            .Simulate([(Beds, Waters[4])], Flow, null, CancellationToken.None)[0]
            .Reaches(Line, MeterFactor, 0);

    /// <summary>A rig, its readings so far, and the truth about what is left to the line.</summary>
    /// <param name="Fill">What the forecast is told.</param>
    /// <param name="LitersLeft">Logged litres left [L].</param>
    /// <param name="Truth">The unknowns; the life is the first of <paramref name="Lives"/>.</param>
    /// <param name="Lives">The life that the rig lives.</param>
    internal sealed record Rig(FillCase Fill, double LitersLeft, Unknowns Truth, ImmutableArray<Life> Lives);

    /// <summary>How the world differs from what the forecast believes.</summary>
    /// <param name="StretchMean">Mean of the logarithm of the stretch [-].</param>
    /// <param name="BadReadings">Share of readings that are plain nonsense [-].</param>
    internal sealed record World(double? StretchMean = null, double BadReadings = 0);

    /// <summary>Rigs drawn from the prior, or from another world.</summary>
    public static IReadOnlyList<Rig> Draw(int count, int seed, World? world = null)
    {
        ImmutableArray<Life> lives = Drawn.GetOrAdd((count, seed), k => new(() => LivesOf(k))).Value;
        return [.. lives.Select((life, i) => RigOf(life, new Random(seed + 1 + i), world ?? new World()))];
    }

    private static ImmutableArray<Life> LivesOf((int Count, int Seed) drawn)
    {
        var random = new Random(drawn.Seed);
        var plans = new (ImmutableArray<ExchangeBed>, WaterComposition)[drawn.Count];
        for (int i = 0; i < drawn.Count; i++)
        {
            plans[i] = LifeLibrary.Draw(Beds, Waters, random);
        }

        return LifeLibrary.Simulate(plans, Flow, null, CancellationToken.None);
    }

    private static Rig RigOf(Life life, Random random, World world)
    {
        FillCase blank = new()
        {
            Beds = Beds,
            Waters = Waters,
            Flow = Flow,
            Now = 0,
            Usage = new Usage(140),
        };
        Unknowns drawn = new FillPrior(blank, 1).Draw(random);
        if (world.StretchMean is { } mean)
        {
            drawn.Values[Unknowns.Stretch] += mean - blank.Stretch.Mean;
        }

        ImmutableArray<Life> own = [life];
        double days = NominalLife_L / 20 * (0.2 + 0.9 * random.NextDouble());
        ImmutableArray<LoggedDraw> draws =
        [
            .. Enumerable.Range(0, (int)days + 1).Select(d => new LoggedDraw(d, 20)),
        ];
        double every = 1 + 9 * random.NextDouble();
        ImmutableArray<FillReading> plan =
        [
            .. Enumerable
                .Range(1, (int)(days / every))
                .Select(n => new FillReading(
                    n * every,
                    n % 4 == 0 ? ReadingSide.Inlet : ReadingSide.Outlet,
                    0,
                    2
                )),
        ];
        FillCase fill = blank with { Draws = draws, Readings = plan, Now = days };
        var model = new ReadingModel(fill, own);
        fill = fill with
        {
            Readings =
            [
                .. plan.Select(
                    (r, i) =>
                        r with
                        {
                            Shown =
                                random.NextDouble() < world.BadReadings
                                    ? 2 * random.Next(150)
                                    : ReadingModel.Draw(
                                        model.Expected(drawn, i),
                                        r.Resolution,
                                        life.Feed.Conductivity25,
                                        random
                                    ),
                        }
                ),
            ],
        };
        double strength = model.StrengthNow(drawn);
        ChangeOutLine line = Line with { Value = Line.Value / strength };
        double left =
            (life.Reaches(line, MeterFactor, drawn.Bypassed) - model.PassedNow(drawn))
            / (drawn.Stretched * strength);
        return new Rig(fill, Math.Max(left, 0), drawn, own);
    }

    /// <summary>Waters about a middling mains water, alkalinity and silica rising with hardness.</summary>
    private static WaterComposition Water(int index)
    {
        double hard = 0.6 + 0.1 * index;
        var totals = new double[IonCatalog.ComponentCount];
        totals[(int)Component.Calcium] = 0.5 * hard;
        totals[(int)Component.Magnesium] = 0.15 * hard;
        totals[(int)Component.Sodium] = 0.45;
        totals[(int)Component.Potassium] = 0.03;
        totals[(int)Component.Chloride] = 0.3 + 0.1 * hard;
        totals[(int)Component.Sulfate] = 0.15;
        totals[(int)Component.Nitrate] = 0.05;
        totals[(int)Component.InorganicCarbon] = 1.25 * hard - 0.05;
        totals[(int)Component.Silica] = 0.08 + 0.05 * hard;
        return new WaterComposition(totals, 0, 285);
    }
}
