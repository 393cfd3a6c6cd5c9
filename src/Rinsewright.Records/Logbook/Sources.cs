namespace Rinsewright.Records.Logbook;

/// <summary>Where raw water comes from: a town's mains, a well, a filling point.</summary>
public sealed record Source : Entry<Source>
{
    public required string Name { get; init; }
    public string? Place { get; init; }

    /// <summary>Whom it belongs to, if the record is kept for several.</summary>
    public Id<Organisation>? OrganisationId { get; init; }

    internal override void Check(ProblemList problems) =>
        problems.Require(Name.Trim().Length > 0, "source name", $"{Name}", "a name");

    internal override Entry In(Id<Organisation> organisation) =>
        OrganisationId is null ? this with { OrganisationId = organisation } : this;
}

/// <summary>A part of the year in which a source has its own composition.</summary>
public sealed record Season : Entry<Season>
{
    public required Id<Source> SourceId { get; init; }
    public required string Name { get; init; }
    public int StartMonth { get; init; } = 1;
    public int StartDay { get; init; } = 1;

    /// <summary>The water file (JSON) that describes the source in this season, if there is one.</summary>
    public string? WaterFile { get; init; }

    /// <summary>Specific conductance at 25 °C when nothing more is known [S/m].</summary>
    public double? SpecificConductance_S_m { get; init; }

    internal override void Check(ProblemList problems)
    {
        problems.Require(Name.Trim().Length > 0, "season name", $"{Name}", "a name");
        problems.Require(StartMonth is >= 1 and <= 12, "season start month", $"{StartMonth}", "1 to 12");
        problems.Require(
            StartMonth is < 1 or > 12
                || (StartDay >= 1 && StartDay <= DateTime.DaysInMonth(2023, StartMonth)),
            "season start day",
            $"{StartDay}",
            "a day of that month"
        );
        problems.Require(
            SpecificConductance_S_m is null or >= 0,
            "season conductance",
            $"{SpecificConductance_S_m} S/m",
            "zero or more"
        );
    }
}
