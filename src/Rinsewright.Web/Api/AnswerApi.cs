using System.ComponentModel;
using System.Text.Json;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using Rinsewright.Drying;
using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Treatment;
using Rinsewright.Water;
using Rinsewright.Web.Estimates;
using Rinsewright.Web.Logging;
using Rinsewright.Web.People;

namespace Rinsewright.Web.Api;

/// <summary>What the pages Water, Dry-down, Choose, Money and the first page answer, for programs.</summary>
internal static class AnswerApi
{
    private static readonly (WaterFigure Figure, string Name)[] Figures =
    [
        (WaterFigure.PH, "pH"),
        (WaterFigure.Hardness, "hardness_mg_L_CaCO3"),
        (WaterFigure.Alkalinity, "alkalinity_mg_L_CaCO3"),
        (WaterFigure.CarbonDioxide, "co2_mg_L"),
        (WaterFigure.Silica, "silica_mg_L"),
        (WaterFigure.Conductivity25, "conductivity25_uS_cm"),
        (WaterFigure.SumOfSolids, "tds_sum_mg_L"),
        (WaterFigure.Residue180, "residue180_mg_L"),
        (WaterFigure.Langelier, "langelier_index"),
    ];

    public static void Map(RouteGroupBuilder api)
    {
        RouteGroupBuilder answers = api.MapGroup("")
            .WithTags("estimates")
            .RequireAuthorization(Access.Record);
        answers
            .MapPost("/water", Water)
            .WithSummary("What is in a water: the body is a water file (docs/formats/water.md).")
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);
        answers
            .MapGet("/residue", Residue)
            .WithSummary("What a water leaves when it dries.")
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);
        answers
            .MapGet("/dry", Dry)
            .WithSummary("When a rinsed panel dries, and whether the towel comes in time.")
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);
        answers
            .MapGet("/choose", Choose)
            .WithSummary(
                "The cheapest train for a water and a number of washes, and what is given up for what."
            )
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);
        api.MapGet("/money", MoneyAsync)
            .WithTags("record")
            .RequireAuthorization(Access.Record)
            .AddEndpointFilter<RecordTags>()
            .WithSummary("Twelve months of money in each currency.");
        api.MapPost("/rigs", KeepAsync)
            .RequireAuthorization(Access.Record)
            .WithTags("record")
            .WithSummary("Keeps a rig: its water and its one bed, freshly filled.")
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);
    }

    private static Results<Ok<WaterAnswer>, ProblemHttpResult> Water(JsonElement? water, SourceWaters waters)
    {
        if (water is not { ValueKind: not JsonValueKind.Undefined } file)
        {
            return Problems.Refuse([Problems.NoWater]);
        }

        Completed completed = waters.Of(file.GetRawText());
        if (completed.Report is not { } report)
        {
            return Problems.Refuse(completed.Problems);
        }

        // A water without calcium or alkalinity has no index.
        double? At(WaterFigure figure, double share) =>
            report.Quantile(figure, share) is var value && double.IsFinite(value) ? value : null;
        return TypedResults.Ok(
            new WaterAnswer(
                Figures.ToDictionary(
                    f => f.Name,
                    f => new Range(At(f.Figure, 0.05), At(f.Figure, 0.5), At(f.Figure, 0.95)),
                    StringComparer.Ordinal
                ),
                [.. completed.Remarks.Select(r => r.ToString())]
            )
        );
    }

    private static Results<Ok<DryAnswer>, ProblemHttpResult> Dry(
        [Description("Air temperature, \"28 °C\".")] string? air = null,
        [Description("Relative humidity in %.")] string? humidity = null,
        [Description("Wind, \"2 m/s\".")] string? wind = null,
        [Description("full, partly, overcast or shade.")] string? sun = null,
        string? paint = null,
        [Description("How the water stands: sheeting or beading.")] string? film = null
    )
    {
        RinsedPanel? panel = new DryingQuestion(air, humidity, wind, sun, paint, film).ToPanel(
            out List<InputProblem> problems
        );
        if (panel is null)
        {
            return Problems.Refuse(problems);
        }

        var outlook = DryingOutlook.Of(panel, DryingQuestion.Rinse, DryingQuestion.Towel);
        return TypedResults.Ok(
            new DryAnswer(
                outlook.Central.TimeToDry?.TotalMinutes,
                outlook.Early?.TotalMinutes,
                outlook.Late?.TotalMinutes,
                outlook.Wait.TotalMinutes,
                outlook.DryBeforeTowelShare,
                outlook.Verdict?.ToString() ?? "Unknown",
                outlook.Sections
            )
        );
    }

    private static Results<Ok<ResidueAnswer>, ProblemHttpResult> Residue(
        SourceWaters waters,
        [Description("What a meter shows in the water.")] string reading,
        string? hardness = null,
        [Description("Temperature of the panel while it dries, \"25 °C\".")] string? temperature = null
    )
    {
        List<InputProblem> problems = [];
        Temperature panel =
            FirstMinute.Quantity<Temperature>("temperature", temperature ?? "25", "degC", problems)
            ?? Temperature.FromDegreesCelsius(25);
        Completed water = waters.Of(
            new WaterStatement { Reading = reading, Hardness = hardness }.ToWaterFile()
        );
        problems.AddRange(water.Problems);
        if (problems.Count > 0 || water.Source is not { } source)
        {
            return Problems.Refuse(problems);
        }

        var dried = DryDown.Of(
            source
                .Members[source.Members.Length / 2]
                .AtTemperature(
                    Math.Clamp(panel.Kelvins, DryingQuestion.ColdestDried_K, DryingQuestion.WarmestDried_K)
                )
        );
        return TypedResults.Ok(
            new ResidueAnswer(
                dried.HardMilligramsPerLiter,
                dried.SoftMilligramsPerLiter,
                [
                    .. dried.Residue.Select(r => new SolidAnswer(
                        r.Solid.Name,
                        r.Solid.Formula,
                        r.MilligramsPerLiter,
                        r.Solid.Removal.ToString().ToLowerInvariant()
                    )),
                ]
            )
        );
    }

    private static Results<Ok<ChoiceAnswer>, ProblemHttpResult> Choose(
        TrainSearch search,
        [Description("What a meter shows in the raw water.")] string reading,
        string? hardness = null,
        [Description("Vehicles a week.")] string? washes = null,
        [Description("Spot-free water a wash, \"30 L\".")] string? rinse = null,
        string? flow = null,
        [Description("Most to spend at first.")] string? budget = null,
        [Description("Height under which it must fit, \"900 mm\".")] string? height = null,
        [Description("Price of a litre of mixed-bed resin.")] string? resin = null,
        [Description("Price of a cubic metre of water.")] string? waterPrice = null,
        [Description("What a change-out costs in time.")] string? visit = null
    )
    {
        ChoiceResult? result = search.Of(
            new TrainQuestion
            {
                Water = new WaterStatement { Reading = reading, Hardness = hardness },
                Washes = washes,
                Rinse = rinse,
                Flow = flow,
                Budget = budget,
                Height = height,
                Resin = resin,
                WaterPrice = waterPrice,
                Visit = visit,
            },
            out IReadOnlyList<InputProblem> problems
        );
        return result is null
            ? Problems.Refuse(problems)
            : TypedResults.Ok(
                new ChoiceAnswer(
                    result.Considered,
                    result.Best is { } best ? TrainAnswer.Of(best) : null,
                    result.WhyRunnerUpLost?.ToString() ?? "",
                    [.. result.Front.Select(TrainAnswer.Of)]
                )
            );
    }

    private static async Task<Ok<IReadOnlyList<YearOfMoney>>> MoneyAsync(
        LogbookStore store,
        CancellationToken cancel
    )
    {
        await using LogbookContext context = store.Read();
        return TypedResults.Ok(await YearOfMoney.OfAsync(context, store.Clock.GetUtcNow(), cancel));
    }

    private static async Task<Results<Created<EditAnswer>, ProblemHttpResult>> KeepAsync(
        NewRig rig,
        FirstMinute first,
        FirstRig rigs,
        Speech speech,
        CancellationToken cancel
    )
    {
        var water = new WaterStatement
        {
            Reading = rig.Reading,
            Hardness = rig.Hardness,
            Factor = rig.MeterFactor,
        };
        // The question is asked first, so that a rig that cannot be run is not kept.
        if (
            first.Of(
                new FirstQuestion
                {
                    Water = water,
                    Size = rig.Size,
                    Volume = speech.Given(rig.Volume, "gal", "L"),
                    Line = rig.Line,
                },
                out IReadOnlyList<InputProblem> problems
            )
            is not { Question: var asked }
        )
        {
            return Problems.Refuse(problems);
        }

        WriteOutcome outcome = await rigs.WriteAsync(
            rig.Name,
            HousingCatalog.All.First(h =>
                string.Equals(h.Id, rig.Size ?? FirstMinute.UsualSize, StringComparison.Ordinal)
            ),
            water,
            [StageKind.Sediment, StageKind.CarbonBlock],
            rig.TimeZone ?? "UTC",
            string.IsNullOrWhiteSpace(rig.Volume) ? null : Volume.FromLiters(asked.Beds[0].Liters),
            string.IsNullOrWhiteSpace(rig.Line) ? null : asked.Line,
            cancel
        );
        return outcome.Edit is { } edit
            ? TypedResults.Created(
                (string?)null,
                new EditAnswer(edit.Number, edit.At, edit.Author, edit.Reason, null)
            )
            : Problems.Refuse(outcome.Problems);
    }
}

