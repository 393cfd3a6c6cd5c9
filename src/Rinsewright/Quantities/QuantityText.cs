using System.Diagnostics.CodeAnalysis;
using System.Globalization;

namespace Rinsewright.Quantities;

/// <summary>
/// Parses and prints quantities as people write them: a number, a limit (<c>&lt;x</c>) or a range (least–greatest,
/// least–mean–greatest) with its unit. The culture of the machine plays no part, and no text makes it throw:
/// bad text gives an <see cref="InputProblem"/>.
/// </summary>
public static class QuantityText
{
    /// <summary>Parses a statement about a quantity: "4.5 in", "64–70 degF", "&lt;2 mL".</summary>
    /// <typeparam name="T">The quantity.</typeparam>
    /// <param name="place">Where the text stands, for the problem.</param>
    /// <param name="text">The text.</param>
    /// <param name="stated">What it states.</param>
    /// <param name="problem">What is wrong and what would be right.</param>
    public static bool TryParse<T>(
        string place,
        string text,
        out Stated<T> stated,
        [NotNullWhen(false)] out InputProblem? problem
    )
        where T : struct, IQuantity<T>
    {
        stated = default;
        if (!StatementScanner.TryScan(text, out RawStatement raw, out Sentence? expected))
        {
            problem = new InputProblem(place, text, $"{expected}; {Describe<T>()}");
            return false;
        }

        if (FindUnit(T.Units, raw.Unit) is not { } unit)
        {
            problem = new InputProblem(place, text, Describe<T>());
            return false;
        }

        if (raw.Low is { } low && IsBelow(unit.ToSI(low), T.Least))
        {
            problem = new InputProblem(
                place,
                text,
                $"a {T.Name} not below {Number(unit.FromSI(T.Least))} {unit.Symbol}"
            );
            return false;
        }

        if (IsBelow(unit.ToSI(raw.High), T.Least) || !double.IsFinite(unit.ToSI(raw.High)))
        {
            problem = new InputProblem(place, text, $"a {T.Name} that can exist");
            return false;
        }

        if (raw.Low is null && !double.IsFinite(T.Least))
        {
            problem = new InputProblem(place, text, $"a value or a range; a {T.Name} has no least value");
            return false;
        }

        stated = new Stated<T>(
            raw.Kind,
            raw.Low is { } least ? FromSI<T>(unit.ToSI(least)) : T.FromSI(T.Least),
            raw.Middle is { } middle ? FromSI<T>(unit.ToSI(middle)) : null,
            FromSI<T>(unit.ToSI(raw.High)),
            raw.LastDigit * unit.Scale
        );
        problem = null;
        return true;
    }

    /// <summary>Parses one exact value of a quantity; a limit or a range is a problem.</summary>
    /// <typeparam name="T">The quantity.</typeparam>
    /// <param name="place">Where the text stands, for the problem.</param>
    /// <param name="text">The text.</param>
    /// <param name="value">The value.</param>
    /// <param name="problem">What is wrong and what would be right.</param>
    public static bool TryParseExactly<T>(
        string place,
        string text,
        out T value,
        [NotNullWhen(false)] out InputProblem? problem
    )
        where T : struct, IQuantity<T>
    {
        value = default;
        if (!TryParse(place, text, out Stated<T> stated, out problem))
        {
            return false;
        }

        if (stated.Kind is not StatementKind.Exactly)
        {
            problem = new InputProblem(place, text, $"one {T.Name}, not a limit or a range");
            return false;
        }

        value = stated.High;
        return true;
    }

    /// <summary>
    /// Parses a concentration of an analyte on any basis ("9.8 mg/L as SiO2", "&lt;0.05 mg/L NO3-N", "7 °dH") to
    /// moles of the analyte.
    /// </summary>
    /// <param name="place">Where the text stands, for the problem.</param>
    /// <param name="text">The text.</param>
    /// <param name="analyte">What it is about.</param>
    /// <param name="stated">What it states.</param>
    /// <param name="problem">What is wrong and what would be right.</param>
    public static bool TryParseConcentration(
        string place,
        string text,
        Analyte analyte,
        out Stated<MolarConcentration> stated,
        [NotNullWhen(false)] out InputProblem? problem
    )
    {
        stated = default;
        if (!StatementScanner.TryScan(text, out RawStatement raw, out Sentence? expected))
        {
            problem = new InputProblem(place, text, $"{expected}; {Describe(analyte)}");
            return false;
        }

        if (ConcentrationUnit.Find(raw.Unit, analyte) is not { } scale)
        {
            problem = new InputProblem(place, text, Describe(analyte));
            return false;
        }

        if ((raw.Low ?? 0) < 0 || raw.High < 0 || !double.IsFinite(raw.High * scale))
        {
            problem = new InputProblem(place, text, "a concentration of zero or more");
            return false;
        }

        stated = new Stated<MolarConcentration>(
            raw.Kind,
            MolarConcentration.FromMolesPerCubicMeter((raw.Low ?? 0) * scale),
            raw.Middle is { } middle ? MolarConcentration.FromMolesPerCubicMeter(middle * scale) : null,
            MolarConcentration.FromMolesPerCubicMeter(raw.High * scale),
            raw.LastDigit * scale
        );
        problem = null;
        return true;
    }

    /// <summary>Whether a concentration text names its basis ("as N"), rather than leaving it to custom.</summary>
    /// <param name="text">The text.</param>
    /// <param name="analyte">What it is about.</param>
    public static bool NamesBasis(string text, Analyte analyte) =>
        StatementScanner.TryScan(text, out RawStatement raw, out _)
        && ConcentrationUnit.NamesBasis(raw.Unit, analyte);

