using System.ComponentModel;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Routing;
using Rinsewright.Quantities;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Api;
using Rinsewright.Web.People;

namespace Rinsewright.Web.Devices;

/// <summary>Where devices deliver, each with its key, and where people see what became of it.</summary>
internal static class IngestApi
{
    /// <summary>Below it a device's key opens, and nothing else does.</summary>
    public const string Path = "/api/ingest";

    private const int LargestDelivery_bytes = 8_000_000;
    private const int UsualCount = 50;
    private const int MostCount = 1000;
    private const int UsualDays = 7;
    private const int MostDays = 400;
    private const string WithKey = "Send the device's key as Authorization: Bearer.";

    public static void Map(RouteGroupBuilder api)
    {
        RouteGroupBuilder ingest = api.MapGroup("/ingest")
            .WithTags("devices")
            .RequireAuthorization(Access.Device)
            .AddEndpointFilter<DeviceKey>()
            .WithMetadata(new RequestSizeLimitAttribute(LargestDelivery_bytes))
            .ProducesProblem(StatusCodes.Status401Unauthorized)
            .ProducesProblem(StatusCodes.Status413PayloadTooLarge)
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity)
            .ProducesProblem(StatusCodes.Status429TooManyRequests)
            .ProducesProblem(StatusCodes.Status503ServiceUnavailable);
        ingest
            .MapPost("/row", RowAsync)
            .Accepts<ReportedRowWithClock>("application/json")
            .WithSummary("Delivers one row: 201 when it is kept, 200 when it was there already.")
            .WithDescription(WithKey);
        ingest
            .MapPost("/rows", RowsAsync)
            .Accepts<ReportedRows>("application/json")
            .WithSummary("Delivers many rows; each is answered by its own status.")
            .WithDescription(WithKey);
        ingest
            .MapPost("/csv", CsvAsync)
            .Accepts<string>("text/csv")
            .WithSummary("Delivers a table (RFC 4180) whose header names the fields of a row.")
            .WithDescription(WithKey);

