namespace Rinsewright.Records.Logbook;

/// <summary>Words about a rig or a stage.</summary>
public sealed record Note : Entry<Note>
{
    public Id<Rig>? RigId { get; init; }
    public Id<Stage>? StageId { get; init; }
    public required DateTimeOffset At
    {
        get;
        init => field = Instant.Round(value);
    }
    public required string Text { get; init; }

    /// <summary>Whom it belongs to, if the record is kept for several.</summary>
    public Id<Organisation>? OrganisationId { get; init; }

    internal override void Check(ProblemList problems) =>
        problems.Require(Text.Trim().Length > 0, "note", $"{Text}", "some words");

    internal override Entry In(Id<Organisation> organisation) =>
        OrganisationId is null ? this with { OrganisationId = organisation } : this;
}

/// <summary>A picture and what it shows; its bytes are a <see cref="PhotographContent"/>.</summary>
public sealed record Photograph : Entry<Photograph>
{
    public Id<Rig>? RigId { get; init; }
    public Id<Stage>? StageId { get; init; }
    public required Id<PhotographContent> PhotographContentId { get; init; }
    public required DateTimeOffset At
    {
        get;
        init => field = Instant.Round(value);
    }
    public string Caption { get; init; } = "";

    /// <summary>Whom it belongs to, if the record is kept for several.</summary>
    public Id<Organisation>? OrganisationId { get; init; }

    internal override Entry In(Id<Organisation> organisation) =>
        OrganisationId is null ? this with { OrganisationId = organisation } : this;
}

/// <summary>The bytes of a picture, apart so that lists of pictures stay light.</summary>
public sealed record PhotographContent : Entry<PhotographContent>
{
    /// <summary>Largest picture taken in.</summary>
    public const int LargestBytes = 20_000_000;

    /// <summary>Media type (IANA), such as <c>image/jpeg</c>.</summary>
    public required string MediaType { get; init; }
    public required byte[] Content { get; init; }

    /// <summary>Whom it belongs to, if the record is kept for several.</summary>
    public Id<Organisation>? OrganisationId { get; init; }

    internal override void Check(ProblemList problems)
    {
        problems.Require(
            MediaType is "image/jpeg" or "image/png" or "image/webp",
            "photograph",
            $"{MediaType}",
            "image/jpeg, image/png or image/webp"
        );
        problems.Require(
            Content.Length is > 0 and <= LargestBytes,
            "photograph",
            $"{Content.Length} bytes",
            $"1 to {LargestBytes} bytes"
        );
    }

    internal override Entry In(Id<Organisation> organisation) =>
        OrganisationId is null ? this with { OrganisationId = organisation } : this;
}
