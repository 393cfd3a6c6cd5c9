using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Mvc;
using Rinsewright.Quantities;

namespace Rinsewright.Web.Api;

/// <summary>Answers of the kind problem+json (RFC 9457), in the words that the command line uses.</summary>
internal static class Problems
{
    /// <summary>A body with nothing in it, where a water belongs.</summary>
    public static InputProblem NoWater { get; } =
        new("body", Sentence.Of("nothing"), "a water file as docs/formats/water.md has it");

    /// <summary>Input that was refused: everything that is wrong with it.</summary>
    public static ProblemHttpResult Refuse(IReadOnlyList<InputProblem> problems) =>
        TypedResults.Problem(
            new ProblemDetails
            {
                Status = StatusCodes.Status422UnprocessableEntity,
                Title = "Something is not right",
                Detail = string.Join('\n', problems),
                Extensions =
                {
                    ["problems"] = problems
                        .Select(p => new Dictionary<string, string>(StringComparer.Ordinal)
                        {
                            ["place"] = p.Place,
                            ["text"] = p.Text.ToString(),
                            ["expected"] = p.Expected.ToString(),
                        })
                        .ToArray(),
                },
            }
        );

    public static ProblemHttpResult Because(int status, string title, string detail) =>
        TypedResults.Problem(
            new ProblemDetails
            {
                Status = status,
                Title = title,
                Detail = detail,
            }
        );

    public static ProblemHttpResult NotThere(string what) =>
        Because(
            StatusCodes.Status404NotFound,
            $"There is no such {what}",
            "It is not in the record, or was deleted."
        );
}
