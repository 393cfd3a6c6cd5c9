using System.Buffers.Binary;
using System.Diagnostics;
using System.Globalization;
using Microsoft.Data.Sqlite;

namespace Rinsewright.Import;

/// <summary>What the budget is measured against: read a line, split it, bind, insert.</summary>
internal static class BareLoop
{
    private const int Columns = 17;

    /// <summary>Seconds that it took.</summary>
    public static double Run(string csv, string database)
    {
        using var connection = new SqliteConnection($"Data Source={database};Pooling=False");
        connection.Open();
        using SqliteCommand command = connection.CreateCommand();
        command.CommandText = """
            PRAGMA journal_mode = WAL;
            PRAGMA synchronous = FULL;
            CREATE TABLE reading (id BLOB PRIMARY KEY, version INTEGER, edit_number INTEGER, is_deleted INTEGER,
                rig_id BLOB, place INTEGER, stage_id BLOB, meter_id BLOB, at INTEGER, measurand INTEGER,
                value_SI REAL, written TEXT, unit TEXT, is_below_limit INTEGER, temperature_K REAL,
                flow_m3_s REAL, is_settled INTEGER)
            """;
        command.ExecuteNonQuery();
        long start = Stopwatch.GetTimestamp();
        using SqliteTransaction transaction = connection.BeginTransaction();
        using SqliteCommand insert = connection.CreateCommand();
        insert.Transaction = transaction;
        insert.CommandText =
            $"INSERT INTO reading VALUES ({string.Join(',', Enumerable.Range(0, Columns).Select(i => $"${i}"))})";
        SqliteParameter[] values =
        [
            .. Enumerable
                .Range(0, Columns)
                .Select(i =>
                    insert.Parameters.Add(new SqliteParameter { ParameterName = $"${i}", Value = 0 })
                ),
        ];
        byte[] some = new byte[16];
        long number = 0;
        using var file = new StreamReader(csv);
        file.ReadLine();
        while (file.ReadLine() is { } line)
        {
            string[] fields = line.Split(',');
            byte[] id = new byte[16];
            BinaryPrimitives.WriteInt64BigEndian(id, number++);
            values[0].Value = id;
            values[4].Value = some;
            values[6].Value = some;
            values[7].Value = some;
            values[8].Value = DateTimeOffset
                .Parse(fields[0], CultureInfo.InvariantCulture)
                .ToUnixTimeMilliseconds();
            values[10].Value = double.Parse(fields[4], CultureInfo.InvariantCulture) * 0.001;
            values[11].Value = fields[4];
            values[12].Value = "ppm";
            values[14].Value = double.Parse(fields[5], CultureInfo.InvariantCulture) + 273.15;
            values[15].Value = DBNull.Value;
            values[16].Value = DBNull.Value;
            insert.ExecuteNonQuery();
        }

        transaction.Commit();
        return Stopwatch.GetElapsedTime(start).TotalSeconds;
    }
}
