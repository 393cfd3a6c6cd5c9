using System;
using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace Rinsewright.Records.Storage.Migrations.Sqlite
{
    /// <inheritdoc />
    public partial class FirstSchema : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.CreateTable(
                name: "edit",
                columns: table => new
                {
                    number = table.Column<long>(type: "INTEGER", nullable: false)
                        .Annotation("Sqlite:Autoincrement", true),
                    at = table.Column<long>(type: "INTEGER", nullable: false),
                    author = table.Column<string>(type: "TEXT", nullable: false),
                    reason = table.Column<string>(type: "TEXT", nullable: false),
                    idempotency_key = table.Column<byte[]>(type: "BLOB", nullable: false),
                    undoes = table.Column<long>(type: "INTEGER", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_edit", x => x.number);
                    table.ForeignKey(
                        name: "FK_edit_edit_undoes",
                        column: x => x.undoes,
                        principalTable: "edit",
                        principalColumn: "number",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "entry_history",
                columns: table => new
                {
                    kind = table.Column<string>(type: "TEXT", nullable: false),
                    key = table.Column<byte[]>(type: "BLOB", nullable: false),
                    version = table.Column<int>(type: "INTEGER", nullable: false),
                    edit_number = table.Column<long>(type: "INTEGER", nullable: false),
                    payload = table.Column<string>(type: "TEXT", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_entry_history", x => new { x.kind, x.key, x.version });
                    table.ForeignKey(
                        name: "FK_entry_history_edit_edit_number",
                        column: x => x.edit_number,
                        principalTable: "edit",
                        principalColumn: "number",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "meter",
                columns: table => new
                {
                    id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    name = table.Column<string>(type: "TEXT", nullable: false),
                    measurand = table.Column<int>(type: "INTEGER", nullable: false),
                    tds_factor_kg_m3_per_S_m = table.Column<double>(type: "REAL", nullable: true),
                    compensation_per_K = table.Column<double>(type: "REAL", nullable: true),
                    resolution_SI = table.Column<double>(type: "REAL", nullable: true),
                    version = table.Column<int>(type: "INTEGER", nullable: false),
                    edit_number = table.Column<long>(type: "INTEGER", nullable: false),
                    is_deleted = table.Column<bool>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_meter", x => x.id);
                    table.ForeignKey(
                        name: "FK_meter_edit_edit_number",
                        column: x => x.edit_number,
                        principalTable: "edit",
                        principalColumn: "number",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "person",
                columns: table => new
                {
                    id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    name = table.Column<string>(type: "TEXT", nullable: false),
                    units = table.Column<int>(type: "INTEGER", nullable: false),
                    version = table.Column<int>(type: "INTEGER", nullable: false),
                    edit_number = table.Column<long>(type: "INTEGER", nullable: false),
                    is_deleted = table.Column<bool>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_person", x => x.id);
                    table.ForeignKey(
                        name: "FK_person_edit_edit_number",
                        column: x => x.edit_number,
                        principalTable: "edit",
                        principalColumn: "number",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "photograph_content",
                columns: table => new
                {
                    id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    media_type = table.Column<string>(type: "TEXT", nullable: false),
                    content = table.Column<byte[]>(type: "BLOB", nullable: false),
                    version = table.Column<int>(type: "INTEGER", nullable: false),
                    edit_number = table.Column<long>(type: "INTEGER", nullable: false),
                    is_deleted = table.Column<bool>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_photograph_content", x => x.id);
                    table.ForeignKey(
                        name: "FK_photograph_content_edit_edit_number",
                        column: x => x.edit_number,
                        principalTable: "edit",
                        principalColumn: "number",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "price",
                columns: table => new
                {
                    id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    kind = table.Column<int>(type: "INTEGER", nullable: false),
                    what = table.Column<string>(type: "TEXT", nullable: false),
                    amount = table.Column<decimal>(type: "TEXT", nullable: false),
                    currency = table.Column<string>(type: "TEXT", nullable: false),
                    basis = table.Column<int>(type: "INTEGER", nullable: false),
                    from = table.Column<DateOnly>(type: "TEXT", nullable: false),
                    version = table.Column<int>(type: "INTEGER", nullable: false),
                    edit_number = table.Column<long>(type: "INTEGER", nullable: false),
                    is_deleted = table.Column<bool>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_price", x => x.id);
                    table.ForeignKey(
                        name: "FK_price_edit_edit_number",
                        column: x => x.edit_number,
                        principalTable: "edit",
                        principalColumn: "number",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "source",
                columns: table => new
                {
                    id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    name = table.Column<string>(type: "TEXT", nullable: false),
                    place = table.Column<string>(type: "TEXT", nullable: true),
                    version = table.Column<int>(type: "INTEGER", nullable: false),
                    edit_number = table.Column<long>(type: "INTEGER", nullable: false),
                    is_deleted = table.Column<bool>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_source", x => x.id);
                    table.ForeignKey(
                        name: "FK_source_edit_edit_number",
                        column: x => x.edit_number,
                        principalTable: "edit",
                        principalColumn: "number",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "wash_task",
                columns: table => new
                {
                    id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    name = table.Column<string>(type: "TEXT", nullable: false),
                    volume_m3 = table.Column<double>(type: "REAL", nullable: false),
                    volume_written = table.Column<string>(type: "TEXT", nullable: true),
                    flow_m3_s = table.Column<double>(type: "REAL", nullable: true),
                    version = table.Column<int>(type: "INTEGER", nullable: false),
                    edit_number = table.Column<long>(type: "INTEGER", nullable: false),
                    is_deleted = table.Column<bool>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_wash_task", x => x.id);
                    table.ForeignKey(
                        name: "FK_wash_task_edit_edit_number",
                        column: x => x.edit_number,
                        principalTable: "edit",
                        principalColumn: "number",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "bench_check",
                columns: table => new
                {
                    id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    meter_id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    at = table.Column<long>(type: "INTEGER", nullable: false),
                    solution = table.Column<string>(type: "TEXT", nullable: false),
                    reference_SI = table.Column<double>(type: "REAL", nullable: false),
                    reference_uncertainty_SI = table.Column<double>(type: "REAL", nullable: true),
                    shown_SI = table.Column<double>(type: "REAL", nullable: false),
                    shown_written = table.Column<string>(type: "TEXT", nullable: false),
                    unit = table.Column<string>(type: "TEXT", nullable: false),
                    temperature_K = table.Column<double>(type: "REAL", nullable: true),
                    version = table.Column<int>(type: "INTEGER", nullable: false),
                    edit_number = table.Column<long>(type: "INTEGER", nullable: false),
                    is_deleted = table.Column<bool>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_bench_check", x => x.id);
                    table.ForeignKey(
                        name: "FK_bench_check_edit_edit_number",
                        column: x => x.edit_number,
                        principalTable: "edit",
                        principalColumn: "number",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_bench_check_meter_meter_id",
                        column: x => x.meter_id,
                        principalTable: "meter",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "rig",
                columns: table => new
                {
                    id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    name = table.Column<string>(type: "TEXT", nullable: false),
                    source_id = table.Column<byte[]>(type: "BLOB", nullable: true),
                    time_zone = table.Column<string>(type: "TEXT", nullable: false),
                    version = table.Column<int>(type: "INTEGER", nullable: false),
                    edit_number = table.Column<long>(type: "INTEGER", nullable: false),
                    is_deleted = table.Column<bool>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_rig", x => x.id);
                    table.ForeignKey(
                        name: "FK_rig_edit_edit_number",
                        column: x => x.edit_number,
                        principalTable: "edit",
                        principalColumn: "number",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_rig_source_source_id",
                        column: x => x.source_id,
                        principalTable: "source",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "season",
                columns: table => new
                {
                    id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    source_id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    name = table.Column<string>(type: "TEXT", nullable: false),
                    start_month = table.Column<int>(type: "INTEGER", nullable: false),
                    start_day = table.Column<int>(type: "INTEGER", nullable: false),
                    water_file = table.Column<string>(type: "TEXT", nullable: true),
                    specific_conductance_S_m = table.Column<double>(type: "REAL", nullable: true),
                    version = table.Column<int>(type: "INTEGER", nullable: false),
                    edit_number = table.Column<long>(type: "INTEGER", nullable: false),
                    is_deleted = table.Column<bool>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_season", x => x.id);
                    table.ForeignKey(
                        name: "FK_season_edit_edit_number",
                        column: x => x.edit_number,
                        principalTable: "edit",
                        principalColumn: "number",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_season_source_source_id",
                        column: x => x.source_id,
                        principalTable: "source",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "purchase",
                columns: table => new
                {
                    id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    at = table.Column<long>(type: "INTEGER", nullable: false),
                    kind = table.Column<int>(type: "INTEGER", nullable: false),
                    what = table.Column<string>(type: "TEXT", nullable: false),
                    count = table.Column<int>(type: "INTEGER", nullable: false),
                    volume_m3 = table.Column<double>(type: "REAL", nullable: true),
                    volume_written = table.Column<string>(type: "TEXT", nullable: true),
                    amount = table.Column<decimal>(type: "TEXT", nullable: false),
                    currency = table.Column<string>(type: "TEXT", nullable: false),
                    batch = table.Column<string>(type: "TEXT", nullable: true),
                    keeps_until = table.Column<DateOnly>(type: "TEXT", nullable: true),
                    rig_id = table.Column<byte[]>(type: "BLOB", nullable: true),
                    version = table.Column<int>(type: "INTEGER", nullable: false),
                    edit_number = table.Column<long>(type: "INTEGER", nullable: false),
                    is_deleted = table.Column<bool>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_purchase", x => x.id);
                    table.ForeignKey(
                        name: "FK_purchase_edit_edit_number",
                        column: x => x.edit_number,
                        principalTable: "edit",
                        principalColumn: "number",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_purchase_rig_rig_id",
                        column: x => x.rig_id,
                        principalTable: "rig",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "stage",
                columns: table => new
                {
                    id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    rig_id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    name = table.Column<string>(type: "TEXT", nullable: false),
                    position = table.Column<int>(type: "INTEGER", nullable: false),
                    kind = table.Column<int>(type: "INTEGER", nullable: false),
                    volume_m3 = table.Column<double>(type: "REAL", nullable: true),
                    volume_written = table.Column<string>(type: "TEXT", nullable: true),
                    rated_pressure_Pa = table.Column<double>(type: "REAL", nullable: true),
                    rated_temperature_K = table.Column<double>(type: "REAL", nullable: true),
                    change_out_line_S_m = table.Column<double>(type: "REAL", nullable: true),
                    version = table.Column<int>(type: "INTEGER", nullable: false),
                    edit_number = table.Column<long>(type: "INTEGER", nullable: false),
                    is_deleted = table.Column<bool>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_stage", x => x.id);
                    table.ForeignKey(
                        name: "FK_stage_edit_edit_number",
                        column: x => x.edit_number,
                        principalTable: "edit",
                        principalColumn: "number",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_stage_rig_rig_id",
                        column: x => x.rig_id,
                        principalTable: "rig",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "draw",
                columns: table => new
                {
                    id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    rig_id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    stage_id = table.Column<byte[]>(type: "BLOB", nullable: true),
                    wash_task_id = table.Column<byte[]>(type: "BLOB", nullable: true),
                    at = table.Column<long>(type: "INTEGER", nullable: false),
                    volume_m3 = table.Column<double>(type: "REAL", nullable: false),
                    volume_written = table.Column<string>(type: "TEXT", nullable: false),
                    basis = table.Column<int>(type: "INTEGER", nullable: false),
                    flow_m3_s = table.Column<double>(type: "REAL", nullable: true),
                    washes = table.Column<int>(type: "INTEGER", nullable: true),
                    version = table.Column<int>(type: "INTEGER", nullable: false),
                    edit_number = table.Column<long>(type: "INTEGER", nullable: false),
                    is_deleted = table.Column<bool>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_draw", x => x.id);
                    table.ForeignKey(
                        name: "FK_draw_edit_edit_number",
                        column: x => x.edit_number,
                        principalTable: "edit",
                        principalColumn: "number",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_draw_rig_rig_id",
                        column: x => x.rig_id,
                        principalTable: "rig",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_draw_stage_stage_id",
                        column: x => x.stage_id,
                        principalTable: "stage",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_draw_wash_task_wash_task_id",
                        column: x => x.wash_task_id,
                        principalTable: "wash_task",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "fill",
                columns: table => new
                {
                    id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    stage_id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    medium = table.Column<string>(type: "TEXT", nullable: false),
                    batch = table.Column<string>(type: "TEXT", nullable: true),
                    volume_m3 = table.Column<double>(type: "REAL", nullable: true),
                    volume_written = table.Column<string>(type: "TEXT", nullable: true),
                    put_in_at = table.Column<long>(type: "INTEGER", nullable: false),
                    taken_out_at = table.Column<long>(type: "INTEGER", nullable: true),
                    purchase_id = table.Column<byte[]>(type: "BLOB", nullable: true),
                    version = table.Column<int>(type: "INTEGER", nullable: false),
                    edit_number = table.Column<long>(type: "INTEGER", nullable: false),
                    is_deleted = table.Column<bool>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_fill", x => x.id);
                    table.ForeignKey(
                        name: "FK_fill_edit_edit_number",
                        column: x => x.edit_number,
                        principalTable: "edit",
                        principalColumn: "number",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_fill_purchase_purchase_id",
                        column: x => x.purchase_id,
                        principalTable: "purchase",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_fill_stage_stage_id",
                        column: x => x.stage_id,
                        principalTable: "stage",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "habit",
                columns: table => new
                {
                    id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    rig_id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    wash_task_id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    stage_id = table.Column<byte[]>(type: "BLOB", nullable: true),
                    times_per_week = table.Column<double>(type: "REAL", nullable: false),
                    version = table.Column<int>(type: "INTEGER", nullable: false),
                    edit_number = table.Column<long>(type: "INTEGER", nullable: false),
                    is_deleted = table.Column<bool>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_habit", x => x.id);
                    table.ForeignKey(
                        name: "FK_habit_edit_edit_number",
                        column: x => x.edit_number,
                        principalTable: "edit",
                        principalColumn: "number",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_habit_rig_rig_id",
                        column: x => x.rig_id,
                        principalTable: "rig",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_habit_stage_stage_id",
                        column: x => x.stage_id,
                        principalTable: "stage",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_habit_wash_task_wash_task_id",
                        column: x => x.wash_task_id,
                        principalTable: "wash_task",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "note",
                columns: table => new
                {
                    id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    rig_id = table.Column<byte[]>(type: "BLOB", nullable: true),
                    stage_id = table.Column<byte[]>(type: "BLOB", nullable: true),
                    at = table.Column<long>(type: "INTEGER", nullable: false),
                    text = table.Column<string>(type: "TEXT", nullable: false),
                    version = table.Column<int>(type: "INTEGER", nullable: false),
                    edit_number = table.Column<long>(type: "INTEGER", nullable: false),
                    is_deleted = table.Column<bool>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_note", x => x.id);
                    table.ForeignKey(
                        name: "FK_note_edit_edit_number",
                        column: x => x.edit_number,
                        principalTable: "edit",
                        principalColumn: "number",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_note_rig_rig_id",
                        column: x => x.rig_id,
                        principalTable: "rig",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_note_stage_stage_id",
                        column: x => x.stage_id,
                        principalTable: "stage",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "photograph",
                columns: table => new
                {
                    id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    rig_id = table.Column<byte[]>(type: "BLOB", nullable: true),
                    stage_id = table.Column<byte[]>(type: "BLOB", nullable: true),
                    photograph_content_id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    at = table.Column<long>(type: "INTEGER", nullable: false),
                    caption = table.Column<string>(type: "TEXT", nullable: false),
                    version = table.Column<int>(type: "INTEGER", nullable: false),
                    edit_number = table.Column<long>(type: "INTEGER", nullable: false),
                    is_deleted = table.Column<bool>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_photograph", x => x.id);
                    table.ForeignKey(
                        name: "FK_photograph_edit_edit_number",
                        column: x => x.edit_number,
                        principalTable: "edit",
                        principalColumn: "number",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_photograph_photograph_content_photograph_content_id",
                        column: x => x.photograph_content_id,
                        principalTable: "photograph_content",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_photograph_rig_rig_id",
                        column: x => x.rig_id,
                        principalTable: "rig",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_photograph_stage_stage_id",
                        column: x => x.stage_id,
                        principalTable: "stage",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "reading",
                columns: table => new
                {
                    id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    rig_id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    place = table.Column<int>(type: "INTEGER", nullable: false),
                    stage_id = table.Column<byte[]>(type: "BLOB", nullable: true),
                    meter_id = table.Column<byte[]>(type: "BLOB", nullable: true),
                    at = table.Column<long>(type: "INTEGER", nullable: false),
                    measurand = table.Column<int>(type: "INTEGER", nullable: false),
                    value_SI = table.Column<double>(type: "REAL", nullable: false),
                    written = table.Column<string>(type: "TEXT", nullable: false),
                    unit = table.Column<string>(type: "TEXT", nullable: false),
                    is_below_limit = table.Column<bool>(type: "INTEGER", nullable: false),
                    temperature_K = table.Column<double>(type: "REAL", nullable: true),
                    flow_m3_s = table.Column<double>(type: "REAL", nullable: true),
                    is_settled = table.Column<bool>(type: "INTEGER", nullable: true),
                    version = table.Column<int>(type: "INTEGER", nullable: false),
                    edit_number = table.Column<long>(type: "INTEGER", nullable: false),
                    is_deleted = table.Column<bool>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_reading", x => x.id);
                    table.ForeignKey(
                        name: "FK_reading_edit_edit_number",
                        column: x => x.edit_number,
                        principalTable: "edit",
                        principalColumn: "number",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_reading_meter_meter_id",
                        column: x => x.meter_id,
                        principalTable: "meter",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_reading_rig_rig_id",
                        column: x => x.rig_id,
                        principalTable: "rig",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_reading_stage_stage_id",
                        column: x => x.stage_id,
                        principalTable: "stage",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateTable(
                name: "upkeep",
                columns: table => new
                {
                    id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    rig_id = table.Column<byte[]>(type: "BLOB", nullable: false),
                    stage_id = table.Column<byte[]>(type: "BLOB", nullable: true),
                    name = table.Column<string>(type: "TEXT", nullable: false),
                    every_days = table.Column<int>(type: "INTEGER", nullable: false),
                    last_done_on = table.Column<DateOnly>(type: "TEXT", nullable: true),
                    version = table.Column<int>(type: "INTEGER", nullable: false),
                    edit_number = table.Column<long>(type: "INTEGER", nullable: false),
                    is_deleted = table.Column<bool>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_upkeep", x => x.id);
                    table.ForeignKey(
                        name: "FK_upkeep_edit_edit_number",
                        column: x => x.edit_number,
                        principalTable: "edit",
                        principalColumn: "number",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_upkeep_rig_rig_id",
                        column: x => x.rig_id,
                        principalTable: "rig",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                    table.ForeignKey(
                        name: "FK_upkeep_stage_stage_id",
                        column: x => x.stage_id,
                        principalTable: "stage",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Restrict);
                });

            migrationBuilder.CreateIndex(
                name: "IX_bench_check_edit_number",
                table: "bench_check",
                column: "edit_number");

            migrationBuilder.CreateIndex(
                name: "IX_bench_check_meter_id_at",
                table: "bench_check",
                columns: new[] { "meter_id", "at" });

            migrationBuilder.CreateIndex(
                name: "IX_draw_edit_number",
                table: "draw",
                column: "edit_number");

            migrationBuilder.CreateIndex(
                name: "IX_draw_rig_id_at",
                table: "draw",
                columns: new[] { "rig_id", "at" });

            migrationBuilder.CreateIndex(
                name: "IX_edit_idempotency_key",
                table: "edit",
                column: "idempotency_key",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_edit_undoes",
                table: "edit",
                column: "undoes");

            migrationBuilder.CreateIndex(
                name: "IX_entry_history_edit_number",
                table: "entry_history",
                column: "edit_number");

            migrationBuilder.CreateIndex(
                name: "IX_fill_edit_number",
                table: "fill",
                column: "edit_number");

            migrationBuilder.CreateIndex(
                name: "IX_fill_stage_id_put_in_at",
                table: "fill",
                columns: new[] { "stage_id", "put_in_at" });

            migrationBuilder.CreateIndex(
                name: "IX_habit_edit_number",
                table: "habit",
                column: "edit_number");

            migrationBuilder.CreateIndex(
                name: "IX_meter_edit_number",
                table: "meter",
                column: "edit_number");

            migrationBuilder.CreateIndex(
                name: "IX_note_edit_number",
                table: "note",
                column: "edit_number");

            migrationBuilder.CreateIndex(
                name: "IX_note_rig_id_at",
                table: "note",
                columns: new[] { "rig_id", "at" });

            migrationBuilder.CreateIndex(
                name: "IX_person_edit_number",
                table: "person",
                column: "edit_number");

            migrationBuilder.CreateIndex(
                name: "IX_photograph_edit_number",
                table: "photograph",
                column: "edit_number");

            migrationBuilder.CreateIndex(
                name: "IX_photograph_content_edit_number",
                table: "photograph_content",
                column: "edit_number");

            migrationBuilder.CreateIndex(
                name: "IX_price_edit_number",
                table: "price",
                column: "edit_number");

            migrationBuilder.CreateIndex(
                name: "IX_purchase_edit_number",
                table: "purchase",
                column: "edit_number");

            migrationBuilder.CreateIndex(
                name: "IX_reading_edit_number",
                table: "reading",
                column: "edit_number");

            migrationBuilder.CreateIndex(
                name: "IX_rig_edit_number",
                table: "rig",
                column: "edit_number");

            migrationBuilder.CreateIndex(
                name: "IX_season_edit_number",
                table: "season",
                column: "edit_number");

            migrationBuilder.CreateIndex(
                name: "IX_source_edit_number",
                table: "source",
                column: "edit_number");

            migrationBuilder.CreateIndex(
                name: "IX_stage_edit_number",
                table: "stage",
                column: "edit_number");

            migrationBuilder.CreateIndex(
                name: "IX_upkeep_edit_number",
                table: "upkeep",
                column: "edit_number");

            migrationBuilder.CreateIndex(
                name: "IX_wash_task_edit_number",
                table: "wash_task",
                column: "edit_number");

            // One reading for one instant, place, meter and measurand; a deleted one does not stand in the way.
            migrationBuilder.Sql(
                """
                CREATE UNIQUE INDEX "IX_reading_natural" ON "reading"
                ("rig_id", "at", "measurand", "place", ifnull("stage_id", x''), ifnull("meter_id", x''))
                WHERE "is_deleted" = 0
                """
            );
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropTable(
                name: "bench_check");

            migrationBuilder.DropTable(
                name: "draw");

            migrationBuilder.DropTable(
                name: "entry_history");

            migrationBuilder.DropTable(
                name: "fill");

            migrationBuilder.DropTable(
                name: "habit");

            migrationBuilder.DropTable(
                name: "note");

            migrationBuilder.DropTable(
                name: "person");

            migrationBuilder.DropTable(
                name: "photograph");

            migrationBuilder.DropTable(
                name: "price");

            migrationBuilder.DropTable(
                name: "reading");

            migrationBuilder.DropTable(
                name: "season");

            migrationBuilder.DropTable(
                name: "upkeep");

            migrationBuilder.DropTable(
                name: "purchase");

            migrationBuilder.DropTable(
                name: "wash_task");

            migrationBuilder.DropTable(
                name: "photograph_content");

            migrationBuilder.DropTable(
                name: "meter");

            migrationBuilder.DropTable(
                name: "stage");

            migrationBuilder.DropTable(
                name: "rig");

            migrationBuilder.DropTable(
                name: "source");

            migrationBuilder.DropTable(
                name: "edit");
        }
    }
}
