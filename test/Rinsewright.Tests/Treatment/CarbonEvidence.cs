using Rinsewright.Quantities;
using Rinsewright.Tests.Evidence;
using Rinsewright.Treatment;

namespace Rinsewright.Tests.Treatment;

/// <summary>Carbon against the half-value example and the reduction that ordinary filters show.</summary>
public sealed class CarbonEvidence : IEvidenceSet
{
    private static readonly Temperature Warm = Temperature.FromDegreesCelsius(25.0);

    public IEnumerable<EvidenceRow> Rows()
    {
        IReadOnlyList<DataTable.Row> rows = DataTable.Read("data/published/carbon/half_value.csv").Rows;
        double worst = rows.Worst(row =>
        {
            double velocity_m_s = row.Number("velocity_m_h") / 3600.0;
            double depth_m = row.Number("half_value_cm") / 100.0;
            CarbonBlock carbon = new(Volume.FromCubicMeters(depth_m))
            {
                Rate_1_s = row.Number("rate_1_s"),
                HypochloriteShare = 1.0,
            };
            double leaving = LeavingShare(carbon, VolumeFlow.FromCubicMetersPerSecond(velocity_m_s));
            return double.Abs(leaving - 0.5);
        });
        yield return new EvidenceRow(
            "carbon",
            "share left behind one half-value depth against 1/2",
            EvidenceKind.Published,
            "din19603note",
            rows.Count,
            100.0 * worst,
            0.1,
            "points",
            "the printed rates have three digits"
        );

        CarbonBlock ordinary = new(Volume.FromLiters(0.75));
        VolumeFlow usual = VolumeFlow.FromLitersPerMinute(4.0);
        double free = 100.0 * (1.0 - LeavingShare(ordinary, usual));
        yield return new EvidenceRow(
            "carbon",
            "removal of free chlorine by an ordinary cartridge against about 90 %",
            EvidenceKind.CommonPractice,
            "common practice, no source",
            1,
            double.Abs(free - 90.0),
            10.0,
            "points",
            "0.75 L of carbon at 4 L/min, pH 7.5, 25 °C"
        );
    }

    private static double LeavingShare(CarbonBlock carbon, VolumeFlow flow)
    {
        MassConcentration none = MassConcentration.FromMilligramsPerLiter(0.0);
        MassConcentration one = MassConcentration.FromMilligramsPerLiter(1.0);
        return carbon
            .Outlet(new Oxidants(one, none), Volume.FromLiters(0.0), flow, Warm, 7.5)
            .Total.MilligramsPerLiter;
    }
}
