using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace Rinsewright.Records.Storage.Migrations.Sqlite
{
    /// <inheritdoc />
    public partial class RigFile : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.AddColumn<string>(
                name: "rig_file",
                table: "rig",
                type: "TEXT",
                nullable: true);
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropColumn(
                name: "rig_file",
                table: "rig");
        }
    }
}
