namespace Rinsewright.Treatment.Beds;

/// <summary>Correlations of the mass transfer between flowing water and the beads of a packed bed.</summary>
public enum FilmCorrelation
{
    /// <summary>Wilson and Geankoplis (1966), the default (key <c>wilson1966</c>).</summary>
    WilsonGeankoplis,

    /// <summary>Carberry (1960) (key <c>carberry1960</c>).</summary>
    Carberry,

    /// <summary>Kataoka (1972), Reynolds number of the velocity between the beads (key <c>kataoka1972</c>).</summary>
    Kataoka,

    /// <summary>Wakao and Funazkri (1978) (key <c>wakao1978</c>).</summary>
    WakaoFunazkri,
}

/// <summary>How fast ions reach and enter the beads.</summary>
public sealed record BedKinetics
{
    /// <summary>The film correlation.</summary>
    public FilmCorrelation Film { get; init; } = FilmCorrelation.WilsonGeankoplis;

    /// <summary>Factor on every film coefficient, for fouled or aged beads and for uneven flow [-].</summary>
    public double FilmFactor { get; init; } = 1;

    /// <summary>
    /// Whether the electric field of the fast H+ or OH- leaving through the film speeds the arriving ion (Nernst and
    /// Planck, <see cref="FilmTransfer.NeutralizationFactor"/>).
    /// </summary>
    public bool FilmField { get; init; }

    /// <summary>Whether diffusion inside the bead counts (linear driving force, key <c>glueckauf1947</c>).</summary>
    public bool Particle { get; init; } = true;

    /// <summary>
    /// Whether axial dispersion counts (key <c>chung1968</c>). It is added to the film resistance, which is exact to first order
    /// in 1/Pe for both leakage and front width.
    /// </summary>
    public bool Dispersion { get; init; }
}
