namespace Rinsewright.Treatment.Beds;

/// <summary>How a run of a bed ended.</summary>
public enum BedRunStatus
{
    /// <summary>It reached the volume asked for.</summary>
    Completed,

    /// <summary>It was cancelled; what it had computed so far stands.</summary>
    Cancelled,

    /// <summary>The equations of a node were not solved even with a very small step.</summary>
    NotConverged,

    /// <summary>It took more steps than allowed.</summary>
    StepLimit,

    /// <summary>A value was not a finite number.</summary>
    NonFinite,
}
