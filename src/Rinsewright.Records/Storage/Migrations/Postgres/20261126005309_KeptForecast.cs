using System;
using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace Rinsewright.Records.Storage.Migrations.Postgres
{
    /// <inheritdoc />
    public partial class KeptForecast : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.CreateTable(
                name: "kept_forecast",
                columns: table => new
                {
                    id = table.Column<Guid>(type: "uuid", nullable: false),
                    rig_id = table.Column<Guid>(type: "uuid", nullable: false),
                    stage_id = table.Column<Guid>(type: "uuid", nullable: false),
                    fill_id = table.Column<Guid>(type: "uuid", nullable: false),
                    at = table.Column<DateTimeOffset>(type: "timestamp with time zone", nullable: false),
                    model = table.Column<string>(type: "text", nullable: false),
                    members = table.Column<int>(type: "integer", nullable: false),
                    seed = table.Column<int>(type: "integer", nullable: false),
                    line = table.Column<string>(type: "text", nullable: false),
                    meter_factor = table.Column<double>(type: "double precision", nullable: false),
                    left_quantiles_m3 = table.Column<double?[]>(type: "double precision[]", nullable: false),
                    days_quantiles_d = table.Column<double?[]>(type: "double precision[]", nullable: false),
                    passed_now = table.Column<double>(type: "double precision", nullable: false),
                    version = table.Column<int>(type: "integer", nullable: false),
                    edit_number = table.Column<long>(type: "bigint", nullable: false),
                    is_deleted = table.Column<bool>(type: "boolean", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_kept_forecast", x => x.id);
                    table.ForeignKey(
                        name: "FK_kept_forecast_edit_edit_number",
                        column: x => x.edit_number,
                        principalTable: "edit",
                        principalColumn: "number",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_kept_forecast_fill_fill_id",
                        column: x => x.fill_id,
                        principalTable: "fill",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_kept_forecast_rig_rig_id",
                        column: x => x.rig_id,
                        principalTable: "rig",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_kept_forecast_stage_stage_id",
                        column: x => x.stage_id,
                        principalTable: "stage",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateIndex(
                name: "IX_kept_forecast_edit_number",
                table: "kept_forecast",
                column: "edit_number");

            migrationBuilder.CreateIndex(
                name: "IX_kept_forecast_rig_id_at",
                table: "kept_forecast",
                columns: new[] { "rig_id", "at" });
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropTable(
                name: "kept_forecast");
        }
    }
}
