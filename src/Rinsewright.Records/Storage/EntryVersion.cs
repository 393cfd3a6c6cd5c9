namespace Rinsewright.Records.Storage;

/// <summary>An earlier version of an entry, as JSON. The latest version is in the table of its kind.</summary>
public sealed record EntryVersion
{
    /// <summary>Name of the kind, which is the name of its table.</summary>
    public required string Kind { get; init; }
    public required Guid Key { get; init; }
    public required int Version { get; init; }
    public required long EditNumber { get; init; }

    /// <summary>The entry as JSON.</summary>
    public required string Payload { get; init; }
}
