using Rinsewright.Quantities;

namespace Rinsewright.Treatment;

/// <summary>What a train is wanted for.</summary>
/// <param name="Source">The water at the spigot.</param>
/// <param name="Habit">The usual week.</param>
/// <param name="Prices">The user's prices.</param>
public sealed record ChoiceRequest(TrainWater Source, Habit Habit, Prices Prices)
{
    /// <summary>Waters that the analysis allows, all as likely, for the risk; the source alone when there are none.</summary>
    public IReadOnlyList<TrainWater> Waters { get; init; } = [];

    /// <summary>Greatest risk, if it is limited: see <see cref="TrainChoice.Risk"/> [-].</summary>
    public double? MostRisk { get; init; }

    /// <summary>What the deionised water must hold.</summary>
    public ExitLine Line { get; init; } = ExitLine.Deionised;

    /// <summary>Greatest first cost, if there is a budget.</summary>
    public decimal? Budget { get; init; }

    /// <summary>Width of wall or floor for the whole train, if it is limited.</summary>
    public Length? Width { get; init; }

    /// <summary>Height under which everything must fit, if it is limited.</summary>
    public Length? Height { get; init; }

    /// <summary>Pressure at the spigot with everything shut.</summary>
    public Pressure Supply { get; init; } = Pressure.FromBars(3.5);

    /// <summary>Pressure that must be left for the tool at the usual flow.</summary>
    public Pressure LeastToolPressure { get; init; } = Pressure.FromBars(1.0);

    /// <summary>Years over which the first cost is written off [year]; five is our choice.</summary>
    public int WriteOffYears { get; init; } = 5;

    /// <summary>How many of the best by quick figures are run in full.</summary>
    public int FullRuns { get; init; } = 8;
}

/// <summary>What a train is built of.</summary>
/// <param name="Sediment">Whether a sediment cartridge stands first.</param>
/// <param name="Carbon">Size of the carbon housing, if any.</param>
/// <param name="Softener">Size of the softener, if any.</param>
/// <param name="Osmosis">Reverse osmosis with its tank and pumps, if any.</param>
/// <param name="Bed">Size of the mixed beds, if any.</param>
/// <param name="Beds">How many of them.</param>
/// <param name="Arrangement">How they stand to each other.</param>
public sealed record TrainPlan(
    bool Sediment,
    Housing? Carbon,
    Housing? Softener,
    OsmosisPlan? Osmosis,
    Housing? Bed,
    int Beds,
    BedArrangement Arrangement
)
{
    /// <summary>In words.</summary>
    public Sentence Description =>
        Sentence.Join(
            " + ",
            (
                (Sentence?[])
                    [
                        Sediment ? Sentence.Of("sediment") : null,
                        Carbon is { } carbon ? Sentence.Of($"carbon {Size(carbon)}") : null,
                        Softener is { } softener ? Sentence.Of($"softener {Size(softener)}") : null,
                        Osmosis?.Description,
                        Bed is { } bed ? BedsInWords(bed) : null,
                    ]
            )
                .OfType<Sentence>()
                .DefaultIfEmpty(Sentence.Of("nothing"))
        );

    private Sentence BedsInWords(Housing bed) =>
        (Beds, Arrangement) switch
        {
            (1, _) => Sentence.Of($"mixed bed {Size(bed)}"),
            (_, BedArrangement.Parallel) => Sentence.Of($"{Beds} mixed beds {Size(bed)} in parallel"),
            (_, BedArrangement.LeadLag) => Sentence.Of($"{Beds} mixed beds {Size(bed)} lead–lag"),
            _ => Sentence.Of($"{Beds} mixed beds {Size(bed)} in series"),
        };

    private static string Size(Housing housing) => housing.Id[(housing.Id.IndexOf('-') + 1)..];
}

