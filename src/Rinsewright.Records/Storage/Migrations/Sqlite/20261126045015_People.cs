using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace Rinsewright.Records.Storage.Migrations.Sqlite
{
    /// <inheritdoc />
    public partial class People : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.AddColumn<byte[]>(
                name: "organisation_id",
                table: "wash_task",
                type: "BLOB",
                nullable: true);

            migrationBuilder.AddColumn<byte[]>(
                name: "organisation_id",
                table: "source",
                type: "BLOB",
                nullable: true);

            migrationBuilder.AddColumn<byte[]>(
                name: "organisation_id",
                table: "purchase",
                type: "BLOB",
                nullable: true);

            migrationBuilder.AddColumn<byte[]>(
                name: "organisation_id",
                table: "price",
                type: "BLOB",
                nullable: true);

            migrationBuilder.AddColumn<byte[]>(
                name: "organisation_id",
                table: "photograph_content",
                type: "BLOB",
                nullable: true);

            migrationBuilder.AddColumn<byte[]>(
                name: "organisation_id",
                table: "photograph",
                type: "BLOB",
                nullable: true);

            migrationBuilder.AddColumn<byte[]>(
                name: "organisation_id",
                table: "person",
                type: "BLOB",
                nullable: true);

            migrationBuilder.AddColumn<byte[]>(
                name: "organisation_id",
                table: "note",
                type: "BLOB",
                nullable: true);

            migrationBuilder.AddColumn<byte[]>(
                name: "organisation_id",
                table: "meter",
                type: "BLOB",
                nullable: true);

            migrationBuilder.AddColumn<byte[]>(
                name: "organisation_id",
                table: "edit",
                type: "BLOB",
                nullable: true);

            migrationBuilder.CreateTable(
                name: "account",
                columns: table => new
                {
                    id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    name = table.Column<string>(type: "TEXT", nullable: false),
                    normalized_name = table.Column<string>(type: "TEXT", nullable: false),
                    organisation_id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    right = table.Column<int>(type: "INTEGER", nullable: false),
                    password_hash = table.Column<string>(type: "TEXT", nullable: true),
                    security_stamp = table.Column<string>(type: "TEXT", nullable: false),
                    failed_tries = table.Column<int>(type: "INTEGER", nullable: false),
                    locked_until = table.Column<long>(type: "INTEGER", nullable: true),
                    invitation_name = table.Column<string>(type: "TEXT", nullable: true),
                    invitation_digest = table.Column<byte[]>(type: "BLOB", nullable: true),
                    invited_until = table.Column<long>(type: "INTEGER", nullable: true),
                    added_at = table.Column<long>(type: "INTEGER", nullable: false),
                    last_seen_at = table.Column<long>(type: "INTEGER", nullable: true),
                    removed_at = table.Column<long>(type: "INTEGER", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_account", x => x.id);
                    table.ForeignKey(
                        name: "FK_account_organisation_organisation_id",
                        column: x => x.organisation_id,
                        principalTable: "organisation",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "api_key",
                columns: table => new
                {
                    id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    name = table.Column<string>(type: "TEXT", nullable: false),
                    key_name = table.Column<string>(type: "TEXT", nullable: false),
                    key_digest = table.Column<byte[]>(type: "BLOB", nullable: false),
                    organisation_id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    right = table.Column<int>(type: "INTEGER", nullable: false),
                    added_by = table.Column<string>(type: "TEXT", nullable: false),
                    added_at = table.Column<long>(type: "INTEGER", nullable: false),
                    last_used_at = table.Column<long>(type: "INTEGER", nullable: true),
                    revoked_at = table.Column<long>(type: "INTEGER", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_api_key", x => x.id);
                    table.ForeignKey(
                        name: "FK_api_key_organisation_organisation_id",
                        column: x => x.organisation_id,
                        principalTable: "organisation",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "audit_line",
                columns: table => new
                {
                    id = table.Column<long>(type: "INTEGER", nullable: false)
                        .Annotation("Sqlite:Autoincrement", true),
                    at = table.Column<long>(type: "INTEGER", nullable: false),
                    organisation_id = table.Column<byte[]>(type: "BLOB", nullable: true),
                    who = table.Column<string>(type: "TEXT", nullable: false),
                    what = table.Column<string>(type: "TEXT", nullable: false),
                    address = table.Column<string>(type: "TEXT", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_audit_line", x => x.id);
                });

            migrationBuilder.CreateTable(
                name: "passkey",
                columns: table => new
                {
                    credential_id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    account_id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    name = table.Column<string>(type: "TEXT", nullable: false),
                    public_key = table.Column<byte[]>(type: "BLOB", nullable: false),
                    added_at = table.Column<long>(type: "INTEGER", nullable: false),
                    sign_count = table.Column<long>(type: "INTEGER", nullable: false),
                    transports = table.Column<string>(type: "TEXT", nullable: false),
                    is_user_verified = table.Column<bool>(type: "INTEGER", nullable: false),
                    is_backup_eligible = table.Column<bool>(type: "INTEGER", nullable: false),
                    is_backed_up = table.Column<bool>(type: "INTEGER", nullable: false),
                    attestation_object = table.Column<byte[]>(type: "BLOB", nullable: false),
                    client_data = table.Column<byte[]>(type: "BLOB", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_passkey", x => x.credential_id);
                    table.ForeignKey(
                        name: "FK_passkey_account_account_id",
                        column: x => x.account_id,
                        principalTable: "account",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateIndex(
                name: "IX_rig_organisation_id",
                table: "rig",
                column: "organisation_id");

            migrationBuilder.CreateIndex(
                name: "IX_account_invitation_name",
                table: "account",
                column: "invitation_name",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_account_normalized_name",
                table: "account",
                column: "normalized_name",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_account_organisation_id",
                table: "account",
                column: "organisation_id");

            migrationBuilder.CreateIndex(
                name: "IX_api_key_key_name",
                table: "api_key",
                column: "key_name",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_api_key_organisation_id_name",
                table: "api_key",
                columns: new[] { "organisation_id", "name" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_audit_line_organisation_id_id",
                table: "audit_line",
                columns: new[] { "organisation_id", "id" });

            migrationBuilder.CreateIndex(
                name: "IX_passkey_account_id",
                table: "passkey",
                column: "account_id");

            migrationBuilder.AddForeignKey(
                name: "FK_meter_organisation_organisation_id",
                table: "meter",
                column: "organisation_id",
                principalTable: "organisation",
                principalColumn: "id",
                onDelete: ReferentialAction.Restrict);

            migrationBuilder.AddForeignKey(
                name: "FK_note_organisation_organisation_id",
                table: "note",
                column: "organisation_id",
                principalTable: "organisation",
                principalColumn: "id",
                onDelete: ReferentialAction.Restrict);

            migrationBuilder.AddForeignKey(
                name: "FK_person_organisation_organisation_id",
                table: "person",
                column: "organisation_id",
                principalTable: "organisation",
                principalColumn: "id",
                onDelete: ReferentialAction.Restrict);

            migrationBuilder.AddForeignKey(
                name: "FK_photograph_organisation_organisation_id",
                table: "photograph",
                column: "organisation_id",
                principalTable: "organisation",
                principalColumn: "id",
                onDelete: ReferentialAction.Restrict);

            migrationBuilder.AddForeignKey(
                name: "FK_photograph_content_organisation_organisation_id",
                table: "photograph_content",
                column: "organisation_id",
                principalTable: "organisation",
                principalColumn: "id",
                onDelete: ReferentialAction.Restrict);

            migrationBuilder.AddForeignKey(
                name: "FK_price_organisation_organisation_id",
                table: "price",
                column: "organisation_id",
                principalTable: "organisation",
                principalColumn: "id",
                onDelete: ReferentialAction.Restrict);

            migrationBuilder.AddForeignKey(
                name: "FK_purchase_organisation_organisation_id",
                table: "purchase",
                column: "organisation_id",
                principalTable: "organisation",
                principalColumn: "id",
                onDelete: ReferentialAction.Restrict);

            migrationBuilder.AddForeignKey(
                name: "FK_source_organisation_organisation_id",
                table: "source",
                column: "organisation_id",
                principalTable: "organisation",
                principalColumn: "id",
                onDelete: ReferentialAction.Restrict);

            migrationBuilder.AddForeignKey(
                name: "FK_wash_task_organisation_organisation_id",
                table: "wash_task",
                column: "organisation_id",
                principalTable: "organisation",
                principalColumn: "id",
                onDelete: ReferentialAction.Restrict);
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropForeignKey(
                name: "FK_meter_organisation_organisation_id",
                table: "meter");

            migrationBuilder.DropForeignKey(
                name: "FK_note_organisation_organisation_id",
                table: "note");

            migrationBuilder.DropForeignKey(
                name: "FK_person_organisation_organisation_id",
                table: "person");

            migrationBuilder.DropForeignKey(
                name: "FK_photograph_organisation_organisation_id",
                table: "photograph");

            migrationBuilder.DropForeignKey(
                name: "FK_photograph_content_organisation_organisation_id",
                table: "photograph_content");

            migrationBuilder.DropForeignKey(
                name: "FK_price_organisation_organisation_id",
                table: "price");

            migrationBuilder.DropForeignKey(
                name: "FK_purchase_organisation_organisation_id",
                table: "purchase");

            migrationBuilder.DropForeignKey(
                name: "FK_source_organisation_organisation_id",
                table: "source");

            migrationBuilder.DropForeignKey(
                name: "FK_wash_task_organisation_organisation_id",
                table: "wash_task");

            migrationBuilder.DropTable(
                name: "api_key");

            migrationBuilder.DropTable(
                name: "audit_line");

            migrationBuilder.DropTable(
                name: "passkey");

            migrationBuilder.DropTable(
                name: "account");

            migrationBuilder.DropIndex(
                name: "IX_rig_organisation_id",
                table: "rig");

            migrationBuilder.DropColumn(
                name: "organisation_id",
                table: "wash_task");

            migrationBuilder.DropColumn(
                name: "organisation_id",
                table: "source");

            migrationBuilder.DropColumn(
                name: "organisation_id",
                table: "purchase");

            migrationBuilder.DropColumn(
                name: "organisation_id",
                table: "price");

            migrationBuilder.DropColumn(
                name: "organisation_id",
                table: "photograph_content");

            migrationBuilder.DropColumn(
                name: "organisation_id",
                table: "photograph");

            migrationBuilder.DropColumn(
                name: "organisation_id",
                table: "person");

            migrationBuilder.DropColumn(
                name: "organisation_id",
                table: "note");

            migrationBuilder.DropColumn(
                name: "organisation_id",
                table: "meter");

            migrationBuilder.DropColumn(
                name: "organisation_id",
                table: "edit");
        }
    }
}
