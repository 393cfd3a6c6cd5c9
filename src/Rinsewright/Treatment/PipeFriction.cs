namespace Rinsewright.Treatment;

/// <summary>
/// Friction of water in round pipes and hoses running full (docs/models/hydraulics.md).
/// </summary>
/// <remarks>
/// Symbols: f Darcy friction factor [-]; Re Reynolds number [-]; e/D relative roughness [-]; D inside diameter [m];
/// L length [m]; v mean velocity [m/s]; K sum of minor-loss coefficients [-]; ρ density [kg/m³]; μ viscosity [Pa·s].
/// </remarks>
public static class PipeFriction
{
    /// <summary>Greatest relative roughness e/D [-].</summary>
    internal const double MostRelativeRoughness = 0.1;

    /// <summary>Reynolds number up to which the flow is taken as laminar [-] (key <c>idelchik2007</c>).</summary>
    public const double LaminarLimit = 2000.0;

    /// <summary>Reynolds number from which the flow is taken as turbulent [-] (key <c>idelchik2007</c>).</summary>
    public const double TurbulentLimit = 4000.0;

    /// <summary>
    /// Darcy friction factor f [-]: 64/Re when laminar, Colebrook's when turbulent, and between the two the straight
    /// line in Re that joins them, so that the loss stays continuous and rises with the flow.
    /// </summary>
    /// <param name="reynolds">Reynolds number Re [-], above zero.</param>
    /// <param name="relativeRoughness">Roughness over inside diameter e/D [-], 0 to 0.1.</param>
    /// <exception cref="ArgumentOutOfRangeException">An argument is outside its range.</exception>
    public static double FrictionFactor(double reynolds, double relativeRoughness)
    {
        if (!(reynolds > 0.0) || !double.IsFinite(reynolds))
        {
            throw new ArgumentOutOfRangeException(
                nameof(reynolds),
                reynolds,
                "Must be above zero and finite."
            );
        }

        if (!(relativeRoughness is >= 0.0 and <= MostRelativeRoughness))
        {
            throw new ArgumentOutOfRangeException(nameof(relativeRoughness), relativeRoughness, "0 to 0.1.");
        }

        if (reynolds <= LaminarLimit)
        {
            return 64.0 / reynolds; // eq. hydraulics-2
        }

        if (reynolds >= TurbulentLimit)
        {
            return Colebrook(reynolds, relativeRoughness);
        }

        double laminar = 64.0 / LaminarLimit;
        double turbulent = Colebrook(TurbulentLimit, relativeRoughness);
        double share = (reynolds - LaminarLimit) / (TurbulentLimit - LaminarLimit);
        return laminar + (share * (turbulent - laminar)); // eq. hydraulics-5
    }

    /// <summary>Colebrook's friction factor [-], solved by Newton's method in 1/√f from Swamee and Jain's start.</summary>
    internal static double Colebrook(double reynolds, double relativeRoughness)
    {
        double rough = relativeRoughness / 3.7;
        double smooth = 2.51 / reynolds;
        double x = 1.0 / double.Sqrt(SwameeJain(reynolds, relativeRoughness));
        for (int i = 0; i < 20; i++)
        {
            double inner = rough + (smooth * x);
            double residual = x + (2.0 * double.Log10(inner)); // eq. hydraulics-3
            double slope = 1.0 + (2.0 / double.Log(10.0) * smooth / inner);
            double step = residual / slope;
            x -= step;
            if (double.Abs(step) < 1e-14 * x)
            {
                break;
            }
        }

        return 1.0 / (x * x);
    }

    /// <summary>Swamee and Jain's explicit friction factor [-] (key <c>swamee1976</c>).</summary>
    internal static double SwameeJain(double reynolds, double relativeRoughness)
    {
        double root = double.Log10((relativeRoughness / 3.7) + (5.74 / double.Pow(reynolds, 0.9)));
        return 0.25 / (root * root); // eq. hydraulics-4
    }

    /// <summary>
    /// Pressure lost [Pa] in a conduit with its fittings: Darcy–Weisbach, Δp = (f L/D + K) ρ v²/2.
    /// </summary>
    /// <param name="flow_m3_s">Flow [m³/s], zero or above.</param>
    /// <param name="diameter_m">Inside diameter D [m].</param>
    /// <param name="length_m">Length L [m].</param>
    /// <param name="roughness_m">Equivalent sand roughness e [m].</param>
    /// <param name="minorLoss">Sum of minor-loss coefficients K [-].</param>
    /// <param name="water">Density and viscosity.</param>
    internal static double PressureLoss_Pa(
        double flow_m3_s,
        double diameter_m,
        double length_m,
        double roughness_m,
        double minorLoss,
        FlowingWater water
    )
    {
        if (flow_m3_s <= 0.0)
        {
            return 0.0;
        }

        double velocity = 4.0 * flow_m3_s / (double.Pi * diameter_m * diameter_m);
        double reynolds = water.Density_kg_m3 * velocity * diameter_m / water.Viscosity_Pa_s;
        double friction = FrictionFactor(reynolds, roughness_m / diameter_m) * length_m / diameter_m;
        double dynamicPressure = 0.5 * water.Density_kg_m3 * velocity * velocity;
        return (friction + minorLoss) * dynamicPressure; // eq. hydraulics-1
    }
}
