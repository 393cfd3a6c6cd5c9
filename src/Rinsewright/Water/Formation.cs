namespace Rinsewright.Water;

/// <summary>
/// How every species is built from master species: at most one cation, one ligand and a number of protons.
/// </summary>
/// <remarks>log10 of the formation constant: log β = log β(base) + sign · log K(reaction), eq. water-13.</remarks>
internal sealed class Formation
{
    public const int CationCount = 9;
    public const int LigandCount = 4;
    public const int None = -1;

    public const int SulfateLigand = 0;
    public const int FluorideLigand = 1;
    public const int PhosphateLigand = 2;
    public const int CarbonLigand = 3;

    /// <summary>Components of the ligands, in the order of their indices.</summary>
    public static readonly Component[] LigandComponents =
    [
        Component.Sulfate,
        Component.Fluoride,
        Component.Phosphate,
        Component.InorganicCarbon,
    ];

    /// <summary>Components of the cations: the first nine of <see cref="Component"/>.</summary>
    public static readonly Component[] CationComponents =
    [
        Component.Calcium,
        Component.Magnesium,
        Component.Sodium,
        Component.Potassium,
        Component.Ammonium,
        Component.Iron,
        Component.Manganese,
        Component.Strontium,
        Component.Barium,
    ];

    /// <summary>Free ions of the cations, by index.</summary>
    public static readonly Species[] CationIons = [.. CationComponents.Select(IonCatalog.Master)];

    /// <summary>Free ions of the ligands, by index.</summary>
    public static readonly Species[] LigandIons = [.. LigandComponents.Select(IonCatalog.Master)];

    /// <summary>All species that carry a cation or a ligand, masters left out; a base comes before what is built on it.</summary>
    public static readonly Formation[] Compound =
    [
        Acid(Species.Bicarbonate, Reaction.Bicarbonate, CarbonLigand, 1),
        Acid(Species.CarbonDioxide, Reaction.CarbonicAcid, CarbonLigand, 2, Species.Bicarbonate),
        Acid(Species.HydrogenSulfate, Reaction.HydrogenSulfate, SulfateLigand, 1),
        Acid(Species.HydrogenFluoride, Reaction.HydrogenFluoride, FluorideLigand, 1),
        Acid(Species.Hydrogenphosphate, Reaction.Phosphate3, PhosphateLigand, 1),
        Acid(Species.Dihydrogenphosphate, Reaction.Phosphate2, PhosphateLigand, 2, Species.Hydrogenphosphate),
        Acid(Species.PhosphoricAcid, Reaction.Phosphate1, PhosphateLigand, 3, Species.Dihydrogenphosphate),
        Base(Species.Ammonia, Reaction.AmmoniumIon, Component.Ammonium),
        Base(Species.CalciumHydroxide, Reaction.CalciumHydroxidePair, Component.Calcium),
        Base(Species.MagnesiumHydroxide, Reaction.MagnesiumHydroxidePair, Component.Magnesium),
        Base(Species.IronHydroxide, Reaction.IronHydroxidePair, Component.Iron),
        Base(Species.ManganeseHydroxide, Reaction.ManganeseHydroxidePair, Component.Manganese),
        Pair(Species.CalciumSulfate, Reaction.CalciumSulfatePair, Component.Calcium, SulfateLigand),
        Pair(Species.MagnesiumSulfate, Reaction.MagnesiumSulfatePair, Component.Magnesium, SulfateLigand),
        Pair(Species.SodiumSulfate, Reaction.SodiumSulfatePair, Component.Sodium, SulfateLigand),
        Pair(Species.PotassiumSulfate, Reaction.PotassiumSulfatePair, Component.Potassium, SulfateLigand),
        Pair(Species.AmmoniumSulfate, Reaction.AmmoniumSulfatePair, Component.Ammonium, SulfateLigand),
        Pair(Species.IronSulfate, Reaction.IronSulfatePair, Component.Iron, SulfateLigand),
        Pair(Species.ManganeseSulfate, Reaction.ManganeseSulfatePair, Component.Manganese, SulfateLigand),
        Pair(Species.StrontiumSulfate, Reaction.StrontiumSulfatePair, Component.Strontium, SulfateLigand),
        Pair(Species.BariumSulfate, Reaction.BariumSulfatePair, Component.Barium, SulfateLigand),
        Bicarbonate(Species.CalciumBicarbonate, Reaction.CalciumBicarbonatePair, Component.Calcium),
        Bicarbonate(Species.MagnesiumBicarbonate, Reaction.MagnesiumBicarbonatePair, Component.Magnesium),
        Bicarbonate(Species.SodiumBicarbonate, Reaction.SodiumBicarbonatePair, Component.Sodium),
        Bicarbonate(Species.StrontiumBicarbonate, Reaction.StrontiumBicarbonatePair, Component.Strontium),
        Bicarbonate(Species.BariumBicarbonate, Reaction.BariumBicarbonatePair, Component.Barium),
        Bicarbonate(Species.IronBicarbonate, Reaction.IronBicarbonatePair, Component.Iron),
        Bicarbonate(Species.ManganeseBicarbonate, Reaction.ManganeseBicarbonatePair, Component.Manganese),
        Pair(Species.CalciumCarbonate, Reaction.CalciumCarbonatePair, Component.Calcium, CarbonLigand),
        Pair(Species.MagnesiumCarbonate, Reaction.MagnesiumCarbonatePair, Component.Magnesium, CarbonLigand),
        Pair(Species.SodiumCarbonate, Reaction.SodiumCarbonatePair, Component.Sodium, CarbonLigand),
        Pair(Species.StrontiumCarbonate, Reaction.StrontiumCarbonatePair, Component.Strontium, CarbonLigand),
        Pair(Species.BariumCarbonate, Reaction.BariumCarbonatePair, Component.Barium, CarbonLigand),
        Pair(Species.IronCarbonate, Reaction.IronCarbonatePair, Component.Iron, CarbonLigand),
        Pair(Species.ManganeseCarbonate, Reaction.ManganeseCarbonatePair, Component.Manganese, CarbonLigand),
        Pair(Species.CalciumFluoride, Reaction.CalciumFluoridePair, Component.Calcium, FluorideLigand),
        Pair(Species.MagnesiumFluoride, Reaction.MagnesiumFluoridePair, Component.Magnesium, FluorideLigand),
        Pair(Species.SodiumFluoride, Reaction.SodiumFluoridePair, Component.Sodium, FluorideLigand),
        Pair(Species.CalciumPhosphate, Reaction.CalciumPhosphatePair, Component.Calcium, PhosphateLigand),
        Pair(
            Species.MagnesiumPhosphate,
            Reaction.MagnesiumPhosphatePair,
            Component.Magnesium,
            PhosphateLigand
        ),
        Phosphate(
            Species.CalciumHydrogenphosphate,
            Reaction.CalciumHydrogenPhosphatePair,
            Component.Calcium,
            Species.Hydrogenphosphate
        ),
        Phosphate(
            Species.MagnesiumHydrogenphosphate,
            Reaction.MagnesiumHydrogenPhosphatePair,
            Component.Magnesium,
            Species.Hydrogenphosphate
        ),
        Phosphate(
            Species.SodiumHydrogenphosphate,
            Reaction.SodiumHydrogenPhosphatePair,
            Component.Sodium,
            Species.Hydrogenphosphate
        ),
        Phosphate(
            Species.PotassiumHydrogenphosphate,
            Reaction.PotassiumHydrogenPhosphatePair,
            Component.Potassium,
            Species.Hydrogenphosphate
        ),
        Phosphate(
            Species.CalciumDihydrogenphosphate,
            Reaction.CalciumDihydrogenPhosphatePair,
            Component.Calcium,
            Species.Dihydrogenphosphate
        ),
        Phosphate(
            Species.MagnesiumDihydrogenphosphate,
            Reaction.MagnesiumDihydrogenPhosphatePair,
            Component.Magnesium,
            Species.Dihydrogenphosphate
        ),
    ];

