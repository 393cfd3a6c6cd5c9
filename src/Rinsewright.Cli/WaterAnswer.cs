using System.Globalization;
using System.Text.Json;
using Rinsewright.Water;

namespace Rinsewright.Cli;

/// <summary>The answer of the water command, for people and for programs.</summary>
internal sealed record WaterAnswer(WaterReport Report, IReadOnlyList<string> Warnings)
{
    private static readonly double[] Factors = [0.5, 0.64, 0.7];

    private static readonly (WaterFigure Figure, string Name)[] Numbers =
    [
        (WaterFigure.PH, "pH"),
        (WaterFigure.Temperature, "temperature_degC"),
        (WaterFigure.IonicStrength, "ionic_strength_mol_L"),
        (WaterFigure.ChargeBalance, "charge_balance_percent"),
        (WaterFigure.Conductivity, "conductivity_uS_cm"),
        (WaterFigure.Conductivity25, "conductivity25_uS_cm"),
        (WaterFigure.Hardness, "hardness_mg_L_CaCO3"),
        (WaterFigure.Alkalinity, "alkalinity_mg_L_CaCO3"),
        (WaterFigure.CarbonDioxide, "co2_mg_L"),
        (WaterFigure.Silica, "silica_mg_L"),
        (WaterFigure.SumOfSolids, "tds_sum_mg_L"),
        (WaterFigure.Residue180, "residue180_mg_L"),
    ];

    private static readonly (WaterFigure Figure, string Name)[] Saturation =
    [
        (WaterFigure.Calcite, "calcite"),
        (WaterFigure.Aragonite, "aragonite"),
        (WaterFigure.Gypsum, "gypsum"),
        (WaterFigure.AmorphousSilica, "amorphous_silica"),
    ];

    private static readonly (WaterFigure Figure, string Name)[] Indices =
    [
        (WaterFigure.Langelier, "langelier_index"),
        (WaterFigure.Ryznar, "ryznar_index"),
        (WaterFigure.CalcitePotential, "ccpp_mg_L_CaCO3"),
    ];

    private static readonly (WaterFigure Figure, string Words, string Unit, string Format)[] Rows =
    [
        (WaterFigure.Hardness, "hardness", "mg/L as CaCO3", "F0"),
        (WaterFigure.Alkalinity, "alkalinity", "mg/L as CaCO3", "F0"),
        (WaterFigure.PH, "pH", "", "F2"),
        (WaterFigure.CarbonDioxide, "carbon dioxide", "mg/L", "F1"),
        (WaterFigure.Silica, "silica", "mg/L as SiO2", "F1"),
        (WaterFigure.Conductivity, "conductivity as it is", "µS/cm", "F0"),
        (WaterFigure.Conductivity25, "conductivity at 25 °C", "µS/cm", "F0"),
        (WaterFigure.SumOfSolids, "dissolved solids, summed", "mg/L", "F0"),
        (WaterFigure.Residue180, "residue when dried at 180 °C", "mg/L", "F0"),
        (WaterFigure.Calcite, "saturation index, calcite", "", "F2"),
        (WaterFigure.Gypsum, "saturation index, gypsum", "", "F2"),
        (WaterFigure.AmorphousSilica, "saturation index, amorphous silica", "", "F2"),
        (WaterFigure.Langelier, "Langelier index", "", "F2"),
        (WaterFigure.Ryznar, "Ryznar index", "", "F2"),
        (WaterFigure.CalcitePotential, "calcite that can fall out (CCPP)", "mg/L as CaCO3", "F0"),
        (WaterFigure.ChargeBalance, "balance of the ions", "%", "F1"),
    ];

