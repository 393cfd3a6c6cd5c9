using System.Globalization;
using System.Security.Cryptography;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Quantities;
using Rinsewright.Records.Access;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Alarms;

/// <summary>What a rule is to be.</summary>
/// <param name="Kind">Name of the kind, see <see cref="AlarmMeasure"/>.</param>
/// <param name="Rig">The rig that it is for; nothing for all.</param>
/// <param name="Limit">The limit, in the unit of the kind; nothing to leave it.</param>
/// <param name="IsOn">Whether such alarms are raised; nothing to leave it.</param>
/// <param name="IsUrgent">Whether they are urgent; nothing to leave it.</param>
public sealed record RuleDraft(string? Kind, Id<Rig>? Rig, double? Limit, bool? IsOn, bool? IsUrgent);

/// <summary>What a destination is to be.</summary>
/// <param name="Name">Its name.</param>
/// <param name="Route">mail, webhook or mqtt.</param>
/// <param name="Address">An e-mail address, a URL, or nothing.</param>
public sealed record DestinationDraft(string? Name, string? Route, string? Address)
{
    public bool IsUrgentOnly { get; init; }

    /// <summary>Quiet hours as they are written, <c>22:00-06:30</c>; nothing for none.</summary>
    public string? Quiet { get; init; }

    /// <summary>Their time zone; that of the first rig if not said.</summary>
    public string? TimeZone { get; init; }
    public bool DoesUrgentBreakThrough { get; init; }
    public int MostPerHour { get; init; } = AlarmDestination.UsualMostPerHour;
}

/// <summary>Who sets when alarms are raised and where they go. Each change writes its line of the audit trail with it.</summary>
public sealed class AlarmDesk(LogbookStore store)
{
    private const int LongestName = 60;
    private const int LongestAddress = 500;
    private const int Secret_bytes = 32;

    /// <summary>The rules that hold for all rigs, and those of single rigs.</summary>
    public async Task<IReadOnlyList<(AlarmRule Rule, string? Rig)>> RulesAsync(
        Id<Organisation>? organisation,
        CancellationToken cancel
    )
    {
        await using LogbookContext context = store.Read();
        organisation = await WhoseAsync(context, organisation, cancel);
        List<AlarmRule> stored = await context.Set<AlarmRule>().AsNoTracking().ToListAsync(cancel);
        var book = new RuleBook(stored);
        Dictionary<Id<Rig>, string> rigs = await context
            .Live<Rig>()
            .ToDictionaryAsync(r => r.Id, r => r.Name, cancel);
        return
        [
            .. AlarmMeasure.All.Select(m =>
                (book.For(m.Kind, new AlarmPlace(organisation, null, null)), (string?)null)
            ),
            .. stored
                .Where(r => r.RigId is { } rig && rigs.ContainsKey(rig))
                .Select(r => (Rule: r, Rig: (string?)rigs[r.RigId!.Value]))
                .OrderBy(r => r.Rig, StringComparer.Ordinal)
                .ThenBy(r => r.Rule.Kind),
        ];
    }

