using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Fleet;

/// <summary>How urgent a rig is, the most urgent first. Numbers are stored: lists are in their order.</summary>
public enum Standing
{
    /// <summary>The line is passed, more likely than not, or the meter stands at it.</summary>
    Due = 0,

    /// <summary>Due within two weeks, or a fifth of its life is left.</summary>
    Soon = 1,

    /// <summary>Plenty left.</summary>
    Good = 2,

    /// <summary>Nothing is known of its bed.</summary>
    Unknown = 3,
}

/// <summary>
/// How a rig stood when it was last worked out, so that thousands are listed without working any out. It is derived, no entry: an
/// export has what it is worked out from.
/// </summary>
public sealed record RigStanding
{
    /// <summary>The due day of a rig of which none is known; it sorts behind every other.</summary>
    public static readonly DateOnly NoDay = new(9999, 12, 31);

    public required Id<Rig> RigId { get; init; }
    public required Standing Standing { get; init; }

    /// <summary>The middle of the days on which its bed may be due; <see cref="NoDay"/> where none is known.</summary>
    public required DateOnly DueOn { get; init; }

    /// <summary>The bed is due no earlier, nine times in ten with <see cref="DueUntil"/>.</summary>
    public DateOnly? DueFrom { get; init; }
    public DateOnly? DueUntil { get; init; }

    /// <summary>Water left to the line: the middle and nine in ten [m³].</summary>
    public double? Left_m3 { get; init; }
    public double? LeftLow_m3 { get; init; }
    public double? LeftHigh_m3 { get; init; }

    /// <summary>Resin that its next change-out takes [m³].</summary>
    public double? Resin_m3 { get; init; }

    /// <summary>The day on which the first of its filters is due; <see cref="NoDay"/> where none is known.</summary>
    public required DateOnly FilterOn { get; init; }

    /// <summary>How many filters are due within a week of it.</summary>
    public required int Filters { get; init; }

    /// <summary>When it was worked out.</summary>
    public required DateTimeOffset At { get; init; }
}

/// <summary>The table of standings.</summary>
internal static class FleetTables
{
    public static void Map(ModelBuilder model) =>
        model.Entity<RigStanding>(table =>
        {
            table.ToTable("rig_standing");
            table.HasKey(s => s.RigId);
            table.Property(s => s.RigId).ValueGeneratedNever();
            table.HasIndex(s => new
            {
                s.Standing,
                s.DueOn,
                s.RigId,
            });
            table.HasIndex(s => s.DueOn);
            table.HasIndex(s => s.FilterOn);
            table.HasOne<Rig>().WithMany().HasForeignKey(s => s.RigId).OnDelete(DeleteBehavior.Restrict);
        });
}
