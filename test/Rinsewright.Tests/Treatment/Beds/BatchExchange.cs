using System.Collections.Immutable;
using Rinsewright.Quantities;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Tests.Treatment.Beds;

/// <summary>One slice of a bed that stands in its water until both are at equilibrium.</summary>
internal sealed class BatchExchange
{
    private const double Forever = 1e12; // seconds
    private readonly BedState _state;
    private readonly BedIons _ions;
    private readonly ExchangeBed _bed;
    private BedCoefficients? _coefficients;
    private double _gamma = 1;

    /// <summary>A slice, not yet at equilibrium.</summary>
    /// <param name="bed">Its resins.</param>
    /// <param name="totals">The water [mol/m³].</param>
    /// <param name="resinPerWater">Factor on the resins' capacity [-].</param>
    public BatchExchange(ExchangeBed bed, double[] totals, double resinPerWater = 1)
    {
        _bed = bed with
        {
            Resins =
            [
                .. bed.Resins.Select(r =>
                    r with
                    {
                        Capacity = ExchangeCapacity.FromEquivalentsPerLiter(
                            r.Capacity.EquivalentsPerLiter * resinPerWater
                        ),
                        // The law holds K·Q of a divalent ion; less of the same resin is still the same resin.
                        Selectivity = r.Selectivity.ToImmutableDictionary(
                            s => s.Key,
                            s =>
                                Math.Abs(BedIons.ExchangedForm(s.Key).Charge) > 1
                                    ? s.Value / resinPerWater
                                    : s.Value
                        ),
                    }
                ),
            ],
        };
        _ions = BedIons.Of([_bed], totals);
        _state = new BedState(_bed, _ions, BedGrid.Create(1, 1));
        for (int node = 0; node < 2; node++)
        {
            for (int i = 0; i < _ions.Count; i++)
            {
                _state.Pore[(node * _ions.Count) + i] = totals[(int)_ions.Components[i]];
            }
        }
    }

    /// <summary>pH of the water [-].</summary>
    public double PH =>
        3 - Math.Log10(_gamma * BulkAcidity.Solve(_coefficients!, _state.Pore.AsSpan(0, _ions.Count), 1e-4));

    /// <summary>Lets it stand.</summary>
    /// <param name="kelvins">Temperature [K].</param>
    /// <param name="activities">Whether the law uses activities.</param>
    /// <param name="ionicStrength">Ionic strength of the water in the end [mol/L].</param>
    public void Settle(double kelvins, bool activities, double ionicStrength = 0)
    {
        BedConstants constants = BedConstants.At(kelvins);
        _gamma = activities ? constants.MonovalentActivity(ionicStrength) : 1;
        _coefficients = BedCoefficients.Create(
            _bed with
            {
                Activities = activities,
                Equilibrium = true,
            },
            _ions,
            _state.Grid,
            1e-5,
            constants,
            ionicStrength,
            1
        );
        Assert.True(_state.Stand(_coefficients, Forever));
    }

    /// <summary>Equivalent fraction of a resin [-].</summary>
    public double Fraction(int resin, Component ion) => _state.FractionAt(0, resin, ion);

    /// <summary>Total in the water [mol/m³].</summary>
    public double Water(Component ion) => _ions.IndexOf(ion) is >= 0 and int i ? _state.Pore[i] : 0;
}
