using System.Collections.Immutable;
using Rinsewright.Water;

namespace Rinsewright.Treatment.Beds;

/// <summary>
/// The ions that a run of a bed carries: those of the feed and those that the resins hold at the start; cations first,
/// then anions, each group in the order of <see cref="Component"/>.
/// </summary>
internal sealed class BedIons
{
    private readonly int[] _indexOf = new int[IonCatalog.ComponentCount];

    private BedIons(ImmutableArray<Component> components)
    {
        Components = components;
        Array.Fill(_indexOf, -1);
        for (int i = 0; i < components.Length; i++)
        {
            _indexOf[(int)components[i]] = i;
        }
    }

    /// <summary>The components, in the order of every liquid vector of the run.</summary>
    public ImmutableArray<Component> Components { get; }

    public int Count => Components.Length;

    /// <summary>Index of a component in the liquid vectors, or −1.</summary>
    public int IndexOf(Component component) => _indexOf[(int)component];

    /// <summary>The form in which a component is exchanged: its charge number [-] and its species.</summary>
    public static (int Charge, Species Species) ExchangedForm(Component component) =>
        component switch
        {
            Component.InorganicCarbon => (-1, Species.Bicarbonate),
            Component.Silica => (-1, Species.SilicicAcid),
            Component.Phosphate => (-1, Species.Dihydrogenphosphate),
            _ => (IonCatalog.Of(IonCatalog.Master(component)).Charge, IonCatalog.Master(component)),
        };

    /// <summary>The ions of some beds and of a feed.</summary>
    /// <param name="beds">The beds.</param>
    /// <param name="totals">Totals of the feed by component, length <see cref="IonCatalog.ComponentCount"/> [mol/m³].</param>
    /// <param name="also">Ions carried so far, or null.</param>
    public static BedIons Of(IEnumerable<ExchangeBed> beds, ReadOnlySpan<double> totals, BedIons? also = null)
    {
        HashSet<Component> present =
        [
            .. beds.SelectMany(b => b.Resins)
                .SelectMany(r => r.Form)
                .Where(f => f.Value > 0)
                .Select(f => f.Key),
            .. also?.Components ?? [],
        ];
        foreach (Component component in Enum.GetValues<Component>())
        {
            if (totals[(int)component] > 0)
            {
                present.Add(component);
            }
        }

        return new BedIons([
            .. present.Where(c => ExchangedForm(c).Charge > 0).Order(),
            .. present.Where(c => ExchangedForm(c).Charge < 0).Order(),
        ]);
    }
}
