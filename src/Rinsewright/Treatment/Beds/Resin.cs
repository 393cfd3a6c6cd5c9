using System.Collections.Immutable;
using Rinsewright.Quantities;
using Rinsewright.Water;

namespace Rinsewright.Treatment.Beds;

/// <summary>One resin of a bed: how much of it, what it holds at the start, and how it prefers ions.</summary>
/// <remarks>
/// The form is given as equivalent fractions of the capacity by component; what is left of 1 is the reference ion,
/// H+ for cation resins and OH- for anion resins.
/// </remarks>
public sealed record Resin
{
    /// <summary>A resin with the default data of its kind (data/parameters/resins.json).</summary>
    /// <param name="kind">The kind.</param>
    /// <param name="share">Share of the settled bed's volume [-], above 0 and at most 1.</param>
    public Resin(ResinKind kind, double share)
    {
        if (!(share > 0 && share <= 1))
        {
            throw new ArgumentOutOfRangeException(
                nameof(share),
                share,
                "The share lies above 0 and at most at 1."
            );
        }

        ResinDefaults defaults = ResinCatalog.Of(kind);
        Kind = kind;
        Share = share;
        Capacity = ExchangeCapacity.FromEquivalentsPerLiter(defaults.Capacity.Value);
        Bead = Length.FromMillimeters(defaults.Bead.Value);
        Selectivity = defaults.Selectivity.ToImmutableDictionary(s => s.Key, s => s.Value.Value);
        BeadDiffusivity = defaults.BeadDiffusivity.Value;
    }

    /// <summary>The kind.</summary>
    public ResinKind Kind { get; }

    /// <summary>Share of the settled bed's volume [-].</summary>
    public double Share { get; }

    /// <summary>Total capacity per volume of this settled resin.</summary>
    public ExchangeCapacity Capacity { get; init; }

    /// <summary>Bead diameter.</summary>
    public Length Bead { get; init; }

    /// <summary>Interdiffusion coefficient in the bead [m²/s], one for all its ions so that fractions stay summed to 1.</summary>
    public double BeadDiffusivity { get; init; }

    /// <summary>Equivalent fractions of the capacity held at the start, without the reference ion [-].</summary>
    public ImmutableDictionary<Component, double> Form { get; init; } =
        ImmutableDictionary<Component, double>.Empty;

    /// <summary>
    /// Equivalent-basis selectivity coefficients against the reference ion [-]:
    /// K = (y/x)·(x_ref/y_ref)^z·(C/Q)^(z−1), eq. exchange-bed-3 (key <c>helfferich1962</c>).
    /// </summary>
    public ImmutableDictionary<Component, double> Selectivity { get; init; }

    /// <summary>+1 for a cation resin, −1 for an anion resin.</summary>
    public int Sign => ResinCatalog.SignOf(Kind);

    /// <summary>Equivalent fraction in the reference form (H or OH) at the start [-].</summary>
    public double ReferenceFraction => 1 - Form.Values.Sum();

    /// <summary>The same resin holding other ions at the start.</summary>
    /// <param name="fractions">Equivalent fractions by component [-]; their sum is at most 1.</param>
    public Resin WithForm(params ReadOnlySpan<(Component Ion, double Fraction)> fractions)
    {
        ImmutableDictionary<Component, double>.Builder form = ImmutableDictionary.CreateBuilder<
            Component,
            double
        >();
        foreach ((Component ion, double fraction) in fractions)
        {
            form[ion] = fraction;
        }

        return this with
        {
            Form = form.ToImmutable(),
        };
    }

    internal void Validate()
    {
        foreach ((Component ion, double fraction) in Form)
        {
            if (!Selectivity.ContainsKey(ion))
            {
                throw new ArgumentException($"A {Kind} resin does not exchange {ion}.", nameof(Form));
            }

            if (!(fraction >= 0 && fraction <= 1))
            {
                throw new ArgumentException($"The fraction of {ion} lies between 0 and 1.", nameof(Form));
            }
        }

        if (ReferenceFraction < -1e-9)
        {
            throw new ArgumentException("The fractions of a resin's form sum to at most 1.", nameof(Form));
        }

        if (Selectivity.Values.Any(k => !(k > 0) || double.IsInfinity(k)))
        {
            throw new ArgumentException("A selectivity is a finite number above 0.", nameof(Selectivity));
        }

        if (!(Capacity.EquivalentsPerCubicMeter > 0) || !(Bead.Meters > 0) || !(BeadDiffusivity > 0))
        {
            throw new ArgumentException(
                "Capacity, bead diameter and bead diffusivity lie above 0.",
                nameof(Capacity)
            );
        }
    }
}
