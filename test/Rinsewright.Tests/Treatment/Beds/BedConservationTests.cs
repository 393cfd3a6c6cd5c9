using CsCheck;
using Rinsewright.Quantities;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Tests.Treatment.Beds;

public sealed class BedConservationTests
{
    private static readonly Gen<double> Strength = Gen.Double[0.01, 5];

    /// <summary>Electroneutral feeds of every ion that a resin exchanges [mol/m³].</summary>
    private static readonly Gen<double[]> Feed = Gen.Select(Strength.Array[15], Gen.Double[0.2, 2])
        .Select(
            (strengths, silica) =>
            {
                var totals = new double[IonCatalog.ComponentCount];
                double charge = 0;
                for (int i = 0; i < 15; i++)
                {
                    int z = BedIons.ExchangedForm((Component)i).Charge;
                    totals[i] = 0.1 * strengths[i] / Math.Abs(z);
                    charge += z * totals[i];
                }

                totals[(int)(charge > 0 ? Component.Chloride : Component.Sodium)] += Math.Abs(charge);
                totals[(int)Component.Silica] = 0.1 * silica;
                return totals;
            }
        );

    private static readonly Gen<ExchangeBed> Bed = Gen.Select(
        Gen.Int[0, 4],
        Gen.Double[0, 0.2],
        Gen.Double[0, 0.3],
        Gen.Bool,
        (design, bypass, heel, particle) =>
            new ExchangeBed(Volume.FromLiters(2), Length.FromMillimeters(90), [.. Resins(design, heel)])
            {
                Bypass = bypass,
                Kinetics = new BedKinetics { Particle = particle },
            }
    );

    [Fact]
    public void What_leaves_the_water_sits_on_the_resins_through_draws_rests_and_changes()
    {
        Gen.Select(Bed, Bed, Feed, Feed, Gen.Double[0.5, 15], Gen.Double[3, 35])
            .Repeat()
            .Sample(
                (first, second, feed, other, litersPerMinute, celsius) =>
                {
                    var temperature = Temperature.FromDegreesCelsius(celsius);
                    var flow = VolumeFlow.FromLitersPerMinute(litersPerMinute);
                    var series = new BedSeries([first, second], flow, temperature);
                    Volume draw = Volume.FromLiters(0.3 * series.StoichiometricVolume(feed).Liters);
                    Assert.Equal(BedRunStatus.Completed, series.Advance(feed, temperature, flow, draw));
                    Assert.Equal(BedRunStatus.Completed, series.Rest(TimeSpan.FromHours(20), temperature));
                    Assert.Equal(
                        BedRunStatus.Completed,
                        series.Advance(other, Temperature.FromDegreesCelsius(12), flow, draw)
                    );
                    Assert.True(series.BalanceError < 1e-9, $"balance {series.BalanceError:E2}");
                    Assert.All(series.States, AssertFractions);
                },
                iter: 8,
                threads: 1
            );
    }

    private static void AssertFractions(BedState state)
    {
        for (int resin = 0; resin < state.Bed.Resins.Length; resin++)
        {
            for (int node = 0; node < state.RelativeDepths.Count; node++)
            {
                double sum = state.Resins[resin].Sum(ion => state.FractionAt(node, resin, ion));
                Assert.InRange(sum, -0.02, 1.02);
            }
        }
    }

    internal static Resin[] Resins(int design, double heel) =>
        design switch
        {
            0 => [new Resin(ResinKind.StrongCation, 1).WithForm((Component.Sodium, 1))],
            1 => [new Resin(ResinKind.StrongCation, 1).WithForm((Component.Calcium, heel))],
            2 => [new Resin(ResinKind.StrongAnion2, 1).WithForm((Component.Chloride, heel))],
            3 =>
            [
                new Resin(ResinKind.StrongCation, 0.3),
                new Resin(ResinKind.WeakCation, 0.2),
                new Resin(ResinKind.StrongAnion1, 0.5),
            ],
            _ =>
            [
                new Resin(ResinKind.StrongCation, 0.4).WithForm((Component.Sodium, heel)),
                new Resin(ResinKind.StrongAnion1, 0.6).WithForm((Component.Chloride, heel)),
            ],
        };
}
