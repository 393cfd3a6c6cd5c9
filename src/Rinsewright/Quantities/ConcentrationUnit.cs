namespace Rinsewright.Quantities;

/// <summary>Turns a unit with a basis, for a given analyte, into moles of it.</summary>
internal static class ConcentrationUnit
{
    /// <summary>Moles of the analyte per cubic meter [mol/m³] in one unit, or nothing when the text is no unit of it.</summary>
    public static double? Find(string unit, Analyte analyte) => Resolve(unit, analyte)?.Scale;

    /// <summary>Whether the text names a basis.</summary>
    public static bool NamesBasis(string unit, Analyte analyte) => Resolve(unit, analyte) is { Named: true };

    private static (double Scale, bool Named)? Resolve(string unit, Analyte analyte)
    {
        string text = unit.Replace("(", " ", StringComparison.Ordinal)
            .Replace(")", " ", StringComparison.Ordinal)
            .Trim();
        if (Scale(text, null, analyte) is { } plain)
        {
            return (plain, QuantityText.FindUnit(Units<MassConcentration>(), text) is null);
        }

        foreach ((string head, string tail) in Splits(text))
        {
            if (analyte.FindBasis(tail) is { } basis && Scale(head, basis, analyte) is { } scale)
            {
                return (scale, true);
            }
        }

        return null;
    }

    /// <summary>The ways a basis can stand beside a unit.</summary>
    private static IEnumerable<(string Unit, string Basis)> Splits(string text)
    {
        int asWord = text.IndexOf(" as ", StringComparison.OrdinalIgnoreCase);
        if (asWord > 0)
        {
            yield return (text[..asWord].Trim(), text[(asWord + 4)..].Trim());
            yield break;
        }

        for (int i = text.IndexOf(' ', StringComparison.Ordinal); i > 0; i = NextSpace(text, i))
        {
            yield return (text[..i], text[(i + 1)..]);
            int slash = text.IndexOf('/', i);
            if (slash > i)
            {
                yield return (text[..i] + text[slash..], text[(i + 1)..slash]);
            }
        }

        int hyphen = text.LastIndexOf('-');
        if (hyphen > 0)
        {
            yield return (text[..hyphen], text[(hyphen + 1)..]);
        }
    }

    private static int NextSpace(string text, int from) => text.IndexOf(' ', from + 1);

    private static double? Scale(string unit, string? basis, Analyte analyte)
    {
        if (QuantityText.FindUnit(Units<MassConcentration>(), unit) is { } mass)
        {
            bool countsAsHardness = mass.Symbol is "gr/gal" && analyte.EquivalentsPerMole is not null;
            string written = basis ?? (countsAsHardness ? Analyte.CalciumCarbonate : analyte.DefaultBasis);
            return mass.Scale * analyte.MolesPerKilogram(written);
        }

        if (QuantityText.FindUnit(Units<MolarConcentration>(), unit) is { } molar)
        {
            return molar.Scale * (basis is null ? 1 : analyte.MolesPerMole(basis));
        }

        return
            basis is null or Analyte.CalciumCarbonate
            && analyte.EquivalentsPerMole is { } z
            && QuantityText.FindUnit(Units<EquivalentConcentration>(), unit) is { } equivalents
            ? equivalents.Scale / z
            : null;
    }

    private static IReadOnlyList<Unit> Units<T>()
        where T : struct, IQuantity<T> => T.Units;
}
