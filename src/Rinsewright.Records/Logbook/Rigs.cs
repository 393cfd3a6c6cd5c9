using System.Globalization;
using System.Text.Json;
using Rinsewright.Quantities;

namespace Rinsewright.Records.Logbook;

/// <summary>One installation: a train of stages with its plumbing.</summary>
public sealed record Rig : Entry<Rig>
{
    public required string Name { get; init; }
    public Id<Source>? SourceId { get; init; }

    /// <summary>Whom it belongs to, if rigs are kept for several.</summary>
    public Id<Organisation>? OrganisationId { get; init; }

    /// <summary>IANA name of the time zone in which its days are counted.</summary>
    public string TimeZone { get; init; } = "UTC";

    /// <summary>Where it stands, for who drives there.</summary>
    public string? Site { get; init; }

    /// <summary>Name of the van or round that sees to it; rigs of one name are seen to together.</summary>
    public string? Van { get; init; }

    /// <summary>Text of a rig file (docs/formats/rig.md) that describes its stages in full, if there is one.</summary>
    public string? RigFile { get; init; }

    /// <summary>Reads the text of a rig file.</summary>
    /// <param name="text">The text.</param>
    /// <param name="problems">Everything wrong with it; empty exactly when it is right.</param>
    public static Treatment.Rig? ReadFile(string text, out IReadOnlyList<InputProblem> problems)
    {
        try
        {
            using JsonDocument document = JsonDocument.Parse(
                text,
                new JsonDocumentOptions
                {
                    AllowTrailingCommas = true,
                    CommentHandling = JsonCommentHandling.Skip,
                }
            );
            return Treatment.RigFile.TryRead(document.RootElement, out Treatment.Rig? rig, out problems)
                ? rig
                : null;
        }
        catch (JsonException error)
        {
            problems = [new InputProblem("rig file", error.Message, "JSON text, see docs/formats/rig.md")];
            return null;
        }
    }

    internal override void Check(ProblemList problems)
    {
        problems.Require(Name.Trim().Length > 0, "rig name", $"{Name}", "a name");
        problems.Require(
            Site is null || Site.Trim().Length > 0,
            "rig site",
            $"{Site}",
            "an address or a name"
        );
        problems.Require(
            Van is null || Van.Trim().Length > 0,
            "rig van",
            $"{Van}",
            "the name of a van or round"
        );
        problems.Require(
            TimeZoneInfo.TryFindSystemTimeZoneById(TimeZone, out _),
            "rig time zone",
            $"{TimeZone}",
            "an IANA time zone such as Europe/Vienna"
        );
        if (RigFile is not null && ReadFile(RigFile, out IReadOnlyList<InputProblem> ofFile) is null)
        {
            foreach (InputProblem problem in ofFile)
            {
                problems.Add(problem);
            }
        }
    }

    internal override Entry In(Id<Organisation> organisation) =>
        OrganisationId is null ? this with { OrganisationId = organisation } : this;
}

/// <summary>What a stage is. Numbers are stored: never renumber.</summary>
public enum StageKind
{
    Sediment = 1,
    CarbonBlock = 2,
    Softener = 3,
    ReverseOsmosis = 4,
    MixedBed = 5,
    CationBed = 6,
    AnionBed = 7,
}

/// <summary>One housing or unit of a rig's train.</summary>
public sealed record Stage : Entry<Stage>
{
    public required Id<Rig> RigId { get; init; }
    public required string Name { get; init; }

    /// <summary>Place in the train; water meets 1 first.</summary>
    public required int Position { get; init; }
    public required StageKind Kind { get; init; }

    /// <summary>Room for medium [m³].</summary>
    public double? Volume_m3 { get; init; }
    public string? VolumeWritten { get; init; }

    /// <summary>Rated pressure above the atmosphere [Pa].</summary>
    public double? RatedPressure_Pa { get; init; }

    /// <summary>Rated temperature [K].</summary>
    public double? RatedTemperature_K { get; init; }

    /// <summary>The fill is changed when the outlet shows this specific conductance [S/m].</summary>
    public double? ChangeOutLine_S_m { get; init; }

    internal override void Check(ProblemList problems)
    {
        problems.Require(Name.Trim().Length > 0, "stage name", $"{Name}", "a name");
        problems.Require(Position >= 1, "stage position", $"{Position}", "1 or more");
        problems.Require(Enum.IsDefined(Kind), "stage kind", $"{Kind}", "a known kind of stage");
        problems.Require(Volume_m3 is null or > 0, "stage volume", $"{Volume_m3} m³", "more than zero");
        problems.Require(
            RatedPressure_Pa is null or > 0,
            "stage pressure",
            $"{RatedPressure_Pa} Pa",
            "more than zero"
        );
        problems.Require(
            RatedTemperature_K is null or > 273.15,
            "stage temperature",
            $"{RatedTemperature_K} K",
            "above freezing"
        );
        problems.Require(
            ChangeOutLine_S_m is null or > 0,
            "change-out line",
            $"{ChangeOutLine_S_m} S/m",
            "more than zero"
        );
    }
}

/// <summary>
/// One load of medium in a stage. A change-out is one edit that sets <see cref="TakenOutAt"/> on the old
/// fill and adds the new one.
/// </summary>
public sealed record Fill : Entry<Fill>
{
    public required Id<Stage> StageId { get; init; }

    /// <summary>Name of the resin, carbon or element.</summary>
    public required string Medium { get; init; }
    public string? Batch { get; init; }

    /// <summary>Settled volume of the medium [m³]; empty for elements such as a sediment cartridge.</summary>
    public double? Volume_m3 { get; init; }
    public string? VolumeWritten { get; init; }
    public required DateTimeOffset PutInAt
    {
        get;
        init => field = Instant.Round(value);
    }
    public DateTimeOffset? TakenOutAt
    {
        get;
        init => field = value is { } at ? Instant.Round(at) : null;
    }

    /// <summary>The purchase it was taken from, so that stock is counted down.</summary>
    public Id<Purchase>? PurchaseId { get; init; }

    internal override void Check(ProblemList problems)
    {
        problems.Require(Medium.Trim().Length > 0, "fill medium", $"{Medium}", "a name");
        problems.Require(Volume_m3 is null or > 0, "fill volume", $"{Volume_m3} m³", "more than zero");
        problems.Require(
            TakenOutAt is null || TakenOutAt >= PutInAt,
            "fill taken out",
            $"{TakenOutAt?.ToString("O", CultureInfo.InvariantCulture)}",
            "not before it was put in"
        );
    }
}

/// <summary>A duty that comes round, such as sanitising or a meter check.</summary>
public sealed record Upkeep : Entry<Upkeep>
{
    public required Id<Rig> RigId { get; init; }
    public Id<Stage>? StageId { get; init; }
    public required string Name { get; init; }

    /// <summary>Days from one time to the next.</summary>
    public required int EveryDays { get; init; }
    public DateOnly? LastDoneOn { get; init; }

    internal override void Check(ProblemList problems)
    {
        problems.Require(Name.Trim().Length > 0, "upkeep name", $"{Name}", "a name");
        problems.Require(EveryDays >= 1, "upkeep interval", $"{EveryDays}", "1 day or more");
    }
}
