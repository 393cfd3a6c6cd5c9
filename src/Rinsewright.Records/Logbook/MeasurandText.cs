using System.Diagnostics.CodeAnalysis;
using Rinsewright.Quantities;
using Rinsewright.Water;

namespace Rinsewright.Records.Logbook;

/// <summary>How a unit as written turns into the SI value of a measurand: <c>number · Scale + Offset</c>.</summary>
/// <param name="Scale">Size of the unit.</param>
/// <param name="Offset">SI value of the unit's zero.</param>
public sealed record UnitScale(double Scale, double Offset)
{
    public double ToSI(double number) => (number * Scale) + Offset;
}

/// <summary>A value as a person wrote it.</summary>
/// <param name="Value_SI">In the SI unit of its measurand.</param>
/// <param name="Written">The number as written, with its <c>&lt;</c> if it had one.</param>
/// <param name="Unit">The unit as written.</param>
/// <param name="IsBelowLimit">Whether it was a limit.</param>
public sealed record WrittenValue(double Value_SI, string Written, string Unit, bool IsBelowLimit);

/// <summary>Reads values and units of each measurand as people write them.</summary>
public static class MeasurandText
{
    /// <summary>Names under which a measurand is known in headers and on the command line.</summary>
    public static IReadOnlyList<(string Name, Measurand Measurand)> Names { get; } =
    [
        ("dissolved solids", Measurand.DissolvedSolids),
        ("tds", Measurand.DissolvedSolids),
        ("specific conductance", Measurand.SpecificConductance),
        ("conductivity", Measurand.Conductivity),
        ("water temperature", Measurand.Temperature),
        ("temperature", Measurand.Temperature),
        ("temp", Measurand.Temperature),
        ("free chlorine", Measurand.FreeChlorine),
        ("total chlorine", Measurand.TotalChlorine),
        ("pressure", Measurand.Pressure),
        ("flow", Measurand.Flow),
        ("hardness", Measurand.Hardness),
        ("meter total", Measurand.MeterTotal),
        ("ph", Measurand.Ph),
        ("silica", Measurand.Silica),
    ];

    /// <summary>Reads a value with its unit, such as <c>8 ppm</c> or <c>&lt;0.02 mg/L</c>.</summary>
    public static bool TryParse(
        string place,
        Measurand measurand,
        string text,
        [NotNullWhen(true)] out WrittenValue? value,
        [NotNullWhen(false)] out InputProblem? problem
    )
    {
        value = null;
        if (!TryState(place, measurand, text, out double si, out StatementKind kind, out problem))
        {
            return false;
        }

        if (kind is StatementKind.Between)
        {
            problem = new InputProblem(place, text, "one value or a limit such as <0.5, not a range");
            return false;
        }

        string trimmed = text.Trim();
        int end = NumberEnd(trimmed);
        value = new WrittenValue(
            si,
            trimmed[..end].Trim(),
            trimmed[end..].Trim(),
            kind is StatementKind.Below
        );
        return true;
    }

    /// <summary>Where the number ends and its unit begins; an exponent has a digit on either side, unlike the e of eq/L.</summary>
    private static int NumberEnd(string text)
    {
        int end = 0;
        while (end < text.Length && IsOfNumber(end))
        {
            end++;
        }

        return end;

        bool IsOfNumber(int i) =>
            text[i] is 'e' or 'E'
                ? i > 0
                    && char.IsAsciiDigit(text[i - 1])
                    && (IsDigit(i + 1) || (i + 1 < text.Length && IsSign(text[i + 1]) && IsDigit(i + 2)))
                : IsDigit(i) || IsSign(text[i]) || "<≤=., ".Contains(text[i], StringComparison.Ordinal);

        bool IsDigit(int i) => i < text.Length && char.IsAsciiDigit(text[i]);

        static bool IsSign(char c) => c is '+' or '-' or '−';
    }

    /// <summary>Looks up a unit of a measurand; the empty text for a pH.</summary>
    public static bool TryFindUnit(Measurand measurand, string unit, [NotNullWhen(true)] out UnitScale? scale)
    {
        scale = null;
        if (!TryState("unit", measurand, "1 " + unit, out double one, out _, out _))
        {
            return false;
        }

        double zero = 0;
        if (measurand is Measurand.Temperature)
        {
            _ = TryState("unit", measurand, "0 " + unit, out zero, out _, out _);
        }

        scale = new UnitScale(one - zero, zero);
        return true;
    }

    private static bool TryState(
        string place,
        Measurand measurand,
        string text,
        out double value,
        out StatementKind kind,
        [NotNullWhen(false)] out InputProblem? problem
    )
    {
        switch (measurand)
        {
            case Measurand.Conductivity:
                return State<Conductivity>(place, text, out value, out kind, out problem);
            case Measurand.SpecificConductance:
                return State<SpecificConductance>(place, text, out value, out kind, out problem);
            case Measurand.DissolvedSolids:
            case Measurand.FreeChlorine:
            case Measurand.TotalChlorine:
                return State<MassConcentration>(place, text, out value, out kind, out problem);
            case Measurand.Temperature:
                return State<Temperature>(place, text, out value, out kind, out problem);
            case Measurand.Pressure:
                return State<Pressure>(place, text, out value, out kind, out problem);
            case Measurand.Flow:
                return State<VolumeFlow>(place, text, out value, out kind, out problem);
            case Measurand.MeterTotal:
                return State<Volume>(place, text, out value, out kind, out problem);
            case Measurand.Hardness:
                bool isHardness = QuantityText.TryParseEquivalents(
                    place,
                    text,
                    Analyte.Hardness,
                    out Stated<EquivalentConcentration> hardness,
                    out problem
                );
                value = hardness.High.EquivalentsPerCubicMeter;
                kind = hardness.Kind;
                return isHardness;
            case Measurand.Silica:
                bool isSilica = QuantityText.TryParseConcentration(
                    place,
                    text,
                    Analyte.Silica,
                    out Stated<MolarConcentration> silica,
                    out problem
                );
                value = silica.High.MolesPerCubicMeter * IonCatalog.MolarMass(Component.Silica);
                kind = silica.Kind;
                return isSilica;
            case Measurand.Ph:
                bool isPh = QuantityText.TryParseNumber(
                    place,
                    text,
                    0,
                    14,
                    out Stated<double> ph,
                    out problem
                );
                value = ph.High;
                kind = ph.Kind;
                return isPh;
            default:
                throw new ArgumentOutOfRangeException(nameof(measurand), measurand, "not a measurand");
        }
    }

    private static bool State<T>(
        string place,
        string text,
        out double value,
        out StatementKind kind,
        [NotNullWhen(false)] out InputProblem? problem
    )
        where T : struct, IQuantity<T>
    {
        bool isGood = QuantityText.TryParse(place, text, out Stated<T> stated, out problem);
        value = stated.High.SI;
        kind = stated.Kind;
        return isGood;
    }
}
