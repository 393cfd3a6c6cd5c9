using Rinsewright.Records.Logbook;
using Rinsewright.Records.Trust;

namespace Rinsewright.App.Tests.Trust;

public sealed class ReadingRulesTests
{
    private static readonly DateTimeOffset Start = new(2026, 3, 1, 8, 0, 0, TimeSpan.Zero);
    private static readonly IdSource Ids = new(TimeProvider.System);
    private static readonly Id<Rig> RigId = Ids.Next<Rig>();

    private static readonly Meter Probe = new()
    {
        Id = Ids.Next<Meter>(),
        Name = "Probe",
        Measurand = Measurand.SpecificConductance,
        Compensation_per_K = 0.02,
        Resolution_SI = 1e-6,
    };

    private static readonly Stage Membrane = StageOf("Membrane", 1, StageKind.ReverseOsmosis);
    private static readonly Stage Bed = StageOf("Bed", 2, StageKind.MixedBed);

    [Fact]
    public void A_plain_reading_has_nothing_against_it() =>
        Assert.Empty(Faults([At(0, 8), At(1, 9), At(2, 9)]));

    [Fact]
    public void A_display_that_still_moved_is_unsettled() =>
        Assert.Equal([(0, ReadingFault.Unsettled)], Faults([At(0, 8) with { IsSettled = false }]));

    [Fact]
    public void A_reading_that_the_same_meter_takes_back_minutes_later_is_unsettled() =>
        Assert.Equal(
            [(0, ReadingFault.Unsettled)],
            Faults([At(0, 12), At(0, 9) with { At = Start.AddMinutes(3) }, At(1, 9)])
        );

    [Theory]
    [InlineData(4, true)]
    [InlineData(10, false)]
    [InlineData(25, false)]
    public void Cold_water_is_marked(double celsius, bool isMarked)
    {
        TrustedReading seen = Judge([At(0, 8) with { Temperature_K = celsius + 273.15 }])[0];
        Assert.Equal(isMarked, seen.Remarks.Any(r => r.Fault is ReadingFault.Cold));
        if (isMarked)
        {
            // ISO 7888 (key iso7888): 1.693 at 4 °C, where 2 % per °C makes 1/(1 - 0.42) = 1.724: 1.8 % high.
            Assert.Contains("4 °C", seen.Remarks[0].Reason.ToString(), StringComparison.Ordinal);
            Assert.Contains("1.8 % high", seen.Remarks[0].Reason.ToString(), StringComparison.Ordinal);
            Assert.Contains("warm", seen.Remarks[0].Advice.ToString(), StringComparison.Ordinal);
        }
    }

    [Fact]
    public void A_reading_that_its_own_acidity_explains_is_carbon_dioxide()
    {
        // 10^-5 mol/L of hydrogen ions and as much bicarbonate: 1e-5·(349.8 + 44.5) S cm²/mol = 3.9 µS/cm.
        TrustedReading[] seen = Judge([Checked(At(0, 5)), Ph(0, 5.0)]);
        Assert.Equal(ReadingFault.CarbonDioxide, Assert.Single(seen[0].Remarks).Fault);
        Assert.Contains("3.9 µS/cm", seen[0].Remarks[0].Reason.ToString(), StringComparison.Ordinal);
        Assert.Empty(Faults([At(0, 5), Ph(0, 7.0)]));
        Assert.Empty(Faults([At(0, 40), Ph(0, 5.0)]));
    }

    [Fact]
    public void A_reading_of_what_the_air_alone_gives_is_carbon_dioxide()
    {
        // Water in equilibrium with air has pH 5.6 and about 0.9 to 1.0 µS/cm.
        ReadingRemark remark = Assert.Single(Judge([At(0, 1.2)])[0].Remarks);
        Assert.Equal(ReadingFault.CarbonDioxide, remark.Fault);
        Assert.Matches("holds (0.9|1.0) µS/cm", remark.Reason.ToString());
        Assert.Empty(Faults([At(0, 4)]));
    }