/// <summary>A reverse-osmosis unit of a plan.</summary>
/// <param name="Elements">Membrane elements.</param>
/// <param name="Recovery">Permeate over feed [-].</param>
/// <param name="Boosted">Whether a pump raises its feed to 6 bar.</param>
public sealed record OsmosisPlan(int Elements, double Recovery, bool Boosted)
{
    private const double BoostedPressure_bar = 6.0;

    /// <summary>In words.</summary>
    public Sentence Description =>
        (Elements > 1, Boosted) switch
        {
            (false, false) => Sentence.Of(
                $"reverse osmosis ({Elements} element, {100.0 * Recovery:F0} % recovered) and tank"
            ),
            (false, true) => Sentence.Of(
                $"reverse osmosis ({Elements} element, {100.0 * Recovery:F0} % recovered, boosted) and tank"
            ),
            (true, false) => Sentence.Of(
                $"reverse osmosis ({Elements} elements, {100.0 * Recovery:F0} % recovered) and tank"
            ),
            (true, true) => Sentence.Of(
                $"reverse osmosis ({Elements} elements, {100.0 * Recovery:F0} % recovered, boosted) and tank"
            ),
        };

    /// <summary>The membrane at a supply pressure.</summary>
    internal ReverseOsmosis Membrane(Pressure supply) =>
        new()
        {
            Area_m2 = Elements * ReverseOsmosis.Defaults["area"].Value,
            Recovery = Recovery,
            FeedPressure = Boosted ? Pressure.FromBars(BoostedPressure_bar) : supply,
        };
}

/// <summary>A plan and what it amounts to.</summary>
/// <param name="Plan">What it is built of.</param>
/// <param name="FirstCost">First cost.</param>
/// <param name="PerYear">Yearly bill.</param>
/// <param name="VisitsPerYear">Change-outs in a year [1/year].</param>
/// <param name="Risk">
/// Probability that a litre of the year's deionised water misses the line [-]: over the waters that the analysis allows, those
/// with which the train misses its duty count whole, the others by the share drawn past the line when it is looked at once
/// a week (docs/models/choice.md).
/// </param>
/// <param name="Misses">Share of the waters that the analysis allows with which the train misses its duty [-].</param>
/// <param name="LifeWeeks">Weeks until the first bed is changed [week]; nothing without a bed.</param>
/// <param name="Full">Whether the beds were run in full, or the figures are quick ones.</param>
public sealed record TrainChoice(
    TrainPlan Plan,
    decimal FirstCost,
    decimal PerYear,
    double VisitsPerYear,
    double Risk,
    double Misses,
    double? LifeWeeks,
    bool Full
)
{
    /// <summary>Yearly bill with the first cost written off.</summary>
    public decimal Total(int years) => PerYear + (FirstCost / years);

    /// <summary>Whether it is no worse in any of the four and better in one.</summary>
    internal bool Beats(TrainChoice other) =>
        Risk <= other.Risk
        && VisitsPerYear <= other.VisitsPerYear
        && FirstCost <= other.FirstCost
        && PerYear <= other.PerYear
        && (
            PerYear < other.PerYear
            || FirstCost < other.FirstCost
            || VisitsPerYear < other.VisitsPerYear
            || Risk < other.Risk
        );
}

/// <summary>What a search found.</summary>
/// <param name="Best">The cheapest train that holds the line, its beds run in full; nothing when none does.</param>
/// <param name="RunnerUp">The next cheapest.</param>
/// <param name="WhyRunnerUpLost">Why it did not win; nothing without one.</param>
/// <param name="Front">
/// Trains that no other beats in yearly bill, first cost, visits and risk at once, cheapest first.
/// </param>
/// <param name="Considered">Plans looked at.</param>
/// <param name="Rejected">Plans refused, by reason.</param>
public sealed record ChoiceResult(
    TrainChoice? Best,
    TrainChoice? RunnerUp,
    Sentence? WhyRunnerUpLost,
    IReadOnlyList<TrainChoice> Front,
    int Considered,
    IReadOnlyDictionary<Sentence, int> Rejected
);