/// <summary>Figures of a water by name, each with its range, and what a person should know.</summary>
public sealed record WaterAnswer(IReadOnlyDictionary<string, Range> Figures, IReadOnlyList<string> Remarks);

/// <summary>When a panel dries; null where it does not.</summary>
public sealed record DryAnswer(
    double? Minutes,
    double? MinutesEarly,
    double? MinutesLate,
    double WaitMinutes,
    double DryBeforeTowelShare,
    string Verdict,
    int Sections
);

/// <summary>What a water leaves when it dries.</summary>
/// <param name="Hard_mg_L">Solids that are wiped off wet or etch [mg/L].</param>
/// <param name="Soft_mg_L">Salts that rinse off [mg/L].</param>
/// <param name="Solids">One by one.</param>
public sealed record ResidueAnswer(double Hard_mg_L, double Soft_mg_L, IReadOnlyList<SolidAnswer> Solids);

/// <summary>A solid.</summary>
/// <param name="Name">Its name.</param>
/// <param name="Formula">Its formula.</param>
/// <param name="Residue_mg_L">How much of it a litre leaves [mg/L].</param>
/// <param name="Removal">rinses, wipes or etches.</param>
public sealed record SolidAnswer(string Name, string Formula, double Residue_mg_L, string Removal);

/// <summary>What a search of trains found.</summary>
public sealed record ChoiceAnswer(
    int Considered,
    TrainAnswer? Best,
    string WhyRunnerUpLost,
    IReadOnlyList<TrainAnswer> Front
);

