using System.Runtime.InteropServices;

namespace Rinsewright.Treatment.Beds;

/// <summary>How an ion sits on a resin, as far as the law that holds it goes.</summary>
internal enum ExchangeLaw
{
    /// <summary>One charge, one form.</summary>
    Single,

    /// <summary>Two charges, one form.</summary>
    Double,

    /// <summary>One charge, and forms with a proton more or less.</summary>
    Protonating,
}

/// <summary>An ion in the water of several beds.</summary>
[StructLayout(LayoutKind.Auto)]
internal struct LaneIon<TLanes>
    where TLanes : unmanaged, ILanes<TLanes>
{
    /// <summary>Whether it has more than one form.</summary>
    public bool Weak;

    /// <summary>Charge number of the exchanged form [-].</summary>
    public TLanes Charge;

    /// <summary>1/Kp [m³/mol].</summary>
    public TLanes ProtonGain;

    /// <summary>Kd [mol/m³].</summary>
    public TLanes ProtonLoss;
}

/// <summary>An ion on a resin of several beds.</summary>
[StructLayout(LayoutKind.Auto)]
internal struct LaneSlot<TLanes>
    where TLanes : unmanaged, ILanes<TLanes>
{
    /// <summary>Its place in the liquid vectors.</summary>
    public int Ion;

    /// <summary>Its place among the fractions of a node of <see cref="BedState"/>.</summary>
    public int Place;

    /// <summary>The law that holds it.</summary>
    public ExchangeLaw Law;

    /// <summary>Charge number with its sign [-].</summary>
    public TLanes Charge;

    /// <summary>Factor of the mass-action law, as <see cref="ResinCoefficients.Scale"/>.</summary>
    public TLanes Scale;

    /// <summary>As <see cref="ResinCoefficients.Acidic"/> [mol/m³].</summary>
    public TLanes Acidic;

    /// <summary>As <see cref="ResinCoefficients.Basic"/> [m³/mol].</summary>
    public TLanes Basic;

    /// <summary>z/Q [m³/mol].</summary>
    public TLanes ChargePerCapacity;
}

/// <summary>A resin of several beds; its slots stand in the order of their laws.</summary>
internal sealed class LaneResin<TLanes>
    where TLanes : unmanaged, ILanes<TLanes>
{
    /// <summary>+1 for cations, −1 for anions [-].</summary>
    public required int Sign { get; init; }

    /// <summary>Its first slot.</summary>
    public required int First { get; init; }

    /// <summary>Its first slot of an ion with two charges.</summary>
    public required int Doubles { get; init; }

    /// <summary>Its first slot of an ion with several forms.</summary>
    public required int Protonating { get; init; }

    /// <summary>One past its last slot.</summary>
    public required int End { get; init; }

    /// <summary>Capacity per volume of bed [eq/m³].</summary>
    public TLanes Capacity { get; set; }

    /// <summary>Film rate constant of the reference ion [1/s].</summary>
    public TLanes ReferenceRate { get; set; }

    /// <summary>Time constant of the bead [s].</summary>
    public TLanes ParticleTime { get; set; }
}

/// <summary>
/// The numbers of beds of one structure, a lane each: <see cref="BedCoefficients"/> and
/// <see cref="ResinCoefficients"/> turned so that one ion of all of them stands together.
/// </summary>
internal sealed class LaneChemistry<TLanes>
    where TLanes : unmanaged, ILanes<TLanes>
{
    /// <summary>Room for the numbers of beds like this one.</summary>
    public LaneChemistry(BedCoefficients like)
    {
        var slots = new List<LaneSlot<TLanes>>();
        Resins = [.. like.Resins.Select(resin => Arrange(resin, like, slots))];
        Slots = [.. slots];
        Ions =
        [
            .. like.Charge.Select(
                (z, i) => new LaneIon<TLanes> { Charge = TLanes.All(z), Weak = like.Weak[i] }
            ),
        ];
        Passing = [.. Enumerable.Range(0, Ions.Length).Except(slots.Select(s => s.Ion))];
    }

    public LaneIon<TLanes>[] Ions { get; }

    public LaneSlot<TLanes>[] Slots { get; }

    public LaneResin<TLanes>[] Resins { get; }

    /// <summary>Ions that no resin takes.</summary>
    public int[] Passing { get; }

    /// <summary>Ionic product of water [mol²/m⁶].</summary>
    public TLanes Kw { get; private set; }

    /// <summary>Puts the numbers of one bed into a lane.</summary>
    public void Load(int lane, BedCoefficients k)
    {
        Kw = Kw.With(lane, k.Kw);
        for (int i = 0; i < Ions.Length; i++)
        {
            Ions[i].ProtonGain = Ions[i].ProtonGain.With(lane, k.ProtonGain[i]);
            Ions[i].ProtonLoss = Ions[i].ProtonLoss.With(lane, k.ProtonLoss[i]);
        }

        for (int r = 0; r < Resins.Length; r++)
        {
            ResinCoefficients from = k.Resins[r];
            LaneResin<TLanes> resin = Resins[r];
            resin.Capacity = resin.Capacity.With(lane, from.Capacity);
            resin.ReferenceRate = resin.ReferenceRate.With(lane, from.ReferenceRate);
            resin.ParticleTime = resin.ParticleTime.With(lane, from.ParticleTime);
            for (int s = resin.First; s < resin.End; s++)
            {
                ref LaneSlot<TLanes> slot = ref Slots[s];
                int n = slot.Place - from.Slot;
                slot.Scale = slot.Scale.With(lane, from.Scale[n]);
                slot.Acidic = slot.Acidic.With(lane, from.Acidic[n]);
                slot.Basic = slot.Basic.With(lane, from.Basic[n]);
                slot.ChargePerCapacity = slot.ChargePerCapacity.With(lane, from.Charge[n] / from.Capacity);
            }
        }
    }

    private static LaneResin<TLanes> Arrange(
        ResinCoefficients resin,
        BedCoefficients k,
        List<LaneSlot<TLanes>> slots
    )
    {
        int first = slots.Count;
        LaneSlot<TLanes>[] own =
        [
            .. resin
                .Ion.Select(
                    (ion, n) =>
                        new LaneSlot<TLanes>
                        {
                            Ion = ion,
                            Place = resin.Slot + n,
                            Charge = TLanes.All(k.Charge[ion]),
                            Law =
                                resin.Charge[n] > 1 ? ExchangeLaw.Double
                                : k.Weak[ion] ? ExchangeLaw.Protonating
                                : ExchangeLaw.Single,
                        }
                )
                .OrderBy(s => s.Law),
        ];
        slots.AddRange(own);
        return new LaneResin<TLanes>
        {
            Sign = resin.Sign,
            First = first,
            Doubles = first + own.Count(s => s.Law < ExchangeLaw.Double),
            Protonating = first + own.Count(s => s.Law < ExchangeLaw.Protonating),
            End = first + own.Length,
        };
    }
}
