using Npgsql;
using NpgsqlTypes;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Exchange;

/// <summary>COPY into a table of the transaction, then one statement into the readings (PostgreSQL).</summary>
internal sealed class PostgresReadingSink : IReadingSink
{
    private const string SameReading = """
        r.rig_id = n.rig_id AND r.at = n.at AND r.measurand = n.measurand AND r.place = n.place
        AND r.stage_id IS NOT DISTINCT FROM n.stage_id AND r.meter_id IS NOT DISTINCT FROM n.meter_id
        """;

    private const string Columns =
        "id, version, edit_number, is_deleted, rig_id, place, stage_id, meter_id, at, measurand, "
        + "\"value_SI\", written, unit, is_below_limit, \"temperature_K\", flow_m3_s, is_settled";

    private readonly NpgsqlConnection _connection;
    private NpgsqlTransaction? _transaction;
    private NpgsqlBinaryImporter? _copy;
    private long _editNumber;
    private long _total;

    public PostgresReadingSink(StoreAddress address) =>
        _connection = new NpgsqlConnection(address.ConnectionString);

    public async Task<Edit> BeginAsync(Edit edit, CancellationToken cancel)
    {
        await _connection.OpenAsync(cancel);
        _transaction = await _connection.BeginTransactionAsync(cancel);
        await using NpgsqlCommand command = Command(
            "INSERT INTO edit (at, author, reason, idempotency_key, organisation_id) VALUES ($1, $2, $3, $4, $5) RETURNING number"
        );
        command.Parameters.Add(new NpgsqlParameter { Value = edit.At });
        command.Parameters.Add(new NpgsqlParameter { Value = edit.Author });
        command.Parameters.Add(new NpgsqlParameter { Value = edit.Reason });
        command.Parameters.Add(new NpgsqlParameter { Value = edit.IdempotencyKey });
        command.Parameters.Add(
            new NpgsqlParameter
            {
                NpgsqlDbType = NpgsqlTypes.NpgsqlDbType.Uuid,
                Value = edit.OrganisationId is { } whose ? whose.Value : DBNull.Value,
            }
        );
        edit = edit with { Number = (long)(await command.ExecuteScalarAsync(cancel))! };
        _editNumber = edit.Number;
        await RunAsync(
            "CREATE TEMPORARY TABLE incoming (LIKE reading, file_row bigint NOT NULL) ON COMMIT DROP",
            cancel
        );
        _copy = await _connection.BeginBinaryImportAsync(
            $"COPY incoming ({Columns}, file_row) FROM STDIN (FORMAT BINARY)",
            cancel
        );
        return edit;
    }

    public void Add(Reading reading, long row)
    {
        NpgsqlBinaryImporter copy = _copy!;
        _total++;
        copy.StartRow();
        copy.Write(reading.Id.Value, NpgsqlDbType.Uuid);
        copy.Write(1, NpgsqlDbType.Integer);
        copy.Write(_editNumber, NpgsqlDbType.Bigint);
        copy.Write(false, NpgsqlDbType.Boolean);
        copy.Write(reading.RigId.Value, NpgsqlDbType.Uuid);
        copy.Write((int)reading.Place, NpgsqlDbType.Integer);
        WriteOrNull(reading.StageId?.Value, NpgsqlDbType.Uuid);
        WriteOrNull(reading.MeterId?.Value, NpgsqlDbType.Uuid);
        copy.Write(reading.At, NpgsqlDbType.TimestampTz);
        copy.Write((int)reading.Measurand, NpgsqlDbType.Integer);
        copy.Write(reading.Value_SI, NpgsqlDbType.Double);
        copy.Write(reading.Written, NpgsqlDbType.Text);
        copy.Write(reading.Unit, NpgsqlDbType.Text);
        copy.Write(reading.IsBelowLimit, NpgsqlDbType.Boolean);
        WriteOrNull(reading.Temperature_K, NpgsqlDbType.Double);
        WriteOrNull(reading.Flow_m3_s, NpgsqlDbType.Double);
        WriteOrNull(reading.IsSettled, NpgsqlDbType.Boolean);
        copy.Write(row, NpgsqlDbType.Bigint);

        void WriteOrNull<T>(T? value, NpgsqlDbType type)
            where T : struct
        {
            if (value is { } present)
            {
                copy.Write(present, type);
            }
            else
            {
                copy.WriteNull();
            }
        }
    }

    public async Task<SinkCounts> FinishAsync(ProblemList problems, CancellationToken cancel)
    {
        await _copy!.CompleteAsync(cancel);
        await _copy.DisposeAsync();
        _copy = null;
        long added = await RunAsync(
            $"""
            INSERT INTO reading ({Columns}) SELECT {Columns} FROM incoming n
            WHERE NOT EXISTS (SELECT 1 FROM reading r WHERE {SameReading}) ORDER BY file_row
            ON CONFLICT DO NOTHING
            """,
            cancel
        );
        await using NpgsqlCommand command = Command(
            $"""
            SELECT n.file_row, n.written, n.unit, r."value_SI", n."value_SI" FROM incoming n JOIN reading r
            ON {SameReading} WHERE NOT r.is_deleted AND r.id <> n.id AND r."value_SI" <> n."value_SI"
            ORDER BY n.file_row
            """
        );
        await using NpgsqlDataReader rows = await command.ExecuteReaderAsync(cancel);
        while (await rows.ReadAsync(cancel))
        {
            if (!ReadingImport.Agree(rows.GetDouble(3), rows.GetDouble(4)))
            {
                problems.Add(
                    FormattableString.Invariant($"row {rows.GetInt64(0)}"),
                    $"{rows.GetString(1)} {rows.GetString(2)}",
                    ReadingImport.Contradiction(rows.GetDouble(3))
                );
            }
        }

        return new SinkCounts(added, _total - added);
    }

    public Task CommitAsync(CancellationToken cancel) => _transaction!.CommitAsync(cancel);

    public async ValueTask DisposeAsync()
    {
        if (_copy is not null)
        {
            await _copy.DisposeAsync();
        }

        if (_transaction is not null)
        {
            await _transaction.DisposeAsync();
        }

        await _connection.DisposeAsync();
    }

    private NpgsqlCommand Command(string sql) => new(sql, _connection, _transaction);

    private async Task<long> RunAsync(string sql, CancellationToken cancel)
    {
        await using NpgsqlCommand command = Command(sql);
        command.CommandTimeout = 0;
        return await command.ExecuteNonQueryAsync(cancel);
    }
}