    /// <summary>Sets a rule. Nothing is wrong when the list is empty.</summary>
    public async Task<IReadOnlyList<InputProblem>> SetAsync(
        RuleDraft draft,
        Id<Organisation>? organisation,
        Actor actor,
        CancellationToken cancel
    )
    {
        if (AlarmMeasure.Named(draft.Kind) is not { } measure)
        {
            return [NoKind(draft.Kind)];
        }

        if (draft.Limit is { } limit && !(limit >= measure.Least && limit <= measure.Most))
        {
            return
            [
                new InputProblem(
                    "limit",
                    FormattableString.Invariant($"{limit}"),
                    $"{measure.Least} to {measure.Most} {measure.Unit}"
                ),
            ];
        }

        return await store.TransactAsync<IReadOnlyList<InputProblem>>(
            async (context, _) =>
            {
                Id<Organisation>? whose = await WhoseAsync(context, organisation, cancel);
                string of = "all rigs";
                if (draft.Rig is { } id)
                {
                    if (await context.Live<Rig>().FirstOrDefaultAsync(r => r.Id == id, cancel) is not { } rig)
                    {
                        return [new InputProblem("rig", $"{id}", "a rig of the record")];
                    }

                    of = rig.Name;
                }

                List<AlarmRule> stored = await context.Set<AlarmRule>().AsNoTracking().ToListAsync(cancel);
                AlarmRule now = new RuleBook(stored).For(
                    measure.Kind,
                    new AlarmPlace(whose, draft.Rig, null)
                );
                string signature = AlarmRule.SignatureOf(measure.Kind, whose, draft.Rig);
                AlarmRule? known = stored.Find(r =>
                    string.Equals(r.Signature, signature, StringComparison.Ordinal)
                );
                var next = new AlarmRule
                {
                    Id = known?.Id ?? store.Ids.Next(),
                    Signature = signature,
                    OrganisationId = draft.Rig is null ? whose : null,
                    RigId = draft.Rig,
                    Kind = measure.Kind,
                    Limit = draft.Limit ?? now.Limit,
                    IsOn = draft.IsOn ?? now.IsOn,
                    IsUrgent = draft.IsUrgent ?? now.IsUrgent,
                };
                context.Entry(next).State = known is null ? EntityState.Added : EntityState.Modified;
                context.Add(
                    AuditTrail.Line(
                        actor,
                        FormattableString.Invariant(
                            $"set the alarm {measure.Word} of {of}: {(next.IsOn ? $"{next.Limit} {measure.Unit}" : "off")}{(next.IsUrgent ? ", urgent" : "")}"
                        ),
                        whose,
                        store.Clock
                    )
                );
                return [];
            },
            cancel
        );
    }

    /// <summary>Lets the usual rule hold again, or for a rig that of all. Whether another had been set.</summary>
    public async Task<bool> ResetAsync(
        AlarmKind kind,
        Id<Rig>? rig,
        Id<Organisation>? organisation,
        Actor actor,
        CancellationToken cancel
    ) =>
        await store.TransactAsync(
            async (context, _) =>
            {
                Id<Organisation>? whose = await WhoseAsync(context, organisation, cancel);
                string signature = AlarmRule.SignatureOf(kind, whose, rig);
                bool wasSet =
                    await context
                        .Set<AlarmRule>()
                        .Where(r => r.Signature == signature)
                        .ExecuteDeleteAsync(cancel) > 0;
                if (wasSet)
                {
                    context.Add(
                        AuditTrail.Line(
                            actor,
                            $"set the alarm {AlarmMeasure.Of(kind).Word} back to what is usual",
                            whose,
                            store.Clock
                        )
                    );
                }

                return wasSet;
            },
            cancel
        );

    /// <summary>Adds a destination. Of a webhook the secret is told here, once.</summary>
    public async Task<(
        AlarmDestination? Destination,
        string? Secret,
        IReadOnlyList<InputProblem> Problems
    )> AddAsync(DestinationDraft draft, Id<Organisation>? organisation, Actor actor, CancellationToken cancel)
    {
        await using LogbookContext reading = store.Read();
        Id<Organisation>? whose = await WhoseAsync(reading, organisation, cancel);
        string zone = string.IsNullOrWhiteSpace(draft.TimeZone)
            ? await reading
                .Live<Rig>()
                .Where(r => r.OrganisationId == whose)
                .OrderBy(r => r.Id)
                .Select(r => r.TimeZone)
                .FirstOrDefaultAsync(cancel)
                ?? "UTC"
            : draft.TimeZone.Trim();
        var problems = new ProblemList();
        if (Read(draft, zone, problems) is not { } read || problems.Problems.Count > 0)
        {
            return (null, null, problems.Problems);
        }

        AlarmDestination destination = read with
        {
            Id = store.Ids.Next(),
            OrganisationId = whose,
            Secret =
                read.Route is DeliveryRoute.Webhook ? RandomNumberGenerator.GetBytes(Secret_bytes) : null,
            AddedAt = Instant.Now(store.Clock),
        };
        bool isNew = await store.TransactAsync(
            async (context, _) =>
            {
                bool isFree = !await context
                    .Set<AlarmDestination>()
                    .AnyAsync(
                        d => d.OrganisationId == whose && d.Name == destination.Name && d.RemovedAt == null,
                        cancel
                    );
                if (isFree)
                {
                    context.Add(destination);
                    context.Add(
                        AuditTrail.Line(
                            actor,
                            $"alarms go to {destination.Name} by {WordOf(destination.Route)}",
                            whose,
                            store.Clock
                        )
                    );
                }

                return isFree;
            },
            cancel
        );
        return isNew
            ? (destination, destination.Secret is { } secret ? Convert.ToBase64String(secret) : null, [])
            : (null, null, [new InputProblem("name", destination.Name, "a name that no other has")]);
    }