/// <summary>A train and what it amounts to.</summary>
public sealed record TrainAnswer(
    string Train,
    decimal FirstCost,
    decimal PerYear,
    double VisitsPerYear,
    double RiskShare,
    double? BedLifeWeeks
)
{
    internal static TrainAnswer Of(TrainChoice choice) =>
        new(
            choice.Plan.Description.ToString(),
            decimal.Round(choice.FirstCost, 2),
            decimal.Round(choice.PerYear, 2),
            Math.Round(choice.VisitsPerYear, 2),
            Math.Round(choice.Risk, 4),
            choice.LifeWeeks
        );
}

/// <summary>A rig to keep.</summary>
public sealed record NewRig
{
    public required string Name { get; init; }

    [Description("What a meter shows in the raw water.")]
    public required string Reading { get; init; }

    [Description("A generic size such as housing-4.5x20.")]
    public string? Size { get; init; }

    public string? Hardness { get; init; }

    public double? MeterFactor { get; init; }

    [Description("Resin, if not the usual fill of the size: \"3.5 L\".")]
    public string? Volume { get; init; }

    [Description("Where the fill is changed, by a meter: \"10 ppm\" or \"20 uS/cm\".")]
    public string? Line { get; init; }

    [Description("IANA name of the time zone in which its days are counted.")]
    public string? TimeZone { get; init; }
}
