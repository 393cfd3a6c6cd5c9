using System.Globalization;
using System.Text.Json;
using Rinsewright.Treatment;

namespace Rinsewright.Cli;

/// <summary>The yearly bill of a train and the spares to hold, for people and for programs.</summary>
internal static class TrainBill
{
    public static void Write(Terminal terminal, Bill? bill)
    {
        if (bill is null)
        {
            return;
        }

        terminal.WriteHeading("Money");
        terminal.WriteTable(
            [Heading.Words("for"), Heading.Number($"a year [{bill.Currency}]")],
            bill.Lines.Where(l => l.PerYear > 0m)
                .Select(l => (IReadOnlyList<string>)[l.What, Number(l.PerYear, "F2")])
        );
        terminal.WriteText(
            FormattableString.Invariant($"{bill.PerYear:F2} {bill.Currency} a year")
                + (bill.PerWash is { } wash ? $", {Number(wash, "F2")} a wash." : ".")
                + (bill.Unpriced.Count > 0 ? $" Without a price: {string.Join(", ", bill.Unpriced)}." : "")
        );
        terminal.WriteTable(
            [
                Heading.Words("spare to hold"),
                Heading.Number("units"),
                Heading.Number($"worth [{bill.Currency}]"),
                Heading.Number("lasts [months]"),
                Heading.Words("shelf life"),
            ],
            bill.Spares.Select(s =>
                (IReadOnlyList<string>)
                    [
                        s.Item,
                        Number(s.Units, "0.##"),
                        Number(s.Value, "F2"),
                        s.LastsMonths.ToString("F1", CultureInfo.InvariantCulture),
                        s.SpoilsFirst ? "spoils before it is used: buy when needed" : "used in time",
                    ]
            )
        );
    }

    public static void WriteJson(Utf8JsonWriter writer, Bill? bill)
    {
        if (bill is null)
        {
            writer.WriteNull("bill");
            return;
        }

        writer.WriteStartObject("bill");
        writer.WriteString("currency", bill.Currency);
        writer.WriteNumber("per_year", decimal.Round(bill.PerYear, 2));
        Write(writer, "per_liter", bill.PerLiter, digits: 5);
        Write(writer, "per_wash", bill.PerWash, digits: 3);
        writer.WriteStartObject("lines");
        foreach (CostLine cost in bill.Lines)
        {
            writer.WriteNumber(cost.What, decimal.Round(cost.PerYear, 2));
        }

        writer.WriteEndObject();
        writer.WriteStartArray("spares");
        foreach (Spare spare in bill.Spares)
        {
            writer.WriteStartObject();
            writer.WriteString("item", spare.Item);
            writer.WriteNumber("units", spare.Units);
            writer.WriteNumber("value", decimal.Round(spare.Value, 2));
            writer.WriteNumber("lasts_months", spare.LastsMonths, 4);
            writer.WriteBoolean("spoils_first", spare.SpoilsFirst);
            writer.WriteEndObject();
        }

        writer.WriteEndArray();
        writer.WriteStartArray("unpriced");
        foreach (string item in bill.Unpriced)
        {
            writer.WriteStringValue(item);
        }

        writer.WriteEndArray();
        writer.WriteEndObject();
    }

    private static void Write(Utf8JsonWriter writer, string name, decimal? amount, int digits)
    {
        if (amount is { } sum)
        {
            writer.WriteNumber(name, decimal.Round(sum, digits));
        }
        else
        {
            writer.WriteNull(name);
        }
    }

    private static string Number(decimal value, string format) =>
        value.ToString(format, CultureInfo.InvariantCulture);
}
