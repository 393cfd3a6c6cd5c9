using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Alarms;

/// <summary>Tables of alarms and of the messages that tell of them.</summary>
internal static class AlarmTables
{
    public static void Map(ModelBuilder model)
    {
        model.Entity<Alarm>(table =>
        {
            table.ToTable("alarm");
            table.HasKey(a => a.Id);
            table.Property(a => a.Id).ValueGeneratedNever();
            table.HasIndex(a => new { a.Kind, a.Subject }).IsUnique().HasFilter("cleared_at IS NULL");
            table.HasIndex(a => a.RaisedAt);
            table.HasOne<Rig>().WithMany().HasForeignKey(a => a.RigId).OnDelete(DeleteBehavior.Restrict);
            table
                .HasOne<Device>()
                .WithMany()
                .HasForeignKey(a => a.DeviceId)
                .OnDelete(DeleteBehavior.Restrict);
            table
                .HasOne<Organisation>()
                .WithMany()
                .HasForeignKey(a => a.OrganisationId)
                .OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<AlarmRule>(table =>
        {
            table.ToTable("alarm_rule");
            table.HasKey(r => r.Id);
            table.Property(r => r.Id).ValueGeneratedNever();
            table.HasIndex(r => r.Signature).IsUnique();
            table.HasOne<Rig>().WithMany().HasForeignKey(r => r.RigId).OnDelete(DeleteBehavior.Restrict);
            table
                .HasOne<Organisation>()
                .WithMany()
                .HasForeignKey(r => r.OrganisationId)
                .OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<AlarmDestination>(table =>
        {
            table.ToTable("alarm_destination");
            table.HasKey(d => d.Id);
            table.Property(d => d.Id).ValueGeneratedNever();
            table.Ignore(d => d.Quiet);
            table
                .HasOne<Organisation>()
                .WithMany()
                .HasForeignKey(d => d.OrganisationId)
                .OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<AlarmMessage>(table =>
        {
            table.ToTable("alarm_message");
            table.HasKey(m => m.Id);
            table.Property(m => m.Id).ValueGeneratedNever();
            table.Property(m => m.Revision).IsConcurrencyToken();
            table.HasIndex(m => new { m.DestinationId, m.DueAt });
            table.HasIndex(m => m.DueAt).HasFilter("sent_at IS NULL AND given_up_at IS NULL");
            table
                .HasOne<AlarmDestination>()
                .WithMany()
                .HasForeignKey(m => m.DestinationId)
                .OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<AlarmPart>(table =>
        {
            table.ToTable("alarm_part");
            table.HasKey(p => new
            {
                p.MessageId,
                p.AlarmId,
                p.IsCleared,
            });
            table.HasOne<Alarm>().WithMany().HasForeignKey(p => p.AlarmId).OnDelete(DeleteBehavior.Restrict);
            table
                .HasOne<AlarmMessage>()
                .WithMany()
                .HasForeignKey(p => p.MessageId)
                .OnDelete(DeleteBehavior.Restrict);
        });
    }
}
