using System;
using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace Rinsewright.Records.Storage.Migrations.Postgres
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
                    id = table.Column<Guid>(type: "uuid", nullable: false),
                    organisation_id = table.Column<Guid>(type: "uuid", nullable: true),
                    rig_id = table.Column<Guid>(type: "uuid", nullable: true),
                    device_id = table.Column<Guid>(type: "uuid", nullable: true),
                    kind = table.Column<int>(type: "integer", nullable: false),
                    subject = table.Column<Guid>(type: "uuid", nullable: false),
                    is_urgent = table.Column<bool>(type: "boolean", nullable: false),
                    seen = table.Column<double>(type: "double precision", nullable: false),
                    limit = table.Column<double>(type: "double precision", nullable: false),
                    unit = table.Column<string>(type: "text", nullable: false),
                    raised_at = table.Column<DateTimeOffset>(type: "timestamp with time zone", nullable: false),
                    cleared_at = table.Column<DateTimeOffset>(type: "timestamp with time zone", nullable: true),
                    acknowledged_at = table.Column<DateTimeOffset>(type: "timestamp with time zone", nullable: true),
                    acknowledged_by = table.Column<string>(type: "text", nullable: true),
                    note = table.Column<string>(type: "text", nullable: true)
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
                    id = table.Column<Guid>(type: "uuid", nullable: false),
                    organisation_id = table.Column<Guid>(type: "uuid", nullable: true),
                    name = table.Column<string>(type: "text", nullable: false),
                    route = table.Column<int>(type: "integer", nullable: false),
                    address = table.Column<string>(type: "text", nullable: false),
                    secret = table.Column<byte[]>(type: "bytea", nullable: true),
                    is_urgent_only = table.Column<bool>(type: "boolean", nullable: false),
                    quiet_from = table.Column<TimeOnly>(type: "time without time zone", nullable: true),
                    quiet_until = table.Column<TimeOnly>(type: "time without time zone", nullable: true),
                    time_zone = table.Column<string>(type: "text", nullable: false),
                    does_urgent_break_through = table.Column<bool>(type: "boolean", nullable: false),
                    most_per_hour = table.Column<int>(type: "integer", nullable: false),
                    added_at = table.Column<DateTimeOffset>(type: "timestamp with time zone", nullable: false),
                    removed_at = table.Column<DateTimeOffset>(type: "timestamp with time zone", nullable: true)
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
                    id = table.Column<Guid>(type: "uuid", nullable: false),
                    signature = table.Column<string>(type: "text", nullable: false),
                    organisation_id = table.Column<Guid>(type: "uuid", nullable: true),
                    rig_id = table.Column<Guid>(type: "uuid", nullable: true),
                    kind = table.Column<int>(type: "integer", nullable: false),
                    limit = table.Column<double>(type: "double precision", nullable: false),
                    is_on = table.Column<bool>(type: "boolean", nullable: false),
                    is_urgent = table.Column<bool>(type: "boolean", nullable: false)
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
                    id = table.Column<Guid>(type: "uuid", nullable: false),
                    destination_id = table.Column<Guid>(type: "uuid", nullable: false),
                    created_at = table.Column<DateTimeOffset>(type: "timestamp with time zone", nullable: false),
                    due_at = table.Column<DateTimeOffset>(type: "timestamp with time zone", nullable: false),
                    is_held = table.Column<bool>(type: "boolean", nullable: false),
                    revision = table.Column<int>(type: "integer", nullable: false),
                    claimed_until = table.Column<DateTimeOffset>(type: "timestamp with time zone", nullable: true),
                    tries = table.Column<int>(type: "integer", nullable: false),
                    last_problem = table.Column<string>(type: "text", nullable: true),
                    sent_at = table.Column<DateTimeOffset>(type: "timestamp with time zone", nullable: true),
                    given_up_at = table.Column<DateTimeOffset>(type: "timestamp with time zone", nullable: true),
                    link_used_at = table.Column<DateTimeOffset>(type: "timestamp with time zone", nullable: true)
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
                    message_id = table.Column<Guid>(type: "uuid", nullable: false),
                    alarm_id = table.Column<Guid>(type: "uuid", nullable: false),
                    is_cleared = table.Column<bool>(type: "boolean", nullable: false)
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
