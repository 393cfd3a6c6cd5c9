using System.ComponentModel;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using Rinsewright.Quantities;
using Rinsewright.Web.People;

namespace Rinsewright.Web.Api;

/// <summary>Answers that need no record.</summary>
internal static class EstimateApi
{
    public static void Map(RouteGroupBuilder api) =>
        api.MapGet("/estimate", Estimate)
            .WithTags("estimates")
            .RequireAuthorization(Access.Record)
            .WithSummary("How long a mixed bed lasts on a water of which little is known.")
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);

    private static Results<Ok<LifeAnswer>, ProblemHttpResult> Estimate(
        FirstMinute first,
        Speech speech,
        [Description("What a meter shows in the raw water: \"150 ppm\" or \"300 µS/cm\".")] string reading,
        [Description("A generic size such as housing-4.5x20.")] string? size = null,
        [Description("Hardness, \"120 mg/L as CaCO3\".")] string? hardness = null,
        [Description("The meter's factor from conductivity to TDS, 0.3 to 1.")] double? factor = null,
        [Description("Water temperature, \"12 °C\".")] string? temperature = null,
        [Description("Flow, \"8 L/min\".")] string? flow = null,
        [Description("Resin, if not the usual fill of the size.")] string? volume = null,
        [Description("Where the bed is changed: \"10 ppm\", \"20 uS/cm\", \"1 mg/L silica\".")]
            string? line = null,
        [Description("Water behind the bed in a usual week, \"150 L\"; adds the days it lasts.")]
            string? weekly = null
    )
    {
        FirstAnswer? answer = first.Of(
            new FirstQuestion
            {
                Water = new WaterStatement
                {
                    Reading = reading,
                    Hardness = hardness,
                    Factor = factor,
                    Temperature = speech.Given(temperature, "degF", "degC"),
                },
                Size = size,
                Flow = speech.Given(flow, "gpm", "L/min"),
                Volume = speech.Given(volume, "gal", "L"),
                Line = line,
                Weekly = speech.Given(weekly, "gal", "L"),
            },
            out IReadOnlyList<InputProblem> problems
        );
        return answer is null
            ? Problems.Refuse(problems)
            : TypedResults.Ok(LifeAnswer.Of(answer.Question, answer.Life, answer.Water, answer.Days));
    }
}