    /// <summary>Sends no more to a destination, nor what waits for it. Whether there was one of that name.</summary>
    public Task<bool> RemoveAsync(
        string name,
        Id<Organisation>? organisation,
        Actor actor,
        CancellationToken cancel
    ) =>
        store.TransactAsync(
            async (context, _) =>
            {
                Id<Organisation>? whose = await WhoseAsync(context, organisation, cancel);
                AlarmDestination? destination = await context
                    .Set<AlarmDestination>()
                    .AsNoTracking()
                    .FirstOrDefaultAsync(
                        d => d.OrganisationId == whose && d.Name == name && d.RemovedAt == null,
                        cancel
                    );
                if (destination is null)
                {
                    return false;
                }

                DateTimeOffset now = Instant.Now(store.Clock);
                await context
                    .Set<AlarmDestination>()
                    .Where(d => d.Id == destination.Id)
                    .ExecuteUpdateAsync(
                        d => d.SetProperty(x => x.RemovedAt, now).SetProperty(x => x.Secret, (byte[]?)null),
                        cancel
                    );
                await context
                    .Set<AlarmMessage>()
                    .Where(m => m.DestinationId == destination.Id && m.SentAt == null && m.GivenUpAt == null)
                    .ExecuteUpdateAsync(
                        m =>
                            m.SetProperty(x => x.GivenUpAt, now)
                                .SetProperty(x => x.Revision, x => x.Revision + 1),
                        cancel
                    );
                context.Add(AuditTrail.Line(actor, $"alarms go to {name} no more", whose, store.Clock));
                return true;
            },
            cancel
        );

    public static string WordOf(DeliveryRoute route) => route.ToString().ToLowerInvariant();

    /// <summary>What belongs to nobody becomes the first organisation's.</summary>
    internal static async Task AdoptAsync(
        LogbookContext context,
        Id<Organisation> owner,
        CancellationToken cancel
    )
    {
        Id<Organisation>? whose = owner;
        await context
            .Set<Alarm>()
            .Where(a => a.OrganisationId == null)
            .ExecuteUpdateAsync(a => a.SetProperty(x => x.OrganisationId, whose), cancel);
        await context
            .Set<AlarmDestination>()
            .Where(d => d.OrganisationId == null)
            .ExecuteUpdateAsync(d => d.SetProperty(x => x.OrganisationId, whose), cancel);
        foreach (AlarmMeasure measure in AlarmMeasure.All)
        {
            string before = AlarmRule.SignatureOf(measure.Kind, null, null);
            string after = AlarmRule.SignatureOf(measure.Kind, owner, null);
            await context
                .Set<AlarmRule>()
                .Where(r => r.Signature == before)
                .ExecuteUpdateAsync(
                    r => r.SetProperty(x => x.OrganisationId, whose).SetProperty(x => x.Signature, after),
                    cancel
                );
        }
    }

    private async Task<Id<Organisation>?> WhoseAsync(
        LogbookContext context,
        Id<Organisation>? said,
        CancellationToken cancel
    ) => store.Scope ?? said ?? await Ownership.OnlyAsync(context, cancel);

