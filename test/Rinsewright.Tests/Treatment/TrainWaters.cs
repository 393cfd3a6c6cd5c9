using CsCheck;
using Rinsewright.Treatment;
using Rinsewright.Water;

namespace Rinsewright.Tests.Treatment;

/// <summary>Waters that the tests of the train share: two invented ones and any between.</summary>
internal static class TrainWaters
{
    /// <summary>Hard tap water: Ca 75, Mg 18, Na 25, K 3, Cl 40, SO4 55, NO3 8, SiO2 12 mg/L, 15 °C; carbon for pH about 7.5.</summary>
    public static WaterComposition Hard { get; } = Of(1.87, 0.74, 1.09, 0.077, 1.13, 0.573, 0.129, 0.2);

    /// <summary>Soft tap water: a tenth of that.</summary>
    public static WaterComposition Soft { get; } = Of(0.175, 0.058, 0.26, 0.015, 0.34, 0.062, 0.0145, 0.05);

    /// <summary>Any water from rain-like to very hard, alkaline enough to have bicarbonate.</summary>
    public static Gen<WaterComposition> Any { get; } =
        Gen.Select(
            Gen.Double[0.05, 2.5],
            Gen.Double[0.02, 1.0],
            Gen.Double[0.1, 3.0],
            Gen.Double[0.05, 0.45],
            Gen.Double[0.0, 0.3],
            (ca, mg, na, strong, silica) =>
            {
                double cations = (2.0 * ca) + (2.0 * mg) + na + 0.05;
                return Of(
                    ca,
                    mg,
                    na,
                    0.05,
                    strong * cations,
                    0.3 * strong * cations,
                    0.05 * strong * cations,
                    silica
                );
            }
        );

    /// <summary>Species of a closed water.</summary>
    public static Speciation Speciate(WaterComposition water)
    {
        var species = new Speciation();
        Assert.Equal(SpeciationStatus.Solved, new SpeciationSolver().Solve(water, water.Closed, species));
        return species;
    }

    /// <summary>Its ions and silica as solutes of a membrane, without carbon dioxide.</summary>
    public static IReadOnlyList<ReverseOsmosis.Solute> Solutes(WaterComposition water) =>
        [
            .. Enum.GetValues<Component>()
                .Select(c => new ReverseOsmosis.Solute(
                    c,
                    water[c],
                    c == Component.InorganicCarbon ? -1 : IonCatalog.Of(IonCatalog.Master(c)).Charge,
                    1.0
                )),
        ];

    /// <summary>Ions [mol/m³]; carbon is bicarbonate by charge and a fourteenth of it as carbon dioxide.</summary>
    private static WaterComposition Of(
        double ca,
        double mg,
        double na,
        double k,
        double cl,
        double so4,
        double no3,
        double silica
    )
    {
        double bicarbonate = (2.0 * ca) + (2.0 * mg) + na + k - cl - (2.0 * so4) - no3;
        var totals = new double[IonCatalog.ComponentCount];
        totals[(int)Component.Calcium] = ca;
        totals[(int)Component.Magnesium] = mg;
        totals[(int)Component.Sodium] = na;
        totals[(int)Component.Potassium] = k;
        totals[(int)Component.Chloride] = cl;
        totals[(int)Component.Sulfate] = so4;
        totals[(int)Component.Nitrate] = no3;
        totals[(int)Component.InorganicCarbon] = 1.07 * bicarbonate;
        totals[(int)Component.Silica] = silica;
        return new WaterComposition(totals, 0.0, 288.15);
    }
}
