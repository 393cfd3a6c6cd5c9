using System.Globalization;
using System.Runtime.InteropServices;
using Rinsewright.Water;

namespace Rinsewright.Drying;

/// <summary>How plainly a residue shows on dark paint (our scale; docs/models/drying.md).</summary>
public enum SpotGrade
{
    /// <summary>Up to 4 mg/m²: nothing to see.</summary>
    None,

    /// <summary>Up to 12 mg/m²: faint rings in slanting light.</summary>
    Faint,

    /// <summary>Up to 40 mg/m²: plain spots.</summary>
    Plain,

    /// <summary>More: heavy spots.</summary>
    Heavy,
}

/// <summary>
/// What a drop leaves on the paint under it, as people see it: hard residue in full, soft residue at a quarter, beneath a drop
/// 0.6 mm deep in the mean (the beading film of data/parameters/panels.json). Equation drying-37.
/// </summary>
/// <param name="HardMilligramsPerSquareMeter">Hard residue beneath the drop [mg/m²].</param>
/// <param name="SoftMilligramsPerSquareMeter">Soft residue beneath the drop [mg/m²].</param>
[StructLayout(LayoutKind.Auto)]
public readonly record struct SpotIndex(
    double HardMilligramsPerSquareMeter,
    double SoftMilligramsPerSquareMeter
)
{
    /// <summary>Weight of soft residue [-]: the next rinse or a damp towel takes it (our choice).</summary>
    public const double SoftWeight = 0.25;

    /// <summary>The unit in which lines are written.</summary>
    public const string Unit = "mg/m2";

    private static readonly WaterFilm Drop = PanelCatalog.Films.Single(f => f.Coverage < 1);

    /// <summary>The index [mg/m²].</summary>
    public double MilligramsPerSquareMeter =>
        HardMilligramsPerSquareMeter + (SoftWeight * SoftMilligramsPerSquareMeter); // eq. drying-37

    /// <summary>How plainly it shows.</summary>
    public SpotGrade Grade =>
        MilligramsPerSquareMeter switch
        {
            <= 4 => SpotGrade.None,
            <= 12 => SpotGrade.Faint,
            <= 40 => SpotGrade.Plain,
            _ => SpotGrade.Heavy,
        };

    /// <summary>The index of a dried water.</summary>
    /// <param name="dried">Its residue.</param>
    public static SpotIndex Of(DryDown dried) =>
        new(
            MilligramsPerSquareMeterOf(dried.HardMilligramsPerLiter, Drop),
            MilligramsPerSquareMeterOf(dried.SoftMilligramsPerLiter, Drop)
        );

    /// <summary>
    /// The index of a water by the salts that its ions pair to, without following its brine (rule drying-36 from the
    /// start): less than a microsecond, and within 3 % of <see cref="Of"/> for 99 waters in 100 while fluoride is scarce, at worst within a
    /// quarter (docs/models/drying.md). For curves of many points.
    /// </summary>
    /// <param name="water">The water; its carbon comes from the air.</param>
    public static SpotIndex BySalts(WaterComposition water)
    {
        Span<double> laid = stackalloc double[SaltNorm.Places];
        Span<double> toAir = stackalloc double[IonCatalog.ComponentCount];
        Span<double> unpaired = stackalloc double[IonCatalog.ComponentCount];
        toAir.Clear();
        unpaired.Clear();
        SaltNorm.Assign(water.Totals, water.ChargeResidual, laid, toAir, unpaired);
        double hard = 0;
        double soft = DryDown.MilligramsPerLiter(unpaired);
        for (int i = 0; i < laid.Length; i++)
        {
            if (SaltNorm.SolidAt(i) is { } solid)
            {
                double mass = laid[i] * solid.MolarMassGramsPerMole;
                hard += solid.IsHard ? mass : 0;
                soft += solid.IsHard ? 0 : mass;
            }
        }

        return new(MilligramsPerSquareMeterOf(hard, Drop), MilligramsPerSquareMeterOf(soft, Drop));
    }

    /// <summary>Residue per wetted area [mg/m²]: 1 mg/L under 1 mm of water.</summary>
    /// <param name="milligramsPerLiter">Residue per volume of water [mg/L].</param>
    /// <param name="film">The film that dries.</param>
    public static double MilligramsPerSquareMeterOf(double milligramsPerLiter, WaterFilm film) =>
        milligramsPerLiter * film.Thickness.Millimeters; // eq. drying-38

    /// <summary>
    /// Reads a change-out line written as an index, such as "20 mg/m2" or "20 mg/m²" [mg/m²]; false when the text is something
    /// else.
    /// </summary>
    /// <param name="text">The text.</param>
    /// <param name="milligramsPerSquareMeter">The line [mg/m²], above zero.</param>
    public static bool TryParseLine(string text, out double milligramsPerSquareMeter)
    {
        ReadOnlySpan<char> rest = text.AsSpan().Trim();
        foreach (string unit in (ReadOnlySpan<string>)[Unit, "mg/m²", "mg/sq m", "mg m-2"])
        {
            if (
                rest.EndsWith(unit, StringComparison.OrdinalIgnoreCase)
                && double.TryParse(
                    rest[..^unit.Length],
                    NumberStyles.AllowDecimalPoint
                        | NumberStyles.AllowLeadingWhite
                        | NumberStyles.AllowTrailingWhite,
                    CultureInfo.InvariantCulture,
                    out milligramsPerSquareMeter
                )
                && double.IsFinite(milligramsPerSquareMeter)
                && milligramsPerSquareMeter > 0
            )
            {
                return true;
            }
        }

        milligramsPerSquareMeter = 0;
        return false;
    }

    /// <summary>The index with its unit, whatever the culture.</summary>
    public override string ToString() =>
        string.Create(CultureInfo.InvariantCulture, $"{MilligramsPerSquareMeter:G4} {Unit}");
}
