using Rinsewright.Quantities;
using Rinsewright.Tests.Evidence;
using Rinsewright.Treatment;

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
    }
}
