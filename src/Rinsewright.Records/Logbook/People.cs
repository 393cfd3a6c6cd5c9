namespace Rinsewright.Records.Logbook;

/// <summary>Units that a person reads and writes in.</summary>
public enum UnitPreference
{
    Metric = 1,
    UsCustomary = 2,
}

/// <summary>A firm or club that several rigs belong to.</summary>
public sealed record Organisation : Entry<Organisation>
{
    public required string Name { get; init; }

    internal override void Check(ProblemList problems) =>
        problems.Require(Name.Trim().Length > 0, "organisation name", $"{Name}", "a name");
}

/// <summary>Someone who keeps or reads the record.</summary>
public sealed record Person : Entry<Person>
{
    public required string Name { get; init; }
    public UnitPreference Units { get; init; } = UnitPreference.Metric;

    /// <summary>Whom it belongs to, if the record is kept for several.</summary>
    public Id<Organisation>? OrganisationId { get; init; }

    internal override void Check(ProblemList problems) =>
        problems.Require(Name.Trim().Length > 0, "person name", $"{Name}", "a name");

    internal override Entry In(Id<Organisation> organisation) =>
        OrganisationId is null ? this with { OrganisationId = organisation } : this;
}
