using System.ComponentModel;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.AspNetCore.Routing;
using Rinsewright.Quantities;
using Rinsewright.Records.Access;
using Rinsewright.Records.Alarms;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Api;
using Rinsewright.Web.People;

namespace Rinsewright.Web.Alarms;

/// <summary>Alarms for programs: listed, acknowledged; when they are raised and where they go.</summary>
internal static class AlarmApi
{
    private const int UsualCount = 100;
    private const int MostCount = 1000;

    public static void Map(RouteGroupBuilder api)
    {
        RouteGroupBuilder alarms = api.MapGroup("").WithTags("alarms");
        RouteGroupBuilder record = alarms.MapGroup("").RequireAuthorization(Access.Record);
        record.MapGet("/alarms", ListAsync).WithSummary("Alarms, open ones first, then the newest first.");
        record
            .MapPost("/alarms/{alarm:guid}/acknowledge", AcknowledgeAsync)
            .WithSummary("Says that somebody sees to an alarm. It stays open until what it is about is gone.")
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);
        RouteGroupBuilder set = alarms.MapGroup("").RequireAuthorization(Access.Links);
        set.MapGet("/alarm-rules", RulesAsync)
            .WithSummary("When alarms are raised: for all rigs, and for single ones.");
        set.MapPut("/alarm-rules", SetRuleAsync)
            .WithSummary("Sets when a kind of alarm is raised, for all rigs or for one.")
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);
        set.MapDelete("/alarm-rules", ResetRuleAsync)
            .WithSummary("Lets the usual rule hold again, or for one rig that of all.")
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);
        // Addresses of people, and of webhooks whose secret may stand in them.
        alarms
            .MapGet("/alarm-destinations", DestinationsAsync)
            .WithSummary("Where alarms go, and how sending there goes.")
            .RequireAuthorization(Access.Owner);
        set.MapPost("/alarm-destinations", AddAsync)
            .WithSummary("Adds where alarms go. The secret of a webhook is told here and never again.")
            .ProducesProblem(StatusCodes.Status422UnprocessableEntity);
        set.MapDelete("/alarm-destinations/{destination:guid}", RemoveAsync)
            .WithSummary("Sends no more there, nor what waits.")
            .ProducesProblem(StatusCodes.Status404NotFound);
    }

    /// <summary>Who does something, and from where.</summary>
    public static Actor ActorOf(HttpContext http, string? by) =>
        new(
            Visitor.Of(http)?.Name ?? (string.IsNullOrWhiteSpace(by) ? "someone" : by.Trim()),
            http.Connection.RemoteIpAddress?.ToString() ?? ""
        );

    private static async Task<Ok<List<AlarmAnswer>>> ListAsync(
        LogbookStore store,
        CancellationToken cancel,
        bool open = false,
        int count = UsualCount
    ) =>
        TypedResults.Ok(
            (await new AlarmBook(store).ListAsync(open, Math.Clamp(count, 1, MostCount), cancel))
                .Select(AlarmAnswer.Of)
                .ToList()
        );

    private static async Task<Results<NoContent, ProblemHttpResult>> AcknowledgeAsync(
        Guid alarm,
        Acknowledgement said,
        LogbookStore store,
        HttpContext http,
        CancellationToken cancel
    ) =>
        Answer(await new AlarmBook(store).AcknowledgeAsync(alarm, ActorOf(http, said.By), said.Note, cancel));

    private static async Task<Ok<List<RuleAnswer>>> RulesAsync(
        LogbookStore store,
        CancellationToken cancel
    ) =>
        TypedResults.Ok(
            (await new AlarmDesk(store).RulesAsync(null, cancel)).Select(r => RuleAnswer.Of(r.Rule)).ToList()
        );

    private static async Task<Results<NoContent, ProblemHttpResult>> SetRuleAsync(
        NewRule rule,
        LogbookStore store,
        HttpContext http,
        CancellationToken cancel
    ) =>
        Answer(
            await new AlarmDesk(store).SetAsync(
                new RuleDraft(
                    rule.Kind,
                    rule.Rig is { } rig ? new Id<Rig>(rig) : null,
                    rule.Limit,
                    rule.On,
                    rule.Urgent
                ),
                null,
                ActorOf(http, rule.By),
                cancel
            )
        );

    private static async Task<Results<NoContent, ProblemHttpResult>> ResetRuleAsync(
        string kind,
        LogbookStore store,
        HttpContext http,
        CancellationToken cancel,
        Guid? rig = null,
        string? by = null
    )
    {
        if (AlarmMeasure.Named(kind) is not { } measure)
        {
            return Problems.Refuse([AlarmDesk.NoKind(kind)]);
        }

        await new AlarmDesk(store).ResetAsync(
            measure.Kind,
            rig is { } one ? new Id<Rig>(one) : null,
            null,
            ActorOf(http, by),
            cancel
        );
        return TypedResults.NoContent();
    }

    private static async Task<Ok<List<DestinationAnswer>>> DestinationsAsync(
        LogbookStore store,
        CancellationToken cancel
    ) =>
        TypedResults.Ok(
            (await new AlarmOutbox(store).StatesAsync(cancel))
                .Select(s => DestinationAnswer.Of(s, secret: null))
                .ToList()
        );

    private static async Task<Results<Created<DestinationAnswer>, ProblemHttpResult>> AddAsync(
        NewDestination asked,
        LogbookStore store,
        HttpContext http,
        CancellationToken cancel
    )
    {
        (AlarmDestination? added, string? secret, IReadOnlyList<InputProblem> problems) = await new AlarmDesk(
            store
        ).AddAsync(asked.Draft(), null, ActorOf(http, asked.By), cancel);
        return added is null
            ? Problems.Refuse(problems)
            : TypedResults.Created(
                (string?)null,
                DestinationAnswer.Of(new DestinationState(added, 0, null, null, 0), secret)
            );
    }

    private static async Task<Results<NoContent, ProblemHttpResult>> RemoveAsync(
        Guid destination,
        LogbookStore store,
        HttpContext http,
        CancellationToken cancel,
        string? by = null
    )
    {
        AlarmDestination? found = (await new AlarmOutbox(store).StatesAsync(cancel))
            .Select(s => s.Destination)
            .FirstOrDefault(d => d.Id == destination);
        return
            found is not null
            && await new AlarmDesk(store).RemoveAsync(
                found.Name,
                found.OrganisationId,
                ActorOf(http, by),
                cancel
            )
            ? TypedResults.NoContent()
            : Problems.NotThere("destination");
    }

    private static Results<NoContent, ProblemHttpResult> Answer(IReadOnlyList<InputProblem> problems) =>
        problems.Count > 0 ? Problems.Refuse(problems) : TypedResults.NoContent();
}

