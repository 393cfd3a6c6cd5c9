using Rinsewright.Quantities;
using Rinsewright.Tests.Evidence;
using Rinsewright.Tests.Treatment.Beds;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Tests.Treatment;

/// <summary>
/// What a practitioner of the trade reports, beside what the models make of a range of fills, meters and waters. Nothing is
/// fitted to it: the facts have no source and leave most of what matters unsaid, so a factor of two is all they can ask.
/// </summary>
public sealed class TradeFactsEvidence : IEvidenceSet
{
    private const string NoSource = "common practice, no source";
    private const double ReportedGallons = 1100; // "somewhat more than 1 000"
    private const double HardFrom_mg_L = 60; // where usual classes begin to speak of hardness; "hard" from 120

    public IEnumerable<EvidenceRow> Rows()
    {
        List<(double Three, double Eight)> lives = [.. Lives()];
        List<double> eights = [.. lives.Select(l => l.Eight).Order()];
        double middle = eights[eights.Count / 2];
        bool within = eights[0] <= ReportedGallons && ReportedGallons <= eights[^1];
        yield return new EvidenceRow(
            "exchange-bed",
            "gallons of 50–80 ppm water to an outlet of 8 ppm against somewhat more than 1 000",
            EvidenceKind.CommonPractice,
            NoSource,
            lives.Count,
            within ? Math.Max(middle / ReportedGallons, ReportedGallons / middle) : double.PositiveInfinity,
            2,
            "as a factor",
            FormattableString.Invariant(
                $"middle of {lives.Count} cases, which span {Rounded(eights[0])} to {Rounded(eights[^1])} US gal: 3.7, 4.1 and 6 L of resin, meter factors 0.5 and 0.7, two compositions, 4 L/min"
            )
        );
        List<double> rises = [.. lives.Select(l => l.Three / l.Eight).Order()];
        yield return new EvidenceRow(
            "exchange-bed",
            "share of its run to 8 ppm at which an outlet shows 3 ppm, distance from 0.9",
            EvidenceKind.CommonPractice,
            NoSource,
            rises.Count,
            rises.Worst(r => Math.Abs(r - 0.9)),
            0.2,
            "of the run",
            FormattableString.Invariant(
                $"from {rises[0]:F2} to {rises[^1]:F2}: a reading that has begun to rise is near its end"
            )
        );
        double hardness = Quantile("""{"tds":{"reading":"100 ppm","factor":0.5}}""", WaterFigure.Hardness);
        yield return new EvidenceRow(
            "water",
            "hardness of water that reads 100 ppm, over the 60 mg/L at which hardness begins",
            EvidenceKind.CommonPractice,
            NoSource,
            1,
            HardFrom_mg_L / hardness,
            1,
            "as a factor",
            FormattableString.Invariant(
                $"median {hardness:F0} mg/L as CaCO3 where nothing else is known; the trade calls more than 100 ppm hard"
            )
        );
        double[] springs = [.. SpringWaters()];
        yield return new EvidenceRow(
            "water",
            "pocket reading of bottled spring waters against 200–270 ppm",
            EvidenceKind.CommonPractice,
            NoSource,
            springs.Length,
            springs.Worst(s => Math.Max(s / 235, 235 / s)),
            2,
            "as a factor",
            FormattableString.Invariant(
                $"two limestone spring waters of our own read {springs.Min():F0} and {springs.Max():F0} ppm at factor 0.5"
            )
        );
        double drift = Drift();
        yield return new EvidenceRow(
            "water",
            "drift of a pen taken from 20 °C into water of 12 °C until its sensor has cooled",
            EvidenceKind.CommonPractice,
            NoSource,
            1,
            Math.Max(drift / 0.1, 0.1 / drift),
            3,
            "as a factor of 10 %",
            FormattableString.Invariant(
                $"reads {100 * drift:F0} % low at first, because it compensates for its own temperature"
            )
        );
    }

    private static double Rounded(double gallons) => 10 * Math.Round(gallons / 10);

