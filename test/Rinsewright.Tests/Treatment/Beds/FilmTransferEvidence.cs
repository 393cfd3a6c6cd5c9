using Rinsewright.Quantities;
using Rinsewright.Tests.Evidence;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Tests.Treatment.Beds;

/// <summary>Film coefficients and transfer units against separate calculations of the published correlations.</summary>
public sealed class FilmTransferEvidence : IEvidenceSet
{
    private const string Folder = "data/published/exchange-theory";

    public IEnumerable<EvidenceRow> Rows()
    {
        foreach (
            IGrouping<string, DataTable.Row> group in DataTable
                .Read($"{Folder}/film-coefficients.csv")
                .Rows.GroupBy(r => r.Text("correlation"), StringComparer.Ordinal)
        )
        {
            yield return Row(
                $"film coefficient, {group.First().Text("source")}",
                group.First().Text("source"),
                [.. group.Select(Coefficient)],
                0.1
            );
        }

        IReadOnlyList<DataTable.Row> ratios = DataTable.Read($"{Folder}/film-diffusivity.csv").Rows;
        yield return Row(
            "diffusion through the film against H+ or OH- leaving",
            "haub1986",
            [
                .. ratios.Select(r =>
                    FilmTransfer.EffectiveDiffusivityRatio(
                        r.Number("D_m2_s"),
                        r.Number("leaving_D_m2_s"),
                        (int)r.Number("charge")
                    ) / r.Number("ratio")
                ),
            ],
            0.001
        );
        List<DataTable.Row> units =
        [
            .. DataTable.Read($"{Folder}/transfer-units.csv").Rows.Where(r => Reynolds(r) <= 55),
        ];
        yield return Row(
            "transfer units of sodium and chloride in six beds",
            "wilson1966",
            [
                .. units.Select(r => TransferUnits(r, 0, Component.Sodium) / r.Number("NTU_Na")),
                .. units.Select(r => TransferUnits(r, 1, Component.Chloride) / r.Number("NTU_Cl")),
            ],
            0.3,
            "below Reynolds number 55; those figures keep the law of slow flow above it, where this one changes to the published other"
        );
    }

    private static double Reynolds(DataTable.Row row) =>
        VolumeFlow.FromUsGallonsPerMinute(row.Number("flow_usgpm")).CubicMetersPerSecond
        / (Math.PI / 4 * row.Number("diameter_m") * row.Number("diameter_m"))
        * 0.65e-3
        / BedConstants.At(288.15).Viscosity;

    private static double Coefficient(DataTable.Row row)
    {
        double flow = VolumeFlow.FromUsGallonsPerMinute(row.Number("flow_usgpm")).CubicMetersPerSecond;
        double diameter = row.Number("bed_diameter_m");
        double bead = row.Number("bead_m");
        double reynolds = flow / (Math.PI / 4 * diameter * diameter) * bead / Viscosity(row);
        double sherwood = FilmTransfer.Sherwood(
            Enum.Parse<FilmCorrelation>(row.Text("correlation")),
            reynolds,
            Viscosity(row) / row.Number("D_m2_s"),
            row.Number("void_fraction")
        );
        return sherwood * row.Number("D_m2_s") / bead / row.Number("k_m_s");
    }

    private static double Viscosity(DataTable.Row row) => row.Number("Sc") * row.Number("D_m2_s");

    private static double TransferUnits(DataTable.Row row, int resin, Component ion)
    {
        var bed = new ExchangeBed(
            Volume.FromLiters(row.Number("volume_L")),
            Length.FromMeters(row.Number("diameter_m")),
            new Resin(ResinKind.StrongCation, 0.4) { Bead = Length.FromMillimeters(0.65) },
            new Resin(ResinKind.StrongAnion1, 0.6) { Bead = Length.FromMillimeters(0.65) }
        )
        {
            Kinetics = new BedKinetics { FilmField = true },
        };
        double velocity =
            VolumeFlow.FromUsGallonsPerMinute(row.Number("flow_usgpm")).CubicMetersPerSecond / bed.Area;
        double rate = ResinCoefficients.TransferRate(
            bed,
            bed.Resins[resin],
            ion,
            velocity,
            BedConstants.At(288.15)
        );
        return rate * bed.Depth.Meters / velocity;
    }

    private static EvidenceRow Row(
        string quantity,
        string source,
        IReadOnlyList<double> ratios,
        double allowed,
        string remark = ""
    ) =>
        new(
            "exchange-bed",
            quantity,
            EvidenceKind.OtherCode,
            source,
            ratios.Count,
            100 * ratios.Worst(r => Math.Abs(r - 1)),
            allowed,
            "%",
            remark
        );
}
