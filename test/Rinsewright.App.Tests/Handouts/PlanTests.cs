using Rinsewright.App.Tests.Records;
using Rinsewright.Forecasting;
using Rinsewright.Handouts.Plan;
using Rinsewright.Quantities;
using Rinsewright.Records.Forecasts;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.App.Tests.Handouts;

/// <summary>What is planned for a rig, and the calendar that it is written to once more.</summary>
public sealed class PlanTests
{
    [Fact]
    public async Task Own_duties_stand_in_for_those_of_their_name_and_an_open_range_says_or_more()
    {
        await using TestRecord record = await TestRecord.OpenAsync(DatabaseKind.Sqlite);
        var entries = new Entries(record.Store.Ids);
        Stage sediment = entries.Bed with
        {
            Id = record.Store.Ids.Next<Stage>(),
            Name = "Sediment",
            Position = 1,
            Kind = StageKind.Sediment,
        };
        Stage carbon = sediment with
        {
            Id = record.Store.Ids.Next<Stage>(),
            Name = "Carbon",
            Position = 3,
            Kind = StageKind.CarbonBlock,
        };
        var fill = new Fill
        {
            Id = record.Store.Ids.Next<Fill>(),
            StageId = entries.Bed.Id,
            Medium = "resin",
            PutInAt = TestRecord.Start.AddDays(-9),
        };
        await record.WriteAsync([.. entries.Basis, sediment, carbon, fill]);
        await using LogbookContext context = record.Store.Read();
        RigHistory history = (
            await RigHistory.LoadAsync(context, entries.Rig.Id, cancel: TestContext.Current.CancellationToken)
        )!;
        const double Never = double.PositiveInfinity;
        var left = new LineOutlook(
            ForecastLines.Of(entries.Bed),
            [700, 700, 900, 900, Never],
            [7, 7, 9, 9, Never],
            0
        );
        MaintenancePlan Plan(string own) =>
            MaintenancePlan.Of(
                history,
                [
                    new Upkeep
                    {
                        Id = record.Store.Ids.Next<Upkeep>(),
                        RigId = entries.Rig.Id,
                        Name = own,
                        EveryDays = 90,
                    },
                ],
                left,
                TestRecord.Start,
                Hemisphere.North
            );

        foreach (string own in (string[])["Spring clean", "Sealant on the roof"])
        {
            Assert.Contains(Plan(own).Duties, d => d.Kind is DutyKind.Seals);
        }

        foreach (string own in (string[])["Grease the o-rings", "O ring", "Seals of all housings"])
        {
            Assert.DoesNotContain(Plan(own).Duties, d => d.Kind is DutyKind.Seals);
        }

        MaintenancePlan plan = Plan("Spring clean");
        Assert.Contains(
            "(700 or more)",
            plan.Duties.Single(d => d.Kind is DutyKind.ChangeBed).Text,
            StringComparison.Ordinal
        );
        Assert.Equal(
            ["change Carbon"],
            plan.Duties.Where(d => d.Text.Contains("chlorine still reads zero", StringComparison.Ordinal))
                .Select(d => $"{d.Summary}".Split(": ")[1]),
            StringComparer.Ordinal
        );
    }

    [Fact]
    public void Of_entries_that_share_an_identity_the_last_is_followed()
    {
        string first = PlanCalendar.Write(PlanOn(new DateOnly(2026, 3, 1)), revision: 7);
        int begin = first.IndexOf("BEGIN:VEVENT", StringComparison.Ordinal);
        int end = first.IndexOf("END:VCALENDAR", StringComparison.Ordinal);
        string again = first[begin..end].Replace("SEQUENCE:7", "SEQUENCE:20", StringComparison.Ordinal);
        string twice = first.Insert(end, again);
        Assert.True(PlanCalendar.CanRenew(twice));
        Assert.Contains(
            "SEQUENCE:21",
            PlanCalendar.Write(PlanOn(new DateOnly(2026, 3, 4)), revision: 9, twice),
            StringComparison.Ordinal
        );
    }

    [Theory]
    [InlineData("")]
    [InlineData("a shopping list\nmilk")]
    [InlineData("{ \"json\": true }")]
    public void What_is_no_calendar_is_not_renewed(string text) => Assert.False(PlanCalendar.CanRenew(text));

    private static MaintenancePlan PlanOn(DateOnly day) =>
        new(
            "Rig",
            new DateTimeOffset(2026, 2, 28, 12, 0, 0, TimeSpan.Zero),
            [new Duty(DutyKind.ChangeBed, Guid.Empty, day, Sentence.Of("Change it"), "because")]
        );
}
