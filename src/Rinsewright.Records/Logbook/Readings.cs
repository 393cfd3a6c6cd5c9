namespace Rinsewright.Records.Logbook;

/// <summary>What was measured, and so the SI unit of its value. Numbers are stored: never renumber.</summary>
public enum Measurand
{
    /// <summary>Conductivity at the water's own temperature [S/m].</summary>
    Conductivity = 1,

    /// <summary>Conductance referred to 25 °C by the meter [S/m].</summary>
    SpecificConductance = 2,

    /// <summary>Dissolved solids as a pocket meter shows them, by its own factor [kg/m³].</summary>
    DissolvedSolids = 3,

    /// <summary>[K]</summary>
    Temperature = 4,

    /// <summary>Free chlorine as Cl2 [kg/m³].</summary>
    FreeChlorine = 5,

    /// <summary>Total chlorine as Cl2 [kg/m³].</summary>
    TotalChlorine = 6,

    /// <summary>Pressure above the atmosphere [Pa].</summary>
    Pressure = 7,

    /// <summary>[m³/s]</summary>
    Flow = 8,

    /// <summary>Total hardness [eq/m³].</summary>
    Hardness = 9,

    /// <summary>[-]</summary>
    Ph = 10,

    /// <summary>What a water meter's register shows [m³].</summary>
    MeterTotal = 11,

    /// <summary>Silica as SiO2, by drop test or laboratory [kg/m³].</summary>
    Silica = 12,
}

/// <summary>Where in the train it was taken. Numbers are stored: never renumber.</summary>
public enum Place
{
    /// <summary>The raw water, before the first stage.</summary>
    Source = 1,

    /// <summary>The inlet of a stage.</summary>
    Inlet = 2,

    /// <summary>The outlet of a stage.</summary>
    Outlet = 3,

    /// <summary>The end of the hose.</summary>
    Nozzle = 4,
}

/// <summary>
/// One value seen on a meter, strip or test at one place. Two readings are the same reading when rig,
/// instant, place, stage, meter and measurand agree; the record holds one of them.
/// </summary>
public sealed record Reading : Entry<Reading>
{
    public required Id<Rig> RigId { get; init; }
    public required Place Place { get; init; }

    /// <summary>The stage whose inlet or outlet it is.</summary>
    public Id<Stage>? StageId { get; init; }
    public Id<Meter>? MeterId { get; init; }
    public required DateTimeOffset At
    {
        get;
        init => field = Instant.Round(value);
    }
    public required Measurand Measurand { get; init; }

    /// <summary>The value in the SI unit of its <see cref="Measurand"/>; for a <c>&lt;</c> reading, the limit.</summary>
    public required double Value_SI { get; init; }

    /// <summary>The value as written, for instance <c>8</c> or <c>&lt;0.5</c>.</summary>
    public required string Written { get; init; }

    /// <summary>The unit as written, for instance <c>ppm</c>.</summary>
    public required string Unit { get; init; }

    /// <summary>The true value lies below what is given.</summary>
    public bool IsBelowLimit { get; init; }

    /// <summary>Water temperature at the reading [K].</summary>
    public double? Temperature_K { get; init; }

    /// <summary>Flow while it was read [m³/s].</summary>
    public double? Flow_m3_s { get; init; }

    /// <summary>Whether the display had stopped moving; empty when not said.</summary>
    public bool? IsSettled { get; init; }

    internal override void Check(ProblemList problems)
    {
        problems.Require(Enum.IsDefined(Place), "reading place", $"{Place}", "a known place");
        problems.Require(Enum.IsDefined(Measurand), "reading", $"{Measurand}", "a known quantity");
        problems.Require(
            StageId is not null || Place is Place.Source or Place.Nozzle,
            "reading stage",
            $"{Place}",
            "the stage whose inlet or outlet it is"
        );
        problems.Require(
            Value_SI >= 0 || Measurand is Measurand.Pressure,
            "reading value",
            $"{Written} {Unit}",
            "zero or more"
        );
        problems.Require(
            Measurand is not Measurand.Temperature || Value_SI is >= 253.15 and <= 373.15,
            "reading value",
            $"{Written} {Unit}",
            "-20 °C to 100 °C"
        );
        problems.Require(
            Measurand is not Measurand.Ph || Value_SI <= 14,
            "reading value",
            $"{Written}",
            "a pH of 0 to 14"
        );
        problems.Require(
            Temperature_K is null or (>= 253.15 and <= 373.15),
            "reading temperature",
            $"{Temperature_K} K",
            "-20 °C to 100 °C"
        );
        problems.Require(Flow_m3_s is null or >= 0, "reading flow", $"{Flow_m3_s} m³/s", "zero or more");
    }
}

