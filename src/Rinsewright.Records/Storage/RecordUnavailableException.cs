namespace Rinsewright.Records.Storage;

/// <summary>Why a record cannot be used.</summary>
public enum UnavailableReason
{
    /// <summary>The file fails its integrity check.</summary>
    Damaged,

    /// <summary>The folder or file cannot be written.</summary>
    ReadOnly,

    /// <summary>The disk is full.</summary>
    Full,

    /// <summary>It was written by a newer version of the program.</summary>
    Newer,

    /// <summary>Another program holds it.</summary>
    InUse,

    /// <summary>The database does not answer.</summary>
    Unreachable,
}

/// <summary>The record cannot be used; the message is for people and says what to do next.</summary>
public sealed class RecordUnavailableException : IOException
{
    public RecordUnavailableException(
        UnavailableReason reason,
        string message,
        Exception? innerException = null
    )
        : base(message, innerException) => Reason = reason;

    public UnavailableReason Reason { get; }

    /// <summary>The newest backup that passes its own check, when the file is damaged and there is one.</summary>
    public string? NewestGoodBackup { get; init; }
}
