using Rinsewright.Water;

namespace Rinsewright.Drying;

/// <summary>
/// Lays down the last brine as stoichiometric salts, least soluble first, where no activity model reaches (docs/models/drying.md,
/// rule drying-36). Cations and anions are paired by equivalents; alkalinity counts as carbonate, so carbon is open to the air.
/// </summary>
internal static class SaltNorm
{
    /// <summary>Pools of equivalents: the nine cations of <see cref="Component"/>, acid, then the six anions.</summary>
    private const int Acid = 9;
    private const int Carbonate = 10;
    private const int Sulfate = 11;
    private const int Chloride = 12;
    private const int Nitrate = 13;
    private const int Fluoride = 14;
    private const int Phosphate = 15;
    private const int Pools = 16;

    private static readonly Pairing[] Order =
    [
        // Acid and ammonia go to the air first, as far as they are volatile.
        new(Acid, Nitrate, null),
        new(Acid, Chloride, null),
        new(Acid, Fluoride, null),
        new(Acid, Sulfate, "sulfuric-acid"),
        new(Acid, Phosphate, "phosphoric-acid"),
        new((int)Component.Barium, Sulfate, "barite"),
        new((int)Component.Calcium, Fluoride, "fluorite"),
        new((int)Component.Calcium, Phosphate, "calcium-phosphate"),
        new((int)Component.Iron, Carbonate, "iron-carbonate"),
        new((int)Component.Manganese, Carbonate, "manganese-carbonate"),
        new((int)Component.Strontium, Carbonate, "strontianite"),
        new((int)Component.Calcium, Carbonate, "calcite"),
        new((int)Component.Magnesium, Fluoride, "magnesium-fluoride"),
        new((int)Component.Magnesium, Phosphate, "magnesium-phosphate"),
        new((int)Component.Magnesium, Carbonate, "nesquehonite"),
        new((int)Component.Ammonium, Carbonate, null),
        new((int)Component.Strontium, Sulfate, "celestine"),
        new((int)Component.Calcium, Sulfate, "gypsum"),
        new((int)Component.Iron, Sulfate, "iron-sulfate"),
        new((int)Component.Manganese, Sulfate, "manganese-sulfate"),
        new((int)Component.Sodium, Sulfate, "thenardite"),
        new((int)Component.Potassium, Sulfate, "arcanite"),
        new((int)Component.Magnesium, Sulfate, "epsomite"),
        new((int)Component.Ammonium, Sulfate, "mascagnite"),
        new((int)Component.Sodium, Fluoride, "sodium-fluoride"),
        new((int)Component.Potassium, Fluoride, "potassium-fluoride"),
        new((int)Component.Sodium, Phosphate, "sodium-phosphate"),
        new((int)Component.Potassium, Phosphate, "potassium-phosphate"),
        new((int)Component.Sodium, Chloride, "halite"),
        new((int)Component.Potassium, Chloride, "sylvite"),
        new((int)Component.Ammonium, Chloride, "salammoniac"),
        new((int)Component.Sodium, Carbonate, "soda"),
        new((int)Component.Potassium, Carbonate, "potash"),
        new((int)Component.Sodium, Nitrate, "sodium-nitrate"),
        new((int)Component.Potassium, Nitrate, "potassium-nitrate"),
        new((int)Component.Ammonium, Nitrate, "ammonium-nitrate"),
        new((int)Component.Magnesium, Nitrate, "magnesium-nitrate"),
        new((int)Component.Calcium, Nitrate, "calcium-nitrate"),
        new((int)Component.Magnesium, Chloride, "magnesium-chloride"),
        new((int)Component.Calcium, Chloride, "calcium-chloride"),
    ];

    private static readonly ResidueSolid?[] Solids =
    [
        .. Order.Select(p => p.Key is null ? null : ResidueSolid.Of(p.Key)),
        ResidueSolid.Silica,
    ];

