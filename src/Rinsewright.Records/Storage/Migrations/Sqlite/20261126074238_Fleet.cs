using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace Rinsewright.Records.Storage.Migrations.Sqlite
{
    /// <inheritdoc />
    public partial class Fleet : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.AddColumn<string>(
                name: "site",
                table: "rig",
                type: "TEXT",
                nullable: true);

            migrationBuilder.AddColumn<string>(
                name: "van",
                table: "rig",
                type: "TEXT",
                nullable: true);

            migrationBuilder.CreateTable(
                name: "fleet_mark",
                columns: table => new
                {
                    id = table.Column<int>(type: "INTEGER", nullable: false),
                    edit = table.Column<long>(type: "INTEGER", nullable: false),
                    made_at = table.Column<long>(type: "INTEGER", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_fleet_mark", x => x.id);
                });

            migrationBuilder.CreateTable(
                name: "fleet_rig",
                columns: table => new
                {
                    rig_id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    organisation_id = table.Column<byte[]>(type: "BLOB", nullable: true),
                    name = table.Column<string>(type: "TEXT", nullable: false),
                    site = table.Column<string>(type: "TEXT", nullable: true),
                    van = table.Column<string>(type: "TEXT", nullable: true),
                    time_zone = table.Column<string>(type: "TEXT", nullable: false),
                    sought = table.Column<string>(type: "TEXT", nullable: false),
                    urgency = table.Column<int>(type: "INTEGER", nullable: false),
                    reasons = table.Column<int>(type: "INTEGER", nullable: false),
                    rank_at = table.Column<long>(type: "INTEGER", nullable: false),
                    changes_at = table.Column<long>(type: "INTEGER", nullable: true),
                    due_stage_id = table.Column<byte[]>(type: "BLOB", nullable: true),
                    due_stage = table.Column<string>(type: "TEXT", nullable: true),
                    due_at = table.Column<long>(type: "INTEGER", nullable: true),
                    due_from = table.Column<long>(type: "INTEGER", nullable: true),
                    due_to = table.Column<long>(type: "INTEGER", nullable: true),
                    past_at = table.Column<long>(type: "INTEGER", nullable: true),
                    forecast_at = table.Column<long>(type: "INTEGER", nullable: true),
                    read_at = table.Column<long>(type: "INTEGER", nullable: true),
                    read_written = table.Column<string>(type: "TEXT", nullable: true),
                    heard_at = table.Column<long>(type: "INTEGER", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_fleet_rig", x => x.rig_id);
                    table.ForeignKey(
                        name: "FK_fleet_rig_rig_rig_id",
                        column: x => x.rig_id,
                        principalTable: "rig",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "kept_wear",
                columns: table => new
                {
                    id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    rig_id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    stage_id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    fill_id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    at = table.Column<long>(type: "INTEGER", nullable: false),
                    seed = table.Column<int>(type: "INTEGER", nullable: false),
                    ended_by = table.Column<string>(type: "TEXT", nullable: false),
                    days_quantiles_d = table.Column<string>(type: "TEXT", nullable: false),
                    service_until = table.Column<long>(type: "INTEGER", nullable: false),
                    version = table.Column<int>(type: "INTEGER", nullable: false),
                    edit_number = table.Column<long>(type: "INTEGER", nullable: false),
                    is_deleted = table.Column<bool>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_kept_wear", x => x.id);
                    table.ForeignKey(
                        name: "FK_kept_wear_edit_edit_number",
                        column: x => x.edit_number,
                        principalTable: "edit",
                        principalColumn: "number",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_kept_wear_fill_fill_id",
                        column: x => x.fill_id,
                        principalTable: "fill",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_kept_wear_rig_rig_id",
                        column: x => x.rig_id,
                        principalTable: "rig",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_kept_wear_stage_stage_id",
                        column: x => x.stage_id,
                        principalTable: "stage",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "fleet_stage",
                columns: table => new
                {
                    stage_id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    rig_id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    organisation_id = table.Column<byte[]>(type: "BLOB", nullable: true),
                    name = table.Column<string>(type: "TEXT", nullable: false),
                    kind = table.Column<int>(type: "INTEGER", nullable: false),
                    medium = table.Column<string>(type: "TEXT", nullable: false),
                    volume_m3 = table.Column<double>(type: "REAL", nullable: true),
                    forecast_at = table.Column<long>(type: "INTEGER", nullable: true),
                    days_quantiles_d = table.Column<string>(type: "TEXT", nullable: true),
                    service_until = table.Column<long>(type: "INTEGER", nullable: true),
                    due_at = table.Column<long>(type: "INTEGER", nullable: true),
                    may_be_due_at = table.Column<long>(type: "INTEGER", nullable: true),
                    past_at = table.Column<long>(type: "INTEGER", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_fleet_stage", x => x.stage_id);
                    table.ForeignKey(
                        name: "FK_fleet_stage_fleet_rig_rig_id",
                        column: x => x.rig_id,
                        principalTable: "fleet_rig",
                        principalColumn: "rig_id",
                        onDelete: ReferentialAction.Cascade);
                });

            migrationBuilder.CreateIndex(
                name: "IX_fleet_rig_changes_at",
                table: "fleet_rig",
                column: "changes_at");

            migrationBuilder.CreateIndex(
                name: "IX_fleet_rig_organisation_id_urgency_rank_at_rig_id",
                table: "fleet_rig",
                columns: new[] { "organisation_id", "urgency", "rank_at", "rig_id" });

            migrationBuilder.CreateIndex(
                name: "IX_fleet_rig_urgency_rank_at_rig_id",
                table: "fleet_rig",
                columns: new[] { "urgency", "rank_at", "rig_id" });

            migrationBuilder.CreateIndex(
                name: "IX_fleet_stage_may_be_due_at",
                table: "fleet_stage",
                column: "may_be_due_at");

            migrationBuilder.CreateIndex(
                name: "IX_fleet_stage_rig_id",
                table: "fleet_stage",
                column: "rig_id");

            migrationBuilder.CreateIndex(
                name: "IX_kept_wear_edit_number",
                table: "kept_wear",
                column: "edit_number");

            migrationBuilder.CreateIndex(
                name: "IX_kept_wear_fill_id",
                table: "kept_wear",
                column: "fill_id");

            // SQLite uses a partial index only where a query says its condition in the same words.
            migrationBuilder.Sql("DROP INDEX \"IX_reading_natural\"");
            migrationBuilder.Sql(
                """
                CREATE UNIQUE INDEX "IX_reading_natural" ON "reading"
                ("rig_id", "at", "measurand", "place", ifnull("stage_id", x''), ifnull("meter_id", x''))
                WHERE NOT ("is_deleted")
                """
            );
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropTable(
                name: "fleet_mark");

            migrationBuilder.DropTable(
                name: "fleet_stage");

            migrationBuilder.DropTable(
                name: "kept_wear");

            migrationBuilder.DropTable(
                name: "fleet_rig");

            migrationBuilder.DropColumn(
                name: "site",
                table: "rig");

            migrationBuilder.DropColumn(
                name: "van",
                table: "rig");
        }
    }
}