/// <summary>Somebody sees to an alarm.</summary>
public sealed record Acknowledgement
{
    [Description("What is done about it.")]
    public string? Note { get; init; }

    [Description("Who sees to it, where nobody signs in.")]
    public string? By { get; init; }
}

/// <summary>When a kind of alarm is raised; what is not said stays as it is.</summary>
public sealed record NewRule
{
    [Description("line, chance, due, silence, feed or refused.")]
    public string? Kind { get; init; }

    [Description("Id of the rig that it is for; all rigs if not said.")]
    public Guid? Rig { get; init; }

    [Description("The limit, in the unit of the kind.")]
    public double? Limit { get; init; }

    [Description("Whether such alarms are raised.")]
    public bool? On { get; init; }

    [Description("Whether they are urgent.")]
    public bool? Urgent { get; init; }

    [Description("Who sets it, where nobody signs in.")]
    public string? By { get; init; }
}

/// <summary>Where alarms are to go.</summary>
public sealed record NewDestination
{
    [Description("Its name.")]
    public string? Name { get; init; }

    [Description("mail, webhook or mqtt.")]
    public string? Route { get; init; }

    [Description("An e-mail address or a URL; nothing for mqtt, whose topic follows from the id.")]
    public string? Address { get; init; }

    [Description("Whether only urgent alarms go there.")]
    public bool UrgentOnly { get; init; }

    [Description("Quiet hours, such as 22:00-06:30: what is raised then comes after them, together.")]
    public string? Quiet { get; init; }

    [Description("IANA time zone of the quiet hours; that of the first rig if not said.")]
    public string? TimeZone { get; init; }

    [Description("Whether urgent alarms come in quiet hours, too.")]
    public bool UrgentBreaksThrough { get; init; }

    [Description("Messages in an hour at most; what is above comes together later.")]
    public int MostPerHour { get; init; } = AlarmDestination.UsualMostPerHour;

    [Description("Who adds it, where nobody signs in.")]
    public string? By { get; init; }

    internal DestinationDraft Draft() =>
        new(Name, Route, Address)
        {
            IsUrgentOnly = UrgentOnly,
            Quiet = Quiet,
            TimeZone = TimeZone,
            DoesUrgentBreakThrough = UrgentBreaksThrough,
            MostPerHour = MostPerHour,
        };
}
