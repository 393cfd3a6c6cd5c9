using System.Globalization;
using System.Runtime.InteropServices;
using Rinsewright.Quantities;

namespace Rinsewright.Handouts.Report;

/// <summary>The days that a report is of, counted where the rig is.</summary>
/// <param name="From">First moment.</param>
/// <param name="To">First moment after it.</param>
[StructLayout(LayoutKind.Auto)]
public readonly record struct ReportPeriod(DateTimeOffset From, DateTimeOffset To)
{
    private const int UsualDays = 90;
    private const string Form = "yyyy-MM-dd";

    /// <summary>Reads a period: the last day is today and the first 90 days before it where none is named.</summary>
    /// <param name="from">Place and text of the first day.</param>
    /// <param name="to">Place and text of the last day.</param>
    /// <param name="zone">Time zone of the rig.</param>
    /// <param name="now">The moment of asking.</param>
    /// <param name="problems">Takes what is wrong.</param>
    public static ReportPeriod Read(
        (string Place, string? Text) from,
        (string Place, string? Text) to,
        TimeZoneInfo zone,
        DateTimeOffset now,
        List<InputProblem> problems
    )
    {
        DateOnly? first = Day(from, problems);
        DateOnly end =
            Day(to, problems) ?? DateOnly.FromDateTime(TimeZoneInfo.ConvertTime(now, zone).DateTime);
        DateOnly start = first ?? end.AddDays(1 - UsualDays);
        if (start > end)
        {
            problems.Add(
                new InputProblem(
                    from.Place,
                    start.ToString(Form, CultureInfo.InvariantCulture),
                    $"a day not after {to.Place}"
                )
            );
        }

        return new ReportPeriod(Begin(start, zone), Begin(end.AddDays(1), zone));
    }

    private static DateOnly? Day((string Place, string? Text) given, List<InputProblem> problems)
    {
        if (string.IsNullOrWhiteSpace(given.Text))
        {
            return null;
        }

        if (
            DateOnly.TryParseExact(
                given.Text,
                Form,
                CultureInfo.InvariantCulture,
                DateTimeStyles.None,
                out DateOnly day
            )
            && day > DateOnly.MinValue.AddDays(UsualDays)
            && day < DateOnly.MaxValue
        )
        {
            return day;
        }

        problems.Add(new InputProblem(given.Place, given.Text, "a day such as 2026-01-31"));
        return null;
    }

    private static DateTimeOffset Begin(DateOnly day, TimeZoneInfo zone)
    {
        var midnight = day.ToDateTime(TimeOnly.MinValue);
        return new DateTimeOffset(midnight, zone.GetUtcOffset(midnight));
    }
}
