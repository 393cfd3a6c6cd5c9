using Rinsewright.Quantities;

namespace Rinsewright.Handouts.Lives;

/// <summary>What a person says of their own water, cartridge, habits and prices; every text with its unit, all but the water optional.</summary>
public sealed record YourQuestion
{
    /// <summary>The water, the size or volume of resin, the flow and the line. What is drawn in a week follows from the washes.</summary>
    public FirstQuestion First { get; init; } = new();

    /// <summary>Word of a <see cref="WaterOrigin"/>; only used where no hardness is stated.</summary>
    public string? Origin { get; init; }

    /// <summary>Deionised water of one wash; 25 L if not said.</summary>
    public string? PerWash { get; init; }

    /// <summary>Washes in a usual week.</summary>
    public double? WashesPerWeek { get; init; }

    /// <summary>Price of a litre of fresh resin.</summary>
    public decimal? ResinPerLiter { get; init; }

    /// <summary>What one change costs besides, in time or travel.</summary>
    public decimal? Visit { get; init; }

    /// <summary>Price of a cubic metre of water and of getting rid of it.</summary>
    public decimal? WaterPerCubicMeter { get; init; }
}

/// <summary>An exact amount with its range, from the least to the most; nothing where a fresh fill does not hold the line.</summary>
public readonly record struct MoneyRange(decimal? Low, decimal? Middle, decimal? High);

/// <summary>What a moment's water leaves on a panel.</summary>
public enum SpotMoment
{
    /// <summary>The water as it comes.</summary>
    Raw,

    /// <summary>Behind a fresh fill.</summary>
    Fresh,

    /// <summary>At the line, just before the change.</summary>
    AtLine,
}

/// <summary>What the water of a moment leaves when it dries.</summary>
/// <param name="Moment">The moment.</param>
/// <param name="Index_mg_m2">Spot index beneath a drop [mg/m²].</param>
/// <param name="Residue_mg_L">Residue on drying [mg/L].</param>
/// <param name="Silica_mg_L">Silica as SiO2, which no meter sees [mg/L].</param>
public sealed record SpotsOf(
    SpotMoment Moment,
    Interval Index_mg_m2,
    Interval Residue_mg_L,
    Interval Silica_mg_L
)
{
    /// <summary>Grade of the middle.</summary>
    public Drying.SpotGrade Grade => new Drying.SpotIndex(Index_mg_m2.Middle, 0).Grade;
}

/// <summary>What could be changed.</summary>
public enum HelpKind
{
    /// <summary>Half the flow.</summary>
    GentlerFlow,

    /// <summary>Twice the resin in one bed.</summary>
    MoreResin,

    /// <summary>A second bed of the same size behind the first.</summary>
    SecondBed,

    /// <summary>Reverse osmosis before the bed.</summary>
    Osmosis,
}

/// <summary>What a change would do.</summary>
/// <param name="Kind">The change.</param>
/// <param name="Liters">Litres to the line with it [L].</param>
/// <param name="PerLiterOfResin">
/// How many times as many litres a litre of resin then gives [-]; infinite where the line is not reached in the run.
/// </param>
public sealed record Help(HelpKind Kind, Interval Liters, double PerLiterOfResin)
{
    /// <summary>The change in a sentence for people.</summary>
    public Sentence InWords =>
        Kind switch
        {
            HelpKind.GentlerFlow => Sentence.Of("Draw at half the flow."),
            HelpKind.MoreResin => Sentence.Of("Put in twice the resin, in a larger vessel."),
            HelpKind.SecondBed => Sentence.Of("Set a second bed of the same size behind the first."),
            _ => Sentence.Of(
                "Put reverse osmosis with a storage tank before the bed; it wastes water, and needs a pump or pressure."
            ),
        };
}

/// <summary>What is answered: life, money, spots.</summary>
/// <param name="First">The life, and the water as it was completed.</param>
/// <param name="PerWash_L">Deionised water of one wash [L].</param>
/// <param name="Washes">Washes to the line.</param>
/// <param name="Weeks">Weeks to the line [week]; nothing when the washes of a week were not said.</param>
/// <param name="CostPerWash">Resin, change and water of a wash, in the currency of the prices; nothing without a price of resin.</param>
/// <param name="CostPerYear">The same in a year; nothing when the washes of a week were not said.</param>
/// <param name="Spots">What the water leaves when it dries.</param>
public sealed record YourAnswer(
    FirstAnswer First,
    double PerWash_L,
    Interval Washes,
    Interval? Weeks,
    MoneyRange? CostPerWash,
    MoneyRange? CostPerYear,
    IReadOnlyList<SpotsOf> Spots
)
{
    /// <summary>Whether silica leaves well before the line: the meter then says too little.</summary>
    public bool SilicaComesFirst =>
        First.Life.SilicaLiters is { } silica && silica.Middle < 0.9 * First.Life.Liters.Middle;

    /// <summary>Sentences that belong to the answer, each a plain text.</summary>
    public IEnumerable<Sentence> Remarks
    {
        get
        {
            if (SilicaComesFirst)
            {
                yield return Sentence.Of(
                    "Silica leaves before the meter rises, and no pocket meter shows it. It etches: change by litres, not by the meter alone."
                );
            }

            if (First.Water.IsStrengthOnly)
            {
                yield return Sentence.Of(
                    "A hardness drop test narrows the range most: a meter alone does not say what is in the water."
                );
            }

            if (First.Life.Liters.Low <= 0)
            {
                yield return Sentence.Of(
                    "With some of the waters that fit, even a fresh fill does not hold the line at this flow: draw more gently, or take more resin."
                );
            }

            if (!double.IsFinite(First.Life.Liters.High))
            {
                yield return Sentence.Of(
                    "Some of the waters that fit never reach the line within one and a half lives of the resin."
                );
            }

            yield return Sentence.Of(
                "Two waters with one reading differ, and so does resin: the ranges hold nine times in ten."
            );
        }
    }
}
