namespace Rinsewright.Records.Logbook;

/// <summary>Instants of the record: UTC, whole milliseconds, so that every database gives back what was written.</summary>
public static class Instant
{
    /// <summary>The same instant in UTC, rounded to the nearest millisecond (halves up).</summary>
    public static DateTimeOffset Round(DateTimeOffset instant)
    {
        long ticks = instant.UtcTicks + (TimeSpan.TicksPerMillisecond / 2);
        ticks -= ticks % TimeSpan.TicksPerMillisecond;
        return new DateTimeOffset(Math.Min(ticks, DateTimeOffset.MaxValue.UtcTicks), TimeSpan.Zero);
    }

    /// <summary>The present instant of <paramref name="clock"/>, rounded.</summary>
    public static DateTimeOffset Now(TimeProvider clock) => Round(clock.GetUtcNow());
}
