using Rinsewright.Quantities;
using Rinsewright.Tests.Evidence;
using Rinsewright.Treatment;

namespace Rinsewright.Tests.Treatment;

/// <summary>Pipes, beds and lines against handbooks and a general fluid-dynamics library.</summary>
public sealed class HydraulicsEvidence : IEvidenceSet
{
    private const string Model = "hydraulics";
    private const double Gravity_m_s2 = 9.80665;
    private const double SteelRoughness_m = 4.57e-5;

    public IEnumerable<EvidenceRow> Rows()
    {
        yield return FrictionFactors("colebrook", 1e-7);
        yield return FrictionFactors("laminar", 1e-7);
        yield return FrictionFactors(
            "swamee-jain",
            2e-4,
            "the library writes 5.74 as 6.97^0.9 = 5.7399, which moves the sixth digit"
        );
        yield return Ergun();
        yield return ErgunCoefficients();
        yield return BedDrops();
        foreach (DataTable.Row row in DataTable.Read("data/published/hydraulics/crane_examples.csv").Rows)
        {
            double computed = row.Text("example") switch
            {
                "7-1 friction factor" => SmoothPipeFriction(),
                "7-14 pressure" => RisingMainPressure_bar(),
                "7-19 flow" => DrainFlow_gpm(),
                string other => throw new InvalidDataException(other),
            };
            double printed = row.Number("printed");
            yield return new EvidenceRow(
                Model,
                $"example {row.Text("example")} ({row.Text("unit")})",
                EvidenceKind.Published,
                "crane_tp410",
                1,
                100.0 * double.Abs((computed / printed) - 1.0),
                row.Number("tolerance_pct"),
                "%",
                $"a general library gives {row.Text("library_value")}"
            );
        }

        yield return GardenHose();
    }

    private static EvidenceRow FrictionFactors(string law, double tolerance_pct, string remark = "")
    {
        List<DataTable.Row> rows =
        [
            .. DataTable
                .Read("data/published/hydraulics/friction_factors.csv")
                .Rows.Where(row => string.Equals(row.Text("law"), law, StringComparison.Ordinal)),
        ];
        double worst = rows.Worst(row =>
        {
            double reynolds = row.Number("reynolds");
            double roughness = row.Number("relative_roughness");
            double computed = string.Equals(law, "swamee-jain", StringComparison.Ordinal)
                ? PipeFriction.SwameeJain(reynolds, roughness)
                : PipeFriction.FrictionFactor(reynolds, roughness);
            return double.Abs((computed / row.Number("friction_factor")) - 1.0);
        });
        return new EvidenceRow(
            Model,
            $"friction factor, {law}",
            EvidenceKind.OtherCode,
            "bell_fluids",
            rows.Count,
            100.0 * worst,
            tolerance_pct,
            "%",
            remark
        );
    }

    private static EvidenceRow Ergun()
    {
        IReadOnlyList<DataTable.Row> rows = DataTable.Read("data/published/hydraulics/ergun.csv").Rows;
        double worst = rows.Worst(row =>
        {
            double computed = BedFriction.Gradient_Pa_m(
                row.Number("velocity_mm_s") / 1000.0,
                row.Number("bead_mm") / 1000.0,
                row.Number("void_fraction"),
                row.Number("sphericity"),
                new FlowingWater(row.Number("density_kg_m3"), row.Number("viscosity_mPa_s") / 1000.0)
            );
            return double.Abs((computed / row.Number("pressure_drop_Pa")) - 1.0);
        });
        return new EvidenceRow(
            Model,
            "bed pressure drop",
            EvidenceKind.OtherCode,
            "bell_fluids",
            rows.Count,
            100.0 * worst,
            1e-4,
            "%"
        );
    }

    private static EvidenceRow ErgunCoefficients()
    {
        DataTable.Row row = DataTable.Read("data/published/hydraulics/ergun_coefficients.csv").Rows[0];
        var water = new FlowingWater(1000.0, 1e-3);
        double bead = row.Number("bead_mm") / 1000.0;
        double atOne = BedFriction.Gradient_Pa_m(1.0, bead, row.Number("void_fraction"), 1.0, water);
        double atTwo = BedFriction.Gradient_Pa_m(2.0, bead, row.Number("void_fraction"), 1.0, water);
        double quadratic = 0.5 * (atTwo - (2.0 * atOne));
        double linear = atOne - quadratic;
        double worst = double.Max(
            double.Abs((linear / row.Number("linear_Pa_s_m2")) - 1.0),
            double.Abs((quadratic / row.Number("quadratic_Pa_s2_m3")) - 1.0)
        );
        return new EvidenceRow(
            Model,
            "coefficients of the bed pressure drop",
            EvidenceKind.Published,
            "fluidisation_question",
            2,
            100.0 * worst,
            0.1,
            "%",
            "printed to three or four digits"
        );
    }

