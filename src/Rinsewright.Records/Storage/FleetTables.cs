using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Fleet;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Storage;

/// <summary>Tables of the board of all rigs. They hold no entries: all that is in them follows from the record.</summary>
internal static class FleetTables
{
    public static void Map(ModelBuilder model)
    {
        model.Entity<FleetRig>(table =>
        {
            table.ToTable("fleet_rig");
            table.HasKey(r => r.RigId);
            table.Property(r => r.RigId).ValueGeneratedNever();
            table.HasIndex(r => new
            {
                r.Urgency,
                r.RankAt,
                r.RigId,
            });
            table.HasIndex(r => new
            {
                r.OrganisationId,
                r.Urgency,
                r.RankAt,
                r.RigId,
            });
            table.HasIndex(r => r.ChangesAt);
            table
                .HasOne<Rig>()
                .WithOne()
                .HasForeignKey<FleetRig>(r => r.RigId)
                .OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<FleetStage>(table =>
        {
            table.ToTable("fleet_stage");
            table.HasKey(s => s.StageId);
            table.Property(s => s.StageId).ValueGeneratedNever();
            table.HasIndex(s => s.RigId);
            table.HasIndex(s => s.MayBeDueAt);
            table.HasOne<FleetRig>().WithMany().HasForeignKey(s => s.RigId).OnDelete(DeleteBehavior.Cascade);
        });
        model.Entity<FleetMark>(table =>
        {
            table.ToTable("fleet_mark");
            table.HasKey(m => m.Id);
            table.Property(m => m.Id).ValueGeneratedNever();
        });
    }
}
