using System.Text;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;
using Rinsewright.Handouts.Labels;
using Rinsewright.Quantities;
using Rinsewright.Records.Forecasts;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Api;
using Rinsewright.Web.Estimates;
using Rinsewright.Web.People;

namespace Rinsewright.Web.Pictures;

/// <summary>The pictures of the pages, as SVG.</summary>
internal static class PictureEndpoints
{
    private const int MostDays = 36_500;

    public static void MapPictures(this WebApplication app)
    {
        RouteGroupBuilder pictures = app.MapGroup("/pictures")
            .RequireAuthorization(Access.Record)
            .ExcludeFromDescription();
        pictures.MapGet("/bed/{rig:guid}", BedAsync);
        pictures.MapGet("/breakthrough/{rig:guid}", BreakthroughAsync);
        pictures.MapGet("/readings/{rig:guid}", ReadingsAsync);
        pictures.MapGet("/calibration/{rig:guid}", CalibrationAsync);
        pictures.MapGet("/drying", Drying);
        pictures.MapGet("/front", Front);
        pictures.MapGet("/pressure/{rig:guid}", PressureAsync);
        pictures.MapGet("/cost-stack", CostStackAsync);
        pictures.MapGet("/code/{stage:guid}", Code);
    }

    /// <summary>An SVG that is shown as a picture: it runs nothing and loads nothing, and its own colours are let in.</summary>
    public static IResult Svg(HttpContext context, string svg)
    {
        context.Response.Headers.ContentSecurityPolicy = "default-src 'none'; style-src 'unsafe-inline'";
        context.Response.Headers.CacheControl = "private, no-cache";
        return TypedResults.Content(svg, "image/svg+xml", Encoding.UTF8);
    }

    private static IResult Drying(
        HttpContext context,
        Speech speech,
        string? air = null,
        string? humidity = null,
        string? wind = null,
        string? sun = null,
        string? paint = null,
        string? film = null,
        bool dark = false
    ) =>
        new DryingQuestion(air, humidity, wind, sun, paint, film).ToPanel(out List<InputProblem> problems)
            is { } panel
            ? Svg(context, new OtherCharts(speech, Ink.Of(dark)).Drying(panel.Dry()))
            : Problems.Refuse(problems);

    private static IResult Front(
        HttpContext context,
        TrainSearch search,
        Speech speech,
        [AsParameters] FrontQuestion asked
    ) =>
        search.Of(asked.ToQuestion(), out IReadOnlyList<InputProblem> problems) is { } result
            ? Svg(context, new OtherCharts(speech, Ink.Of(asked.Dark ?? false)).Front(result))
            : Problems.Refuse(problems);

    /// <summary>A code for a label: it opens the quick log of a stage at the address under which the page is seen.</summary>
    private static IResult Code(Guid stage, HttpContext context) =>
        Svg(
            context,
            HousingCode.Svg(
                HousingCode.AddressOf(
                    new Uri($"{context.Request.Scheme}://{context.Request.Host}"),
                    new Id<Stage>(stage)
                )
            )
        );

    private static async Task<IResult> BedAsync(
        Guid rig,
        HttpContext context,
        RigOutlook outlooks,
        Speech speech,
        CancellationToken cancel,
        double? at = null,
        bool dark = false
    )
    {
        Outlook? outlook = await outlooks.OfAsync(new Id<Rig>(rig), cancel);
        return outlook is { Life: { } life, Question: { } question }
            ? Svg(
                context,
                new BedPicture(question, life.AtShare(at ?? outlook.UsedShare), speech, Ink.Of(dark)).ToSvg()
            )
            : Problems.NotThere("rig");
    }

    private static async Task<IResult> BreakthroughAsync(
        Guid rig,
        HttpContext context,
        RigOutlook outlooks,
        Speech speech,
        CancellationToken cancel,
        bool dark = false
    )
    {
        Outlook? outlook = await outlooks.OfAsync(new Id<Rig>(rig), cancel);
        return outlook?.Life is null
            ? Problems.NotThere("rig")
            : Svg(context, new Charts(speech, Ink.Of(dark)).Breakthrough(outlook));
    }

    private static async Task<IResult> ReadingsAsync(
        Guid rig,
        HttpContext context,
        RigOutlook outlooks,
        Speech speech,
        CancellationToken cancel,
        int days = 180,
        bool dark = false
    ) =>
        await outlooks.OfAsync(new Id<Rig>(rig), cancel) is { Bed: not null } outlook
        && days is >= 1 and <= MostDays
            ? Svg(context, new Charts(speech, Ink.Of(dark)).Readings(outlook, days))
            : Problems.NotThere("rig");

    private static async Task<IResult> PressureAsync(
        Guid rig,
        HttpContext context,
        RigOutlook outlooks,
        Speech speech,
        [AsParameters] PressureQuestion asked,
        CancellationToken cancel,
        int tool = 0,
        bool dark = false
    )
    {
        if (await outlooks.OfAsync(new Id<Rig>(rig), cancel) is not { } outlook)
        {
            return Problems.NotThere("rig");
        }

        PressureAnswer? answer = RecordedTrain.Pressures(
            outlook.History,
            asked,
            out IReadOnlyList<InputProblem> problems
        );
        return answer is null ? Problems.Refuse(problems)
            : tool >= 0 && tool < answer.Tools.Count
                ? Svg(context, new OtherCharts(speech, Ink.Of(dark)).Pressure(answer.Tools[tool]))
            : Problems.NotThere("tool");
    }

    private static async Task<IResult> CostStackAsync(
        string currency,
        HttpContext context,
        LogbookStore store,
        Speech speech,
        CancellationToken cancel,
        bool dark = false
    )
    {
        await using LogbookContext record = store.Read();
        YearOfMoney? year = (
            await YearOfMoney.OfAsync(record, store.Clock.GetUtcNow(), cancel)
        ).FirstOrDefault(y => string.Equals(y.Currency, currency, StringComparison.Ordinal) && y.Total > 0);
        return year is null
            ? Problems.NotThere("year of costs in this currency")
            : Svg(context, new OtherCharts(speech, Ink.Of(dark)).CostStack(year));
    }

    private static async Task<IResult> CalibrationAsync(
        Guid rig,
        HttpContext context,
        RigOutlook outlooks,
        LogbookStore store,
        Speech speech,
        CancellationToken cancel,
        bool dark = false
    )
    {
        if (await outlooks.OfAsync(new Id<Rig>(rig), cancel) is not { } outlook)
        {
            return Problems.NotThere("rig");
        }

        await using LogbookContext record = store.Read();
        ForecastScores scores = await ForecastScores.OfAsync(record, outlook.History, cancel);
        return scores.Scored.IsEmpty
            ? Problems.NotThere("scored forecast")
            : Svg(context, new OtherCharts(speech, Ink.Of(dark)).Calibration(scores));
    }
}

/// <summary>The question of the page Choose, as it stands in its address.</summary>
internal sealed record FrontQuestion(
    string? Reading,
    string? Hardness,
    string? Washes,
    string? Rinse,
    string? Flow,
    string? Budget,
    string? Height,
    string? Resin,
    string? WaterPrice,
    string? Visit,
    bool? Dark
)
{
    public TrainQuestion ToQuestion() =>
        new()
        {
            Water = new WaterStatement { Reading = Reading, Hardness = Hardness },
            Washes = Washes,
            Rinse = Rinse,
            Flow = Flow,
            Budget = Budget,
            Height = Height,
            Resin = Resin,
            WaterPrice = WaterPrice,
            Visit = Visit,
        };
}
