using Rinsewright.Quantities;
using Rinsewright.Tests.Evidence;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Tests.Treatment;

/// <summary>A mixed bed in a generic housing against the trade's hand sum of grains per cubic foot.</summary>
public sealed class TrainEvidence : IEvidenceSet
{
    private const double UsualDelivered_eq_L = 0.5;

    public IEnumerable<EvidenceRow> Rows()
    {
        Housing housing = HousingCatalog.All.Single(h => h.Id.EndsWith("4.5x20", StringComparison.Ordinal));
        var stage = new BedStage(
            "bed",
            [HousingCatalog.MixedBed(housing)],
            BedArrangement.Series,
            ExitLine.Deionised
        );
        MassConcentration none = MassConcentration.FromMilligramsPerLiter(0.0);
        var source = new TrainWater(TrainWaters.Hard, new Oxidants(none, none), none);
        StageReport report = stage.Treat(
            source,
            new StageDuty(VolumeFlow.FromLitersPerMinute(3.0), 1.0),
            CancellationToken.None
        )!;
        double load_eq_m3 = (2.0 * 1.87) + (2.0 * 0.74) + 1.09 + 0.077;
        double delivered = report.Life!.Value.CubicMeters * load_eq_m3 / housing.Resin.Liters;
        yield return new EvidenceRow(
            "train",
            "equivalents a mixed bed delivers per liter against 0.5 (11 000 grains per cubic foot)",
            EvidenceKind.CommonPractice,
            "common practice, no source",
            1,
            100.0 * double.Abs((delivered / UsualDelivered_eq_L) - 1.0),
            30.0,
            "%",
            "the trade's usual scatter is 0.35–0.65; hard water, 3 L/min, 20 µS/cm"
        );
        yield return TransferUnits();
    }

    /// <summary>Transfer units of sodium over bed sizes and flows, up to the one factor that the table has and this model not.</summary>
    private static EvidenceRow TransferUnits()
    {
        IReadOnlyList<DataTable.Row> rows = DataTable.Read("data/published/exchange/transfer_units.csv").Rows;
        var cold = new WaterComposition(
            TrainWaters.Hard.Totals,
            0.0,
            Temperature.FromDegreesCelsius(15.0).Kelvins
        );
        double[] ratios =
        [
            .. rows.Select(r =>
            {
                var bed = new ExchangeBed(
                    Volume.FromLiters(r.Number("bed_volume_L")),
                    Length.FromMeters(r.Number("bed_diameter_m")),
                    new Resin(ResinKind.StrongCation, 0.4) with
                    {
                        Bead = Length.FromMillimeters(0.65),
                    },
                    new Resin(ResinKind.StrongAnion1, 0.6)
                );
                double flow_m3_s = VolumeFlow
                    .FromUsGallonsPerMinute(r.Number("flow_usgpm"))
                    .CubicMetersPerSecond;
                return -double.Log(QuickBed.Of(bed, 1, 1, flow_m3_s, cold).Slip) / r.Number("NTU_Na");
            }),
        ];
        double mean = ratios.Average();
        return new EvidenceRow(
            "choice",
            "transfer units of sodium over bed sizes and flows, spread about one factor",
            EvidenceKind.OtherCode,
            "computed",
            ratios.Length,
            100.0 * ratios.Worst(r => double.Abs((r / mean) - 1.0)),
            1.0,
            "%",
            string.Create(
                System.Globalization.CultureInfo.InvariantCulture,
                $"a separate calculation with a Nernst–Planck factor, which quick figures leave out: these are {mean:F2} of its"
            )
        );
    }
}
