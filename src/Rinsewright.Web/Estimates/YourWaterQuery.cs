using System.ComponentModel;
using System.Globalization;
using Microsoft.AspNetCore.Mvc;
using Rinsewright.Quantities;

namespace Rinsewright.Web.Estimates;

/// <summary>A question about someone's own water, as it stands in an address: texts with their units, as people write them.</summary>
public sealed record YourWaterQuery
{
    [Description("What a meter shows in the raw water: \"245 ppm\" or \"490 µS/cm\".")]
    [FromQuery(Name = "reading")]
    public string? Reading { get; init; }

    [Description("Hardness, \"9 °dH\".")]
    [FromQuery(Name = "hardness")]
    public string? Hardness { get; init; }

    [Description("Where the water comes from: upland, river, chalk, softened or rain.")]
    [FromQuery(Name = "origin")]
    public string? Origin { get; init; }

    [Description("A generic size such as housing-4.5x20.")]
    [FromQuery(Name = "size")]
    public string? Size { get; init; }

    [Description("Flow, \"8 L/min\".")]
    [FromQuery(Name = "flow")]
    public string? Flow { get; init; }

    [Description("Where the bed is changed: \"10 ppm\", \"1 mg/L silica\".")]
    [FromQuery(Name = "line")]
    public string? Line { get; init; }

    [Description("Deionised water of one wash, \"25 L\".")]
    [FromQuery(Name = "perWash")]
    public string? PerWash { get; init; }

    [Description("Washes a week.")]
    [FromQuery(Name = "washes")]
    public string? Washes { get; init; }

    [Description("Price of a litre of mixed-bed resin.")]
    [FromQuery(Name = "resin")]
    public string? Resin { get; init; }

    [Description("What a change-out costs in time.")]
    [FromQuery(Name = "visit")]
    public string? Visit { get; init; }

    [Description("Price of a cubic metre of water.")]
    [FromQuery(Name = "waterPrice")]
    public string? WaterPrice { get; init; }

    /// <summary>Whether anything is said of the water: else there is nothing to answer yet.</summary>
    internal bool IsAsked =>
        !(
            string.IsNullOrWhiteSpace(Reading)
            && string.IsNullOrWhiteSpace(Hardness)
            && string.IsNullOrWhiteSpace(Origin)
        );

    /// <summary>With bare numbers taken in the units of who asks.</summary>
    internal YourWaterQuery In(Speech speech) =>
        this with
        {
            Flow = speech.Given(Flow, "gpm", "L/min"),
            PerWash = speech.Given(PerWash, "gal", "L"),
        };

    /// <summary>The answer and what would help, or nothing with everything that is wrong.</summary>
    internal (YourAnswer Answer, IReadOnlyList<Help> Helps)? Ask(
        ForYourWater asked,
        out IReadOnlyList<InputProblem> problems
    )
    {
        List<InputProblem> wrong = [];
        YourAnswer? answer = asked.Of(
            new YourQuestion
            {
                First = new FirstQuestion
                {
                    Water = new WaterStatement { Reading = Reading, Hardness = Hardness },
                    Size = Text(Size),
                    Flow = Text(Flow),
                    Line = Line,
                },
                Origin = Origin,
                PerWash = Text(PerWash),
                WashesPerWeek = (double?)Number("washes", Washes, wrong),
                ResinPerLiter = Number("resin price", Resin, wrong),
                Visit = Number("visit", Visit, wrong),
                WaterPerCubicMeter = Number("water price", WaterPrice, wrong),
            },
            out IReadOnlyList<InputProblem> found
        );
        problems = [.. wrong, .. found];
        return answer is null || problems.Count > 0 ? null : (answer, asked.Helps(answer));
    }

    private static string? Text(string? text) => string.IsNullOrWhiteSpace(text) ? null : text;

    private static decimal? Number(string place, string? text, List<InputProblem> problems)
    {
        if (string.IsNullOrWhiteSpace(text))
        {
            return null;
        }

        if (decimal.TryParse(text, NumberStyles.Number, CultureInfo.InvariantCulture, out decimal number))
        {
            return number;
        }

        problems.Add(new InputProblem(place, text, "a number such as 9.50"));
        return null;
    }
}