    public void WriteJson(Utf8JsonWriter json)
    {
        if (Report.Source.Analysis.Name is { } name)
        {
            json.WriteString("name", name);
        }

        foreach ((WaterFigure figure, string key) in Numbers)
        {
            Write(json, key, figure, 1);
        }

        json.WriteStartObject("saturation_index");
        foreach ((WaterFigure figure, string key) in Saturation)
        {
            Write(json, key, figure, 1);
        }

        json.WriteEndObject();
        foreach ((WaterFigure figure, string key) in Indices)
        {
            Write(json, key, figure, 1);
        }

        json.WriteStartArray("meter");
        foreach (double factor in Factors)
        {
            json.WriteStartObject();
            json.WriteNumber("factor", factor);
            Write(json, "reading_ppm", WaterFigure.Conductivity25, factor);
            json.WriteEndObject();
        }

        json.WriteEndArray();
        json.WriteNumber("members", Report.Source.Members.Length);
        json.WriteStartArray("warnings");
        foreach (string warning in Warnings)
        {
            json.WriteStringValue(warning);
        }

        json.WriteEndArray();
    }

    public void Print(Terminal terminal)
    {
        terminal.WriteHeading(Report.Source.Analysis.Name ?? "Water");
        terminal.WriteText(Summary);
        List<Heading> headings = [Heading.Words("At " + Range(WaterFigure.Temperature, "F0", 1) + " °C")];
        headings.Add(Heading.Number("value"));
        if (!Report.Source.IsSingle)
        {
            headings.Add(Heading.Number("9 of 10 lie in"));
        }

        headings.Add(Heading.Words("unit"));
        terminal.WriteTable(headings, Rows.Select(r => Row(r.Words, r.Figure, r.Unit, r.Format, 1)));
        terminal.WriteTable(
            [Heading.Words("A meter with the factor"), .. headings.Skip(1)],
            Factors.Select(f =>
                Row(
                    f.ToString("0.0#", CultureInfo.InvariantCulture),
                    WaterFigure.Conductivity25,
                    "ppm",
                    "F0",
                    f
                )
            )
        );
        foreach (string warning in Warnings)
        {
            terminal.WriteCaution(warning);
        }

        terminal.WriteText("These figures are estimates. Rinse water is not drinking water.");
    }

    private string Summary
    {
        get
        {
            double hardness = Report.Quantile(WaterFigure.Hardness, 0.5);
            string kind = hardness switch
            {
                < 60 => "soft",
                < 120 => "moderately hard",
                < 180 => "hard",
                _ => "very hard",
            };
            return string.Create(
                CultureInfo.InvariantCulture,
                $"A {kind} water: a pocket meter with the factor 0.5 shows {Range(WaterFigure.Conductivity25, "F0", 0.5)} ppm, and a litre that dries leaves {Range(WaterFigure.Residue180, "F0", 1)} mg."
            );
        }
    }

    private void Write(Utf8JsonWriter json, string key, WaterFigure figure, double factor)
    {
        if (Report.IsOpen(figure))
        {
            json.WriteInterval(
                key,
                factor * Report.Quantile(figure, 0.5),
                factor * Report.Quantile(figure, 0.05),
                factor * Report.Quantile(figure, 0.95)
            );
        }
        else
        {
            json.WriteNumber(key, factor * Report.Quantile(figure, 0.5), JsonOutput.Digits);
        }
    }

    private List<string> Row(string words, WaterFigure figure, string unit, string format, double factor)
    {
        List<string> row = [words, Text(figure, 0.5, format, factor)];
        if (!Report.Source.IsSingle)
        {
            row.Add(
                Report.IsOpen(figure)
                    ? $"{Text(figure, 0.05, format, factor)} to {Text(figure, 0.95, format, factor)}"
                    : ""
            );
        }

        row.Add(unit);
        return row;
    }

    private string Range(WaterFigure figure, string format, double factor) =>
        Report.IsOpen(figure)
            ? $"{Text(figure, 0.5, format, factor)} ({Text(figure, 0.05, format, factor)} to {Text(figure, 0.95, format, factor)})"
            : Text(figure, 0.5, format, factor);

    private string Text(WaterFigure figure, double probability, string format, double factor)
    {
        double value = factor * Report.Quantile(figure, probability);
        return double.IsFinite(value) ? value.ToString(format, CultureInfo.InvariantCulture) : "none";
    }
}
