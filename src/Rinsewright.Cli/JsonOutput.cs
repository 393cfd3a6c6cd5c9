using System.Globalization;
using System.Text;
using System.Text.Encodings.Web;
using System.Text.Json;

namespace Rinsewright.Cli;

/// <summary>How numbers are written for programs: invariant, in the digits that mean something, null where there is none.</summary>
internal static class JsonOutput
{
    /// <summary>Digits that a computed number carries.</summary>
    public const int Digits = 6;

    /// <summary>Leaves letters and signs such as µ and ° as they are; the output is UTF-8.</summary>
    public static readonly JavaScriptEncoder Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping;

    public static void WriteNumber(this Utf8JsonWriter writer, string name, double value, int digits)
    {
        writer.WritePropertyName(name);
        writer.WriteRawValue(Format(value, digits));
    }

    /// <summary>An array on one line.</summary>
    public static void WriteNumbers(
        this Utf8JsonWriter writer,
        string name,
        ReadOnlySpan<double> values,
        int digits = Digits
    )
    {
        var text = new StringBuilder("[");
        foreach (double value in values)
        {
            text.Append(text.Length > 1 ? ", " : "").Append(Format(value, digits));
        }

        writer.WritePropertyName(name);
        writer.WriteRawValue(text.Append(']').ToString());
    }

    /// <summary>A number that the inputs leave open: its median and the interval that holds it nine times in ten.</summary>
    public static void WriteInterval(
        this Utf8JsonWriter writer,
        string name,
        double median,
        double p05,
        double p95,
        int digits = Digits
    )
    {
        writer.WriteStartObject(name);
        writer.WriteNumber("median", median, digits);
        writer.WriteNumber("p05", p05, digits);
        writer.WriteNumber("p95", p95, digits);
        writer.WriteEndObject();
    }

    private static string Format(double value, int digits)
    {
        if (!double.IsFinite(value))
        {
            return "null";
        }

        // Rounded in decimal and printed back in the shortest form, so that 6.50000 is 6.5 and 1E-7 stays exact.
        string rounded = value.ToString(
            "E" + (digits - 1).ToString(CultureInfo.InvariantCulture),
            CultureInfo.InvariantCulture
        );
        return double.Parse(rounded, NumberStyles.Float, CultureInfo.InvariantCulture)
            .ToString("R", CultureInfo.InvariantCulture);
    }
}
