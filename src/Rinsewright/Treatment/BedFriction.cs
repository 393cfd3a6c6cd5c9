namespace Rinsewright.Treatment;

/// <summary>Friction of water through a bed of grains: Ergun's equation (key <c>ergun1952</c>).</summary>
/// <remarks>
/// Assumes a settled bed, not lifted, with clean round beads of one mean size. The result depends strongly on the void
/// fraction: 0.36 instead of 0.38 gives about a quarter more.
/// </remarks>
internal static class BedFriction
{
    /// <summary>
    /// Pressure gradient [Pa/m] = 150 μ (1−ε)² u/(ε³ d²) + 1.75 ρ (1−ε) u²/(ε³ d), with d the sphericity times the
    /// diameter of the sphere of equal volume.
    /// </summary>
    /// <param name="velocity_m_s">Superficial velocity u [m/s].</param>
    /// <param name="bead_m">Bead diameter [m].</param>
    /// <param name="voidFraction">Void fraction ε [-].</param>
    /// <param name="sphericity">Surface of the sphere of equal volume over the grain's surface [-].</param>
    /// <param name="water">Density and viscosity.</param>
    public static double Gradient_Pa_m(
        double velocity_m_s,
        double bead_m,
        double voidFraction,
        double sphericity,
        FlowingWater water
    )
    {
        double d = sphericity * bead_m;
        double solid = 1.0 - voidFraction;
        double cube = voidFraction * voidFraction * voidFraction;
        double viscous = 150.0 * water.Viscosity_Pa_s * solid * solid * velocity_m_s / (cube * d * d);
        double inertial = 1.75 * water.Density_kg_m3 * solid * velocity_m_s * velocity_m_s / (cube * d);
        return viscous + inertial; // eq. hydraulics-6
    }
}
