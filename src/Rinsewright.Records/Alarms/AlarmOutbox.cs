using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Alarms;

/// <summary>A message that one sender has to itself for a while.</summary>
/// <param name="Message">The message.</param>
/// <param name="Destination">Where it goes.</param>
/// <param name="Parts">What it tells, the earliest first; what was cleared before it was told stands once, as cleared.</param>
public sealed record DueMessage(
    AlarmMessage Message,
    AlarmDestination Destination,
    IReadOnlyList<(NamedAlarm Alarm, bool IsCleared)> Parts
);

/// <summary>How sending to a destination goes.</summary>
/// <param name="Destination">The destination.</param>
/// <param name="Waiting">Messages that are still to be sent.</param>
/// <param name="LastSentAt">When the last one was.</param>
/// <param name="LastProblem">What was wrong with the last try, if it failed.</param>
/// <param name="GivenUp">Messages that could not be sent in time and never will be.</param>
public sealed record DestinationState(
    AlarmDestination Destination,
    int Waiting,
    DateTimeOffset? LastSentAt,
    string? LastProblem,
    int GivenUp
);

/// <summary>
/// Messages on their way. Each is written with what it tells of and taken out only once it was sent, so that a program that ends in
/// between sends it again after it starts: it arrives at least once, and its id tells whoever gets it twice.
/// </summary>
public sealed class AlarmOutbox(LogbookStore store)
{
    /// <summary>How long one sender has a message to itself; a send takes less (our choice).</summary>
    public static readonly TimeSpan Claim = TimeSpan.FromMinutes(2);

    /// <summary>How long a message is tried (our choice).</summary>
    public static readonly TimeSpan Patience = TimeSpan.FromDays(1);

    private static readonly TimeSpan FirstWait = TimeSpan.FromSeconds(30);
    private static readonly TimeSpan LongestWait = TimeSpan.FromHours(1);
    private static readonly TimeSpan RateWindow = TimeSpan.FromHours(1);
    private const int LongestProblem = 300;

    /// <summary>Takes messages that are due; nobody else gets them meanwhile.</summary>
    public async Task<IReadOnlyList<DueMessage>> TakeAsync(int most, CancellationToken cancel)
    {
        DateTimeOffset now = Instant.Now(store.Clock);
        await using LogbookContext context = store.Read();
        List<Guid> due = await Waiting(context)
            .Where(m => m.DueAt <= now && (m.ClaimedUntil == null || m.ClaimedUntil < now))
            .OrderBy(m => m.DueAt)
            .Select(m => m.Id)
            .Take(most)
            .ToListAsync(cancel);
        List<DueMessage> taken = [];
        foreach (Guid id in due)
        {
            bool isOurs = await store.TransactAsync(
                async (writing, _) =>
                    await Waiting(writing)
                        .Where(m => m.Id == id && (m.ClaimedUntil == null || m.ClaimedUntil < now))
                        .ExecuteUpdateAsync(
                            m =>
                                m.SetProperty(x => x.ClaimedUntil, now + Claim)
                                    .SetProperty(x => x.IsHeld, false)
                                    .SetProperty(x => x.Revision, x => x.Revision + 1),
                            cancel
                        ) == 1,
                cancel
            );
            if (isOurs)
            {
                taken.Add(await ReadAsync(context, id, cancel));
            }
        }

        return taken;
    }

    /// <summary>When the next message is due that waits; nothing when none does.</summary>
    public async Task<DateTimeOffset?> NextAsync(CancellationToken cancel)
    {
        await using LogbookContext context = store.Read();
        return await Waiting(context).MinAsync(m => (DateTimeOffset?)m.DueAt, cancel);
    }

    /// <summary>Notes that a message was sent.</summary>
    public Task SentAsync(DueMessage message, CancellationToken cancel)
    {
        DateTimeOffset now = Instant.Now(store.Clock);
        return store.TransactAsync(
            (context, _) =>
                context
                    .Set<AlarmMessage>()
                    .Where(m => m.Id == message.Message.Id)
                    .ExecuteUpdateAsync(
                        m =>
                            m.SetProperty(x => x.SentAt, now)
                                .SetProperty(x => x.Tries, x => x.Tries + 1)
                                .SetProperty(x => x.LastProblem, (string?)null)
                                .SetProperty(x => x.Revision, x => x.Revision + 1),
                        cancel
                    ),
            cancel
        );
    }

    /// <summary>Notes that a message could not be sent: it is tried again, each time after twice as long, for a day.</summary>
    public Task FailedAsync(DueMessage message, string problem, CancellationToken cancel)
    {
        DateTimeOffset now = Instant.Now(store.Clock);
        TimeSpan wait = FirstWait * Math.Pow(2, Math.Min(message.Message.Tries, 10));
        DateTimeOffset next = now + (wait < LongestWait ? wait : LongestWait);
        bool isOver = next - message.Message.CreatedAt > Patience && message.Message.Tries > 0;
        string said = problem[..Math.Min(problem.Length, LongestProblem)];
        return store.TransactAsync(
            (context, _) =>
                context
                    .Set<AlarmMessage>()
                    .Where(m => m.Id == message.Message.Id)
                    .ExecuteUpdateAsync(
                        m =>
                            m.SetProperty(x => x.DueAt, next)
                                .SetProperty(x => x.ClaimedUntil, (DateTimeOffset?)null)
                                .SetProperty(x => x.Tries, x => x.Tries + 1)
                                .SetProperty(x => x.LastProblem, said)
                                .SetProperty(x => x.GivenUpAt, isOver ? now : null)
                                .SetProperty(x => x.Revision, x => x.Revision + 1),
                        cancel
                    ),
            cancel
        );
    }

