using Rinsewright.App.Tests.Records;
using Rinsewright.Records.Access;
using Rinsewright.Records.Alarms;

namespace Rinsewright.App.Tests.Alarms;

/// <summary>Messages on their way, on both databases. The clock stands at 09:00 in Vienna.</summary>
public sealed class OutboxTests
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task A_message_that_was_not_sent_is_there_after_a_restart_under_the_same_id(
        DatabaseKind database
    )
    {
        await using Alarming at = await Alarming.OpenAsync(database);
        await at.GoesToAsync(new DestinationDraft("Mira", "mail", "mira@example.org"));
        await at.Book.ApplyAsync([at.Chance(70)], Stop);
        DueMessage first = Assert.Single(await at.Outbox.TakeAsync(10, Stop));
        await at.Record.ReopenAsync();
        // It is still claimed by whoever is gone, for two minutes.
        Assert.Empty(await at.Outbox.TakeAsync(10, Stop));
        at.Record.Clock.Advance(AlarmOutbox.Claim + TimeSpan.FromSeconds(1));
        DueMessage again = Assert.Single(await at.Outbox.TakeAsync(10, Stop));
        Assert.Equal(first.Message.Id, again.Message.Id);
        Assert.Equal(70, Assert.Single(again.Parts).Alarm.Alarm.Seen);
        await at.Outbox.SentAsync(again, Stop);
        at.Record.Clock.Advance(AlarmOutbox.Claim * 2);
        Assert.Empty(await at.Outbox.TakeAsync(10, Stop));
        Assert.Equal((0, null), at.State(await at.Outbox.StatesAsync(Stop)));
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task Two_senders_never_have_the_same_message(DatabaseKind database)
    {
        await using Alarming at = await Alarming.OpenAsync(database);
        for (int i = 0; i < 12; i++)
        {
            await at.GoesToAsync(new DestinationDraft($"Mira {i}", "mail", "mira@example.org"));
        }

        await at.Book.ApplyAsync([at.Chance(70)], Stop);
        IReadOnlyList<DueMessage>[] taken = await Task.WhenAll(
            Enumerable
                .Range(0, 4)
                .Select(_ => Task.Run(() => new AlarmOutbox(at.Record.Store).TakeAsync(20, Stop)))
        );
        Guid[] ids = [.. taken.SelectMany(t => t).Select(m => m.Message.Id)];
        Assert.Equal((12, 12), (ids.Length, ids.Distinct().Count()));
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task A_failed_one_waits_twice_as_long_each_time_and_is_given_up_after_a_day(
        DatabaseKind database
    )
    {
        await using Alarming at = await Alarming.OpenAsync(database);
        await at.GoesToAsync(new DestinationDraft("Mira", "mail", "mira@example.org"));
        await at.Book.ApplyAsync([at.Chance(70)], Stop);
        List<double> waits_s = [];
        for (bool isOver = false; !isOver; )
        {
            DueMessage due = Assert.Single(await at.Outbox.TakeAsync(10, Stop));
            await at.Outbox.FailedAsync(due, "Nobody is at home.", Stop);
            DestinationState state = (await at.Outbox.StatesAsync(Stop))[0];
            Assert.Equal("Nobody is at home.", state.LastProblem);
            isOver = state.GivenUp > 0;
            double wait_s = 0;
            while (
                !isOver && (await at.Outbox.NextAsync(Stop)) is { } next && next > at.Record.Clock.GetUtcNow()
            )
            {
                wait_s += (next - at.Record.Clock.GetUtcNow()).TotalSeconds;
                at.Record.Clock.SetUtcNow(next);
            }

            waits_s.Add(wait_s);
        }

        Assert.Equal([30, 60, 120, 240, 480, 960, 1920, 3600], waits_s.Take(8));
        Assert.Equal(0, waits_s[^1]);
        Assert.InRange(waits_s.Sum(), 23 * 3600, 24 * 3600);
        Assert.Empty(await at.Outbox.TakeAsync(10, Stop));
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task In_quiet_hours_alarms_wait_and_come_as_one_message_unless_they_are_urgent(
        DatabaseKind database
    )
    {
        await using Alarming at = await Alarming.OpenAsync(database);
        await at.GoesToAsync(
            new DestinationDraft("Mira", "mail", "mira@example.org")
            {
                Quiet = "20:00-07:00",
                DoesUrgentBreakThrough = true,
            }
        );
        at.Record.Clock.Advance(TimeSpan.FromHours(12)); // 21:00 in Vienna
        await at.Book.ApplyAsync([at.Chance(70)], Stop);
        await at.Book.ApplyAsync([at.Of(AlarmKind.Feed, 60)], Stop);
        await at.Book.ApplyAsync([at.Of(AlarmKind.Feed, 3)], Stop);
        Assert.Empty(await at.Outbox.TakeAsync(10, Stop));
        await at.Book.ApplyAsync([at.Of(AlarmKind.Line, 130)], Stop);
        DueMessage urgent = Assert.Single(await at.Outbox.TakeAsync(10, Stop));
        Assert.Equal(AlarmKind.Line, Assert.Single(urgent.Parts).Alarm.Alarm.Kind);
        await at.Outbox.SentAsync(urgent, Stop);
        at.Record.Clock.Advance(TimeSpan.FromHours(10) - TimeSpan.FromMinutes(1)); // 06:59
        Assert.Empty(await at.Outbox.TakeAsync(10, Stop));
        at.Record.Clock.Advance(TimeSpan.FromMinutes(1));
        DueMessage digest = Assert.Single(await at.Outbox.TakeAsync(10, Stop));
        // What was raised and cleared meanwhile stands once, as cleared.
        Assert.Equal(
            [(AlarmKind.Chance, false), (AlarmKind.Feed, true)],
            digest.Parts.Select(p => (p.Alarm.Alarm.Kind, p.IsCleared)).OrderBy(p => p.Kind)
        );
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task Above_so_many_in_an_hour_the_rest_come_as_one_message(DatabaseKind database)
    {
        await using Alarming at = await Alarming.OpenAsync(database);
        await at.GoesToAsync(
            new DestinationDraft("Hook", "webhook", "https://example.org/") { MostPerHour = 3 }
        );
        for (int i = 0; i < 10; i++)
        {
            await at.Book.ApplyAsync([at.Chance(70, subject: Guid.NewGuid())], Stop);
        }

        IReadOnlyList<DueMessage> now = await at.Outbox.TakeAsync(10, Stop);
        Assert.Equal([1, 1, 1], now.Select(m => m.Parts.Count));
        at.Record.Clock.Advance(TimeSpan.FromHours(1));
        foreach (DueMessage message in now)
        {
            await at.Outbox.SentAsync(message, Stop);
        }

        Assert.Equal(7, Assert.Single(await at.Outbox.TakeAsync(10, Stop)).Parts.Count);
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task The_link_in_a_message_acknowledges_all_that_it_tells_of_once(DatabaseKind database)
    {
        await using Alarming at = await Alarming.OpenAsync(database);
        await at.GoesToAsync(new DestinationDraft("Mira", "mail", "mira@example.org"));
        await at.Book.ApplyAsync([at.Chance(70)], Stop);
        Guid message = Assert.Single(await at.Outbox.TakeAsync(10, Stop)).Message.Id;
        (IReadOnlyList<NamedAlarm> told, bool isOpen) = await at.Book.OfMessageAsync(message, Stop);
        Assert.True(isOpen && told.Count == 1);
        Assert.True(await at.Book.AcknowledgeMessageAsync(message, "192.0.2.7", "on my way", Stop));
        Assert.False(await at.Book.AcknowledgeMessageAsync(message, "192.0.2.7", "again", Stop));
        Assert.False((await at.Book.OfMessageAsync(message, Stop)).IsOpen);
        Assert.False(await at.Book.AcknowledgeMessageAsync(Guid.NewGuid(), "192.0.2.7", "", Stop));
        Alarm alarm = (await at.Book.ListAsync(isOpenOnly: true, 10, Stop))[0].Alarm;
        Assert.Equal(("link sent to Mira", "on my way"), (alarm.AcknowledgedBy, alarm.Note));
        AuditLine line = (await new AuditTrail(at.Record.Store).ListAsync(1, Stop))[0];
        Assert.Equal(("link sent to Mira", "192.0.2.7"), (line.Who, line.Address));
    }
}
