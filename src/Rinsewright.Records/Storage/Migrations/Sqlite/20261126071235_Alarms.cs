using System;
using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace Rinsewright.Records.Storage.Migrations.Sqlite
{
    /// <inheritdoc />
    public partial class Alarms : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.CreateTable(
                name: "alarm",
                columns: table => new
                {
                    id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    organisation_id = table.Column<byte[]>(type: "BLOB", nullable: true),
                    rig_id = table.Column<byte[]>(type: "BLOB", nullable: true),
                    device_id = table.Column<byte[]>(type: "BLOB", nullable: true),
                    kind = table.Column<int>(type: "INTEGER", nullable: false),
                    subject = table.Column<byte[]>(type: "BLOB", nullable: false),
                    is_urgent = table.Column<bool>(type: "INTEGER", nullable: false),
                    seen = table.Column<double>(type: "REAL", nullable: false),
                    limit = table.Column<double>(type: "REAL", nullable: false),
                    unit = table.Column<string>(type: "TEXT", nullable: false),
                    raised_at = table.Column<long>(type: "INTEGER", nullable: false),
                    cleared_at = table.Column<long>(type: "INTEGER", nullable: true),
                    acknowledged_at = table.Column<long>(type: "INTEGER", nullable: true),
                    acknowledged_by = table.Column<string>(type: "TEXT", nullable: true),
                    note = table.Column<string>(type: "TEXT", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_alarm", x => x.id);
                    table.ForeignKey(
                        name: "FK_alarm_device_device_id",
                        column: x => x.device_id,
                        principalTable: "device",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_alarm_organisation_organisation_id",
                        column: x => x.organisation_id,
                        principalTable: "organisation",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_alarm_rig_rig_id",
                        column: x => x.rig_id,
                        principalTable: "rig",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "alarm_destination",
                columns: table => new
                {
                    id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    organisation_id = table.Column<byte[]>(type: "BLOB", nullable: true),
                    name = table.Column<string>(type: "TEXT", nullable: false),
                    route = table.Column<int>(type: "INTEGER", nullable: false),
                    address = table.Column<string>(type: "TEXT", nullable: false),
                    secret = table.Column<byte[]>(type: "BLOB", nullable: true),
                    is_urgent_only = table.Column<bool>(type: "INTEGER", nullable: false),
                    quiet_from = table.Column<TimeOnly>(type: "TEXT", nullable: true),
                    quiet_until = table.Column<TimeOnly>(type: "TEXT", nullable: true),
                    time_zone = table.Column<string>(type: "TEXT", nullable: false),
                    does_urgent_break_through = table.Column<bool>(type: "INTEGER", nullable: false),
                    most_per_hour = table.Column<int>(type: "INTEGER", nullable: false),
                    added_at = table.Column<long>(type: "INTEGER", nullable: false),
                    removed_at = table.Column<long>(type: "INTEGER", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_alarm_destination", x => x.id);
                    table.ForeignKey(
                        name: "FK_alarm_destination_organisation_organisation_id",
                        column: x => x.organisation_id,
                        principalTable: "organisation",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "alarm_rule",
                columns: table => new
                {
                    id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    signature = table.Column<string>(type: "TEXT", nullable: false),
                    organisation_id = table.Column<byte[]>(type: "BLOB", nullable: true),
                    rig_id = table.Column<byte[]>(type: "BLOB", nullable: true),
                    kind = table.Column<int>(type: "INTEGER", nullable: false),
                    limit = table.Column<double>(type: "REAL", nullable: false),
                    is_on = table.Column<bool>(type: "INTEGER", nullable: false),
                    is_urgent = table.Column<bool>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_alarm_rule", x => x.id);
                    table.ForeignKey(
                        name: "FK_alarm_rule_organisation_organisation_id",
                        column: x => x.organisation_id,
                        principalTable: "organisation",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_alarm_rule_rig_rig_id",
                        column: x => x.rig_id,
                        principalTable: "rig",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "alarm_message",
                columns: table => new
                {
                    id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    destination_id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    created_at = table.Column<long>(type: "INTEGER", nullable: false),
                    due_at = table.Column<long>(type: "INTEGER", nullable: false),
                    is_held = table.Column<bool>(type: "INTEGER", nullable: false),
                    revision = table.Column<int>(type: "INTEGER", nullable: false),
                    claimed_until = table.Column<long>(type: "INTEGER", nullable: true),
                    tries = table.Column<int>(type: "INTEGER", nullable: false),
                    last_problem = table.Column<string>(type: "TEXT", nullable: true),
                    sent_at = table.Column<long>(type: "INTEGER", nullable: true),
                    given_up_at = table.Column<long>(type: "INTEGER", nullable: true),
                    link_used_at = table.Column<long>(type: "INTEGER", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_alarm_message", x => x.id);
                    table.ForeignKey(
                        name: "FK_alarm_message_alarm_destination_destination_id",
                        column: x => x.destination_id,
                        principalTable: "alarm_destination",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "alarm_part",
                columns: table => new
                {
                    message_id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    alarm_id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    is_cleared = table.Column<bool>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_alarm_part", x => new { x.message_id, x.alarm_id, x.is_cleared });
                    table.ForeignKey(
                        name: "FK_alarm_part_alarm_alarm_id",
                        column: x => x.alarm_id,
                        principalTable: "alarm",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_alarm_part_alarm_message_message_id",
                        column: x => x.message_id,
                        principalTable: "alarm_message",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateIndex(
                name: "IX_refused_row_last_at",
                table: "refused_row",
                column: "last_at");

            migrationBuilder.CreateIndex(
                name: "IX_alarm_kind_subject",
                table: "alarm",
                columns: new[] { "kind", "subject" },
                unique: true,
                filter: "cleared_at IS NULL");

            migrationBuilder.CreateIndex(
                name: "IX_alarm_raised_at",
                table: "alarm",
                column: "raised_at");

            migrationBuilder.CreateIndex(
                name: "IX_alarm_message_destination_id_due_at",
                table: "alarm_message",
                columns: new[] { "destination_id", "due_at" });

            migrationBuilder.CreateIndex(
                name: "IX_alarm_message_due_at",
                table: "alarm_message",
                column: "due_at",
                filter: "sent_at IS NULL AND given_up_at IS NULL");

            migrationBuilder.CreateIndex(
                name: "IX_alarm_rule_signature",
                table: "alarm_rule",
                column: "signature",
                unique: true);
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropTable(
                name: "alarm_part");

            migrationBuilder.DropTable(
                name: "alarm_rule");

            migrationBuilder.DropTable(
                name: "alarm");

            migrationBuilder.DropTable(
                name: "alarm_message");

            migrationBuilder.DropTable(
                name: "alarm_destination");

            migrationBuilder.DropIndex(
                name: "IX_refused_row_last_at",
                table: "refused_row");
        }
    }
}
