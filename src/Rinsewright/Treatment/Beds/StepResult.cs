namespace Rinsewright.Treatment.Beds;

/// <summary>What became of a step that was tried.</summary>
internal enum StepResult
{
    /// <summary>It stands.</summary>
    Taken,

    /// <summary>It is to be tried again, shorter.</summary>
    Rejected,

    /// <summary>Not even the shortest step could be solved.</summary>
    NotSolved,

    /// <summary>It gave a value that is no number.</summary>
    NotFinite,
}