/// <summary>An instrument, strip or test kit.</summary>
public sealed record Meter : Entry<Meter>
{
    public required string Name { get; init; }
    public required Measurand Measurand { get; init; }

    /// <summary>Dissolved solids shown per specific conductance [kg/m³ per S/m]: 5 is the trade's "0.5" (ppm per µS/cm).</summary>
    public double? TdsFactor_kg_m3_per_S_m { get; init; }

    /// <summary>Linear temperature compensation built into the meter [1/K]; 0 for none, empty when not known.</summary>
    public double? Compensation_per_K { get; init; }

    /// <summary>Smallest step of the display, in the SI unit of the measurand.</summary>
    public double? Resolution_SI { get; init; }

    /// <summary>Whom it belongs to, if the record is kept for several.</summary>
    public Id<Organisation>? OrganisationId { get; init; }

    internal override void Check(ProblemList problems)
    {
        problems.Require(Name.Trim().Length > 0, "meter name", $"{Name}", "a name");
        problems.Require(Enum.IsDefined(Measurand), "meter", $"{Measurand}", "a known quantity");
        problems.Require(
            TdsFactor_kg_m3_per_S_m is null or (>= 3 and <= 10),
            "TDS factor",
            $"{TdsFactor_kg_m3_per_S_m / 10}",
            "0.3 to 1 (ppm per µS/cm)"
        );
        problems.Require(
            Compensation_per_K is null or (>= 0 and <= 0.05),
            "temperature compensation",
            $"{Compensation_per_K}",
            "0 to 0.05 per K"
        );
        problems.Require(Resolution_SI is null or > 0, "resolution", $"{Resolution_SI}", "more than zero");
    }

    internal override Entry In(Id<Organisation> organisation) =>
        OrganisationId is null ? this with { OrganisationId = organisation } : this;
}

/// <summary>A meter against a reference solution.</summary>
public sealed record BenchCheck : Entry<BenchCheck>
{
    public required Id<Meter> MeterId { get; init; }
    public required DateTimeOffset At
    {
        get;
        init => field = Instant.Round(value);
    }

    /// <summary>Name of the solution, for instance <c>KCl 84 µS/cm</c>.</summary>
    public required string Solution { get; init; }

    /// <summary>What the solution is worth, in the SI unit of the meter's measurand.</summary>
    public required double Reference_SI { get; init; }

    /// <summary>Standard uncertainty of the solution, in the same unit.</summary>
    public double? ReferenceUncertainty_SI { get; init; }

    /// <summary>What the meter showed, in the same unit.</summary>
    public required double Shown_SI { get; init; }
    public required string ShownWritten { get; init; }
    public required string Unit { get; init; }

    /// <summary>Temperature of the solution [K].</summary>
    public double? Temperature_K { get; init; }

    internal override void Check(ProblemList problems)
    {
        problems.Require(Reference_SI >= 0, "bench check reference", $"{Reference_SI}", "zero or more");
        problems.Require(Shown_SI >= 0, "bench check reading", $"{ShownWritten} {Unit}", "zero or more");
        problems.Require(
            ReferenceUncertainty_SI is null or > 0,
            "bench check uncertainty",
            $"{ReferenceUncertainty_SI}",
            "more than zero"
        );
        problems.Require(
            Temperature_K is null or (>= 273.15 and <= 373.15),
            "bench check temperature",
            $"{Temperature_K} K",
            "0 °C to 100 °C"
        );
    }
}
