using System.Collections.Immutable;
using Rinsewright.Quantities;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Tests.Treatment.Beds;

/// <summary>One slice of a bed that stands in its water until both are at equilibrium.</summary>
internal sealed class BatchExchange
{
    private const double Forever = 1e12; // seconds
    private const int Turns = 12;
    private BedState _state;
    private readonly BedIons _ions;
    private readonly ExchangeBed _bed;
    private BedCoefficients? _coefficients;
    private double _active = 1;

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
    public double PH
    {
        get
        {
            double hydrogen = BulkAcidity.Solve(_coefficients!, _state.Pore.AsSpan(0, _ions.Count), 1e-4);
            return 3 - Math.Log10(_active * hydrogen);
        }
    }

    /// <summary>
    /// Lets it stand. With activities, these are those of the water as it will stand in the end, which takes a few turns, each
    /// from the start.
    /// </summary>
    /// <param name="kelvins">Temperature [K].</param>
    /// <param name="activities">Whether the law uses activities.</param>
    public void Settle(double kelvins, bool activities)
    {
        BedConstants constants = BedConstants.At(kelvins);
        BedState start = _state;
        for (int turn = 0; turn < (activities ? Turns : 1); turn++)
        {
            double[] totals = Totals();
            _active = activities ? BedEquilibria.In(totals, _ions, constants).ActiveHydrogen : 1;
            _coefficients = BedCoefficients.Create(
                _bed with
                {
                    Activities = activities,
                    Equilibrium = true,
                },
                _ions,
                start.Grid,
                1e-5,
                constants,
                totals,
                1
            );
            _state = start.Clone();
            Assert.True(_state.Stand(_coefficients, Forever));
        }
    }

    private double[] Totals()
    {
        double[] totals = new double[IonCatalog.ComponentCount];
        for (int i = 0; i < _ions.Count; i++)
        {
            totals[(int)_ions.Components[i]] = Math.Max(_state.Pore[i], 0);
        }

        return totals;
    }

    /// <summary>Equivalent fraction of a resin [-].</summary>
    public double Fraction(int resin, Component ion) => _state.FractionAt(0, resin, ion);

    /// <summary>Total in the water [mol/m³].</summary>
    public double Water(Component ion) => _ions.IndexOf(ion) is >= 0 and int i ? _state.Pore[i] : 0;
}