    private Formation(
        Species species,
        Reaction reaction,
        int sign,
        int cation,
        int ligand,
        int protons,
        Species? basis
    )
    {
        Species = species;
        Reaction = reaction;
        Sign = sign;
        Cation = cation;
        Ligand = ligand;
        Protons = protons;
        Basis = basis;
    }

    public Species Species { get; }

    /// <summary>Index of the cation, or <see cref="None"/>.</summary>
    public int Cation { get; }

    /// <summary>Index of the ligand, or <see cref="None"/>.</summary>
    public int Ligand { get; }

    /// <summary>Protons taken up on formation from the masters; negative for a hydroxide.</summary>
    public int Protons { get; }

    private Reaction Reaction { get; }

    private int Sign { get; }

    private Species? Basis { get; }

    /// <summary>Fills in log10 β of all of <see cref="Compound"/>.</summary>
    /// <param name="temperature">Temperature [K].</param>
    /// <param name="logBeta">Receives the constants by species [-]; length: number of species.</param>
    public static void LogConstants(double temperature, Span<double> logBeta)
    {
        foreach (Formation f in Compound)
        {
            double below = f.Basis is { } basis ? logBeta[(int)basis] : 0;
            logBeta[(int)f.Species] = below + f.Sign * Equilibria.LogK(f.Reaction, temperature); // eq. water-13
        }
    }

    private static Formation Acid(
        Species species,
        Reaction reaction,
        int ligand,
        int protons,
        Species? basis = null
    ) => new(species, reaction, -1, None, ligand, protons, basis);

    private static Formation Base(Species species, Reaction reaction, Component cation) =>
        new(species, reaction, 1, (int)cation, None, -1, null);

    private static Formation Pair(Species species, Reaction reaction, Component cation, int ligand) =>
        new(species, reaction, 1, (int)cation, ligand, 0, null);

    private static Formation Bicarbonate(Species species, Reaction reaction, Component cation) =>
        new(species, reaction, 1, (int)cation, CarbonLigand, 1, Species.Bicarbonate);

    private static Formation Phosphate(Species species, Reaction reaction, Component cation, Species basis) =>
        new(
            species,
            reaction,
            1,
            (int)cation,
            PhosphateLigand,
            basis == Species.Hydrogenphosphate ? 1 : 2,
            basis
        );
}
