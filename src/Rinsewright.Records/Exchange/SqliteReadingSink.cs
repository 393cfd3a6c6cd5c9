using Microsoft.Data.Sqlite;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Exchange;

/// <summary>What an import came to.</summary>
/// <param name="Added">Readings that were new.</param>
/// <param name="AlreadyThere">Readings that the record held already, or once held and deleted.</param>
internal sealed record SinkCounts(long Added, long AlreadyThere);

/// <summary>Takes many readings into one edit, in one transaction, as fast as the database can.</summary>
internal interface IReadingSink : IAsyncDisposable
{
    /// <summary>Opens the transaction and writes the edit; a second import under its key writes nothing.</summary>
    /// <returns>The edit with its number.</returns>
    Task<Edit> BeginAsync(Edit edit, CancellationToken cancel);

    /// <summary>Takes one reading; <paramref name="row"/> is its row in the file.</summary>
    void Add(Reading reading, long row);

    /// <summary>Finishes writing and reports readings that contradict the record.</summary>
    Task<SinkCounts> FinishAsync(ProblemList problems, CancellationToken cancel);

    /// <summary>Keeps what was written; without it, nothing stays.</summary>
    Task CommitAsync(CancellationToken cancel);
}

/// <summary>Prepared statements into SQLite.</summary>
internal sealed class SqliteReadingSink : IReadingSink
{
    private const string NaturalKey = """
        rig_id = $rig AND at = $at AND measurand = $measurand AND place = $place
        AND ifnull(stage_id, x'') = ifnull($stage, x'') AND ifnull(meter_id, x'') = ifnull($meter, x'')
        """;

    private readonly SqliteConnection _connection;
    private readonly List<(Reading Reading, long Row, double Held)> _contradictions = [];
    private readonly Dictionary<Guid, byte[]> _ids = [];
    private SqliteTransaction? _transaction;
    private SqliteCommand _insert = null!;
    private SqliteCommand _find = null!;
    private SqliteParameter[] _values = null!;
    private SqliteParameter[] _key = null!;
    private bool _hasDeleted;
    private long _added;
    private long _alreadyThere;

    public SqliteReadingSink(StoreAddress address) =>
        _connection = new SqliteConnection(SqliteFile.ConnectionString(address.DatabaseFile, pooling: false));

    public async Task<Edit> BeginAsync(Edit edit, CancellationToken cancel)
    {
        await _connection.OpenAsync(cancel);
        // Rig, stage and meter of every row were found in this record, which never removes any, and the edit is written
        // just below: looking them up again for each row would only take time.
        await RunAsync(
            "PRAGMA synchronous = FULL; PRAGMA busy_timeout = 20000; PRAGMA cache_size = -65536; PRAGMA foreign_keys = OFF",
            cancel
        );
        _transaction = _connection.BeginTransaction();
        _hasDeleted =
            (long)(await RunAsync("SELECT EXISTS (SELECT 1 FROM reading WHERE is_deleted)", cancel))! != 0;
        await using (
            SqliteCommand command = Command(
                """
                INSERT INTO edit (at, author, reason, idempotency_key, organisation_id)
                VALUES ($at, $author, $reason, $key, $organisation) RETURNING number
                """
            )
        )
        {
            command.Parameters.AddWithValue("$at", edit.At.ToUnixTimeMilliseconds());
            command.Parameters.AddWithValue("$author", edit.Author);
            command.Parameters.AddWithValue("$reason", edit.Reason);
            command.Parameters.AddWithValue("$key", edit.IdempotencyKey.ToByteArray(bigEndian: true));
            command.Parameters.AddWithValue(
                "$organisation",
                edit.OrganisationId is { } whose ? whose.Value.ToByteArray(bigEndian: true) : DBNull.Value
            );
            edit = edit with { Number = (long)(await command.ExecuteScalarAsync(cancel))! };
        }

        _insert = Command(
            """
            INSERT INTO reading (id, version, edit_number, is_deleted, rig_id, place, stage_id, meter_id, at,
                measurand, value_SI, written, unit, is_below_limit, temperature_K, flow_m3_s, is_settled)
            VALUES ($id, 1, $edit, 0, $rig, $place, $stage, $meter, $at,
                $measurand, $value, $written, $unit, $below, $temperature, $flow, $settled)
            ON CONFLICT DO NOTHING
            """
        );
        _values = Parameters(
            _insert,
            "$id",
            "$edit",
            "$rig",
            "$place",
            "$stage",
            "$meter",
            "$at",
            "$measurand",
            "$value",
            "$written",
            "$unit",
            "$below",
            "$temperature",
            "$flow",
            "$settled"
        );
        _values[1].Value = edit.Number;
        _find = Command($"SELECT is_deleted, value_SI FROM reading WHERE {NaturalKey} ORDER BY is_deleted");
        _key = Parameters(_find, "$rig", "$place", "$stage", "$meter", "$at", "$measurand");
        return edit;
    }

