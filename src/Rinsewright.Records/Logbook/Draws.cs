using Rinsewright.Quantities;

namespace Rinsewright.Records.Logbook;

/// <summary>What water is drawn for: pre-rinse, foam, wheels, last rinse.</summary>
public sealed record WashTask : Entry<WashTask>
{
    public required string Name { get; init; }

    /// <summary>Usual volume of one time [m³].</summary>
    public required double Volume_m3 { get; init; }
    public string? VolumeWritten { get; init; }

    /// <summary>Usual flow [m³/s].</summary>
    public double? Flow_m3_s { get; init; }

    /// <summary>Whom it belongs to, if the record is kept for several.</summary>
    public Id<Organisation>? OrganisationId { get; init; }

    internal override void Check(ProblemList problems)
    {
        problems.Require(Name.Trim().Length > 0, "task name", $"{Name}", "a name");
        problems.Require(Volume_m3 > 0, "task volume", $"{Volume_m3} m³", "more than zero");
        problems.Require(Flow_m3_s is null or > 0, "task flow", $"{Flow_m3_s} m³/s", "more than zero");
    }

    internal override Entry In(Id<Organisation> organisation) =>
        OrganisationId is null ? this with { OrganisationId = organisation } : this;
}

/// <summary>Part of a rig's usual week: how often a task comes, and after which stage its water is taken.</summary>
public sealed record Habit : Entry<Habit>
{
    public required Id<Rig> RigId { get; init; }
    public required Id<WashTask> WashTaskId { get; init; }

    /// <summary>The last stage the water passes; empty for raw water.</summary>
    public Id<Stage>? StageId { get; init; }
    public required double TimesPerWeek { get; init; }

    internal override void Check(ProblemList problems) =>
        problems.Require(TimesPerWeek > 0, "times per week", $"{TimesPerWeek}", "more than zero");
}

/// <summary>How the volume of a draw is known. Numbers are stored: never renumber.</summary>
public enum VolumeBasis
{
    /// <summary>From a water meter or a marked tank.</summary>
    Measured = 1,

    /// <summary>From the task's usual volume.</summary>
    Estimated = 2,
}

/// <summary>Water taken in one go.</summary>
public sealed record Draw : Entry<Draw>
{
    public required Id<Rig> RigId { get; init; }

    /// <summary>The last stage the water passed; empty for the whole train.</summary>
    public Id<Stage>? StageId { get; init; }
    public Id<WashTask>? WashTaskId { get; init; }
    public required DateTimeOffset At
    {
        get;
        init => field = Instant.Round(value);
    }

    /// <summary>[m³]</summary>
    public required double Volume_m3 { get; init; }
    public required string VolumeWritten { get; init; }
    public required VolumeBasis Basis { get; init; }

    /// <summary>[m³/s]</summary>
    public double? Flow_m3_s { get; init; }

    /// <summary>How many washes it served.</summary>
    public int? Washes { get; init; }

    /// <summary>A draw of a measured volume or, without one, of the task's usual volume.</summary>
    /// <exception cref="ArgumentException">Neither is given.</exception>
    public static Draw Of(
        Id<Draw> id,
        Id<Rig> rig,
        Id<Stage>? stage,
        WashTask? task,
        Volume? measured,
        string? written,
        VolumeFlow? flow,
        int? washes,
        DateTimeOffset at
    )
    {
        if (measured is null && task is null)
        {
            throw new ArgumentException("A draw needs a volume or a task.", nameof(measured));
        }

        return new Draw
        {
            Id = id,
            RigId = rig,
            StageId = stage,
            WashTaskId = task?.Id,
            At = at,
            Volume_m3 = measured?.CubicMeters ?? task!.Volume_m3,
            VolumeWritten = measured is null ? task!.Name : written ?? "",
            Basis = measured is null ? VolumeBasis.Estimated : VolumeBasis.Measured,
            Flow_m3_s = flow?.CubicMetersPerSecond ?? task?.Flow_m3_s,
            Washes = washes,
        };
    }

    internal override void Check(ProblemList problems)
    {
        problems.Require(Volume_m3 > 0, "draw volume", $"{VolumeWritten}", "more than zero");
        problems.Require(Enum.IsDefined(Basis), "draw basis", $"{Basis}", "measured or estimated");
        problems.Require(Flow_m3_s is null or > 0, "draw flow", $"{Flow_m3_s} m³/s", "more than zero");
        problems.Require(Washes is null or >= 0, "washes", $"{Washes}", "zero or more");
    }
}