    private static AlarmDestination? Read(DestinationDraft draft, string zone, ProblemList problems)
    {
        string name = (draft.Name ?? "").Trim();
        string address = (draft.Address ?? "").Trim();
        problems.Require(
            name.Length is > 0 and <= LongestName && !name.Any(char.IsControl),
            "name",
            $"{name}",
            "1 to 60 characters"
        );
        DeliveryRoute? route = Enum.GetValues<DeliveryRoute>()
            .Where(r => string.Equals(WordOf(r), draft.Route?.Trim(), StringComparison.OrdinalIgnoreCase))
            .Select(r => (DeliveryRoute?)r)
            .FirstOrDefault();
        problems.Require(route is not null, "route", $"{draft.Route}", "mail, webhook or mqtt");
        (bool isRight, Sentence expected) = route switch
        {
            DeliveryRoute.Mail => (
                IsMail(address),
                Sentence.Of("an e-mail address such as mira@example.org")
            ),
            DeliveryRoute.Webhook => (
                IsUrl(address),
                Sentence.Of("an address such as https://hooks.example.org/rinse, without a password in it")
            ),
            _ => (address.Length == 0, Sentence.Of("nothing: the topic follows from its id")),
        };
        problems.Require(route is null || isRight, "address", $"{address}", expected);
        problems.Require(
            draft.MostPerHour is >= 1 and <= 1000,
            "most per hour",
            $"{draft.MostPerHour}",
            "1 to 1000"
        );
        problems.Require(
            TimeZoneInfo.TryFindSystemTimeZoneById(zone, out _),
            "time zone",
            $"{zone}",
            "an IANA time zone such as Europe/Vienna"
        );
        (TimeOnly From, TimeOnly Until)? quiet = null;
        if (!string.IsNullOrWhiteSpace(draft.Quiet))
        {
            quiet = Times(draft.Quiet);
            problems.Require(
                quiet is { } q && q.From != q.Until,
                "quiet",
                $"{draft.Quiet}",
                "two times of day such as 22:00-06:30"
            );
        }

        return route is { } way
            ? new AlarmDestination
            {
                Id = default,
                Name = name,
                Route = way,
                Address = address,
                IsUrgentOnly = draft.IsUrgentOnly,
                QuietFrom = quiet?.From,
                QuietUntil = quiet?.Until,
                TimeZone = zone,
                DoesUrgentBreakThrough = draft.DoesUrgentBreakThrough,
                MostPerHour = draft.MostPerHour,
                AddedAt = default,
            }
            : null;
    }

    private static (TimeOnly From, TimeOnly Until)? Times(string text) =>
        text.Split(['-', '–']) is [var from, var until]
        && TimeOnly.TryParseExact(
            from.Trim(),
            "HH:mm",
            CultureInfo.InvariantCulture,
            DateTimeStyles.None,
            out TimeOnly begin
        )
        && TimeOnly.TryParseExact(
            until.Trim(),
            "HH:mm",
            CultureInfo.InvariantCulture,
            DateTimeStyles.None,
            out TimeOnly end
        )
            ? (begin, end)
            : null;

    private static bool IsMail(string address) =>
        address.Length <= LongestAddress
        && !address.Any(c => char.IsControl(c) || char.IsWhiteSpace(c))
        && System.Net.Mail.MailAddress.TryCreate(address, out System.Net.Mail.MailAddress? read)
        && string.Equals(read.Address, address, StringComparison.Ordinal);

    private static bool IsUrl(string address) =>
        address.Length <= LongestAddress
        && Uri.TryCreate(address, UriKind.Absolute, out Uri? url)
        && url.Scheme is "https" or "http"
        && url.UserInfo.Length == 0
        && url.Host.Length > 0;

    /// <summary>What is wrong with a name that is no kind's.</summary>
    public static InputProblem NoKind(string? kind) =>
        new("kind", kind ?? "", $"one of {string.Join(", ", AlarmMeasure.All.Select(m => m.Word))}");
}
