using CsCheck;
using Rinsewright.Quantities;
using Rinsewright.Treatment;

namespace Rinsewright.Tests.Treatment;

public sealed class HydraulicsTests
{
    private static readonly Temperature Cool = Temperature.FromDegreesCelsius(15.0);
    private static readonly Nozzle Gun = new(
        "gun",
        VolumeFlow.FromLitersPerMinute(15.0),
        Pressure.FromBars(2.0)
    );

    private static Conduit Hose(double length_m, double bore_mm = 12.7) =>
        new(
            "hose",
            Length.FromMillimeters(bore_mm),
            Length.FromMeters(length_m),
            Length.FromMicrometers(1.5),
            4.0
        );

    private static PackedBed Resin(double bore_mm = 100.0) =>
        new(
            "resin",
            Length.FromMillimeters(bore_mm),
            Length.FromMeters(0.5),
            Length.FromMillimeters(0.65),
            0.38
        )
        {
            HighestVelocity = Speed.FromMetersPerHour(60.0),
        };

    private static FlowLine Line(double bar, params FlowElement[] elements) =>
        new(new WaterSupply(Pressure.FromBars(bar)), elements);

    [Fact]
    public void Colebrook_s_equation_is_closed_to_round_off()
    {
        Gen.Select(Gen.Double[3.6, 8.0], Gen.Double[0.0, 0.05])
            .Repeat()
            .Sample(
                (logReynolds, roughness) =>
                {
                    double reynolds = double.Pow(10.0, logReynolds);
                    double x = 1.0 / double.Sqrt(PipeFriction.Colebrook(reynolds, roughness));
                    double right = -2.0 * double.Log10((roughness / 3.7) + (2.51 * x / reynolds));
                    return double.Abs(x - right) < 1e-12 * x;
                }
            );
    }

    [Fact]
    public void The_loss_of_a_pipe_rises_with_the_flow_through_every_regime()
    {
        var water = new FlowingWater(999.1, 1.1375e-3);
        Gen.Select(Gen.Double[-8.0, -2.0], Gen.Double[0.003, 0.05], Gen.Double[0.0, 0.02])
            .Repeat()
            .Sample(
                (logFlow, bore, roughness) =>
                {
                    double flow = double.Pow(10.0, logFlow);
                    double less = PipeFriction.PressureLoss_Pa(flow, bore, 1.0, roughness * bore, 0.5, water);
                    double more = PipeFriction.PressureLoss_Pa(
                        1.01 * flow,
                        bore,
                        1.0,
                        roughness * bore,
                        0.5,
                        water
                    );
                    return more > less;
                }
            );
    }

    [Fact]
    public void The_pressures_along_a_solved_line_add_up_to_the_supply()
    {
        Gen.Select(Gen.Double[1.0, 6.0], Gen.Double[1.0, 60.0], Gen.Double[-2.0, 4.0])
            .Repeat()
            .Sample(
                (bar, length, rise) =>
                {
                    FlowLine line = Line(bar, Hose(length) with { Rise_m = rise }, Resin());
                    FlowSolution solution = line.Solve(Gun, Cool);
                    double lift = FlowingWater.At(Cool).Density_kg_m3 * 9.80665 * rise;
                    double sum =
                        solution.Elements.Sum(e => e.Loss.Pascals) + lift + solution.ToolPressure.Pascals;
                    double need = Gun.Need_Pa(solution.Flow.CubicMetersPerSecond);
                    return double.Abs(sum - (bar * 1e5)) < 1e-3
                        && double.Abs(need - solution.ToolPressure.Pascals) < 1.0;
                }
            );
    }

    [Fact]
    public void More_pressure_shorter_hose_and_wider_bore_never_give_less_flow()
    {
        Gen.Select(Gen.Double[1.0, 6.0], Gen.Double[1.0, 60.0], Gen.Double[8.0, 25.0])
            .Repeat()
            .Sample(
                (bar, length, bore) =>
                {
                    double flow = Line(bar, Hose(length, bore)).Solve(Gun, Cool).Flow.LitersPerMinute;
                    double more = Line(bar * 1.1, Hose(length, bore)).Solve(Gun, Cool).Flow.LitersPerMinute;
                    double shorter = Line(bar, Hose(length * 0.9, bore))
                        .Solve(Gun, Cool)
                        .Flow.LitersPerMinute;
                    double wider = Line(bar, Hose(length, bore * 1.1)).Solve(Gun, Cool).Flow.LitersPerMinute;
                    return more >= flow && shorter >= flow && wider >= flow;
                }
            );
    }

    [Fact]
    public void Two_beds_side_by_side_lose_less_than_half_of_what_one_loses()
    {
        var water = FlowingWater.At(Cool);
        PackedBed one = Resin();
        double alone = one.Loss_Pa(2e-4, water);
        Assert.InRange(new EvenSplit("pair", 2, one).Loss_Pa(2e-4, water), 0.25 * alone, 0.5 * alone);
    }

    [Fact]
    public void A_bucket_test_lowers_the_flow_that_a_tool_gets()
    {
        var strong = new FlowLine(new WaterSupply(Pressure.FromBars(3.0)), [Hose(15.0)]);
        FlowLine weak = strong with
        {
            Supply = new WaterSupply(Pressure.FromBars(3.0), VolumeFlow.FromLitersPerMinute(20.0)),
        };
        Assert.True(weak.Solve(Gun, Cool).Flow < strong.Solve(Gun, Cool).Flow);
    }

