using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace Rinsewright.Records.Storage.Migrations.Sqlite
{
    /// <inheritdoc />
    public partial class Devices : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.AddColumn<byte[]>(
                name: "organisation_id",
                table: "rig",
                type: "BLOB",
                nullable: true);

            migrationBuilder.CreateTable(
                name: "organisation",
                columns: table => new
                {
                    id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    name = table.Column<string>(type: "TEXT", nullable: false),
                    version = table.Column<int>(type: "INTEGER", nullable: false),
                    edit_number = table.Column<long>(type: "INTEGER", nullable: false),
                    is_deleted = table.Column<bool>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_organisation", x => x.id);
                    table.ForeignKey(
                        name: "FK_organisation_edit_edit_number",
                        column: x => x.edit_number,
                        principalTable: "edit",
                        principalColumn: "number",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "device",
                columns: table => new
                {
                    id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    name = table.Column<string>(type: "TEXT", nullable: false),
                    key_name = table.Column<string>(type: "TEXT", nullable: false),
                    key_digest = table.Column<byte[]>(type: "BLOB", nullable: false),
                    rig_id = table.Column<byte[]>(type: "BLOB", nullable: true),
                    organisation_id = table.Column<byte[]>(type: "BLOB", nullable: true),
                    pulses_per_liter = table.Column<double>(type: "REAL", nullable: true),
                    counter_size = table.Column<long>(type: "INTEGER", nullable: true),
                    pause_s = table.Column<double>(type: "REAL", nullable: false),
                    interval_s = table.Column<double>(type: "REAL", nullable: false),
                    added_at = table.Column<long>(type: "INTEGER", nullable: false),
                    revoked_at = table.Column<long>(type: "INTEGER", nullable: true),
                    last_heard_at = table.Column<long>(type: "INTEGER", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_device", x => x.id);
                    table.ForeignKey(
                        name: "FK_device_organisation_organisation_id",
                        column: x => x.organisation_id,
                        principalTable: "organisation",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_device_rig_rig_id",
                        column: x => x.rig_id,
                        principalTable: "rig",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "device_channel",
                columns: table => new
                {
                    id = table.Column<long>(type: "INTEGER", nullable: false)
                        .Annotation("Sqlite:Autoincrement", true),
                    device_id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    signature = table.Column<string>(type: "TEXT", nullable: false),
                    kind = table.Column<int>(type: "INTEGER", nullable: false),
                    rig_id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    place = table.Column<int>(type: "INTEGER", nullable: false),
                    stage_id = table.Column<byte[]>(type: "BLOB", nullable: true),
                    meter_id = table.Column<byte[]>(type: "BLOB", nullable: true),
                    measurand = table.Column<int>(type: "INTEGER", nullable: true),
                    unit = table.Column<string>(type: "TEXT", nullable: false),
                    dirty_from = table.Column<long>(type: "INTEGER", nullable: true),
                    due_at = table.Column<long>(type: "INTEGER", nullable: true),
                    revision = table.Column<long>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_device_channel", x => x.id);
                    table.ForeignKey(
                        name: "FK_device_channel_device_device_id",
                        column: x => x.device_id,
                        principalTable: "device",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_device_channel_meter_meter_id",
                        column: x => x.meter_id,
                        principalTable: "meter",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_device_channel_rig_rig_id",
                        column: x => x.rig_id,
                        principalTable: "rig",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_device_channel_stage_stage_id",
                        column: x => x.stage_id,
                        principalTable: "stage",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "refused_row",
                columns: table => new
                {
                    id = table.Column<long>(type: "INTEGER", nullable: false)
                        .Annotation("Sqlite:Autoincrement", true),
                    device_id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    digest = table.Column<byte[]>(type: "BLOB", nullable: false),
                    text = table.Column<string>(type: "TEXT", nullable: false),
                    reason = table.Column<string>(type: "TEXT", nullable: false),
                    boot = table.Column<int>(type: "INTEGER", nullable: false),
                    sequence = table.Column<long>(type: "INTEGER", nullable: true),
                    first_at = table.Column<long>(type: "INTEGER", nullable: false),
                    last_at = table.Column<long>(type: "INTEGER", nullable: false),
                    times = table.Column<long>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_refused_row", x => x.id);
                    table.ForeignKey(
                        name: "FK_refused_row_device_device_id",
                        column: x => x.device_id,
                        principalTable: "device",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "derived_entry",
                columns: table => new
                {
                    channel_id = table.Column<long>(type: "INTEGER", nullable: false),
                    starts_at = table.Column<long>(type: "INTEGER", nullable: false),
                    key = table.Column<byte[]>(type: "BLOB", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_derived_entry", x => new { x.channel_id, x.starts_at });
                    table.ForeignKey(
                        name: "FK_derived_entry_device_channel_channel_id",
                        column: x => x.channel_id,
                        principalTable: "device_channel",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "received_row",
                columns: table => new
                {
                    id = table.Column<long>(type: "INTEGER", nullable: false)
                        .Annotation("Sqlite:Autoincrement", true),
                    device_id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    channel_id = table.Column<long>(type: "INTEGER", nullable: false),
                    boot = table.Column<int>(type: "INTEGER", nullable: false),
                    sequence = table.Column<long>(type: "INTEGER", nullable: true),
                    device_at = table.Column<long>(type: "INTEGER", nullable: false),
                    at = table.Column<long>(type: "INTEGER", nullable: false),
                    value = table.Column<double>(type: "REAL", nullable: false),
                    temperature_K = table.Column<double>(type: "REAL", nullable: true),
                    flow_m3_s = table.Column<double>(type: "REAL", nullable: true),
                    received_at = table.Column<long>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_received_row", x => x.id);
                    table.ForeignKey(
                        name: "FK_received_row_device_channel_channel_id",
                        column: x => x.channel_id,
                        principalTable: "device_channel",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_received_row_device_device_id",
                        column: x => x.device_id,
                        principalTable: "device",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateIndex(
                name: "IX_device_key_name",
                table: "device",
                column: "key_name",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_device_name",
                table: "device",
                column: "name",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_device_channel_device_id_signature",
                table: "device_channel",
                columns: new[] { "device_id", "signature" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_device_channel_due_at",
                table: "device_channel",
                column: "due_at");

            migrationBuilder.CreateIndex(
                name: "IX_organisation_edit_number",
                table: "organisation",
                column: "edit_number");

            migrationBuilder.CreateIndex(
                name: "IX_received_row_channel_id_at",
                table: "received_row",
                columns: new[] { "channel_id", "at" });

            migrationBuilder.CreateIndex(
                name: "IX_received_row_channel_id_device_at",
                table: "received_row",
                columns: new[] { "channel_id", "device_at" },
                unique: true,
                filter: "sequence IS NULL");

            migrationBuilder.CreateIndex(
                name: "IX_received_row_device_id_boot_sequence",
                table: "received_row",
                columns: new[] { "device_id", "boot", "sequence" },
                unique: true,
                filter: "sequence IS NOT NULL");

            migrationBuilder.CreateIndex(
                name: "IX_refused_row_device_id_digest",
                table: "refused_row",
                columns: new[] { "device_id", "digest" },
                unique: true);

            migrationBuilder.AddForeignKey(
                name: "FK_rig_organisation_organisation_id",
                table: "rig",
                column: "organisation_id",
                principalTable: "organisation",
                principalColumn: "id",
                onDelete: ReferentialAction.Restrict);
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropForeignKey(
                name: "FK_rig_organisation_organisation_id",
                table: "rig");

            migrationBuilder.DropTable(
                name: "derived_entry");

            migrationBuilder.DropTable(
                name: "received_row");

            migrationBuilder.DropTable(
                name: "refused_row");

            migrationBuilder.DropTable(
                name: "device_channel");

            migrationBuilder.DropTable(
                name: "device");

            migrationBuilder.DropTable(
                name: "organisation");

            migrationBuilder.DropColumn(
                name: "organisation_id",
                table: "rig");
        }
    }
}
