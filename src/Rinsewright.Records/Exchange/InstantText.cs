using System.Globalization;
using System.Text;

namespace Rinsewright.Records.Exchange;

/// <summary>
/// Reads instants: ISO 8601 (date; date and time; with Z or an offset), or one declared .NET format. A time
/// without an offset is of the given zone; in the hour that comes twice in autumn it is the later one.
/// </summary>
public static class InstantText
{
    public static bool TryParse(
        ReadOnlySpan<byte> text,
        string? declaredFormat,
        TimeZoneInfo zone,
        out DateTimeOffset instant
    )
    {
        instant = default;
        if (declaredFormat is not null)
        {
            return DateTime.TryParseExact(
                    Encoding.UTF8.GetString(text).Trim(),
                    declaredFormat,
                    CultureInfo.InvariantCulture,
                    // Of a format with an offset the instant, not what clocks show where this program runs.
                    DateTimeStyles.AdjustToUniversal,
                    out DateTime declared
                )
                && (
                    declared.Kind is DateTimeKind.Utc
                        ? TryOffset("Z"u8, declared, zone, out instant)
                        : TryPlace(declared, zone, out instant)
                );
        }

        text = text.Trim((byte)' ');
        if (
            text.Length < 10
            || text[4] != '-'
            || text[7] != '-'
            || !Number(text[..4], out int year)
            || !Number(text[5..7], out int month)
            || !Number(text[8..10], out int day)
            || year < 1
            || month is < 1 or > 12
            || day < 1
            || day > DateTime.DaysInMonth(year, month)
        )
        {
            return false;
        }

        long ticks = new DateTime(year, month, day).Ticks;
        ReadOnlySpan<byte> rest = text[10..];
        if (rest.IsEmpty)
        {
            return TryPlace(new DateTime(ticks), zone, out instant);
        }

        if (
            rest.Length < 6
            || rest[0] is not ((byte)'T' or (byte)' ')
            || rest[3] != ':'
            || !Number(rest[1..3], out int hour)
            || !Number(rest[4..6], out int minute)
            || hour > 23
            || minute > 59
        )
        {
            return false;
        }

        ticks += (hour * TimeSpan.TicksPerHour) + (minute * TimeSpan.TicksPerMinute);
        rest = rest[6..];
        if (rest.Length >= 3 && rest[0] == ':')
        {
            if (!Number(rest[1..3], out int second) || second > 59)
            {
                return false;
            }

            ticks += second * TimeSpan.TicksPerSecond;
            rest = rest[3..];
            if (rest.Length >= 2 && rest[0] is (byte)'.' or (byte)',')
            {
                int end = 1;
                long unit = TimeSpan.TicksPerSecond;
                for (; end < rest.Length && rest[end] is >= (byte)'0' and <= (byte)'9'; end++)
                {
                    unit /= 10;
                    ticks += (rest[end] - '0') * unit;
                }

                if (end == 1)
                {
                    return false;
                }

                rest = rest[end..];
            }
        }

        return TryOffset(rest, new DateTime(ticks), zone, out instant);
    }

    private static bool TryOffset(
        ReadOnlySpan<byte> rest,
        DateTime local,
        TimeZoneInfo zone,
        out DateTimeOffset instant
    )
    {
        instant = default;
        if (rest.IsEmpty)
        {
            return TryPlace(local, zone, out instant);
        }

        if (rest.Length == 1 && rest[0] is (byte)'Z' or (byte)'z')
        {
            instant = new DateTimeOffset(local, TimeSpan.Zero);
            return true;
        }

        int hours = 0;
        int minutes = 0;
        bool isOffset =
            rest[0] is (byte)'+' or (byte)'-'
            && rest.Length switch
            {
                3 => Number(rest[1..3], out hours),
                5 => Number(rest[1..3], out hours) && Number(rest[3..5], out minutes),
                6 => Number(rest[1..3], out hours) && rest[3] == ':' && Number(rest[4..6], out minutes),
                _ => false,
            };
        if (!isOffset || hours > 14 || minutes > 59)
        {
            return false;
        }

        long offset = (hours * TimeSpan.TicksPerHour) + (minutes * TimeSpan.TicksPerMinute);
        long utc = rest[0] == '-' ? local.Ticks + offset : local.Ticks - offset;
        if (utc < 0 || utc > DateTime.MaxValue.Ticks)
        {
            return false;
        }

        instant = new DateTimeOffset(utc, TimeSpan.Zero);
        return true;
    }

    private static bool TryPlace(DateTime local, TimeZoneInfo zone, out DateTimeOffset instant)
    {
        instant = default;
        if (zone.IsInvalidTime(local))
        {
            return false;
        }

        long utc = local.Ticks - zone.GetUtcOffset(local).Ticks;
        if (utc < 0 || utc > DateTime.MaxValue.Ticks)
        {
            return false;
        }

        instant = new DateTimeOffset(utc, TimeSpan.Zero);
        return true;
    }

    private static bool Number(ReadOnlySpan<byte> digits, out int number)
    {
        number = 0;
        foreach (byte digit in digits)
        {
            if (digit is < (byte)'0' or > (byte)'9')
            {
                return false;
            }

            number = (number * 10) + (digit - '0');
        }

        return true;
    }
}