    private static IEnumerable<(double Three, double Eight)> Lives()
    {
        foreach (string id in (string[])["4.5x20", "6x13", "6x18"])
        {
            ExchangeBed bed = HousingCatalog.MixedBed(
                HousingCatalog.All.Single(h => h.Id.EndsWith(id, StringComparison.Ordinal))
            );
            foreach (double factor in (double[])[0.5, 0.7])
            {
                foreach (bool limestone in (bool[])[true, false])
                {
                    foreach (double ppm in (double[])[50, 80])
                    {
                        yield return Life(bed, factor, Municipal(limestone, ppm / factor));
                    }
                }
            }
        }
    }

    private static (double Three, double Eight) Life(ExchangeBed bed, double factor, WaterComposition feed)
    {
        var flow = VolumeFlow.FromLitersPerMinute(4);
        var temperature = Temperature.FromKelvins(feed.TemperatureKelvin);
        var series = new BedSeries([bed], flow, temperature);
        Volume volume = Volume.FromCubicMeters(1.2 * series.StoichiometricVolume(feed.Totals).CubicMeters);
        Assert.Equal(BedRunStatus.Completed, series.Advance(feed.Totals, temperature, flow, volume));
        var report = new EffluentReport(series.Effluent, feed, [bed], 2);
        double Reached(double ppm) => report.Reaches(Line(ppm), factor)!.Value.UsGallons;
        return (Reached(3), Reached(8));
    }

    private static ChangeOutLine Line(double ppm)
    {
        string text = FormattableString.Invariant($"{ppm} ppm");
        Assert.True(ChangeOutLine.TryParse("line", text, out ChangeOutLine? line, out _));
        return line;
    }

    /// <summary>A municipal water of a kind, as strong as its conductivity says [µS/cm at 25 °C].</summary>
    private static WaterComposition Municipal(bool limestone, double conductivity25)
    {
        WaterComposition water = limestone
            ? Water(30, 3, 6, 1, 10, 10, 2, 6)
            : Water(12, 3, 14, 2, 20, 14, 2, 8);
        for (int i = 0; i < 4; i++)
        {
            water = water.Concentrated(conductivity25 / BedFindingsTests.FeedConductivity(water));
        }

        return water;
    }

    private static IEnumerable<double> SpringWaters() =>
        (
            (ReadOnlySpan<WaterComposition>)
                [Water(72, 8, 6, 1, 10, 14, 5, 10), Water(86, 20, 7, 1, 10, 20, 4, 14)]
        )
            .ToArray()
            .Select(w => 0.5 * BedFindingsTests.FeedConductivity(w));

    /// <summary>Share by which a meter reads low while its sensor is still at 20 °C in water of 12 °C.</summary>
    private static double Drift()
    {
        Compensation usual = Compensation.Linear(2);
        double conductivity = Compensation.NaturalWater.From25(400e-4, PhysicalConstants.ZeroCelsius + 12);
        double first = usual.To25(conductivity, PhysicalConstants.ZeroCelsius + 20);
        double settled = usual.To25(conductivity, PhysicalConstants.ZeroCelsius + 12);
        return 1 - (first / settled);
    }

    private static double Quantile(string json, WaterFigure figure)
    {
        Assert.True(WaterFile.TryRead(json, out WaterAnalysis? analysis, out _, out _));
        SourceWater? source = SourceWater.Complete(analysis, new WaterMode(), 64, 1, out _);
        Assert.NotNull(source);
        var report = WaterReport.Of(source, ActivityModel.TruesdellJones);
        Assert.NotNull(report);
        return report.Quantile(figure, 0.5);
    }

    /// <summary>Ions and silica in mg/L at 15 °C, 4 mg/L of carbon dioxide; bicarbonate closes the balance.</summary>
    private static WaterComposition Water(
        double calcium,
        double magnesium,
        double sodium,
        double potassium,
        double chloride,
        double sulfate,
        double nitrate,
        double silica
    ) =>
        BedFindingsTests.Water(
            15,
            calcium,
            magnesium,
            sodium,
            potassium,
            chloride,
            sulfate,
            nitrate,
            silica,
            carbonDioxide: 4
        );
}
