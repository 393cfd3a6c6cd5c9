using Rinsewright.Water;

namespace Rinsewright.Treatment.Beds;

/// <summary>
/// Constants of water and ions that the bed equations use at one temperature, by component in the form in which resins
/// exchange it.
/// </summary>
internal sealed class BedConstants
{
    /// <summary>Temperature [K].</summary>
    public required double Temperature { get; init; }

    /// <summary>Ionic product of water [mol²/m⁶].</summary>
    public required double Kw { get; init; }

    /// <summary>Kinematic viscosity [m²/s].</summary>
    public required double Viscosity { get; init; }

    /// <summary>Diffusion coefficient of H+ [m²/s].</summary>
    public required double HydrogenDiffusivity { get; init; }

    /// <summary>Diffusion coefficient of OH- [m²/s].</summary>
    public required double HydroxideDiffusivity { get; init; }

    /// <summary>Diffusion coefficients by component [m²/s].</summary>
    public required double[] Diffusivity { get; init; }

    /// <summary>Acid constants Kp of the form with one proton more, by component, infinite for none [mol/m³].</summary>
    public required double[] ProtonGain { get; init; }

    /// <summary>Acid constants Kd of the exchanged form, by component, 0 for none [mol/m³].</summary>
    public required double[] ProtonLoss { get; init; }

    /// <summary>Factor by which diffusion inside a bead differs from 25 °C [-].</summary>
    public required double BeadFactor { get; init; }

    /// <summary>The constants at a temperature.</summary>
    /// <param name="temperature">Temperature [K].</param>
    public static BedConstants At(double temperature)
    {
        double K(Reaction reaction) => 1e3 * Math.Pow(10, Equilibria.LogK(reaction, temperature));
        var diffusivity = new double[IonCatalog.ComponentCount];
        var gain = new double[IonCatalog.ComponentCount];
        var loss = new double[IonCatalog.ComponentCount];
        Array.Fill(gain, double.PositiveInfinity);
        foreach (Component component in Enum.GetValues<Component>())
        {
            diffusivity[(int)component] = IonCatalog.Diffusion(
                BedIons.ExchangedForm(component).Species,
                temperature
            );
        }

        gain[(int)Component.InorganicCarbon] = K(Reaction.CarbonicAcid);
        loss[(int)Component.InorganicCarbon] = K(Reaction.Bicarbonate);
        gain[(int)Component.Silica] = K(Reaction.SilicicAcid);
        gain[(int)Component.Phosphate] = K(Reaction.Phosphate1);
        loss[(int)Component.Phosphate] = K(Reaction.Phosphate2);
        loss[(int)Component.Ammonium] = K(Reaction.AmmoniumIon);
        return new BedConstants
        {
            Temperature = temperature,
            Kw = 1e3 * K(Reaction.Water),
            Viscosity = WaterProperties.Viscosity(temperature) / WaterProperties.Density(temperature),
            HydrogenDiffusivity = IonCatalog.Diffusion(Species.Hydrogen, temperature),
            HydroxideDiffusivity = IonCatalog.Diffusion(Species.Hydroxide, temperature),
            Diffusivity = diffusivity,
            ProtonGain = gain,
            ProtonLoss = loss,
            BeadFactor = WaterProperties.DiffusionFactor(temperature),
        };
    }
}
