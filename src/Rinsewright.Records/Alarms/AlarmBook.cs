using Microsoft.EntityFrameworkCore;
using Rinsewright.Quantities;
using Rinsewright.Records.Access;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Alarms;

/// <summary>An alarm with the names of what it is of.</summary>
public sealed record NamedAlarm(Alarm Alarm, string? Rig, string? Device);

/// <summary>
/// The alarms: raised, cleared, acknowledged, listed. Each change is written together with the messages that tell of it, so that
/// neither is there without the other, whatever breaks.
/// </summary>
public sealed class AlarmBook(LogbookStore store)
{
    /// <summary>What one transaction changes at most.</summary>
    private const int Together = 200;

    private const int LongestNote = 500;

    /// <summary>The rules as they are set.</summary>
    public async Task<RuleBook> RulesAsync(CancellationToken cancel)
    {
        await using LogbookContext context = store.Read();
        return new RuleBook(await context.Set<AlarmRule>().AsNoTracking().ToListAsync(cancel));
    }

    /// <summary>Alarms that are open on a rig.</summary>
    public async Task<IReadOnlyList<Alarm>> OpenAsync(Id<Rig> rig, CancellationToken cancel)
    {
        await using LogbookContext context = store.Read();
        return await context
            .Set<Alarm>()
            .AsNoTracking()
            .Where(a => a.RigId == rig && a.ClearedAt == null)
            .ToListAsync(cancel);
    }

    /// <summary>Alarms, open ones first, then the newest first.</summary>
    /// <param name="isOpenOnly">Whether those that were cleared are left out.</param>
    /// <param name="count">At most so many.</param>
    /// <param name="cancel">Stops it.</param>
    public async Task<IReadOnlyList<NamedAlarm>> ListAsync(
        bool isOpenOnly,
        int count,
        CancellationToken cancel
    )
    {
        await using LogbookContext context = store.Read();
        return await NamedAsync(
            context,
            context
                .Set<Alarm>()
                .Where(a => !isOpenOnly || a.ClearedAt == null)
                .OrderBy(a => a.ClearedAt == null ? 0 : 1)
                .ThenByDescending(a => a.RaisedAt)
                .Take(count),
            cancel
        );
    }

    /// <summary>Writes what changed: alarms of matters that are past and have none open, ends of alarms that are over.</summary>
    /// <returns>How many were raised or cleared.</returns>
    /// <exception cref="RecordUnavailableException">The database cannot be written.</exception>
    public async Task<int> ApplyAsync(IEnumerable<Finding> findings, CancellationToken cancel)
    {
        int changed = 0;
        foreach (Finding[] some in findings.Where(f => f.IsPast || f.IsGone).Chunk(Together))
        {
            await using (LogbookContext context = store.Read())
            {
                if ((await ChangesAsync(context, some, cancel)).Count == 0)
                {
                    continue;
                }
            }

            changed += await store.TransactAsync(
                async (context, _) =>
                {
                    List<(Finding Finding, Alarm? Open)> changes = await ChangesAsync(context, some, cancel);
                    DateTimeOffset now = Instant.Now(store.Clock);
                    foreach ((Finding finding, Alarm? open) in changes)
                    {
                        Alarm alarm = open ?? Raised(finding, now);
                        if (open is null)
                        {
                            context.Add(alarm);
                        }
                        else
                        {
                            alarm.ClearedAt = now;
                        }

                        await AlarmOutbox.AddAsync(
                            context,
                            alarm,
                            isCleared: open is not null,
                            store.Ids,
                            now,
                            cancel
                        );
                    }

                    return changes.Count;
                },
                cancel
            );
        }

        return changed;
    }

    /// <summary>Notes that somebody has seen to an alarm. Once acknowledged it stays so.</summary>
    /// <returns>What is wrong; nothing when the list is empty.</returns>
    public async Task<IReadOnlyList<InputProblem>> AcknowledgeAsync(
        Guid id,
        Actor actor,
        string? note,
        CancellationToken cancel
    )
    {
        note = Noted(note);
        if (note?.Length > LongestNote)
        {
            return
            [
                new InputProblem("note", Sentence.Of($"{note.Length} characters"), $"at most {LongestNote}"),
            ];
        }

        return await store.TransactAsync<IReadOnlyList<InputProblem>>(
            async (context, _) =>
            {
                Alarm? alarm = await context.Set<Alarm>().FirstOrDefaultAsync(a => a.Id == id, cancel);
                return alarm is null ? [new InputProblem("alarm", $"{id}", "an alarm, see alarm list")]
                    : alarm.AcknowledgedAt is not null
                        ?
                        [
                            new InputProblem(
                                "alarm",
                                $"{id}",
                                $"one that is not acknowledged; {alarm.AcknowledgedBy} has done so"
                            ),
                        ]
                    : Acknowledged(context, alarm, actor, note);
            },
            cancel
        );
    }

    /// <summary>What a message tells, and whether the link in it can still acknowledge.</summary>
    public async Task<(IReadOnlyList<NamedAlarm> Alarms, bool IsOpen)> OfMessageAsync(
        Guid message,
        CancellationToken cancel
    )
    {
        await using LogbookContext context = store.Read();
        IReadOnlyList<NamedAlarm> alarms = await NamedAsync(
            context,
            context
                .Set<Alarm>()
                .Where(a => context.Set<AlarmPart>().Any(p => p.MessageId == message && p.AlarmId == a.Id))
                .OrderByDescending(a => a.RaisedAt),
            cancel
        );
        bool isUsed = await context
            .Set<AlarmMessage>()
            .AnyAsync(m => m.Id == message && m.LinkUsedAt != null, cancel);
        return (alarms, !isUsed && alarms.Any(a => a.Alarm.AcknowledgedAt is null));
    }