    private static EvidenceRow BedDrops()
    {
        IReadOnlyList<DataTable.Row> rows = DataTable
            .Read("data/published/hydraulics/bed_pressure_drops.csv")
            .Rows;
        FlowingWater water = FlowingWater.At(Temperature.FromDegreesCelsius(15.0));
        double worst = rows.Worst(row =>
        {
            var bed = new PackedBed(
                row.Text("bed"),
                Length.FromMeters(row.Number("bed_diameter_m")),
                Length.FromMeters(row.Number("bed_depth_m")),
                Length.FromMillimeters(0.65),
                0.38
            );
            VolumeFlow flow = VolumeFlow.FromUsGallonsPerMinute(row.Number("flow_usgpm"));
            double computed = bed.Loss_Pa(flow.CubicMetersPerSecond, water) / 1000.0;
            return double.Abs((computed / row.Number("bed_pressure_drop_kPa")) - 1.0);
        });
        return new EvidenceRow(
            Model,
            "pressure drop of housings full of resin",
            EvidenceKind.OtherCode,
            "computed",
            rows.Count,
            100.0 * worst,
            0.2,
            "%",
            "a separate calculation; its viscosity and density have four digits"
        );
    }

    /// <summary>Water of 30 °C, 200 L/min in a smooth pipe of 52.5 mm bore.</summary>
    private static double SmoothPipeFriction()
    {
        FlowingWater water = FlowingWater.At(Temperature.FromDegreesCelsius(30.0));
        const double Bore_m = 0.0525;
        double velocity = 4.0 * (0.2 / 60.0) / (double.Pi * Bore_m * Bore_m);
        double reynolds = water.Density_kg_m3 * velocity * Bore_m / water.Viscosity_Pa_s;
        return PipeFriction.FrictionFactor(reynolds, 1.5e-6 / Bore_m);
    }

    /// <summary>1 500 L/min at 15 °C up 22 m through 67 m of 128.2 mm and 34 m of 102.26 mm pipe and a bend of 14 f_T.</summary>
    private static double RisingMainPressure_bar()
    {
        FlowingWater water = FlowingWater.At(Temperature.FromDegreesCelsius(15.0));
        const double Flow_m3_s = 0.025;
        double wide = PipeFriction.PressureLoss_Pa(Flow_m3_s, 0.1282, 67.0, SteelRoughness_m, 0.0, water);
        double narrow = PipeFriction.PressureLoss_Pa(
            Flow_m3_s,
            0.10226,
            34.0,
            SteelRoughness_m,
            14.0 * 0.017,
            water
        );
        double lift = water.Density_kg_m3 * Gravity_m_s2 * 22.0;
        double faster =
            DynamicPressure(Flow_m3_s, 0.10226, water) - DynamicPressure(Flow_m3_s, 0.1282, water);
        return (wide + narrow + lift + faster) / 1e5;
    }

    /// <summary>
    /// Head of 11.5 ft, 60 °F: entrance, mitre bend, gate valve and 10 ft of 3 in, then 20 ft of 2 in schedule 40, free exit.
    /// </summary>
    private static double DrainFlow_gpm()
    {
        Temperature temperature = Temperature.FromDegreesFahrenheit(60.0);
        FlowingWater water = FlowingWater.At(temperature);
        const double WideInch = 3.068;
        const double NarrowInch = 2.067;
        const double FullyRough = 0.018;
        double contraction = 0.5 * (1.0 - (NarrowInch * NarrowInch / (WideInch * WideInch)));
        var line = new FlowLine(
            new WaterSupply(
                Pressure.FromPascals(water.Density_kg_m3 * Gravity_m_s2 * Length.FromFeet(11.5).Meters)
            ),
            [
                new Conduit(
                    "3 in",
                    Length.FromInches(WideInch),
                    Length.FromFeet(10.0),
                    Length.FromMeters(SteelRoughness_m),
                    0.5 + (68.0 * FullyRough)
                ),
                new Conduit(
                    "2 in",
                    Length.FromInches(NarrowInch),
                    Length.FromFeet(20.0),
                    Length.FromMeters(SteelRoughness_m),
                    contraction + 1.0
                ),
            ]
        );
        FlowSolution solution = line.Solve(
            new PressureWasher("air", VolumeFlow.FromCubicMetersPerSecond(1.0), Pressure.FromPascals(0.0)),
            temperature
        );
        return solution.Flow.UsGallonsPerMinute;
    }

    /// <summary>An open 5/8 in garden hose of 50 ft at 50 psi passes about 12.6 gal/min.</summary>
    private static EvidenceRow GardenHose()
    {
        var line = new FlowLine(
            new WaterSupply(Pressure.FromPoundsPerSquareInch(50.0)),
            [
                new Conduit(
                    "hose",
                    Length.FromInches(0.625),
                    Length.FromFeet(50.0),
                    Length.FromMeters(1.5e-6),
                    10.0
                ),
            ]
        );
        FlowSolution solution = line.Solve(
            new PressureWasher("air", VolumeFlow.FromCubicMetersPerSecond(1.0), Pressure.FromPascals(0.0)),
            Temperature.FromDegreesCelsius(15.0)
        );
        return new EvidenceRow(
            Model,
            "flow of an open garden hose against 12.6 gal/min",
            EvidenceKind.CommonPractice,
            "common practice, no source",
            1,
            100.0 * double.Abs((solution.Flow.UsGallonsPerMinute / 12.6) - 1.0),
            50.0,
            "%",
            "length and couplings are not stated where the figure is quoted; 50 ft and K = 10 taken; order of magnitude"
        );
    }

    private static double DynamicPressure(double flow_m3_s, double bore_m, FlowingWater water)
    {
        double velocity = 4.0 * flow_m3_s / (double.Pi * bore_m * bore_m);
        return 0.5 * water.Density_kg_m3 * velocity * velocity;
    }
}
