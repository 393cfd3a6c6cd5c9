using System.Globalization;
using System.Text.Json;
using Rinsewright.App.Tests.CommandLine;
using Rinsewright.Cli;
using Rinsewright.Handouts.Plan;
using Rinsewright.Quantities;

namespace Rinsewright.App.Tests.Handouts;

public sealed class CalendarTests
{
    private static readonly DateTimeOffset At = new(2026, 2, 28, 12, 0, 0, TimeSpan.Zero);

    private static MaintenancePlan PlanOf(int days, string text = "because; of, it\nand so on – µS/cm") =>
        new(
            "Rig",
            At,
            [
                new Duty(
                    DutyKind.ChangeBed,
                    Guid.Empty,
                    new DateOnly(2026, 3, 1).AddDays(days),
                    Sentence.Of("Change it"),
                    text
                ),
                new Duty(
                    DutyKind.Flush,
                    Guid.Empty,
                    new DateOnly(2026, 3, 7),
                    Sentence.Of("Flush"),
                    new string('µ', 200)
                )
                {
                    EveryDays = 7,
                },
            ]
        );

    [Fact]
    public async Task A_rig_s_calendar_holds_to_the_rules_and_has_every_duty_with_its_cautions()
    {
        using DemoHome home = await DemoHome.FilledAsync();
        using var folder = new TempFolder();
        string path = folder.PathOf("plan.ics");
        string[] words = ["calendar", "Van 1", "--at", "2026-02-28 12:00", "--output", path, "--json"];
        CliRun run = await home.RunAsync(words);
        Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
        Schema.AssertListed("calendar.schema.json", run.Json);
        CalendarFile calendar = CalendarFile.Read(path);
        Assert.Equal(
            run.Json.GetProperty("duties").EnumerateArray().Select(d => d.GetProperty("uid").GetString()!),
            calendar.Events.Select(e => e.Value("UID")),
            StringComparer.Ordinal
        );
        Assert.Equal(
            calendar
                .Events.Select(e =>
                    $"{e.Value("UID")} {e.Value("DTSTART")} {e.Value("SEQUENCE")} {Plain(e.Value("SUMMARY"))}"
                )
                .ToArray(),
            OtherCalendarReader.Read(path),
            StringComparer.Ordinal
        );
        string kinds = string.Join(
            ' ',
            run.Json.GetProperty("duties").EnumerateArray().Select(d => d.GetProperty("kind").GetString())
        );
        foreach (DutyKind kind in Enum.GetValues<DutyKind>().Except([DutyKind.Flush, DutyKind.Sanitise]))
        {
            Assert.Contains(kind.ToString().ToLowerInvariant(), kinds, StringComparison.Ordinal);
        }

        JsonElement change = run
            .Json.GetProperty("duties")
            .EnumerateArray()
            .Single(d => d.GetProperty("kind").GetString() is "changebed");
        Assert.InRange(
            DateOnly.Parse(change.GetProperty("on").GetString()!, CultureInfo.InvariantCulture),
            new DateOnly(2026, 2, 28),
            new DateOnly(2027, 2, 28)
        );
        Assert.Contains(
            "Relieve the pressure",
            change.GetProperty("text").GetString(),
            StringComparison.Ordinal
        );

        string before = await File.ReadAllTextAsync(path, TestContext.Current.CancellationToken);
        Assert.Equal(ExitCode.Done, (await home.RunAsync(words)).ExitCode);
        Assert.Equal(before, await File.ReadAllTextAsync(path, TestContext.Current.CancellationToken));
    }

    private static string Plain(string text) => text.Replace("\\", "", StringComparison.Ordinal);

    [Fact]
    public void An_entry_that_moves_keeps_its_identity_and_counts_up_and_the_others_stay()
    {
        using var folder = new TempFolder();
        string first = PlanCalendar.Write(PlanOf(0), revision: 7);
        string moved = PlanCalendar.Write(PlanOf(3), revision: 9, first);
        string still = PlanCalendar.Write(PlanOf(3), revision: 12, moved);
        CalendarPart[][] read =
        [
            .. new[] { first, moved, still }.Select(text =>
                CalendarFile.Read(folder.Write($"{Guid.NewGuid()}.ics", text)).Events.ToArray()
            ),
        ];
        Assert.All(
            read,
            events =>
                Assert.Equal(
                    read[0].Select(e => e.Value("UID")),
                    events.Select(e => e.Value("UID")),
                    StringComparer.Ordinal
                )
        );
        Assert.Equal(["7", "8", "8"], read.Select(e => e[0].Value("SEQUENCE")), StringComparer.Ordinal);
        Assert.Equal(["7", "7", "7"], read.Select(e => e[1].Value("SEQUENCE")), StringComparer.Ordinal);
        Assert.Equal(
            ["20260301", "20260304", "20260304"],
            read.Select(e => e[0].Value("DTSTART")),
            StringComparer.Ordinal
        );
        Assert.Equal(@"because\; of\, it\nand so on – µS/cm", read[0][0].Value("DESCRIPTION"));
        Assert.Equal(new string('µ', 200), read[0][1].Value("DESCRIPTION"));
        Assert.Equal("FREQ=DAILY;INTERVAL=7", read[0][1].Value("RRULE"));
    }

    [Fact]
    public void The_half_of_the_earth_follows_from_the_time_zone()
    {
        Assert.Equal(
            Hemisphere.North,
            MaintenancePlan.HemisphereOf(TimeZoneInfo.FindSystemTimeZoneById("Europe/Vienna"), 2026)
        );
        Assert.Equal(
            Hemisphere.South,
            MaintenancePlan.HemisphereOf(TimeZoneInfo.FindSystemTimeZoneById("Pacific/Auckland"), 2026)
        );
    }

    [Theory]
    [InlineData("north", "frost", "2026-11-01")]
    [InlineData("south", "frost", "2026-05-01")]
    [InlineData("south", "warmth", "2026-12-01")]
    [InlineData("tropics", "warmth", "2026-03-28")]
    public async Task The_seasons_are_those_of_the_place(string hemisphere, string kind, string day)
    {
        using DemoHome home = await DemoHome.FilledAsync();
        CliRun run = await home.RunAsync(
            "calendar",
            "Van 2",
            "--at",
            "2026-02-28 12:00",
            "--hemisphere",
            hemisphere,
            "--json"
        );
        Assert.Equal((ExitCode.Done, ""), (run.ExitCode, run.Error));
        JsonElement duty = run
            .Json.GetProperty("duties")
            .EnumerateArray()
            .Single(d => d.GetProperty("kind").ValueEquals(kind));
        Assert.Equal(day, duty.GetProperty("on").GetString());
    }
}
