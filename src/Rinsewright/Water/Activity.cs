namespace Rinsewright.Water;

/// <summary>The law by which activity coefficients follow from ionic strength.</summary>
public enum ActivityModel
{
    /// <summary>Truesdell–Jones: ion sizes and linear terms fitted per ion (key <c>truesdell1974</c>); the default.</summary>
    TruesdellJones,

    /// <summary>Davies: one law for all ions of a charge (key <c>davies1962</c>).</summary>
    Davies,
}

/// <summary>
/// Activity coefficients on the molal scale. Meant for fresh waters (I ≤ 0.5 mol/kg); above
/// <see cref="GreatestIonicStrength"/> they are held at their values there, so that they stay finite.
/// </summary>
public static class Activity
{
    /// <summary>Ionic strength above which activity coefficients are no longer extrapolated [mol/kg].</summary>
    public const double GreatestIonicStrength = 1.0;

    private const double SaltingOut = 0.1; // [kg/mol], uncharged species

    /// <summary>Fills in the activity coefficient of every species.</summary>
    /// <param name="model">The law.</param>
    /// <param name="a">Debye–Hückel A [kg^(1/2)/mol^(1/2)].</param>
    /// <param name="b">Debye–Hückel B [kg^(1/2)/(mol^(1/2)·m)].</param>
    /// <param name="ionicStrength">Ionic strength [mol/kg].</param>
    /// <param name="coefficients">Receives γ by <see cref="Species"/> [-]; length: number of species.</param>
    public static void Coefficients(
        ActivityModel model,
        double a,
        double b,
        double ionicStrength,
        Span<double> coefficients
    )
    {
        double strength = Math.Min(ionicStrength, GreatestIonicStrength);
        double root = Math.Sqrt(strength);
        if (model == ActivityModel.Davies)
        {
            double one = Math.Exp(-Equilibria.Ln10 * a * (root / (1 + root) - 0.3 * strength)); // eq. water-11
            double neutral = Math.Exp(Equilibria.Ln10 * SaltingOut * strength);
            double two = one * one * one * one;
            ReadOnlySpan<Ion> ions = IonCatalog.All;
            for (int i = 0; i < coefficients.Length; i++)
            {
                coefficients[i] = Math.Abs(ions[i].Charge) switch
                {
                    0 => neutral,
                    1 => one,
                    2 => two,
                    _ => two * two * one,
                };
            }

            return;
        }

        ReadOnlySpan<Ion> catalog = IonCatalog.All;
        double uncharged = Math.Exp(Equilibria.Ln10 * SaltingOut * strength);
        for (int i = 0; i < coefficients.Length; i++)
        {
            Ion ion = catalog[i];
            int z = ion.Charge;
            if (z == 0)
            {
                coefficients[i] = uncharged;
                continue;
            }

            double logarithm = ion.TruesdellJonesB * strength - a * z * z * root / (1 + b * ion.Size * root); // eq. water-12
            coefficients[i] = Math.Exp(Equilibria.Ln10 * logarithm);
        }
    }
}
