namespace Rinsewright.Quantities;

/// <summary>
/// Molar masses from formulas, by the abridged standard atomic weights of IUPAC (key <c>iupac2021</c>).
/// </summary>
public static class ChemicalFormula
{
    /// <summary>Standard atomic weights [g/mol].</summary>
    private static readonly Dictionary<string, double> AtomicWeights = new(StringComparer.Ordinal)
    {
        ["H"] = 1.0080,
        ["C"] = 12.011,
        ["N"] = 14.007,
        ["O"] = 15.999,
        ["F"] = 18.998,
        ["Na"] = 22.990,
        ["Mg"] = 24.305,
        ["Si"] = 28.085,
        ["P"] = 30.974,
        ["S"] = 32.06,
        ["Cl"] = 35.45,
        ["K"] = 39.098,
        ["Ca"] = 40.078,
        ["Mn"] = 54.938,
        ["Fe"] = 55.845,
        ["Sr"] = 87.62,
        ["Ba"] = 137.33,
    };

    /// <summary>Molar mass [kg/mol] of a formula without brackets or charge, such as "CaCO3".</summary>
    /// <param name="formula">Element symbols with whole numbers.</param>
    /// <exception cref="ArgumentException">The formula has another character or an element not in the table.</exception>
    public static double MolarMass(string formula)
    {
        double sum = 0;
        int i = 0;
        while (i < formula.Length)
        {
            int end = i + 1;
            while (end < formula.Length && char.IsAsciiLetterLower(formula[end]))
            {
                end++;
            }

            if (!AtomicWeights.TryGetValue(formula[i..end], out double weight))
            {
                throw new ArgumentException(
                    $"'{formula[i..end]}' in '{formula}' is no known element",
                    nameof(formula)
                );
            }

            int count = 0;
            for (i = end; i < formula.Length && char.IsAsciiDigit(formula[i]); i++)
            {
                count = (count * 10) + (formula[i] - '0');
            }

            sum += weight * Math.Max(count, 1);
        }

        return sum > 0
            ? sum * 1e-3
            : throw new ArgumentException("a formula has an element", nameof(formula));
    }
}
