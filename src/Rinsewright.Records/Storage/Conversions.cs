using System.Globalization;
using Microsoft.EntityFrameworkCore.Storage.ValueConversion;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Storage;

/// <summary>Ids as native UUIDs (PostgreSQL).</summary>
internal sealed class IdToGuid<T>() : ValueConverter<Id<T>, Guid>(id => id.Value, value => new Id<T>(value))
    where T : Entry<T>;

/// <summary>Ids as 16 bytes in network order (SQLite), so that the order of the bytes is the order of time.</summary>
internal sealed class IdToBytes<T>()
    : ValueConverter<Id<T>, byte[]>(
        id => id.Value.ToByteArray(true),
        bytes => new Id<T>(new Guid(bytes, true))
    )
    where T : Entry<T>;

/// <summary>UUIDs as 16 bytes in network order (SQLite).</summary>
internal sealed class GuidToBytes()
    : ValueConverter<Guid, byte[]>(value => value.ToByteArray(true), bytes => new Guid(bytes, true));

/// <summary>Instants as whole milliseconds since 1970-01-01T00:00Z (SQLite), which order and compare as numbers.</summary>
internal sealed class InstantToMilliseconds()
    : ValueConverter<DateTimeOffset, long>(
        instant => instant.ToUnixTimeMilliseconds(),
        milliseconds => DateTimeOffset.FromUnixTimeMilliseconds(milliseconds)
    );

/// <summary>Decimals as their digits (SQLite has no decimals), trailing zeros kept.</summary>
internal sealed class DecimalToText()
    : ValueConverter<decimal, string>(
        value => value.ToString(CultureInfo.InvariantCulture),
        text => decimal.Parse(text, CultureInfo.InvariantCulture)
    );