    /// <summary>Acknowledges all that a message tells of, once. Whether that was still to be done.</summary>
    public Task<bool> AcknowledgeMessageAsync(
        Guid message,
        string address,
        string? note,
        CancellationToken cancel
    ) =>
        store.TransactAsync(
            async (context, _) =>
            {
                if (
                    await context
                        .Set<AlarmMessage>()
                        .FirstOrDefaultAsync(m => m.Id == message && m.LinkUsedAt == null, cancel)
                    is not { } told
                )
                {
                    return false;
                }

                string name = await context
                    .Set<AlarmDestination>()
                    .Where(d => d.Id == told.DestinationId)
                    .Select(d => d.Name)
                    .FirstAsync(cancel);
                told.LinkUsedAt = Instant.Now(store.Clock);
                told.Revision++;
                List<Alarm> alarms = await context
                    .Set<Alarm>()
                    .Where(a =>
                        a.AcknowledgedAt == null
                        && context.Set<AlarmPart>().Any(p => p.MessageId == message && p.AlarmId == a.Id)
                    )
                    .ToListAsync(cancel);
                string? kept = Noted(note) is { } said ? said[..Math.Min(said.Length, LongestNote)] : null;
                foreach (Alarm alarm in alarms)
                {
                    Acknowledged(context, alarm, new Actor($"link sent to {name}", address), kept);
                }

                return alarms.Count > 0;
            },
            cancel
        );

    private IReadOnlyList<InputProblem> Acknowledged(
        LogbookContext context,
        Alarm alarm,
        Actor actor,
        string? note
    )
    {
        alarm.AcknowledgedAt = Instant.Now(store.Clock);
        alarm.AcknowledgedBy = actor.Who;
        alarm.Note = note;
        context.Add(
            AuditTrail.Line(
                actor,
                $"acknowledged the alarm {AlarmMeasure.Of(alarm.Kind).Word} {alarm.Id}",
                alarm.OrganisationId,
                store.Clock
            )
        );
        return [];
    }

    private static string? Noted(string? note) =>
        note is not null
        && new string([.. note.Where(c => !char.IsControl(c))]).Trim() is { Length: > 0 } said
            ? said
            : null;

    private Alarm Raised(Finding finding, DateTimeOffset now) =>
        new()
        {
            Id = store.Ids.Next(),
            OrganisationId = finding.Place.Organisation,
            RigId = finding.Place.Rig,
            DeviceId = finding.Place.Device,
            Kind = finding.Kind,
            Subject = finding.Subject,
            IsUrgent = finding.IsUrgent,
            Seen = finding.Seen,
            Limit = finding.Limit,
            Unit = finding.Unit,
            RaisedAt = now,
        };

    private static async Task<List<(Finding Finding, Alarm? Open)>> ChangesAsync(
        LogbookContext context,
        Finding[] findings,
        CancellationToken cancel
    )
    {
        Guid[] subjects = [.. findings.Select(f => f.Subject).Distinct()];
        Dictionary<(AlarmKind, Guid), Alarm> open = (
            await context
                .Set<Alarm>()
                .Where(a => a.ClearedAt == null && subjects.Contains(a.Subject))
                .ToListAsync(cancel)
        ).ToDictionary(a => (a.Kind, a.Subject));
        return
        [
            .. findings
                .Select(f => (Finding: f, Open: open.GetValueOrDefault((f.Kind, f.Subject))))
                .Where(f => f.Open is null ? f.Finding.IsPast : f.Finding.IsGone),
        ];
    }

    private static async Task<IReadOnlyList<NamedAlarm>> NamedAsync(
        LogbookContext context,
        IQueryable<Alarm> alarms,
        CancellationToken cancel
    )
    {
        List<Alarm> found = await alarms.AsNoTracking().ToListAsync(cancel);
        Id<Rig>[] rigs = [.. found.Select(a => a.RigId).OfType<Id<Rig>>().Distinct()];
        Guid[] devices = [.. found.Select(a => a.DeviceId).OfType<Guid>().Distinct()];
        Dictionary<Id<Rig>, string> rigNames = await context
            .Set<Rig>()
            .Where(r => rigs.Contains(r.Id))
            .ToDictionaryAsync(r => r.Id, r => r.Name, cancel);
        Dictionary<Guid, string> deviceNames = await context
            .Set<Device>()
            .Where(d => devices.Contains(d.Id))
            .ToDictionaryAsync(d => d.Id, d => d.Name, cancel);
        return
        [
            .. found.Select(a => new NamedAlarm(
                a,
                a.RigId is { } rig ? rigNames.GetValueOrDefault(rig) : null,
                a.DeviceId is { } device ? deviceNames.GetValueOrDefault(device) : null
            )),
        ];
    }

    internal static Task<IReadOnlyList<NamedAlarm>> NamedAsync(
        LogbookContext context,
        Guid[] ids,
        CancellationToken cancel
    ) => NamedAsync(context, context.Set<Alarm>().Where(a => ids.Contains(a.Id)), cancel);
}
