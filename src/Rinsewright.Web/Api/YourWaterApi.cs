using System.ComponentModel;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using Rinsewright.Quantities;
using Rinsewright.Web.Estimates;
using Rinsewright.Web.People;

namespace Rinsewright.Web.Api;

/// <summary>What the page For your water answers, for programs.</summary>
internal static class YourWaterApi
{
    public static void Map(RouteGroupBuilder api) =>
        api.MapGet("/your-water", Ask)
            .WithTags("estimates")
            .RequireAuthorization(Access.YourWater)
            .WithSummary(
                "For anyone's own water: how long a mixed bed lasts, what a wash costs, what dries, what would help."
            )
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity)
            .ProducesProblem(StatusCodes.Status429TooManyRequests);

    private static Results<Ok<YourWaterAnswer>, ProblemHttpResult> Ask(
        [AsParameters] YourWaterQuery query,
        ForYourWater asked,
        Speech speech
    ) =>
        query.In(speech).Ask(asked, out IReadOnlyList<InputProblem> problems) is { } found
            ? TypedResults.Ok(YourWaterAnswer.Of(found.Answer, found.Helps))
            : Problems.Refuse(problems);
}

/// <summary>An answer for someone's own water.</summary>
public sealed record YourWaterAnswer
{
    public required LifeAnswer Life { get; init; }

    public required double PerWash_L { get; init; }

    public required Range Washes { get; init; }

    [Description("Weeks to the line; null when the washes of a week were not said.")]
    public Range? Weeks { get; init; }

    [Description(
        "Resin, change and water of a wash, in the money of the prices; null without a price of resin."
    )]
    public MoneyAnswer? CostPerWash { get; init; }

    public MoneyAnswer? CostPerYear { get; init; }

    [Description(
        "What the water leaves when it dries: as it comes, behind a fresh fill, just before the change."
    )]
    public required IReadOnlyList<SpotsAnswer> Spots { get; init; }

    [Description("What would help, the most litres of a litre of resin first.")]
    public required IReadOnlyList<HelpAnswer> Helps { get; init; }

    public required IReadOnlyList<string> Remarks { get; init; }

    internal static YourWaterAnswer Of(YourAnswer answer, IReadOnlyList<Help> helps) =>
        new()
        {
            Life = LifeAnswer.Of(answer.First.Question, answer.First.Life, answer.First.Water),
            PerWash_L = answer.PerWash_L,
            Washes = Range.Of(answer.Washes),
            Weeks = answer.Weeks is { } weeks ? Range.Of(weeks) : null,
            CostPerWash = MoneyAnswer.Of(answer.CostPerWash),
            CostPerYear = MoneyAnswer.Of(answer.CostPerYear),
            Spots =
            [
                .. answer.Spots.Select(s => new SpotsAnswer(
                    s.Moment switch
                    {
                        SpotMoment.Raw => "raw",
                        SpotMoment.Fresh => "fresh",
                        _ => "at-line",
                    },
                    s.Grade.ToString().ToLowerInvariant(),
                    Range.Of(s.Residue_mg_L),
                    Range.Of(s.Silica_mg_L)
                )),
            ],
            Helps = [.. helps.Select(h => new HelpAnswer(h.InWords.ToString(), Range.Of(h.Liters)))],
            Remarks = [.. answer.Remarks.Select(r => r.ToString())],
        };
}

/// <summary>An amount of money with its range; null where a fresh fill does not hold the line.</summary>
public sealed record MoneyAnswer(decimal? Low, decimal? Median, decimal? High)
{
    internal static MoneyAnswer? Of(MoneyRange? money) =>
        money is { } range ? new(Cents(range.Low), Cents(range.Middle), Cents(range.High)) : null;

    private static decimal? Cents(decimal? amount) => amount is { } known ? decimal.Round(known, 2) : null;
}

/// <summary>What a water leaves when it dries.</summary>
/// <param name="Water">raw, fresh or at-line.</param>
/// <param name="Grade">none, faint, plain or heavy.</param>
/// <param name="Residue_mg_L">Residue on drying [mg/L].</param>
/// <param name="Silica_mg_L">Silica as SiO2, which no meter sees [mg/L].</param>
public sealed record SpotsAnswer(string Water, string Grade, Range Residue_mg_L, Range Silica_mg_L);

/// <summary>What could be changed, and the litres to the line with it.</summary>
public sealed record HelpAnswer(string Change, Range Life_L);
