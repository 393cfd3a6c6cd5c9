using System.Net.Http.Headers;
using Microsoft.AspNetCore.Authorization;
using Microsoft.AspNetCore.Routing;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Access;
using Rinsewright.Records.Alarms;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Sharing;

namespace Rinsewright.Web.Tests.People;

/// <summary>
/// One record of two firms. Whatever the first has written has <see cref="Mark"/> in its name, so that it is noticed where it must not be.
/// </summary>
internal sealed class TwoFirms : IAsyncDisposable
{
    public const string Mark = "zqx";
    private static readonly Actor Keeper = new("keeper");

    private TwoFirms(Site site) => Site = site;

    public Site Site { get; }

    public Id<Organisation> First { get; private set; }

    public Id<Organisation> Second { get; private set; }

    public Guid Rig { get; private set; }

    public Guid Stage { get; private set; }

    public Guid Link { get; private set; }

    public Guid Alarm { get; private set; }

    /// <summary>Opens the invitation of the first firm's owner.</summary>
    public string Invitation { get; private set; } = "";

    public static async Task<TwoFirms> OpenAsync()
    {
        CancellationToken stop = TestContext.Current.CancellationToken;
        var firms = new TwoFirms(await Site.EmptyAsync());
        LogbookStore store = firms.Site.Store;
        await WriteRigAsync(store, $"{Mark} yard");
        Invitation owner = await new PeopleRegister(store).InviteAsync(
            $"Ana {Mark}",
            Right.Manage,
            $"First {Mark}",
            Keeper,
            stop
        );
        Invitation other = await new PeopleRegister(store).InviteAsync(
            "Bo",
            Right.Manage,
            "Second firm",
            Keeper,
            stop
        );
        firms.Invitation = owner.Key!;
        firms.First = owner.Account!.OrganisationId;
        firms.Second = other.Account!.OrganisationId;
        LogbookStore first = store.Within(new RecordScope(firms.First, $"Ana {Mark}"));
        await WriteRigAsync(store.Within(new RecordScope(firms.Second, "Bo")), "Other yard");
        await using LogbookContext context = first.Read();
        Rig rig = await context.Live<Rig>().SingleAsync(stop);
        firms.Rig = rig.Id.Value;
        firms.Stage = (await context.Live<Stage>().SingleAsync(stop)).Id.Value;
        LinkOutcome link = (
            await new LinkDesk(first).MakeAsync(rig.Id, new NewLink { Name = $"friend {Mark}" }, stop)
        )!;
        firms.Link = link.Link!.Id.Value;
        await new AlarmBook(first).ApplyAsync(
            [
                Finding.Of(
                    new AlarmPlace(firms.First, rig.Id, null),
                    AlarmRule.Usual(AlarmKind.Feed),
                    firms.Rig,
                    70
                ),
            ],
            stop
        );
        firms.Alarm = (await new AlarmBook(first).OpenAsync(rig.Id, stop))[0].Id;
        await new AlarmDesk(first).AddAsync(
            new DestinationDraft($"chief {Mark}", "mqtt", null),
            null,
            Keeper,
            stop
        );
        await new DeviceRegister(first).AddAsync(new DeviceDraft($"probe {Mark}", rig.Id, null), stop);
        Assert.Empty(
            (
                await first.WriteAsync(
                    new EditDraft("nobody"),
                    [
                        new Purchase
                        {
                            Id = first.Ids.Next<Purchase>(),
                            At = firms.Site.Clock.GetUtcNow(),
                            Kind = CostKind.Medium,
                            What = $"resin {Mark}",
                            Amount = 1,
                            Currency = "EUR",
                            Volume_m3 = 0.025,
                        },
                        new Note
                        {
                            Id = first.Ids.Next<Note>(),
                            RigId = rig.Id,
                            At = firms.Site.Clock.GetUtcNow(),
                            Text = $"note {Mark}",
                        },
                    ],
                    stop
                )
            ).Problems
        );
        return firms;
    }

    public ValueTask DisposeAsync() => Site.DisposeAsync();

