using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Storage;

/// <summary>Tables of what devices deliver. They hold no entries: what is derived from them does.</summary>
internal static class IngestTables
{
    public static void Map(ModelBuilder model)
    {
        model.Entity<Device>(table =>
        {
            table.ToTable("device");
            table.HasKey(d => d.Id);
            table.Property(d => d.Id).ValueGeneratedNever();
            table.HasIndex(d => d.KeyName).IsUnique();
            table.HasIndex(d => d.Name).IsUnique();
            table.HasOne<Rig>().WithMany().HasForeignKey(d => d.RigId).OnDelete(DeleteBehavior.Restrict);
            table
                .HasOne<Organisation>()
                .WithMany()
                .HasForeignKey(d => d.OrganisationId)
                .OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<DeviceChannel>(table =>
        {
            table.ToTable("device_channel");
            table.HasKey(s => s.Id);
            table.HasIndex(s => new { s.DeviceId, s.Signature }).IsUnique();
            table.HasIndex(s => s.DueAt);
            table.Property(s => s.Revision).IsConcurrencyToken();
            table
                .HasOne<Device>()
                .WithMany()
                .HasForeignKey(s => s.DeviceId)
                .OnDelete(DeleteBehavior.Restrict);
            table.HasOne<Rig>().WithMany().HasForeignKey(s => s.RigId).OnDelete(DeleteBehavior.Restrict);
            table.HasOne<Stage>().WithMany().HasForeignKey(s => s.StageId).OnDelete(DeleteBehavior.Restrict);
            table.HasOne<Meter>().WithMany().HasForeignKey(s => s.MeterId).OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<ReceivedRow>(table =>
        {
            table.ToTable("received_row");
            table.HasKey(r => r.Id);
            table
                .HasIndex(r => new
                {
                    r.DeviceId,
                    r.Boot,
                    r.Sequence,
                })
                .IsUnique()
                .HasFilter("sequence IS NOT NULL");
            table.HasIndex(r => new { r.ChannelId, r.DeviceAt }).IsUnique().HasFilter("sequence IS NULL");
            table.HasIndex(r => new { r.ChannelId, r.At });
            table
                .HasOne<Device>()
                .WithMany()
                .HasForeignKey(r => r.DeviceId)
                .OnDelete(DeleteBehavior.Restrict);
            table
                .HasOne<DeviceChannel>()
                .WithMany()
                .HasForeignKey(r => r.ChannelId)
                .OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<RefusedRow>(table =>
        {
            table.ToTable("refused_row");
            table.HasKey(r => r.Id);
            table.HasIndex(r => new { r.DeviceId, r.Digest }).IsUnique();
            table.HasIndex(r => r.LastAt);
            table
                .HasOne<Device>()
                .WithMany()
                .HasForeignKey(r => r.DeviceId)
                .OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<DerivedEntry>(table =>
        {
            table.ToTable("derived_entry");
            table.HasKey(d => new { d.ChannelId, d.StartsAt });
            table
                .HasOne<DeviceChannel>()
                .WithMany()
                .HasForeignKey(d => d.ChannelId)
                .OnDelete(DeleteBehavior.Restrict);
        });
    }
}