    [Fact]
    public void Behind_a_bare_membrane_the_sources_carbon_dioxide_is_named()
    {
        Reading permeate = At(0, 6) with { StageId = Membrane.Id };
        string soft = """{ "pH": 6.5, "alkalinity": "60 mg/L as CaCO3", "conductivity": "250 uS/cm" }""";
        string hard = """{ "pH": 8.3, "alkalinity": "60 mg/L as CaCO3", "conductivity": "250 uS/cm" }""";
        ReadingRemark remark = Assert.Single(Judge([permeate], soft)[0].Remarks);
        Assert.Equal(ReadingFault.CarbonDioxide, remark.Fault);
        Assert.Contains("membrane", remark.Reason.ToString(), StringComparison.Ordinal);
        Assert.Empty(Judge([permeate], hard)[0].Remarks);
        Assert.Empty(Judge([permeate with { StageId = Bed.Id }], soft)[0].Remarks);
    }

    [Fact]
    public void A_lone_high_reading_is_contaminated_and_a_rise_that_stays_is_not()
    {
        Assert.Equal([(1, ReadingFault.Contaminated)], Faults([At(0, 5), At(7, 40), At(14, 5)]));
        Assert.Empty(Faults([At(0, 5), At(7, 40), At(14, 60)]));
    }

    [Fact]
    public void A_high_reading_before_a_change_out_or_at_a_wider_hose_is_not_contaminated()
    {
        Fill changed = new()
        {
            Id = Ids.Next<Fill>(),
            StageId = Bed.Id,
            Medium = "mixed-bed resin",
            PutInAt = Start.AddDays(10),
        };
        Reading[] spike = [At(0, 5), At(7, 40), At(14, 5)];
        Assert.Empty(Faults(spike, changed));
        Assert.Equal(
            [(1, ReadingFault.Contaminated)],
            Faults(spike, changed with { PutInAt = Start.AddDays(-1) })
        );
        Assert.Empty(
            Faults([
                spike[0] with
                {
                    Flow_m3_s = 1e-4,
                },
                spike[1] with
                {
                    Flow_m3_s = 3e-4,
                },
                spike[2] with
                {
                    Flow_m3_s = 1e-4,
                },
            ])
        );
    }

    [Fact]
    public void Polished_water_that_reads_more_than_its_source_is_contaminated()
    {
        Reading source = At(0, 400) with { Place = Place.Source, StageId = null };
        Assert.Equal([(1, ReadingFault.Contaminated)], Faults([source, At(1, 700)]));
        Assert.Empty(Faults([source, At(1, 380)]));
        Assert.Empty(Faults([source, At(20, 700)]));
    }

    private static Reading Checked(Reading reading) => reading with { IsSettled = true };

    private static Reading At(double day, double uS_cm) =>
        new()
        {
            Id = Ids.Next<Reading>(),
            RigId = RigId,
            Place = Place.Outlet,
            StageId = Bed.Id,
            MeterId = Probe.Id,
            At = Start.AddDays(day),
            Measurand = Measurand.SpecificConductance,
            Value_SI = uS_cm / 1e4,
            Written = "1",
            Unit = "µS/cm",
            Temperature_K = 293.15,
        };

    private static Reading Ph(double day, double pH) =>
        At(day, 1) with
        {
            Measurand = Measurand.Ph,
            Value_SI = pH,
            Unit = "",
        };

    private static Stage StageOf(string name, int position, StageKind kind) =>
        new()
        {
            Id = Ids.Next<Stage>(),
            RigId = RigId,
            Name = name,
            Position = position,
            Kind = kind,
        };

    private static IEnumerable<(int Index, ReadingFault Fault)> Faults(
        Reading[] readings,
        params Fill[] fills
    ) => Judge(readings, null, fills).SelectMany((seen, i) => seen.Remarks.Select(r => (i, r.Fault)));

    private static TrustedReading[] Judge(Reading[] readings, string? waterFile = null, params Fill[] fills)
    {
        // Checked in two solutions that day: its offset is known.
        BenchCheck[] checks =
        [
            .. ((double[])[0.1, 10, 84]).Select(reference => new BenchCheck
            {
                Id = Ids.Next<BenchCheck>(),
                MeterId = Probe.Id,
                At = Start,
                Solution = "standard",
                Reference_SI = reference / 1e4,
                ReferenceUncertainty_SI = 0.01 / 1e4,
                Shown_SI = reference / 1e4,
                ShownWritten = "0.1",
                Unit = "µS/cm",
            }),
        ];
        return
        [
            .. ReadingRules.Judge(
                readings,
                new Dictionary<Id<Meter>, MeterTrust> { [Probe.Id] = MeterTrust.Of(Probe, checks) },
                new RuleContext([Membrane, Bed], fills, _ => waterFile)
            ),
        ];
    }
}
