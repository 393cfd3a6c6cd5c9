using System.Globalization;
using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;
using Rinsewright.Treatment;

namespace Rinsewright.Handouts.Lives;

/// <summary>What the first page asks: a reading, a size, and if one likes more.</summary>
public sealed record FirstQuestion
{
    public WaterStatement Water { get; init; } = new();

    /// <summary>Id of a generic size.</summary>
    public string? Size { get; init; }

    /// <summary>Volume of resin, instead of the size's usual fill.</summary>
    public string? Volume { get; init; }

    public string? Flow { get; init; }

    public string? Line { get; init; }

    /// <summary>Water behind the bed in a usual week, with its unit.</summary>
    public string? Weekly { get; init; }
}

/// <summary>How long a bed of that size lasts on that water.</summary>
/// <param name="Question">What was run.</param>
/// <param name="Life">The life.</param>
/// <param name="Water">The water, completed.</param>
/// <param name="Days">Days until the line in usual weeks [d], where the water of a week was said.</param>
public sealed record FirstAnswer(LifeQuestion Question, FillLife Life, Completed Water, Interval? Days);

/// <summary>Answers the first question.</summary>
public sealed class FirstMinute(SourceWaters waters, FillLives lives)
{
    public const string UsualSize = "housing-4.5x20";
    private const string UsualFlow = "8 L/min";
    private const string UsualLine = "10 ppm";

    // The ends that are written, with the rounding of a unit that is turned into another.
    private const double LeastFlow_L_min = 0.1 * (1 - 1e-9);
    private const double GreatestFlow_L_min = 200 * (1 + 1e-9);
    private const double LeastVolume_L = 0.1 * (1 - 1e-9);
    private const double GreatestVolume_L = 2000 * (1 + 1e-9);

    /// <summary>The answer, or nothing with everything that is wrong with the question.</summary>
    public FirstAnswer? Of(FirstQuestion asked, out IReadOnlyList<InputProblem> problems)
    {
        List<InputProblem> found = [];
        problems = found;
        Housing? size = HousingCatalog.All.FirstOrDefault(h =>
            string.Equals(h.Id, asked.Size ?? UsualSize, StringComparison.Ordinal)
        );
        if (size is null)
        {
            found.Add(
                new InputProblem(
                    "size",
                    asked.Size!,
                    $"one of {string.Join(", ", HousingCatalog.All.Select(h => h.Id))}"
                )
            );
        }

        Volume? volume = Quantity<Volume>("volume", asked.Volume, "L", found);
        VolumeFlow flow = Quantity<VolumeFlow>("flow", asked.Flow ?? UsualFlow, "L/min", found) ?? default;
        Volume? weekly = Quantity<Volume>("weekly", asked.Weekly, "L", found);
        if (found.Count == 0 && flow.LitersPerMinute is not (>= LeastFlow_L_min and <= GreatestFlow_L_min))
        {
            found.Add(new InputProblem("flow", asked.Flow!, "a flow from 0.1 to 200 L/min"));
        }

        if (volume is { Liters: not (>= LeastVolume_L and <= GreatestVolume_L) })
        {
            found.Add(new InputProblem("volume", asked.Volume!, "a volume of resin from 0.1 to 2000 L"));
        }

        if (asked.Water.Factor is { } factor && factor is not (>= 0.3 and <= 1))
        {
            found.Add(
                new InputProblem(
                    "factor",
                    factor.ToString(CultureInfo.InvariantCulture),
                    "a number from 0.3 to 1"
                )
            );
        }

        if (
            !ChangeOutLine.TryParse(
                "line",
                string.IsNullOrWhiteSpace(asked.Line) ? UsualLine : asked.Line,
                out ChangeOutLine? line,
                out InputProblem? wrong
            )
        )
        {
            found.Add(wrong);
        }

        string file = asked.Water.ToWaterFile();
        Completed water = waters.Of(file);
        found.AddRange(water.Problems);
        if (found.Count > 0 || water.Source is null)
        {
            return null;
        }

        var question = new LifeQuestion
        {
            WaterFile = file,
            Beds = [new BedDesign(StageKind.MixedBed, (volume ?? size!.Resin).Liters, "Mixed bed")],
            Flow_L_min = flow.LitersPerMinute,
            Line = line!,
            MeterFactor = asked.Water.Factor ?? WaterStatement.UsualFactor,
        };
        FillLife? life = lives.Of(question);
        if (life is null)
        {
            found.Add(
                new InputProblem("water", file, "a water that the bed model can run: please report this one")
            );
            return null;
        }

        return new FirstAnswer(
            question,
            life,
            water,
            weekly is { Liters: > 0 } week ? life.Liters.Select(l => 7 * l / week.Liters) : null
        );
    }

    /// <summary>A quantity of which a bare number is in a unit; nothing when it was left out or is wrong.</summary>
    public static T? Quantity<T>(string place, string? text, string unit, List<InputProblem> problems)
        where T : struct, IQuantity<T>
    {
        if (string.IsNullOrWhiteSpace(text))
        {
            return null;
        }

        if (
            QuantityText.TryParseExactly(
                place,
                WaterStatement.WithUnit(text.Trim(), unit),
                out T value,
                out InputProblem? problem
            )
        )
        {
            return value;
        }

        problems.Add(problem);
        return null;
    }
}
