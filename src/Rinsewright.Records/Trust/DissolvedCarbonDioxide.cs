using Rinsewright.Water;

namespace Rinsewright.Records.Trust;

/// <summary>What carbon dioxide alone makes pure water conduct at 25 °C, by the speciation of the water model.</summary>
internal static class DissolvedCarbonDioxide
{
    private const double MicrosiemensPerSiemens = 1e4;
    private const int Members = 16;
    private const int Seed = 1;
    private static readonly WaterComposition Pure = new(
        new double[Enum.GetValues<Component>().Length],
        0,
        Conductance.ReferenceTemperature
    );

    private static readonly Lazy<double> OfAir = new(() =>
        Conductance_uS_cm(Pure, Pure.Open(SourceWater.AirCarbonDioxide)) ?? 0
    );

    /// <summary>Pure water that has met the air [µS/cm].</summary>
    public static double FromAir_uS_cm => OfAir.Value;

    /// <summary>Water whose pH only its carbon dioxide makes [µS/cm]; zero where that cannot be.</summary>
    public static double AtPh_uS_cm(double pH) =>
        Conductance_uS_cm(Pure, SpeciationTarget.PHAndAlkalinity(pH, 0)) ?? 0;

    /// <summary>Water behind a membrane, which holds the ions back and lets the carbon dioxide of its source pass [µS/cm].</summary>
    /// <param name="waterFile">Text of a water file for the source.</param>
    public static double? BehindMembrane_uS_cm(string waterFile)
    {
        if (
            !WaterFile.TryRead(waterFile, out WaterAnalysis? analysis, out _, out _)
            || SourceWater.Complete(analysis, new WaterMode(), Members, Seed, out _) is not { } source
        )
        {
            return null;
        }

        List<double> found = [];
        foreach (WaterComposition member in source.Members)
        {
            var species = new Speciation();
            if (new SpeciationSolver().Solve(member, member.Closed, species) is not SpeciationStatus.Solved)
            {
                continue;
            }

            WaterComposition permeate = Pure.With(Component.InorganicCarbon, species.CarbonDioxide, 0);
            if (Conductance_uS_cm(permeate, permeate.Closed) is { } conductance)
            {
                found.Add(conductance);
            }
        }

        return found.Count > 0 ? found.Order().ElementAt(found.Count / 2) : null;
    }

    private static double? Conductance_uS_cm(WaterComposition water, SpeciationTarget target)
    {
        var species = new Speciation();
        return new SpeciationSolver().Solve(water, target, species) is SpeciationStatus.Solved
            ? MicrosiemensPerSiemens * Conductance.Conductivity(species)
            : null;
    }
}
