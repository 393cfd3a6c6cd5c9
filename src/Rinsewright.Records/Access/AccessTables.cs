using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Access;

/// <summary>Tables of people and keys.</summary>
internal static class AccessTables
{
    public static void Map(ModelBuilder model)
    {
        model.Entity<Account>(table =>
        {
            table.ToTable("account");
            table.HasKey(a => a.Id);
            table.Property(a => a.Id).ValueGeneratedNever();
            table.Property(a => a.SecurityStamp).IsConcurrencyToken();
            table.HasIndex(a => a.NormalizedName).IsUnique();
            table.HasIndex(a => a.InvitationName).IsUnique();
            table.HasIndex(a => a.OrganisationId);
            table
                .HasOne<Organisation>()
                .WithMany()
                .HasForeignKey(a => a.OrganisationId)
                .OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<Passkey>(table =>
        {
            table.ToTable("passkey");
            table.HasKey(p => p.CredentialId);
            table.HasIndex(p => p.AccountId);
            table
                .HasOne<Account>()
                .WithMany()
                .HasForeignKey(p => p.AccountId)
                .OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<ApiKey>(table =>
        {
            table.ToTable("api_key");
            table.HasKey(k => k.Id);
            table.Property(k => k.Id).ValueGeneratedNever();
            table.HasIndex(k => k.KeyName).IsUnique();
            table.HasIndex(k => new { k.OrganisationId, k.Name }).IsUnique();
            table
                .HasOne<Organisation>()
                .WithMany()
                .HasForeignKey(k => k.OrganisationId)
                .OnDelete(DeleteBehavior.Restrict);
        });
        model.Entity<AuditLine>(table =>
        {
            table.ToTable("audit_line");
            table.HasKey(l => l.Id);
            table.HasIndex(l => new { l.OrganisationId, l.Id });
        });
    }
}
