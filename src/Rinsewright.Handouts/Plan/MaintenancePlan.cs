using System.Globalization;
using System.Text.RegularExpressions;
using Rinsewright.Forecasting;
using Rinsewright.Quantities;
using Rinsewright.Records.Forecasts;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Trust;
using Rinsewright.Treatment;
using Stage = Rinsewright.Records.Logbook.Stage;

namespace Rinsewright.Handouts.Plan;

/// <summary>Which half of the earth a rig stands on, for frost and warmth.</summary>
public enum Hemisphere
{
    /// <summary>Winter around January.</summary>
    North,

    /// <summary>Winter around July.</summary>
    South,

    /// <summary>No winter.</summary>
    Tropics,
}

/// <summary>
/// What must be done to a rig and when. Intervals that no forecast gives are common practice, no source; what the owner wrote down
/// goes before them.
/// </summary>
/// <param name="Rig">Name of the rig.</param>
/// <param name="At">The moment it was made.</param>
/// <param name="Duties">The duties, the next first.</param>
public sealed partial record MaintenancePlan(string Rig, DateTimeOffset At, IReadOnlyList<Duty> Duties)
{
    // Common practice, no source.
    private const int FlushDays = 7;
    private const int SanitiseMonths = 6;
    private const int SealMonths = 12;
    private const int HousingYears = 10;
    private const int FarthestDays = 3650;
    private const double DaysPerWeek = 7;

    /// <summary>Makes the plan.</summary>
    /// <param name="history">The record of the rig.</param>
    /// <param name="own">What the owner wrote down for it.</param>
    /// <param name="left">What the forecast says is left in its last bed, where there is one.</param>
    /// <param name="at">The moment.</param>
    /// <param name="hemisphere">Where it stands.</param>
    public static MaintenancePlan Of(
        RigHistory history,
        IReadOnlyList<Upkeep> own,
        LineOutlook? left,
        DateTimeOffset at,
        Hemisphere hemisphere
    )
    {
        DateOnly today = Day(at, history.Zone);
        List<Duty> duties =
        [
            .. ChangesOf(history, left, at, today),
            .. StagesOf(history, today),
            .. RoundsOf(history, own, today),
            .. SeasonsOf(history, hemisphere, today),
            .. MetersOf(history, at, today),
            .. own.Select(u => OwnOf(u, today)),
        ];
        return new MaintenancePlan(history.Rig.Name, at, [.. duties.OrderBy(d => d.On)]);
    }

    /// <summary>
    /// The half of the earth that a time zone lies in, by when its clocks are put forward; north where they never are, which
    /// should be said.
    /// </summary>
    public static Hemisphere HemisphereOf(TimeZoneInfo zone, int year)
    {
        TimeSpan Offset(int month) =>
            zone.GetUtcOffset(new DateTimeOffset(year, month, 1, 0, 0, 0, TimeSpan.Zero));
        return Offset(1) > Offset(7) ? Hemisphere.South : Hemisphere.North;
    }

