using System.Text;
using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Exchange;

/// <summary>Reads what people write in forms and on command lines: the value, or nothing and a problem.</summary>
public static class WrittenText
{
    /// <summary>A quantity with its unit; nothing when none was given.</summary>
    public static T? Quantity<T>(string place, string? text, ProblemList problems)
        where T : struct, IQuantity<T>
    {
        if (string.IsNullOrWhiteSpace(text))
        {
            return null;
        }

        if (QuantityText.TryParseExactly(place, text, out T value, out InputProblem? problem))
        {
            return value;
        }

        problems.Add(problem);
        return null;
    }

    /// <summary>What was measured, by its name.</summary>
    public static Measurand? WhatOf(string place, string text, ProblemList problems)
    {
        Measurand found = MeasurandText
            .Names.FirstOrDefault(n => string.Equals(n.Name, text.Trim(), StringComparison.OrdinalIgnoreCase))
            .Measurand;
        if (found != default)
        {
            return found;
        }

        problems.Add(place, text, $"{string.Join(", ", MeasurandText.Names.Select(n => n.Name))}");
        return null;
    }

    /// <summary>A value of a measurand with its unit.</summary>
    public static WrittenValue? Value(string place, Measurand measurand, string text, ProblemList problems)
    {
        if (
            MeasurandText.TryParse(place, measurand, text, out WrittenValue? value, out InputProblem? problem)
        )
        {
            return value;
        }

        problems.Add(problem);
        return null;
    }

    /// <summary>An instant, in the rig's time zone where it says no offset; now when none was given.</summary>
    public static DateTimeOffset At(
        string place,
        string? text,
        Rig? rig,
        TimeProvider clock,
        ProblemList problems
    )
    {
        if (string.IsNullOrWhiteSpace(text))
        {
            return Instant.Now(clock);
        }

        TimeZoneInfo zone =
            rig is not null && TimeZoneInfo.TryFindSystemTimeZoneById(rig.TimeZone, out TimeZoneInfo? found)
                ? found
                : TimeZoneInfo.Utc;
        if (!InstantText.TryParse(Encoding.UTF8.GetBytes(text), null, zone, out DateTimeOffset at))
        {
            problems.Add(
                place,
                text,
                "a date and time such as \"2026-03-31 14:05\", one that the clock showed there"
            );
        }

        return at;
    }
}