    /// <summary>How sending to each destination goes, by name.</summary>
    public async Task<IReadOnlyList<DestinationState>> StatesAsync(CancellationToken cancel)
    {
        await using LogbookContext context = store.Read();
        List<AlarmDestination> destinations = await context
            .Set<AlarmDestination>()
            .AsNoTracking()
            .Where(d => d.RemovedAt == null)
            .OrderBy(d => d.Name)
            .ToListAsync(cancel);
        List<DestinationState> states = [];
        foreach (AlarmDestination destination in destinations)
        {
            IQueryable<AlarmMessage> messages = context
                .Set<AlarmMessage>()
                .Where(m => m.DestinationId == destination.Id);
            states.Add(
                new DestinationState(
                    destination,
                    await messages.CountAsync(m => m.SentAt == null && m.GivenUpAt == null, cancel),
                    await messages.MaxAsync(m => m.SentAt, cancel),
                    await messages
                        .Where(m => m.LastProblem != null && m.SentAt == null)
                        .OrderByDescending(m => m.DueAt)
                        .Select(m => m.LastProblem)
                        .FirstOrDefaultAsync(cancel),
                    await messages.CountAsync(m => m.GivenUpAt != null, cancel)
                )
            );
        }

        return states;
    }

    /// <summary>Adds what is to be told of an alarm to a message for every destination, within a transaction.</summary>
    internal static async Task AddAsync(
        LogbookContext context,
        Alarm alarm,
        bool isCleared,
        IdSource ids,
        DateTimeOffset now,
        CancellationToken cancel
    )
    {
        await context.SaveChangesAsync(cancel);
        List<AlarmDestination> destinations = await context
            .Set<AlarmDestination>()
            .AsNoTracking()
            .Where(d =>
                d.OrganisationId == alarm.OrganisationId
                && d.RemovedAt == null
                && (alarm.IsUrgent || !d.IsUrgentOnly)
            )
            .ToListAsync(cancel);
        foreach (AlarmDestination destination in destinations)
        {
            DateTimeOffset due = await FreeAsync(context, destination, now, cancel);
            if (!(alarm.IsUrgent && !isCleared && destination.DoesUrgentBreakThrough))
            {
                due = destination.Quiet?.EndAfter(due) ?? due;
            }

            AlarmMessage? message =
                due > now
                    ? await context
                        .Set<AlarmMessage>()
                        .FirstOrDefaultAsync(
                            m =>
                                m.DestinationId == destination.Id
                                && m.IsHeld
                                && m.DueAt > now
                                && m.DueAt <= due,
                            cancel
                        )
                    : null;
            if (message is null)
            {
                message = new AlarmMessage
                {
                    Id = ids.Next(),
                    DestinationId = destination.Id,
                    CreatedAt = now,
                    DueAt = Instant.Round(due),
                    IsHeld = due > now,
                };
                context.Add(message);
            }
            else
            {
                message.Revision++;
            }

            context.Add(
                new AlarmPart
                {
                    MessageId = message.Id,
                    AlarmId = alarm.Id,
                    IsCleared = isCleared,
                }
            );
            await context.SaveChangesAsync(cancel);
        }
    }

    /// <summary>When a destination may get its next message: at once, or when there have not been too many within an hour any more.</summary>
    private static async Task<DateTimeOffset> FreeAsync(
        LogbookContext context,
        AlarmDestination destination,
        DateTimeOffset now,
        CancellationToken cancel
    )
    {
        DateTimeOffset since = now - RateWindow;
        List<DateTimeOffset> lately = await context
            .Set<AlarmMessage>()
            .Where(m => m.DestinationId == destination.Id && m.DueAt > since)
            .OrderByDescending(m => m.DueAt)
            .Select(m => m.DueAt)
            .Take(destination.MostPerHour)
            .ToListAsync(cancel);
        return lately.Count == destination.MostPerHour ? lately[^1] + RateWindow : now;
    }

    private static IQueryable<AlarmMessage> Waiting(LogbookContext context) =>
        context.Set<AlarmMessage>().Where(m => m.SentAt == null && m.GivenUpAt == null);

    private static async Task<DueMessage> ReadAsync(LogbookContext context, Guid id, CancellationToken cancel)
    {
        AlarmMessage message = await context
            .Set<AlarmMessage>()
            .AsNoTracking()
            .FirstAsync(m => m.Id == id, cancel);
        AlarmDestination destination = await context
            .Set<AlarmDestination>()
            .AsNoTracking()
            .FirstAsync(d => d.Id == message.DestinationId, cancel);
        List<AlarmPart> parts = await context
            .Set<AlarmPart>()
            .AsNoTracking()
            .Where(p => p.MessageId == id)
            .ToListAsync(cancel);
        HashSet<Guid> cleared = [.. parts.Where(p => p.IsCleared).Select(p => p.AlarmId)];
        IReadOnlyList<NamedAlarm> alarms = await AlarmBook.NamedAsync(
            context,
            [.. parts.Select(p => p.AlarmId).Distinct()],
            cancel
        );
        return new DueMessage(
            message,
            destination,
            [.. alarms.OrderBy(a => a.Alarm.RaisedAt).Select(a => (a, cleared.Contains(a.Alarm.Id)))]
        );
    }
}