    public void Add(Reading reading, long row)
    {
        if (_hasDeleted && Held(reading) is { } known)
        {
            Compare(reading, row, known);
            return;
        }

        _values[0].Value = reading.Id.Value.ToByteArray(bigEndian: true);
        _values[2].Value = Bytes(reading.RigId.Value);
        _values[3].Value = (int)reading.Place;
        _values[4].Value = Bytes(reading.StageId?.Value);
        _values[5].Value = Bytes(reading.MeterId?.Value);
        _values[6].Value = reading.At.ToUnixTimeMilliseconds();
        _values[7].Value = (int)reading.Measurand;
        _values[8].Value = reading.Value_SI;
        _values[9].Value = reading.Written;
        _values[10].Value = reading.Unit;
        _values[11].Value = reading.IsBelowLimit ? 1 : 0;
        _values[12].Value = (object?)reading.Temperature_K ?? DBNull.Value;
        _values[13].Value = (object?)reading.Flow_m3_s ?? DBNull.Value;
        _values[14].Value = reading.IsSettled is { } settled ? (settled ? 1 : 0) : DBNull.Value;
        if (_insert.ExecuteNonQuery() == 1)
        {
            _added++;
            return;
        }

        Compare(reading, row, Held(reading)!.Value);
    }

    private void Compare(Reading reading, long row, (bool IsDeleted, double Value_SI) held)
    {
        _alreadyThere++;
        if (!held.IsDeleted && !ReadingImport.Agree(held.Value_SI, reading.Value_SI))
        {
            _contradictions.Add((reading, row, held.Value_SI));
        }
    }

    public Task<SinkCounts> FinishAsync(ProblemList problems, CancellationToken cancel)
    {
        foreach ((Reading reading, long row, double held) in _contradictions)
        {
            problems.Add(
                FormattableString.Invariant($"row {row}"),
                $"{reading.Written} {reading.Unit}",
                ReadingImport.Contradiction(held)
            );
        }

        return Task.FromResult(new SinkCounts(_added, _alreadyThere));
    }

    public Task CommitAsync(CancellationToken cancel) => _transaction!.CommitAsync(cancel);

    public async ValueTask DisposeAsync()
    {
        if (_transaction is not null)
        {
            await _transaction.DisposeAsync();
        }

        await _connection.DisposeAsync();
    }

    private (bool IsDeleted, double Value_SI)? Held(Reading reading)
    {
        _key[0].Value = Bytes(reading.RigId.Value);
        _key[1].Value = (int)reading.Place;
        _key[2].Value = Bytes(reading.StageId?.Value);
        _key[3].Value = Bytes(reading.MeterId?.Value);
        _key[4].Value = reading.At.ToUnixTimeMilliseconds();
        _key[5].Value = (int)reading.Measurand;
        using SqliteDataReader rows = _find.ExecuteReader();
        return rows.Read() ? (rows.GetBoolean(0), rows.GetDouble(1)) : null;
    }

    private object Bytes(Guid? id)
    {
        if (id is not { } value)
        {
            return DBNull.Value;
        }

        if (!_ids.TryGetValue(value, out byte[]? bytes))
        {
            _ids.Add(value, bytes = value.ToByteArray(bigEndian: true));
        }

        return bytes;
    }

    private SqliteCommand Command(string sql)
    {
        SqliteCommand command = _connection.CreateCommand();
        command.Transaction = _transaction;
        command.CommandText = sql;
        return command;
    }

    private async Task<object?> RunAsync(string sql, CancellationToken cancel)
    {
        await using SqliteCommand command = Command(sql);
        return await command.ExecuteScalarAsync(cancel);
    }

    private static SqliteParameter[] Parameters(SqliteCommand command, params string[] names) =>
        [.. names.Select(name => command.Parameters.Add(new SqliteParameter { ParameterName = name }))];
}
