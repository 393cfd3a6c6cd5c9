using Rinsewright.Quantities;
using Rinsewright.Tests.Evidence;
using Rinsewright.Treatment;

namespace Rinsewright.Tests.Treatment;

/// <summary>Reverse osmosis against a published temperature chart and the trade's rule for osmotic pressure.</summary>
public sealed class ReverseOsmosisEvidence : IEvidenceSet
{
    public IEnumerable<EvidenceRow> Rows()
    {
        IReadOnlyList<DataTable.Row> chart = DataTable
            .Read("data/published/reverse-osmosis/temperature_factor.csv")
            .Rows;
        double worst = chart.Worst(row =>
        {
            Temperature temperature = Temperature.FromDegreesCelsius(row.Number("temperature_C"));
            return double.Abs(
                (1.0 / ReverseOsmosis.TemperatureFactor(temperature) / row.Number("divisor")) - 1.0
            );
        });
        yield return new EvidenceRow(
            "reverse-osmosis",
            "temperature factor of the permeate flow",
            EvidenceKind.Published,
            "tfc_chart",
            chart.Count,
            100.0 * worst,
            0.1,
            "%",
            "printed to three or four digits"
        );

        // 500 mg/L of sodium chloride: the rule says 5 psi.
        double moles = 2.0 * 500.0 / 58.44;
        double psi =
            ReverseOsmosis.OsmoticPressure_Pa(moles, Temperature.FromDegreesCelsius(25.0)) / 6894.757;
        yield return new EvidenceRow(
            "reverse-osmosis",
            "osmotic pressure against one psi per 100 mg/L",
            EvidenceKind.CommonPractice,
            "common practice, no source",
            1,
            100.0 * double.Abs((psi / 5.0) - 1.0),
            30.0,
            "%",
            "500 mg/L of sodium chloride at 25 °C; the rule averages over salts"
        );
    }
}