    /// <summary>A program with a key of a firm.</summary>
    public async Task<HttpClient> ProgramAsync(Id<Organisation> firm, Right right)
    {
        (_, string? told, _) = await new KeyRegister(Site.Store).AddAsync(
            $"{right} {Guid.NewGuid()}",
            right,
            firm,
            Keeper,
            TestContext.Current.CancellationToken
        );
        HttpClient http = Stranger();
        http.DefaultRequestHeaders.Authorization = new AuthenticationHeaderValue("Bearer", told);
        return http;
    }

    /// <summary>Someone without any key, who does not follow where the host leads.</summary>
    public HttpClient Stranger() =>
        new(new HttpClientHandler { AllowAutoRedirect = false })
        {
            BaseAddress = Site.Address,
            Timeout = Timeout.InfiniteTimeSpan,
        };

    /// <summary>Every address of the host, what it asks, and the same with what is the first firm's put in.</summary>
    public IEnumerable<(
        string Pattern,
        string? Policy,
        string Path,
        IReadOnlyList<string> Methods
    )> Addresses()
    {
        foreach (RouteEndpoint endpoint in Site.Endpoints.OfType<RouteEndpoint>())
        {
            string path = "/";
            foreach (var segment in endpoint.RoutePattern.PathSegments)
            {
                string text = string.Concat(
                    segment.Parts.Select(p =>
                        p is Microsoft.AspNetCore.Routing.Patterns.RoutePatternParameterPart parameter
                            ? Value(parameter.Name)
                            : ((Microsoft.AspNetCore.Routing.Patterns.RoutePatternLiteralPart)p).Content
                    )
                );
                path += (path.Length > 1 ? "/" : "") + text;
            }

            IReadOnlyList<string> methods =
                endpoint.Metadata.GetMetadata<IHttpMethodMetadata>()?.HttpMethods ?? ["GET", "POST"];
            yield return (
                endpoint.RoutePattern.RawText ?? "",
                endpoint.Metadata.GetOrderedMetadata<IAuthorizeData>() is [var only] ? only.Policy : null,
                path,
                methods
            );
        }

        string Value(string parameter) =>
            parameter.ToUpperInvariant() switch
            {
                "RIG" => Rig.ToString(),
                "STAGE" => Stage.ToString(),
                "LINK" => Link.ToString(),
                "NUMBER" => "1",
                "ID" => Rig.ToString(),
                "ALARM" => Alarm.ToString(),
                "DESTINATION" => Rig.ToString(),
                _ => "x",
            };
    }

    /// <summary>What the first firm's edits are up to.</summary>
    public async Task<long> LastEditAsync()
    {
        await using LogbookContext context = Site.Store.Within(new RecordScope(First, "reader")).Read();
        return await context.Edits.MaxAsync(e => e.Number, TestContext.Current.CancellationToken);
    }

    /// <summary>A rig of whose water nothing is known, so that no page has to run its bed.</summary>
    private static async Task WriteRigAsync(LogbookStore store, string name)
    {
        var source = new Source { Id = store.Ids.Next<Source>(), Name = $"{name} tap" };
        var rig = new Rig
        {
            Id = store.Ids.Next<Rig>(),
            Name = name,
            SourceId = source.Id,
        };
        var stage = new Stage
        {
            Id = store.Ids.Next<Stage>(),
            RigId = rig.Id,
            Name = $"{name} bed",
            Position = 1,
            Kind = StageKind.MixedBed,
            Volume_m3 = 0.01,
        };
        var task = new WashTask
        {
            Id = store.Ids.Next<WashTask>(),
            Name = $"{name} rinse",
            Volume_m3 = 0.04,
        };
        var meter = new Meter
        {
            Id = store.Ids.Next<Meter>(),
            Name = $"{name} pen",
            Measurand = Measurand.DissolvedSolids,
        };
        Assert.Empty(
            (
                await store.WriteAsync(
                    new EditDraft("someone", $"set up {name}"),
                    [source, rig, stage, task, meter],
                    TestContext.Current.CancellationToken
                )
            ).Problems
        );
    }
}
