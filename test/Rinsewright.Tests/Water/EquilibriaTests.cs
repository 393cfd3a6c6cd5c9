using System.Text.Json;
using Rinsewright.Water;

namespace Rinsewright.Tests.Water;

public sealed class EquilibriaTests
{
    private const double T25 = 298.15;

    // Check values of pKw (key iapws-r11-07). The release that replaced it in 2024 gives 13.906672 for the first.
    [Theory]
    [InlineData(300, 1000, 13.906565)]
    [InlineData(600, 700, 11.203153)]
    public void Ionisation_of_water_meets_the_check_values_of_its_release(
        double kelvin,
        double density,
        double pKw
    ) => Assert.Equal(pKw, -WaterProperties.LogIonisation(kelvin, density), 6);

    // log K at 25 degC as printed in ball1991 and nordstrom1990; reading of the printed two or three digits.
    [Theory]
    [InlineData(Reaction.CalciumSulfatePair, 2.30, 0.05)] // chosen within its uncertainty by the solubility of gypsum
    [InlineData(Reaction.MagnesiumSulfatePair, 2.37, 0.005)]
    [InlineData(Reaction.PotassiumSulfatePair, 0.85, 0.005)]
    [InlineData(Reaction.CalciumBicarbonatePair, 1.106, 0.001)]
    [InlineData(Reaction.MagnesiumBicarbonatePair, 1.07, 0.005)]
    [InlineData(Reaction.CalciumCarbonatePair, 3.224, 0.001)]
    [InlineData(Reaction.MagnesiumCarbonatePair, 2.98, 0.005)]
    [InlineData(Reaction.Calcite, -8.480, 0.001)]
    [InlineData(Reaction.Aragonite, -8.336, 0.001)]
    [InlineData(Reaction.Gypsum, -4.58, 0.005)]
    [InlineData(Reaction.AmorphousSilica, -2.71, 0.005)]
    [InlineData(Reaction.SilicicAcid, -9.83, 0.005)]
    [InlineData(Reaction.AmmoniumIon, -9.245, 0.005)] // Bates and Pinching 1950, from memory
    [InlineData(Reaction.HydrogenSulfate, -1.988, 0.002)]
    [InlineData(Reaction.HydrogenFluoride, -3.18, 0.01)]
    [InlineData(Reaction.HypochlorousAcid, -7.537, 0.001)]
    [InlineData(Reaction.Phosphate2, -7.207, 0.001)]
    public void Constants_at_25_degC_are_the_published_ones(
        Reaction reaction,
        double logK,
        double tolerance
    ) => Assert.Equal(logK, Equilibria.LogK(reaction, T25), tolerance);

    [Fact]
    public void Every_reaction_has_a_constant_a_source_and_an_uncertainty() =>
        Assert.All(
            Enum.GetValues<Reaction>(),
            r =>
            {
                Assert.True(double.IsFinite(Equilibria.LogK(r, T25)) && Equilibria.LogK(r, T25) != 0, $"{r}");
                Assert.True(Equilibria.Uncertainty(r) > 0, $"{r}");
                Assert.NotEmpty(Equilibria.Source(r));
            }
        );

    [Fact]
    public void Every_constant_varies_smoothly_from_0_to_45_degC() =>
        Assert.All(
            Enum.GetValues<Reaction>(),
            r =>
            {
                for (double t = 273.15; t < 318.15; t += 1)
                {
                    double step = Equilibria.LogK(r, t + 1) - Equilibria.LogK(r, t);
                    Assert.True(Math.Abs(step) < 0.06, $"{r} at {t} K: {step}");
                }
            }
        );

    [Fact]
    public void Diffusivity_and_limiting_conductivity_of_every_measured_ion_agree_by_Nernst_and_Einstein()
    {
        using var ions = JsonDocument.Parse(File.ReadAllText(Repository.PathOf("data/parameters/ions.json")));
        // Of the others the conductivity is itself computed from the diffusivity.
        Species[] measured =
        [
            .. ions
                .RootElement.GetProperty("species")
                .EnumerateArray()
                .Where(s => s.TryGetProperty("limitingConductivity25_S_cm2_mol", out _))
                .Select(s => Enum.Parse<Species>(s.GetProperty("id").GetString()!)),
        ];
        Assert.Equal(22, measured.Length);
        foreach (Species species in measured)
        {
            Ion ion = IonCatalog.Of(species);
            double einstein =
                ion.Diffusion25
                * ion.Charge
                * ion.Charge
                * PhysicalConstants.Faraday
                * PhysicalConstants.Faraday
                / (PhysicalConstants.GasConstant * T25);
            Assert.Equal(einstein, ion.LimitingConductivity25, 0.006 * einstein);
        }
    }

    [Fact]
    public void Formula_and_charge_number_of_every_species_agree() =>
        Assert.All(
            Enum.GetValues<Species>(),
            s =>
            {
                Ion ion = IonCatalog.Of(s);
                string charge = ion.Charge switch
                {
                    0 => "",
                    1 => "+",
                    -1 => "-",
                    > 1 => $"+{ion.Charge}",
                    _ => $"{ion.Charge}",
                };
                Assert.EndsWith(charge, ion.Formula, StringComparison.Ordinal);
                Assert.Equal(ion.Charge != 0, ion.Formula.AsSpan().ContainsAny('+', '-'));
                Assert.True(ion.Diffusion25 is > 3e-10 and < 1e-8, ion.Formula);
                Assert.Equal(ion.Charge == 0, ion.Size == 0);
            }
        );

    [Fact]
    public void Diffusion_at_5_degC_is_about_half_of_that_at_25_degC() =>
        Assert.Equal(
            0.547 * IonCatalog.Of(Species.Sodium).Diffusion25,
            IonCatalog.Diffusion(Species.Sodium, 278.15),
            0.005e-9
        );
}
