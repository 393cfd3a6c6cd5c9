using System.Diagnostics.CodeAnalysis;
using Rinsewright.Drying;
using Rinsewright.Quantities;

namespace Rinsewright.Treatment;

/// <summary>What a change-out line is drawn on.</summary>
public enum LineKind
{
    /// <summary>What a TDS meter shows [mg/L].</summary>
    MeterReading,

    /// <summary>Conductivity at 25 °C [µS/cm].</summary>
    Conductivity,

    /// <summary>What the water leaves when it dries [mg/L].</summary>
    Residue,

    /// <summary>Silica as SiO2 [mg/L].</summary>
    Silica,

    /// <summary>What a drop leaves on the paint, as <see cref="SpotIndex"/> [mg/m²].</summary>
    Spots,
}

/// <summary>The value in the product at which a bed is due to be changed.</summary>
/// <param name="Text">The line as it was written.</param>
/// <param name="Kind">What it is drawn on.</param>
/// <param name="Value">Its value in the unit of its kind, [mg/L], [µS/cm] or [mg/m²].</param>
public sealed record ChangeOutLine(string Text, LineKind Kind, double Value)
{
    private const string Expected =
        "\"10 ppm\" (meter), \"20 uS/cm\", \"5 mg/L residue\", \"1 mg/L silica\" or \"20 mg/m2\" (spots), above zero";

    /// <summary>Reads a line.</summary>
    /// <param name="place">Where the text stands, for the problem.</param>
    /// <param name="text">The text.</param>
    /// <param name="line">What it says.</param>
    /// <param name="problem">What is wrong and what would be right.</param>
    public static bool TryParse(
        string place,
        string text,
        [NotNullWhen(true)] out ChangeOutLine? line,
        [NotNullWhen(false)] out InputProblem? problem
    )
    {
        string trimmed = text.Trim();
        if (SpotIndex.TryParseLine(trimmed, out double spots))
        {
            line = new ChangeOutLine(trimmed, LineKind.Spots, spots);
            problem = null;
            return true;
        }

        LineKind kind = LineKind.MeterReading;
        string amount = trimmed;
        foreach (
            (string word, LineKind named) in ((string, LineKind)[])
                [(" residue", LineKind.Residue), (" silica", LineKind.Silica)]
        )
        {
            if (trimmed.EndsWith(word, StringComparison.OrdinalIgnoreCase))
            {
                kind = named;
                amount = trimmed[..^word.Length];
            }
        }

        double? value = null;
        if (QuantityText.TryParseExactly(place, amount, out MassConcentration mass, out _))
        {
            value = mass.MilligramsPerLiter;
        }
        else if (
            kind is LineKind.MeterReading
            && QuantityText.TryParseExactly(place, amount, out SpecificConductance conductance, out _)
        )
        {
            kind = LineKind.Conductivity;
            value = conductance.MicrosiemensPerCentimeter;
        }

        bool good = value > 0;
        line = good ? new ChangeOutLine(trimmed, kind, value!.Value) : null;
        problem = good ? null : new InputProblem(place, text, Expected);
        return good;
    }
}
