using Rinsewright.Records.Logbook;
using Rinsewright.Records.Trust;
using BenchCheck = Rinsewright.Records.Logbook.BenchCheck;
using Meter = Rinsewright.Records.Logbook.Meter;

namespace Rinsewright.App.Tests.Trust;

public sealed class MeterTrustTests
{
    private static readonly DateTimeOffset Start = new(2026, 3, 1, 8, 0, 0, TimeSpan.Zero);
    private static readonly IdSource Ids = new(TimeProvider.System);

    private static readonly Meter Pocket = new()
    {
        Id = Ids.Next<Meter>(),
        Name = "Pocket",
        Measurand = Measurand.DissolvedSolids,
        TdsFactor_kg_m3_per_S_m = 5,
        Compensation_per_K = 0.02,
        Resolution_SI = 0.001,
    };

    [Fact]
    public void An_unchecked_meter_is_believed_within_its_prior()
    {
        CorrectedReading seen = MeterTrust.Of(Pocket, []).Correct(Ppm(50, Start))!;
        Assert.Equal(100, seen.Conductance_uS_cm.Mean, 1e-9);
        // Gain 5 %, offset 2 µS/cm, step 2 µS/cm/√12, repeatability 1 %, water at 25 °C.
        double expected = Math.Sqrt(25 + 4 + (4 / 12.0) + 1);
        Assert.Equal(expected, seen.Conductance_uS_cm.StandardDeviation, 1e-9);
        Assert.Equal(0.05, seen.Shown_SI.Mean, 1e-12);
        Assert.Equal(2, seen.Resolution_uS_cm, 1e-12);
    }

    [Fact]
    public void Checks_take_the_meters_own_error_out_of_readings_before_and_after_them()
    {
        // Reads 10 % and 4 µS/cm too high in three solutions.
        MeterTrust trust = MeterTrust.Of(Pocket, [Check(84, 0), Check(447, 0), Check(1413, 0), Check(10, 0)]);
        foreach (double day in (double[])[-20, 0, 20])
        {
            CorrectedReading seen = trust.Correct(Ppm(57, Start.AddDays(day)))!;
            Assert.Equal(100, seen.Conductance_uS_cm.Mean, 1.5);
            Assert.InRange(seen.Conductance_uS_cm.StandardDeviation, 0.5, 2.5);
            Assert.Equal(0.05, seen.Shown_SI.Mean, 8e-4);
        }

        Assert.Equal(1.1, trust.At(Start).Gain, 0.01);
        Assert.Equal(4, trust.At(Start).Offset, 0.5);
        Assert.DoesNotContain(trust.Checks, c => c.IsDoubtful);
    }

    [Fact]
    public void A_drifting_meter_is_followed_between_its_checks()
    {
        // From true to 8 % high within a hundred days, checked at both ends.
        MeterTrust trust = MeterTrust.Of(Pocket, [.. Ends(0, 1.0), .. Ends(100, 1.08)]);
        Assert.Equal(1.04, trust.At(Start.AddDays(50)).Gain, 0.01);
        Assert.True(
            trust.At(Start.AddDays(50)).GainVariance > trust.At(Start).GainVariance,
            "less is known halfway than at a check"
        );

        static IEnumerable<BenchCheck> Ends(double day, double gain) =>
            [Plain(84, 84 * gain, day), Plain(1000, 1000 * gain, day)];
    }

    [Fact]
    public void A_conductivity_meter_without_compensation_is_referred_to_25_degrees()
    {
        var probe = new Meter
        {
            Id = Ids.Next<Meter>(),
            Name = "Probe",
            Measurand = Measurand.Conductivity,
            Compensation_per_K = 0,
            Resolution_SI = 1e-6,
        };
        Reading cold = Ppm(0, Start) with
        {
            Measurand = Measurand.Conductivity,
            Value_SI = 0.01,
            Unit = "µS/cm",
            Written = "100",
            Temperature_K = 283.15,
        };
        // ISO 7888 (key iso7888): 1.428 at 10 °C.
        Assert.Equal(142.8, MeterTrust.Of(probe, []).Correct(cold)!.Conductance_uS_cm.Mean, 0.01);
        Assert.True(
            MeterTrust
                .Of(probe, [])
                .Correct(cold with { Temperature_K = null })!
                .Conductance_uS_cm.StandardDeviation
                > MeterTrust.Of(probe, []).Correct(cold)!.Conductance_uS_cm.StandardDeviation
        );
    }

    [Theory]
    [InlineData("8", 2)]
    [InlineData("8.0", 0.2)]
    [InlineData("8,25", 0.02)]
    [InlineData("<8.5", 0.2)]
    public void The_step_of_a_meter_that_states_none_is_that_of_the_last_digit(string written, double step) =>
        Assert.Equal(
            step,
            MeterTrust.OfNoMeter.Correct(Ppm(8, Start) with { Written = written })!.Resolution_uS_cm,
            1e-12
        );