        RouteGroupBuilder devices = api.MapGroup("/devices")
            .WithTags("devices")
            .RequireAuthorization(Access.Record);
        devices.MapGet("", ListAsync).WithSummary("Devices that may report, and that might once.");
        devices
            .MapGet("/refused", RefusedAsync)
            .WithSummary("Rows that were refused, with the reason, the last first.");
        devices
            .MapGet("/gaps", GapsAsync)
            .WithSummary(
                "What a device did not deliver: numbers left out, times of silence, and pulses that are no water."
            )
            .ProducesProblem(StatusCodes.Status404NotFound);
    }

    private static async Task<Results<Created<RowResult>, Ok<RowResult>, ProblemHttpResult>> RowAsync(
        HttpContext http,
        IInbox inbox,
        DeviceLimits limits,
        CancellationToken cancel
    )
    {
        Delivery? delivery = DeliveryText.OfRow(
            await BodyAsync(http.Request, cancel),
            DeliveryWay.Http,
            out IReadOnlyList<InputProblem> problems
        );
        if (delivery is null)
        {
            return Problems.Refuse(problems);
        }

        if (limits.Refuse(http, delivery) is { } tooMany)
        {
            return tooMany;
        }

        RowAnswer row = (await inbox.TakeAsync(DeviceKey.Of(http), delivery, cancel)).Rows[0];
        return row.Status switch
        {
            RowStatus.Kept => TypedResults.Created((string?)null, RowResult.Of(row)),
            RowStatus.AlreadyThere => TypedResults.Ok(RowResult.Of(row)),
            _ => Problems.Refuse(row.Problems),
        };
    }

    private static async Task<Results<Ok<DeliveryResult>, ProblemHttpResult>> RowsAsync(
        HttpContext http,
        IInbox inbox,
        DeviceLimits limits,
        CancellationToken cancel
    )
    {
        Delivery? delivery = DeliveryText.OfRows(
            await BodyAsync(http.Request, cancel),
            DeliveryWay.Http,
            out IReadOnlyList<InputProblem> problems
        );
        return await TakeAsync(http, inbox, limits, delivery, problems, cancel);
    }

    private static async Task<Results<Ok<DeliveryResult>, ProblemHttpResult>> CsvAsync(
        HttpContext http,
        IInbox inbox,
        DeviceLimits limits,
        CancellationToken cancel,
        [Description("What the device's clock shows as it sends.")] string? clock = null
    )
    {
        using var table = new MemoryStream(await BodyAsync(http.Request, cancel));
        Delivery? delivery = DeliveryText.OfCsv(table, clock, out IReadOnlyList<InputProblem> problems);
        return await TakeAsync(http, inbox, limits, delivery, problems, cancel);
    }

    private static async Task<Results<Ok<DeliveryResult>, ProblemHttpResult>> TakeAsync(
        HttpContext http,
        IInbox inbox,
        DeviceLimits limits,
        Delivery? delivery,
        IReadOnlyList<InputProblem> problems,
        CancellationToken cancel
    ) =>
        delivery is null ? Problems.Refuse(problems)
        : limits.Refuse(http, delivery) is { } tooMany ? tooMany
        : TypedResults.Ok(DeliveryResult.Of(await inbox.TakeAsync(DeviceKey.Of(http), delivery, cancel)));

    private static async Task<Ok<List<DeviceResult>>> ListAsync(
        LogbookStore store,
        CancellationToken cancel
    ) =>
        TypedResults.Ok(
            (await new DeviceRegister(store).ListAsync(cancel))
                .Select(d => new DeviceResult(
                    d.Name,
                    d.RigId?.Value,
                    d.OrganisationId?.Value,
                    d.AddedAt,
                    d.RevokedAt,
                    d.LastHeardAt
                ))
                .ToList()
        );

    private static async Task<Ok<List<RefusedResult>>> RefusedAsync(
        LogbookStore store,
        CancellationToken cancel,
        [Description("Of one device, by its name.")] string? device = null,
        [Description("How many at most, 1 to 1000; 50 if not said.")] int? count = null
    ) =>
        TypedResults.Ok(
            (
                await new DeviceListing(store).RefusedAsync(
                    device,
                    Math.Clamp(count ?? UsualCount, 1, MostCount),
                    cancel
                )
            )
                .Select(r => new RefusedResult(
                    r.Device.Name,
                    r.Row.Text,
                    r.Row.Reason,
                    r.Row.Times,
                    r.Row.FirstAt,
                    r.Row.LastAt
                ))
                .ToList()
        );

    private static async Task<Results<Ok<GapResult>, ProblemHttpResult>> GapsAsync(
        LogbookStore store,
        [Description("The device, by its name.")] string device,
        CancellationToken cancel,
        [Description("How far back silences and pulses are looked for, 1 to 400; 7 if not said.")]
            int? days = null
    )
    {
        Device? named = (await new DeviceRegister(store).ListAsync(cancel)).FirstOrDefault(d =>
            string.Equals(d.Name, device, StringComparison.Ordinal)
        );
        if (named is null)
        {
            return Problems.NotThere("device");
        }

        var listing = new DeviceListing(store);
        DateTimeOffset since = store.Clock.GetUtcNow().AddDays(-Math.Clamp(days ?? UsualDays, 1, MostDays));
        return TypedResults.Ok(
            new GapResult(
                [
                    .. (await listing.MissingAsync(named, cancel)).Select(m => new MissingResult(
                        m.Boot,
                        m.From,
                        m.To
                    )),
                ],
                [
                    .. (await listing.SilencesAsync(named, since, cancel)).Select(s => new SilenceResult(
                        s.Channel.Kind.ToString().ToLowerInvariant(),
                        s.Channel.StageId?.Value,
                        s.From,
                        s.To
                    )),
                ],
                [
                    .. (await listing.DroppedAsync(named, since, cancel)).Select(d => new DroppedResult(
                        d.From,
                        d.To,
                        d.Pulses
                    )),
                ]
            )
        );
    }

    private static async Task<byte[]> BodyAsync(HttpRequest request, CancellationToken cancel)
    {
        using var body = new MemoryStream();
        await request.Body.CopyToAsync(body, cancel);
        return body.ToArray();
    }
}