    /// <summary>Parses a statement of equivalents: hardness or alkalinity.</summary>
    /// <param name="place">Where the text stands, for the problem.</param>
    /// <param name="text">The text.</param>
    /// <param name="analyte">What it is about; one with a fixed number of equivalents a mole.</param>
    /// <param name="stated">What it states.</param>
    /// <param name="problem">What is wrong and what would be right.</param>
    public static bool TryParseEquivalents(
        string place,
        string text,
        Analyte analyte,
        out Stated<EquivalentConcentration> stated,
        [NotNullWhen(false)] out InputProblem? problem
    )
    {
        double z =
            analyte.EquivalentsPerMole
            ?? throw new ArgumentException($"{analyte.Name} has no fixed equivalents", nameof(analyte));
        bool parsed = TryParseConcentration(
            place,
            text,
            analyte,
            out Stated<MolarConcentration> moles,
            out problem
        );
        stated = parsed ? moles.Select(m => m.ToEquivalents(z), z) : default;
        return parsed;
    }

    /// <summary>Parses a statement about a bare number, such as a pH.</summary>
    /// <param name="place">Where the text stands, for the problem.</param>
    /// <param name="text">The text.</param>
    /// <param name="least">Least number allowed [-].</param>
    /// <param name="greatest">Greatest number allowed [-].</param>
    /// <param name="stated">What it states.</param>
    /// <param name="problem">What is wrong and what would be right.</param>
    public static bool TryParseNumber(
        string place,
        string text,
        double least,
        double greatest,
        out Stated<double> stated,
        [NotNullWhen(false)] out InputProblem? problem
    )
    {
        stated = default;
        if (!StatementScanner.TryScan(text, out RawStatement raw, out Sentence? expected))
        {
            problem = new InputProblem(
                place,
                text,
                expected.Text.StartsWith("a number", StringComparison.Ordinal)
                    ? Range()
                    : Sentence.Of($"{expected}; {Range()}")
            );
            return false;
        }

        if (
            raw.Unit.Length > 0
            || IsBelow(raw.Low ?? least, least)
            || raw.High > greatest
            || IsBelow(raw.High, least)
        )
        {
            problem = new InputProblem(place, text, Range());
            return false;
        }

        stated = new Stated<double>(raw.Kind, raw.Low ?? least, raw.Middle, raw.High, raw.LastDigit);
        problem = null;
        return true;

        Sentence Range() =>
            Sentence.Of($"a number from {Number(least)} to {Number(greatest)} without a unit");
    }

    /// <summary>Prints a quantity in one of its units.</summary>
    /// <typeparam name="T">The quantity.</typeparam>
    /// <param name="value">The quantity.</param>
    /// <param name="unit">A spelling of one of its units.</param>
    /// <param name="significantDigits">Digits kept [-], 1 to 15.</param>
    /// <exception cref="ArgumentException">The quantity has no such unit.</exception>
    public static string Format<T>(T value, string unit, int significantDigits = 12)
        where T : struct, IQuantity<T>
    {
        Unit found =
            FindUnit(T.Units, UnitSpelling.Plain(unit))
            ?? throw new ArgumentException($"'{unit}' is not a unit of {T.Name}", nameof(unit));
        return $"{Number(found.FromSI(value.SI), significantDigits)} {found.Symbol}";
    }

    /// <summary>What a text about a quantity looks like: "a volume in m³, L, mL, US gal, imp gal or ft³".</summary>
    /// <typeparam name="T">The quantity.</typeparam>
    public static Sentence Describe<T>()
        where T : struct, IQuantity<T>
    {
        string[] symbols = [.. T.Units.Select(u => u.Symbol)];
        Sentence list =
            symbols.Length == 1
                ? Sentence.Written(symbols[0])
                : Sentence.Of($"{string.Join(", ", symbols[..^1])} or {symbols[^1]}");
        return Sentence.Of($"a {T.Name} in {list}");
    }

    private static Sentence Describe(Analyte analyte)
    {
        string units = analyte.EquivalentsPerMole is null
            ? "mg/L, µg/L, ppm, mmol/L"
            : "mg/L, µg/L, ppm, mmol/L, meq/L, gr/gal, °dH, °fH";
        Sentence examples = analyte
            .Bases.Select(b => Sentence.Written($"\"10 mg/L as {b}\""))
            .Aggregate((one, other) => Sentence.Of($"{one} or {other}"));
        return Sentence.Of($"a concentration of {analyte.Name} in {units}, for example {examples}");
    }

    internal static Unit? FindUnit(IReadOnlyList<Unit> units, string typed) =>
        units.FirstOrDefault(u => u.Spellings.Contains(typed, StringComparer.Ordinal))
        ?? units.FirstOrDefault(u => u.Spellings.Any(s => UnitSpelling.Same(s, typed)));

    /// <summary>Whether a value lies under a bound by more than rounding of unit factors.</summary>
    private static bool IsBelow(double value, double least) =>
        value < least - (1e-12 * Math.Max(Math.Abs(least), 1));

    private static T FromSI<T>(double value)
        where T : struct, IQuantity<T> => T.FromSI(Math.Max(value, T.Least));

    private static string Number(double value, int significantDigits = 12)
    {
        string format = string.Create(CultureInfo.InvariantCulture, $"G{significantDigits}");
        return value
            .ToString(format, CultureInfo.InvariantCulture)
            .Replace("E", "e", StringComparison.Ordinal);
    }
}
