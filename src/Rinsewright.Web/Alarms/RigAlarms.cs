using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Rinsewright.Records.Alarms;
using Rinsewright.Records.Forecasts;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Records.Trust;
using Rinsewright.Treatment;
using Rinsewright.Web.Estimates;
using Rinsewright.Web.People;
using Rig = Rinsewright.Records.Logbook.Rig;

namespace Rinsewright.Web.Alarms;

/// <summary>
/// Looks at one rig: its last reading behind the bed, what was forecast of it last, its raw water. It rests on the record alone, so
/// that whoever looks finds the same.
/// </summary>
internal sealed class RigAlarms([FromKeyedServices(PeopleHosting.Whole)] LogbookStore store, AlarmBook book)
{
    private const double Percent = 100;
    private const string StrengthUnit = "µS/cm";
    private const int BeforeReadings = 3; // fewer say nothing of what is usual (our choice)
    private static readonly TimeSpan Lately = TimeSpan.FromDays(2);
    private static readonly TimeSpan Before = TimeSpan.FromDays(28);

    private static readonly AlarmKind[] OfTheFill = [AlarmKind.Line, AlarmKind.Chance, AlarmKind.Due];

    /// <summary>Raises what is to be raised of a rig, and ends what is over.</summary>
    /// <exception cref="RecordUnavailableException">The record cannot be read or written.</exception>
    public async Task LookAsync(Id<Rig> rig, CancellationToken cancel)
    {
        IReadOnlyList<Alarm> open = await book.OpenAsync(rig, cancel);
        DateTimeOffset now = store.Clock.GetUtcNow();
        RigHistory? history;
        KeptForecast? forecast = null;
        await using (LogbookContext context = store.Read())
        {
            history = await RigHistory.LoadAsync(context, rig, now, cancel);
            if (history?.Polisher is { } bed && bed.FillAt(now) is { Fill.Id: var fill })
            {
                string line = ForecastLines.Of(bed.Stage).Text;
                forecast = await context
                    .Live<KeptForecast>()
                    .Where(f => f.RigId == rig && f.FillId == fill && f.Line == line)
                    .OrderByDescending(f => f.At)
                    .FirstOrDefaultAsync(cancel);
            }
        }

        if (history is null)
        {
            await book.ApplyAsync(open.Where(a => a.DeviceId is null).Select(Finding.Over), cancel);
            return;
        }

        RuleBook rules = await book.RulesAsync(cancel);
        await book.ApplyAsync(Findings(history, forecast, open, rules, now), cancel);
    }

    internal static IEnumerable<Finding> Findings(
        RigHistory history,
        KeptForecast? forecast,
        IReadOnlyList<Alarm> open,
        RuleBook rules,
        DateTimeOffset now
    )
    {
        var outlook = new Outlook { History = history, Now = now };
        var place = new AlarmPlace(history.Rig.OrganisationId, history.Rig.Id, null);
        AlarmRule Rule(AlarmKind kind) => rules.For(kind, place);
        HashSet<AlarmKind> looked = [];
        Guid? present = null;
        if (outlook is { Bed: { } bed, Fill: { Fill.Id.Value: var fill } })
        {
            present = fill;
            if (Line(outlook, bed.Stage) is var (seen, line, unit))
            {
                AlarmRule rule = Rule(AlarmKind.Line);
                looked.Add(AlarmKind.Line);
                yield return Finding.Of(place, rule, fill, Percent * seen / line) with
                {
                    Seen = seen,
                    Limit = line * rule.Limit / Percent,
                    Unit = unit,
                };
            }

            if (forecast is not null)
            {
                looked.UnionWith([AlarmKind.Chance, AlarmKind.Due]);
                yield return Finding.Of(place, Rule(AlarmKind.Chance), fill, Percent * forecast.PassedNow);
                double? middle = forecast.DaysQuantiles_d[KeptForecast.QuantileCount / 2];
                yield return Finding.Of(
                    place,
                    Rule(AlarmKind.Due),
                    fill,
                    Math.Max(0, (middle ?? double.PositiveInfinity) - (now - forecast.At).TotalDays)
                );
            }
        }

        // The fill is out, or what an alarm rested on is no longer there: a reading undone, a bed taken out of the rig.
        foreach (
            Alarm old in open.Where(a =>
                OfTheFill.Contains(a.Kind) && (a.Subject != present || !looked.Contains(a.Kind))
            )
        )
        {
            yield return Finding.Over(old);
        }

        if (Feed(history, now) is var (lately, before))
        {
            yield return Finding.Of(
                place,
                Rule(AlarmKind.Feed),
                history.Rig.Id.Value,
                Percent * ((Math.Max(lately, before) / Math.Min(lately, before)) - 1)
            ) with
            {
                Seen = lately,
                Limit = before,
                Unit = StrengthUnit,
            };
        }
    }

    /// <summary>The last reading behind the bed that nothing is known against, and the line, both as the reading was taken.</summary>
    private static (double Seen, double Line, string Unit)? Line(Outlook outlook, Records.Logbook.Stage stage)
    {
        if (outlook.OutletReads.LastOrDefault(IsSound) is not { Corrected: { } corrected } last)
        {
            return null;
        }

        ChangeOutLine line = ForecastLines.Of(stage);
        double factor = outlook.MeterFactor;
        double strength = corrected.Conductance_uS_cm.Mean;
        return line.Kind switch
        {
            LineKind.MeterReading => (factor * strength, line.Value, "ppm"),
            LineKind.Conductivity when last.Reading.Measurand is Measurand.DissolvedSolids => (
                factor * strength,
                factor * line.Value,
                "ppm"
            ),
            LineKind.Conductivity => (strength, line.Value, StrengthUnit),
            _ => null,
        };
    }

    /// <summary>Median strength of the raw water lately and in the weeks before [µS/cm]; nothing where too little was read.</summary>
    private static (double Lately, double Before)? Feed(RigHistory history, DateTimeOffset now)
    {
        TrustedReading[] read =
        [
            .. history
                .StrengthAt(Place.Source)
                .Where(r => IsSound(r) && !r.Reading.IsBelowLimit && r.Reading.At <= now),
        ];
        double? lately = Median(read.Where(r => r.Reading.At > now - Lately), least: 1);
        double? before = Median(
            read.Where(r => r.Reading.At <= now - Lately && r.Reading.At > now - Lately - Before),
            BeforeReadings
        );
        return lately is > 0 && before is > 0 ? (lately.Value, before.Value) : null;
    }

    private static double? Median(IEnumerable<TrustedReading> readings, int least)
    {
        double[] sorted = [.. readings.Select(r => r.Corrected!.Conductance_uS_cm.Mean).Order()];
        return sorted.Length < least
            ? null
            : (sorted[(sorted.Length - 1) / 2] + sorted[sorted.Length / 2]) / 2;
    }

    // A dirty cup or a display that still moves is no reason to wake anybody.
    private static bool IsSound(TrustedReading reading) =>
        !reading.Remarks.Any(r => r.Fault is ReadingFault.Contaminated or ReadingFault.Unsettled);
}
