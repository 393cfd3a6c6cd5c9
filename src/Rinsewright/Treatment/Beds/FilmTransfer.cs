namespace Rinsewright.Treatment.Beds;

/// <summary>
/// Mass transfer through the water film around the beads of a packed bed, from published correlations in Reynolds
/// (superficial velocity), Schmidt and Sherwood numbers: eqs. 11 to 13 of docs/models/exchange-bed.md.
/// </summary>
public static class FilmTransfer
{
    /// <summary>Sherwood number k·d/D of a packed bed [-].</summary>
    /// <param name="correlation">The correlation.</param>
    /// <param name="reynolds">Reynolds number u·d/ν of the superficial velocity [-].</param>
    /// <param name="schmidt">Schmidt number ν/D [-].</param>
    /// <param name="voidFraction">Void fraction [-].</param>
    public static double Sherwood(
        FilmCorrelation correlation,
        double reynolds,
        double schmidt,
        double voidFraction
    )
    {
        double cubeRootSchmidt = Math.Cbrt(schmidt);
        return correlation switch
        {
            FilmCorrelation.WilsonGeankoplis when reynolds <= 55 => 1.09
                / voidFraction
                * Math.Cbrt(reynolds)
                * cubeRootSchmidt, // eq. exchange-bed-11
            FilmCorrelation.WilsonGeankoplis => 0.25
                / voidFraction
                * Math.Pow(reynolds, 0.69)
                * cubeRootSchmidt,
            FilmCorrelation.Carberry => 1.15
                * Math.Sqrt(voidFraction / reynolds)
                * reynolds
                / voidFraction
                * cubeRootSchmidt,
            FilmCorrelation.Kataoka => 1.85
                * Math.Cbrt((1 - voidFraction) / voidFraction)
                * Math.Cbrt(reynolds / voidFraction)
                * cubeRootSchmidt,
            FilmCorrelation.WakaoFunazkri => 2 + 1.1 * cubeRootSchmidt * Math.Pow(reynolds, 0.6),
            _ => throw new ArgumentOutOfRangeException(
                nameof(correlation),
                correlation,
                "Not a correlation."
            ),
        };
    }

    /// <summary>
    /// Effective diffusion coefficient of an ion through a film in which H+ or OH- leaves and is neutralised in the bulk
    /// (Nernst and Planck, co-ion at rest), over its own diffusion coefficient [-].
    /// </summary>
    /// <param name="diffusivity">Diffusion coefficient of the arriving ion [m²/s].</param>
    /// <param name="counterDiffusivity">Diffusion coefficient of the leaving H+ or OH- [m²/s].</param>
    /// <param name="charge">Charge number of the arriving ion, without sign [-].</param>
    public static double EffectiveDiffusivityRatio(double diffusivity, double counterDiffusivity, int charge)
    {
        double a = diffusivity;
        double b = counterDiffusivity;
        double slope = (1 + charge) * a - 2 * b;
        double power = (b - a) / slope;
        double bulk = (1 + charge) * a;
        double surface = 2 * b;
        double first =
            (2 - 2 * (charge - 1) * b / slope) * (Math.Pow(bulk, power) - Math.Pow(surface, power)) / power;
        double second =
            (charge - 1) / slope * (Math.Pow(bulk, power + 1) - Math.Pow(surface, power + 1)) / (power + 1);
        return b / (slope * Math.Pow(bulk, power)) * (first + second); // eq. exchange-bed-12
    }

    /// <summary>Factor of the film coefficient by that effect: the ratio of diffusivities to the power 2/3 [-].</summary>
    /// <param name="diffusivity">Diffusion coefficient of the arriving ion [m²/s].</param>
    /// <param name="counterDiffusivity">Diffusion coefficient of the leaving H+ or OH- [m²/s].</param>
    /// <param name="charge">Charge number of the arriving ion, without sign [-].</param>
    public static double NeutralizationFactor(double diffusivity, double counterDiffusivity, int charge) =>
        Math.Pow(EffectiveDiffusivityRatio(diffusivity, counterDiffusivity, charge), 2.0 / 3.0);

    /// <summary>
    /// Rate constant that axial dispersion alone would allow [1/s]: u²/(ε·D_ax), with D_ax = (u/ε)·d/(0.2 + 0.011·Re^0.48)
    /// by Chung and Wen (1968). Its reciprocal is added to that of the film.
    /// </summary>
    /// <param name="velocity">Superficial velocity u [m/s].</param>
    /// <param name="bead">Bead diameter d [m].</param>
    /// <param name="reynolds">Reynolds number u·d/ν [-].</param>
    public static double DispersionRate(double velocity, double bead, double reynolds) =>
        velocity / bead * (0.2 + 0.011 * Math.Pow(reynolds, 0.48)); // eq. exchange-bed-13
}