    [Fact]
    public void Pressure_and_chlorine_are_left_as_they_are()
    {
        Assert.Null(MeterTrust.OfNoMeter.Correct(Ppm(8, Start) with { Measurand = Measurand.Pressure }));
        Meter strip = Pocket with { Measurand = Measurand.FreeChlorine };
        Assert.False(MeterTrust.Of(strip, []).IsStrength);
    }

    [Fact]
    public void A_check_that_contradicts_the_others_is_doubtful_and_a_deleted_one_does_not_count()
    {
        BenchCheck wrong = Plain(84, 150, 45);
        MeterTrust trust = MeterTrust.Of(
            Pocket,
            [Plain(84, 86, 0), Plain(84, 86, 30), wrong, Plain(84, 88, 60), Plain(84, 88, 90)]
        );
        Assert.Equal([false, false, true, false, false], trust.Checks.Select(c => c.IsDoubtful));
        Assert.Equal([true, true, false, true, true], trust.Checks.Select(c => c.Counts));
        Assert.InRange(trust.At(Start.AddDays(45)).Predict(84, 0).Mean, 85, 89);
        Assert.Empty(MeterTrust.Of(Pocket, [wrong with { IsDeleted = true }]).Checks);
    }

    [Fact]
    public void One_check_is_believed_however_far_off_and_two_that_disagree_are_both_doubtful()
    {
        CheckTrust lone = Assert.Single(MeterTrust.Of(Pocket, [Plain(84, 130, 0)]).Checks);
        Assert.True(lone is { IsDoubtful: false, Counts: true });
        Assert.All(
            MeterTrust.Of(Pocket, [Plain(84, 84, 0), Plain(84, 130, 1)]).Checks,
            c => Assert.True(c is { IsDoubtful: true, Counts: true })
        );
    }

    [Fact]
    public void The_verdict_follows_from_the_checks()
    {
        MeterVerdict never = MeterTrust.Of(Pocket, []).Verdict(Start);
        Assert.Equal(MeterGrade.Unchecked, never.Grade);
        Assert.Null(never.CheckBy);

        BenchCheck[] good = [Plain(10, 10, 0), Plain(84, 84, 0), Plain(447, 447, 0)];
        MeterVerdict true_ = MeterTrust.Of(Pocket, good).Verdict(Start.AddDays(1));
        Assert.Equal(MeterGrade.True, true_.Grade);
        Assert.InRange((true_.CheckBy!.Value - Start).TotalDays, 20, 200);
        Assert.Equal(MeterGrade.Stale, MeterTrust.Of(Pocket, good).Verdict(Start.AddYears(2)).Grade);
        Assert.Null(MeterTrust.Of(Pocket, good).Verdict(Start.AddYears(2)).CheckBy);

        MeterVerdict high = MeterTrust
            .Of(Pocket, [Check(10, 0), Check(84, 0), Check(447, 0)])
            .Verdict(Start.AddDays(1));
        Assert.Equal(MeterGrade.Off, high.Grade);
        Assert.Contains("high", high.Says.ToString(), StringComparison.Ordinal);
        Assert.Equal(26, high.AtLine_uS_cm.Mean, 1.0);

        MeterVerdict torn = MeterTrust.Of(Pocket, [.. good, Plain(84, 150, 5)]).Verdict(Start.AddDays(6));
        Assert.Equal(MeterGrade.Contradictory, torn.Grade);
    }

    /// <summary>A check of a meter that reads 10 % and 4 µS/cm too high.</summary>
    private static BenchCheck Check(double reference, double day) =>
        Plain(reference, (1.1 * reference) + 4, day);

    private static BenchCheck Plain(double reference_uS_cm, double shown_uS_cm, double day) =>
        new()
        {
            Id = Ids.Next<BenchCheck>(),
            MeterId = Pocket.Id,
            At = Start.AddDays(day),
            Solution = "KCl",
            Reference_SI = reference_uS_cm / 2000,
            ReferenceUncertainty_SI = 0.005 * reference_uS_cm / 2000,
            Shown_SI = shown_uS_cm / 2000,
            ShownWritten = "1",
            Unit = "ppm",
        };

    private static Reading Ppm(double ppm, DateTimeOffset at) =>
        new()
        {
            Id = Ids.Next<Reading>(),
            RigId = new Id<Rig>(Guid.Empty),
            Place = Place.Nozzle,
            MeterId = Pocket.Id,
            At = at,
            Measurand = Measurand.DissolvedSolids,
            Value_SI = ppm / 1000,
            Written = "1",
            Unit = "ppm",
            Temperature_K = 298.15,
        };
}
