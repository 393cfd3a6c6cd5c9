namespace Rinsewright.Quantities;

/// <summary>How a text states a value.</summary>
public enum StatementKind
{
    /// <summary>One value: "62 mg/L".</summary>
    Exactly,

    /// <summary>Less than a reporting limit: "&lt;0.05 mg/L".</summary>
    Below,

    /// <summary>A range, with or without its mean: "40-71 mg/L", "40-55-71 mg/L".</summary>
    Between,
}

/// <summary>A value as a report states it.</summary>
/// <typeparam name="T">The quantity, or a bare number for pH.</typeparam>
/// <param name="Kind">How it is stated.</param>
/// <param name="Low">The value, or the least of the range; the least possible value for a limit.</param>
/// <param name="Middle">The mean or usual value inside a range, when stated.</param>
/// <param name="High">The value, the greatest of the range, or the limit.</param>
/// <param name="LastDigit">What one step of the last digit written is worth [SI unit of the quantity].</param>
public readonly record struct Stated<T>(StatementKind Kind, T Low, T? Middle, T High, double LastDigit)
    where T : struct
{
    /// <summary>The same statement about another quantity.</summary>
    /// <typeparam name="TOther">The other quantity.</typeparam>
    /// <param name="convert">A conversion that keeps order.</param>
    /// <param name="scale">What the last digit is multiplied by [SI unit of the other per SI unit of this].</param>
    public Stated<TOther> Select<TOther>(Func<T, TOther> convert, double scale)
        where TOther : struct =>
        new(
            Kind,
            convert(Low),
            Middle is { } middle ? convert(middle) : null,
            convert(High),
            LastDigit * scale
        );
}