    private static IEnumerable<Duty> ChangesOf(
        RigHistory history,
        LineOutlook? forecast,
        DateTimeOffset at,
        DateOnly today
    )
    {
        if (forecast is not { } left || history.Polisher is not { } bed || bed.FillAt(at) is not { } fill)
        {
            yield break;
        }

        Stage stage = bed.Stage;
        ChangeOutLine line = ForecastLines.Of(stage);
        DateOnly? In(double weeks) =>
            weeks * DaysPerWeek < FarthestDays ? Day(at.AddDays(DaysPerWeek * weeks), history.Zone) : null;
        if (In(left.Weeks.Median) is not { } on)
        {
            yield break;
        }

        string range = Invariant(
            $"About {left.Liters.Median:#,0} litres are left to {line.Text} ({OpenRange.Of(left.Liters.P05, left.Liters.P95, l => Invariant($"{l:#,0}"))}); nine times in ten the day lies from {Written(In(left.Weeks.P05))} to {Written(In(left.Weeks.P95))}."
        );
        yield return new Duty(
            DutyKind.ChangeBed,
            fill.Fill.Id.Value,
            on < today ? today : on,
            Sentence.Of($"{history.Rig.Name}: change the resin of {stage.Name}"),
            $"{range} A forecast: read the outlet before you change. Have resin at hand. {CautionTexts.Pressure} Grease the seal with silicone only. {CautionTexts.Regeneration} {CautionTexts.Disposal}"
        )
        {
            RemindDays = 7,
        };
    }

    private static IEnumerable<Duty> StagesOf(RigHistory history, DateOnly today)
    {
        foreach (StageHistory stage in history.Stages)
        {
            double? months =
                stage.Designed?.LongestServiceMonths
                ?? stage.Stage.Kind switch
                {
                    StageKind.Sediment or StageKind.CarbonBlock => Treatment.Stage.UsualFilterMonths,
                    StageKind.ReverseOsmosis => Treatment.Stage.UsualMembraneMonths,
                    _ => (double?)null,
                };
            if (months is { } every)
            {
                DateOnly? since = stage.Present is { } fill ? Day(fill.Fill.PutInAt, history.Zone) : null;
                yield return new Duty(
                    DutyKind.ChangeStage,
                    stage.Present?.Fill.Id.Value ?? stage.Stage.Id.Value,
                    since is { } day ? Later(day.AddMonths((int)Math.Round(every)), today) : today,
                    Sentence.Of($"{history.Rig.Name}: change {stage.Stage.Name}"),
                    Invariant(
                        $"{(since is null ? "When it was put in is not written down: log it, or change it" : $"In since {Written(since)}")}; by the calendar every {every:0} months{(stage.Stage.Kind is StageKind.CarbonBlock ? ", even when chlorine still reads zero" : "")}. {CautionTexts.Pressure} {CautionTexts.Disinfectant}"
                    )
                )
                {
                    RemindDays = 7,
                };
            }

            if (stage.Fills.Count > 0)
            {
                DateOnly first = Day(stage.Fills[0].Fill.PutInAt, history.Zone);
                yield return new Duty(
                    DutyKind.HousingAge,
                    stage.Stage.Id.Value,
                    Later(first.AddYears(HousingYears), today),
                    Sentence.Of($"{history.Rig.Name}: renew the housing of {stage.Stage.Name}"),
                    Invariant(
                        $"First filled {first:yyyy-MM-dd}. Plastic housings tire with every change of pressure: renew them after ten years, or what their maker says if that is sooner. {CautionTexts.Pressure}"
                    )
                )
                {
                    RemindDays = 30,
                };
            }
        }
    }

    private static IEnumerable<Duty> RoundsOf(RigHistory history, IReadOnlyList<Upkeep> own, DateOnly today)
    {
        Guid rig = history.Rig.Id.Value;
        string name = history.Rig.Name;
        bool Has(params ReadOnlySpan<string> words)
        {
            foreach (string word in words)
            {
                if (own.Any(u => u.Name.Contains(word, StringComparison.OrdinalIgnoreCase)))
                {
                    return true;
                }
            }

            return false;
        }

        if (!Has("flush"))
        {
            yield return new Duty(
                DutyKind.Flush,
                rig,
                today.AddDays(FlushDays),
                Sentence.Of($"{name}: flush"),
                $"Run the first litres to waste after it has stood. {CautionTexts.Disinfectant}"
            )
            {
                EveryDays = FlushDays,
            };
        }

        if (!Has("sanit", "disinfect"))
        {
            yield return new Duty(
                DutyKind.Sanitise,
                rig,
                today.AddMonths(SanitiseMonths),
                Sentence.Of($"{name}: sanitise the housings"),
                $"With the cartridges out, as the housing's maker says; rinse until no disinfectant is left, which harms resin. {CautionTexts.Pressure} {CautionTexts.Disinfectant}"
            )
            {
                EveryMonths = SanitiseMonths,
            };
        }

        if (!own.Any(u => Seals().IsMatch(u.Name)))
        {
            yield return new Duty(
                DutyKind.Seals,
                rig,
                today.AddMonths(SealMonths),
                Sentence.Of($"{name}: look at the O-rings"),
                $"Clean, grease with silicone, renew what is flat, nicked or hard. {CautionTexts.Pressure}"
            )
            {
                EveryMonths = SealMonths,
            };
        }
    }

    private static IEnumerable<Duty> SeasonsOf(RigHistory history, Hemisphere hemisphere, DateOnly today)
    {
        if (hemisphere is Hemisphere.Tropics)
        {
            yield return new Duty(
                DutyKind.Warmth,
                history.Rig.Id.Value,
                today.AddMonths(1),
                Sentence.Of($"{history.Rig.Name}: hygiene in the heat"),
                $"{CautionTexts.Warmth} {CautionTexts.Disinfectant}"
            )
            {
                EveryMonths = 1,
            };
            yield break;
        }

        bool isNorth = hemisphere is Hemisphere.North;
        DateOnly Next(int month)
        {
            int there = isNorth ? month : ((month + 5) % 12) + 1;
            var day = new DateOnly(today.Year, there, 1);
            return day < today ? day.AddYears(1) : day;
        }

        Guid rig = history.Rig.Id.Value;
        string name = history.Rig.Name;
        yield return new Duty(
            DutyKind.Frost,
            rig,
            Next(11),
            Sentence.Of($"{name}: before the frost"),
            $"{CautionTexts.Frost} {CautionTexts.Pressure}"
        )
        {
            EveryMonths = 12,
            RemindDays = 14,
        };
        yield return new Duty(
            DutyKind.Thaw,
            rig,
            Next(3),
            Sentence.Of($"{name}: after the frost"),
            $"Look for cracks in housings, heads and hoses before you put pressure on them, then flush. {CautionTexts.Pressure}"
        )
        {
            EveryMonths = 12,
        };
        yield return new Duty(
            DutyKind.Warmth,
            rig,
            Next(6),
            Sentence.Of($"{name}: hygiene in the warm months"),
            $"{CautionTexts.Warmth} {CautionTexts.Disinfectant}"
        )
        {
            EveryMonths = 12,
        };
    }

    private static IEnumerable<Duty> MetersOf(RigHistory history, DateTimeOffset at, DateOnly today)
    {
        foreach (
            Id<Meter> id in history
                .Readings.Where(r => r.Corrected is not null)
                .Select(r => r.Reading.MeterId)
                .OfType<Id<Meter>>()
                .Distinct()
        )
        {
            MeterTrust trust = history.Meters[id];
            MeterVerdict verdict = trust.Verdict(at);
            DateOnly due = verdict.CheckBy is { } by ? Day(by, history.Zone) : today;
            yield return new Duty(
                DutyKind.MeterCheck,
                id.Value,
                Later(due, today),
                Sentence.Of($"Check {trust.Meter!.Name} in a reference solution"),
                $"{verdict.Says} {verdict.Advice}"
            );
        }
    }

    private static Duty OwnOf(Upkeep upkeep, DateOnly today)
    {
        DateOnly next = upkeep.LastDoneOn?.AddDays(upkeep.EveryDays) ?? today;
        return new Duty(
            DutyKind.Own,
            upkeep.Id.Value,
            Later(next, today),
            Sentence.Written(upkeep.Name),
            upkeep.LastDoneOn is { } last
                ? Invariant(
                    $"Last done {last:yyyy-MM-dd}, every {upkeep.EveryDays} days. {CautionTexts.Pressure} {CautionTexts.Disinfectant}"
                )
                : Invariant(
                    $"Every {upkeep.EveryDays} days. {CautionTexts.Pressure} {CautionTexts.Disinfectant}"
                )
        )
        {
            EveryDays = upkeep.EveryDays,
        };
    }

    private static DateOnly Later(DateOnly day, DateOnly today) => day < today ? today : day;

    private static DateOnly Day(DateTimeOffset at, TimeZoneInfo zone) =>
        DateOnly.FromDateTime(TimeZoneInfo.ConvertTime(at, zone).DateTime);

    private static string Written(DateOnly? day) =>
        day?.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture) ?? "beyond ten years";

    /// <summary>Whole words: a "Spring clean" is no look at the rings.</summary>
    [GeneratedRegex(
        @"\b(?:o?rings?|seals?)\b",
        RegexOptions.IgnoreCase | RegexOptions.CultureInvariant,
        1000
    )]
    private static partial Regex Seals();

    private static string Invariant(FormattableString text) => FormattableString.Invariant(text);
}