    [Fact]
    public void A_washer_that_the_line_cannot_feed_gets_what_there_is_and_a_warning()
    {
        var washer = new PressureWasher(
            "washer",
            VolumeFlow.FromLitersPerMinute(15.0),
            Pressure.FromBars(0.5)
        );
        FlowSolution fed = Line(4.0, Hose(10.0)).Solve(washer, Cool);
        FlowSolution starved = Line(2.0, Hose(50.0, 8.0)).Solve(washer, Cool);
        Assert.Equal(15.0, fed.Flow.LitersPerMinute, 9);
        Assert.Empty(fed.Warnings);
        Assert.InRange(starved.Flow.LitersPerMinute, 1.0, 14.0);
        Assert.Equal(WarningLevel.Danger, Assert.Single(starved.Warnings).Level);
    }

    [Fact]
    public void A_line_that_rises_above_its_pressure_gives_no_water_and_says_so()
    {
        FlowSolution solution = Line(1.0, Hose(5.0) with { Rise_m = 12.0 }).Solve(Gun, Cool);
        Assert.Equal(0.0, solution.Flow.LitersPerMinute);
        Assert.Contains(solution.Warnings, w => w.Text.Text.Contains("No water", StringComparison.Ordinal));
    }

    [Fact]
    public void Limits_of_pressure_temperature_and_velocity_are_reported_where_they_are_passed()
    {
        MeasuredLoss housing = new(
            "housing",
            VolumeFlow.FromLitersPerMinute(10.0),
            Pressure.FromKilopascals(10.0),
            2.0
        )
        {
            RatedPressure = Pressure.FromBars(6.0),
            RatedTemperature = Temperature.FromDegreesCelsius(38.0),
        };
        FlowSolution hot = Line(8.0, housing, Resin(60.0)).Solve(Gun, Temperature.FromDegreesCelsius(45.0));
        FlowSolution calm = Line(2.0, housing, Resin(200.0)).Solve(Gun, Cool);
        Assert.Equal("housing housing resin", string.Join(' ', hot.Warnings.Select(w => w.Place)));
        Assert.Equal(2, hot.Warnings.Count(w => w.Level == WarningLevel.Danger));
        Assert.Empty(calm.Warnings);
    }

    [Fact]
    public void Pressure_that_a_rise_takes_below_the_air_is_reported_at_the_element_that_rises()
    {
        Conduit up = Hose(1.0) with { Name = "up", Rise_m = 12.0 };
        Conduit down = Hose(1.0) with { Name = "down", Rise_m = -14.0 };
        FlowSolution solution = Line(1.0, up, down).Solve(Gun, Cool);
        Assert.True(solution.Flow.LitersPerMinute > 0.0);
        Warning warning = Assert.Single(
            solution.Warnings,
            w => w.Text.Text.Contains("below that of the air", StringComparison.Ordinal)
        );
        Assert.Equal("up", warning.Place);
    }

    [Fact]
    public void Beds_in_a_row_are_held_to_their_velocity_and_those_with_a_by_pass_to_their_share_of_the_flow()
    {
        bool IsTooFast(FlowElement element, double liters_min) =>
            Line(5.0, element)
                .Solve(
                    new PressureWasher("washer", VolumeFlow.FromLitersPerMinute(liters_min), default),
                    Cool
                )
                .Warnings.Any(w => w.Text.Text.Contains("it slips", StringComparison.Ordinal));
        PackedBed bed = Resin(); // 60 m/h at 7.85 L/min
        Assert.True(IsTooFast(new InRow("row", [Resin(200.0), bed]), 8.5));
        Assert.False(IsTooFast(new InRow("row", [bed, bed]), 7.0));
        Assert.False(IsTooFast(new Bypassed("part", 0.2, bed), 8.5));
        Assert.True(IsTooFast(new Bypassed("part", 0.2, bed), 10.5));
    }

    [Fact]
    public void A_by_pass_takes_its_share_of_the_flow_past_the_stage_and_its_loss()
    {
        var carbon = new CarbonStage(
            "carbon",
            new CarbonBlock(Volume.FromLiters(1.0)),
            CarbonBlock.UsualLine,
            new MeasuredLoss(
                "carbon",
                VolumeFlow.FromLitersPerMinute(4.0),
                Pressure.FromKilopascals(20.0),
                1.0
            )
        );
        var water = FlowingWater.At(Cool);
        double whole = carbon.Element!.Loss_Pa(1e-4, water);
        Assert.Equal(0.75 * whole, new BlendStage("blend", 0.25, carbon).Element!.Loss_Pa(1e-4, water), 1e-9);
        Assert.Null(new BlendStage("blend", 0.25, new OsmosisStage("osmosis", new ReverseOsmosis())).Element);
    }

    [Fact]
    public void A_nozzle_known_by_its_bore_obeys_the_orifice_law()
    {
        Nozzle nozzle = Nozzle.FromBore("jet", Length.FromMillimeters(4.0), 0.97);
        double velocity = nozzle.RatedFlow.CubicMetersPerSecond / (0.25 * double.Pi * 16e-6 * 0.97);
        Assert.Equal(nozzle.RatedPressure.Pascals, 0.5 * 998.2 * velocity * velocity, 6);
        double twice = nozzle.Need_Pa(2.0 * nozzle.RatedFlow.CubicMetersPerSecond);
        Assert.Equal(4.0 * nozzle.RatedPressure.Pascals, twice, 6);
    }
}
