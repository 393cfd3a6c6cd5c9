using Rinsewright.App.Tests.Records;
using Rinsewright.Records.Access;
using Rinsewright.Records.Alarms;
using Rinsewright.Records.Logbook;

namespace Rinsewright.App.Tests.Alarms;

/// <summary>A record with one rig in Vienna, whose alarms a test raises.</summary>
internal sealed class Alarming : IAsyncDisposable
{
    private Alarming(TestRecord record, Id<Rig> rig)
    {
        Record = record;
        Rig = rig;
    }

    public TestRecord Record { get; }

    public Id<Rig> Rig { get; }

    public AlarmBook Book => new(Record.Store);

    public AlarmOutbox Outbox => new(Record.Store);

    public AlarmDesk Desk => new(Record.Store);

    public static async Task<Alarming> OpenAsync(DatabaseKind database)
    {
        TestRecord record = await TestRecord.OpenAsync(database);
        var entries = new Entries(record.Store.Ids);
        await record.WriteAsync(entries.Basis);
        return new Alarming(record, entries.Rig.Id);
    }

    /// <summary>What is found where the rule is the usual one.</summary>
    public Finding Of(AlarmKind kind, double seen, Guid? subject = null) =>
        Finding.Of(new AlarmPlace(null, Rig, null), AlarmRule.Usual(kind), subject ?? Rig.Value, seen);

    public Finding Chance(double percent, Guid? subject = null) => Of(AlarmKind.Chance, percent, subject);

    /// <summary>What is found by the rule as it is set.</summary>
    public async Task<Finding> ByRuleAsync(AlarmKind kind, double seen)
    {
        var place = new AlarmPlace(null, Rig, null);
        return Finding.Of(place, (await Book.RulesAsync(default)).For(kind, place), Rig.Value, seen);
    }

    public async Task<AlarmDestination> GoesToAsync(DestinationDraft draft)
    {
        (AlarmDestination? added, _, var problems) = await Desk.AddAsync(
            draft,
            null,
            new Actor("Ana"),
            default
        );
        Assert.Empty(problems);
        return added!;
    }

    public (int Waiting, string? LastProblem) State(IReadOnlyList<DestinationState> states) =>
        (states[0].Waiting, states[0].LastProblem);

    public ValueTask DisposeAsync() => Record.DisposeAsync();
}
