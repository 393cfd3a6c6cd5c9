using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace Rinsewright.Records.Storage.Migrations.Postgres
{
    /// <inheritdoc />
    public partial class KeptAdvice : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.AddColumn<double>(
                name: "change_after_m3",
                table: "kept_forecast",
                type: "double precision",
                nullable: true);

            migrationBuilder.AddColumn<double>(
                name: "cost_now_per_m3",
                table: "kept_forecast",
                type: "double precision",
                nullable: true);

            migrationBuilder.AddColumn<double>(
                name: "cost_then_per_m3",
                table: "kept_forecast",
                type: "double precision",
                nullable: true);

            migrationBuilder.AddColumn<double>(
                name: "fill_cost",
                table: "kept_forecast",
                type: "double precision",
                nullable: true);

            migrationBuilder.AddColumn<double?[]>(
                name: "rotation_cost_shares",
                table: "kept_forecast",
                type: "double precision[]",
                nullable: true);

            migrationBuilder.AddColumn<double>(
                name: "spot_cost_per_m3",
                table: "kept_forecast",
                type: "double precision",
                nullable: true);
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropColumn(
                name: "change_after_m3",
                table: "kept_forecast");

            migrationBuilder.DropColumn(
                name: "cost_now_per_m3",
                table: "kept_forecast");

            migrationBuilder.DropColumn(
                name: "cost_then_per_m3",
                table: "kept_forecast");

            migrationBuilder.DropColumn(
                name: "fill_cost",
                table: "kept_forecast");

            migrationBuilder.DropColumn(
                name: "rotation_cost_shares",
                table: "kept_forecast");

            migrationBuilder.DropColumn(
                name: "spot_cost_per_m3",
                table: "kept_forecast");
        }
    }
}
