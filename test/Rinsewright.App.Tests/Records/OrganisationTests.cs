using System.Collections.Immutable;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Access;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.App.Tests.Records;

/// <summary>A record of several organisations, on both databases: none sees, refers to or changes what is another's.</summary>
public sealed class OrganisationTests
{
    private static readonly Actor Keeper = new("keeper");

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task Whoever_is_first_is_an_owner_and_has_what_belonged_to_nobody(DatabaseKind database)
    {
        await using TestRecord record = await TestRecord.OpenAsync(database);
        var entries = new Entries(record.Store.Ids);
        Edit before = await record.WriteAsync(entries.Basis);
        var people = new PeopleRegister(record.Store);
        Assert.False(await people.AreThereAsync(Stop));
        Assert.NotEmpty((await people.InviteAsync("Ana", Right.Log, "Two vans", Keeper, Stop)).Problems);
        Assert.NotEmpty((await people.InviteAsync("Ana", Right.Manage, null, Keeper, Stop)).Problems);
        Assert.False(await people.AreThereAsync(Stop));
        Invitation first = await people.InviteAsync("Ana", Right.Manage, "Two vans", Keeper, Stop);
        Assert.Empty(first.Problems);
        Assert.True(await people.AreThereAsync(Stop));
        Assert.NotEmpty((await people.InviteAsync("ana ", Right.Manage, null, Keeper, Stop)).Problems);
        LogbookStore own = Within(record, first);
        await using LogbookContext context = own.Read();
        Assert.Equal("Van 1", (await context.Live<Rig>().SingleAsync(Stop)).Name);
        Assert.Equal("Pocket meter", (await context.Live<Meter>().SingleAsync(Stop)).Name);
        Assert.Contains(before.Number, await context.Edits.Select(e => e.Number).ToListAsync(Stop));
        // What is written beside the pages belongs to it too, as long as it is the only one.
        var spare = new Meter
        {
            Id = record.Store.Ids.Next<Meter>(),
            Name = "Spare",
            Measurand = Measurand.Ph,
        };
        await record.WriteAsync(spare);
        Assert.True(await context.Live<Meter>().AnyAsync(m => m.Id == spare.Id, Stop));
        Assert.NotNull(await people.InvitedAsync(first.Key, Stop));
        Invitation again = await people.InviteAgainAsync("ANA", Keeper, Stop);
        Assert.Null(await people.InvitedAsync(first.Key, Stop));
        Assert.NotNull(await people.InvitedAsync(again.Key, Stop));
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task Two_owners_who_take_each_others_role_away_at_once_leave_one(DatabaseKind database)
    {
        await using TestRecord record = await TestRecord.OpenAsync(database);
        var people = new PeopleRegister(record.Store);
        await people.InviteAsync("Ana", Right.Manage, "Two vans", Keeper, Stop);
        await people.InviteAsync("Ben", Right.Manage, "Two vans", Keeper, Stop);
        for (int round = 0; round < 10; round++)
        {
            bool[] refused =
            [
                .. (
                    await Task.WhenAll(
                        people.SetRightAsync("Ana", Right.Read, Keeper, Stop),
                        people.SetRightAsync("Ben", Right.Log, Keeper, Stop)
                    )
                ).Select(problems => problems.Count > 0),
            ];
            Assert.Single(refused, r => r);
            string other = refused[0] ? "Ben" : "Ana";
            Assert.Empty(await people.SetRightAsync(other, Right.Manage, Keeper, Stop));
        }
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task An_organisation_neither_sees_nor_changes_nor_takes_back_what_is_anothers(
        DatabaseKind database
    )
    {
        await using TestRecord record = await TestRecord.OpenAsync(database);
        (LogbookStore first, LogbookStore second) = await TwoAsync(record);
        var entries = new Entries(record.Store.Ids);
        WriteOutcome written = await first.WriteAsync(
            TestRecord.Draft,
            [.. entries.Basis, entries.Reading(TestRecord.Start)],
            Stop
        );
        Assert.Empty(written.Problems);
        Assert.Equal("First", written.Edit!.Author);
        await using LogbookContext others = second.Read();
        foreach (EntryKind kind in EntryKind.All.Where(k => k.Type != typeof(Organisation)))
        {
            Assert.Equal(0, await kind.CountAsync(others, Stop));
        }

        Assert.Equal(1, await others.Set<Organisation>().CountAsync(Stop));
        Assert.False(await others.Edits.AnyAsync(e => e.Number == written.Edit.Number, Stop));
        Assert.NotEmpty((await second.UndoAsync(TestRecord.Draft, written.Edit.Number, Stop)).Problems);
        Rig known = await record.ReadAsync(entries.Rig.Id);
        Assert.NotEmpty(
            (await second.WriteAsync(TestRecord.Draft, [known with { Name = "Mine" }], Stop)).Problems
        );
        Assert.NotEmpty(
            (
                await second.WriteAsync(
                    TestRecord.Draft,
                    [entries.Reading(TestRecord.Start.AddHours(1))],
                    Stop
                )
            ).Problems
        );
        Assert.NotEmpty(
            (
                await second.WriteAsync(
                    TestRecord.Draft,
                    [
                        new Rig
                        {
                            Id = second.Ids.Next<Rig>(),
                            Name = "Planted",
                            OrganisationId = first.Scope,
                        },
                    ],
                    Stop
                )
            ).Problems
        );
        Assert.Equal("Van 1", (await record.ReadAsync(entries.Rig.Id)).Name);
        Assert.Empty((await first.UndoAsync(TestRecord.Draft, written.Edit.Number, Stop)).Problems);
        // Of several, what is written beside the pages belongs where it refers to.
        var stage = entries.Bed with
        {
            Id = record.Store.Ids.Next<Stage>(),
        };
        Edit beside = await record.WriteAsync(stage);
        Assert.Equal(first.Scope, beside.OrganisationId);
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task Every_table_that_has_what_is_somebodys_is_kept_apart(DatabaseKind database)
    {
        await using TestRecord record = await TestRecord.OpenAsync(database);
        (LogbookStore first, _) = await TwoAsync(record);
        await using LogbookContext whole = record.Store.Read();
        await using LogbookContext own = first.Read();
        ImmutableArray<string> open =
        [
            .. own
                .Model.GetEntityTypes()
                .Where(t => t.GetDeclaredQueryFilters().Count == 0)
                .Select(t => t.ClrType.Name),
        ];
        Assert.Empty(open);
        Assert.All(whole.Model.GetEntityTypes(), t => Assert.Empty(t.GetDeclaredQueryFilters()));
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task A_key_is_known_until_it_is_revoked_and_only_its_digest_is_kept(DatabaseKind database)
    {
        await using TestRecord record = await TestRecord.OpenAsync(database);
        (LogbookStore first, LogbookStore second) = await TwoAsync(record);
        var keys = new KeyRegister(record.Store);
        (ApiKey? key, string? told, _) = await keys.AddAsync(
            "Sheet",
            Right.Log,
            first.Scope!.Value,
            Keeper,
            Stop
        );
        Assert.NotEmpty((await keys.AddAsync("Sheet", Right.Log, first.Scope.Value, Keeper, Stop)).Problems);
        Assert.Equal(key!.Id, (await keys.FindAsync(told, Stop))!.Id);
        Assert.Null(await keys.FindAsync(told![..^1] + (told[^1] is 'A' ? 'B' : 'A'), Stop));
        Assert.Null(await keys.FindAsync($"rw.{key.KeyName}.{new string('A', 43)}", Stop));
        Assert.Null(await keys.FindAsync("", Stop));
        Id<Organisation> owner = first.Scope.Value;
        Assert.False(await new KeyRegister(second).RevokeAsync("Sheet", owner, Keeper, Stop));
        Assert.False(await keys.RevokeAsync("Sheet", second.Scope!.Value, Keeper, Stop));
        Assert.NotNull(await keys.FindAsync(told, Stop));
        Assert.True(await new KeyRegister(first).RevokeAsync("Sheet", owner, Keeper, Stop));
        Assert.Null(await keys.FindAsync(told, Stop));
        Assert.Equal(32, key.KeyDigest.Length);
    }

    [Fact]
    public async Task The_audit_trail_is_only_added_to()
    {
        await using TestRecord record = await TestRecord.OpenAsync(DatabaseKind.Sqlite);
        await TwoAsync(record);
        int before = (await new AuditTrail(record.Store).ListAsync(100, Stop)).Count;
        Assert.True(before >= 2);
        await Assert.ThrowsAsync<InvalidOperationException>(() =>
            record.Store.TransactAsync(
                async (context, _) =>
                {
                    context.Remove(await context.Set<AuditLine>().FirstAsync(Stop));
                    return 0;
                },
                Stop
            )
        );
        Assert.Equal(before, (await new AuditTrail(record.Store).ListAsync(100, Stop)).Count);
    }

    private static async Task<(LogbookStore First, LogbookStore Second)> TwoAsync(TestRecord record)
    {
        var people = new PeopleRegister(record.Store);
        return (
            Within(record, await people.InviteAsync("First", Right.Manage, "First firm", Keeper, Stop)),
            Within(record, await people.InviteAsync("Second", Right.Manage, "Second firm", Keeper, Stop))
        );
    }

    private static LogbookStore Within(TestRecord record, Invitation owner) =>
        record.Store.Within(new RecordScope(owner.Account!.OrganisationId, owner.Account.Name));
}