    /// <summary>Number of places for solids: one for each pair in its order, silica last.</summary>
    public static int Places => Solids.Length;

    /// <summary>The solid of a place; none where the pair goes to the air.</summary>
    /// <param name="place">Number of the place [-].</param>
    public static ResidueSolid? SolidAt(int place) => Solids[place];

    /// <summary>Assigns all that is dissolved.</summary>
    /// <param name="totals">Amounts by <see cref="Component"/> [mol/m³]; carbon is not used; length: number of components.</param>
    /// <param name="chargeResidual">Charge that the analysis leaves over [eq/m³].</param>
    /// <param name="laid">Receives the amount of each solid by its place [mol/m³]; length: <see cref="Places"/>.</param>
    /// <param name="toAir">Receives what goes to the air by <see cref="Component"/> [mol/m³]; length: number of components.</param>
    /// <param name="unpaired">Receives what finds no partner by <see cref="Component"/> [mol/m³]; length: number of components.</param>
    public static void Assign(
        ReadOnlySpan<double> totals,
        double chargeResidual,
        Span<double> laid,
        Span<double> toAir,
        Span<double> unpaired
    )
    {
        Span<double> pool = stackalloc double[Pools];
        laid.Clear();
        for (int i = 0; i < Acid; i++)
        {
            pool[i] = Charge((Component)i) * totals[i];
        }

        pool[Sulfate] = 2 * totals[(int)Component.Sulfate];
        pool[Chloride] = totals[(int)Component.Chloride];
        pool[Nitrate] = totals[(int)Component.Nitrate];
        pool[Fluoride] = totals[(int)Component.Fluoride];
        pool[Phosphate] = 3 * totals[(int)Component.Phosphate];
        double alkalinity = -chargeResidual;
        for (int i = 0; i < Pools; i++)
        {
            alkalinity += i < Acid ? pool[i] : -pool[i];
        }

        pool[Carbonate] = Math.Max(0, alkalinity);
        pool[Acid] = Math.Max(0, -alkalinity);
        for (int i = 0; i < Order.Length; i++)
        {
            Pairing pair = Order[i];
            double equivalents = Math.Min(pool[pair.Cation], pool[pair.Anion]); // eq. drying-36
            if (equivalents <= 0)
            {
                continue;
            }

            pool[pair.Cation] -= equivalents;
            pool[pair.Anion] -= equivalents;
            if (pair.Key is not null)
            {
                laid[i] = equivalents / EquivalentsPerMole(pair);
                continue;
            }

            Release(pair.Cation, equivalents, toAir);
            Release(pair.Anion, equivalents, toAir);
        }

        laid[^1] = totals[(int)Component.Silica];

        for (int i = 0; i < Pools; i++)
        {
            Release(i, pool[i], unpaired);
        }
    }

    private static void Release(int pool, double equivalents, Span<double> amounts)
    {
        if (ComponentOf(pool) is { } component)
        {
            amounts[(int)component] += equivalents / Charge(component);
        }
    }

    /// <summary>Moles of positive charge in one formula unit of the salt: the least common multiple of the two charges.</summary>
    private static int EquivalentsPerMole(Pairing pair)
    {
        int cation = pair.Cation == Acid ? 1 : Charge((Component)pair.Cation);
        int anion = pair.Anion == Carbonate ? 2 : Charge(ComponentOf(pair.Anion)!.Value);
        return cation == anion ? cation : cation * anion;
    }

    private static int Charge(Component component) =>
        Math.Abs(IonCatalog.Of(IonCatalog.Master(component)).Charge);

    private static Component? ComponentOf(int pool) =>
        pool switch
        {
            < Acid => (Component)pool,
            Sulfate => Component.Sulfate,
            Chloride => Component.Chloride,
            Nitrate => Component.Nitrate,
            Fluoride => Component.Fluoride,
            Phosphate => Component.Phosphate,
            _ => null,
        };

    private sealed record Pairing(int Cation, int Anion, string? Key);
}
