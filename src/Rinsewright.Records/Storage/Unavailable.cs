using System.Data.Common;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Storage;
using Npgsql;

namespace Rinsewright.Records.Storage;

/// <summary>Turns what a database or file system threw into a reason that a person can act on.</summary>
internal static class Unavailable
{
    private const int NoSpaceLeft = 28;
    private const int ReadOnlyFileSystem = 30;

    /// <summary>The reason behind <paramref name="problem"/>, or nothing when it is a fault of the program.</summary>
    public static RecordUnavailableException? From(Exception problem, StoreAddress address) =>
        problem switch
        {
            DbUpdateException { InnerException: { } inner } => From(inner, address),
            RetryLimitExceededException { InnerException: { } inner } => From(inner, address),
            InvalidOperationException { InnerException: DbException inner } => From(inner, address),
            SqliteException sqlite => FromSqlite(sqlite, address),
            PostgresException { SqlState: PostgresErrorCodes.DiskFull } => Make(
                UnavailableReason.Full,
                "The database's disk is full. Nothing was written.",
                problem
            ),
            PostgresException { SqlState: { } state }
                when state.StartsWith("28", StringComparison.Ordinal)
                    || state is PostgresErrorCodes.InsufficientPrivilege => Make(
                UnavailableReason.ReadOnly,
                "The database refuses this user or its password, or does not let it write. Nothing was written. Ask who runs it for the right to.",
                problem
            ),
            PostgresException postgres when !postgres.IsTransient && !IsGoingAway(postgres) => null,
            NpgsqlException or TimeoutException => Make(
                UnavailableReason.Unreachable,
                "The database does not answer. Nothing was written that was not acknowledged.",
                problem
            ),
            UnauthorizedAccessException => ReadOnly(address, problem),
            IOException io
                when io is not RecordUnavailableException && (io.HResult & 0xFFFF) == NoSpaceLeft => Full(
                address,
                problem
            ),
            IOException io when (io.HResult & 0xFFFF) == ReadOnlyFileSystem => ReadOnly(address, problem),
            _ => null,
        };

    private static bool IsGoingAway(PostgresException problem) =>
        problem.SqlState.StartsWith("57P", StringComparison.Ordinal)
        || problem.SqlState.StartsWith("08", StringComparison.Ordinal);

    private static RecordUnavailableException? FromSqlite(SqliteException problem, StoreAddress address) =>
        problem.SqliteErrorCode switch
        {
            SqliteError.Full => Full(address, problem),
            SqliteError.ReadOnly or SqliteError.CannotOpen => ReadOnly(address, problem),
            SqliteError.Corrupt or SqliteError.NotADatabase => Make(
                UnavailableReason.Damaged,
                $"The record in {address} is damaged. Nothing was written.",
                problem
            ),
            SqliteError.Busy => Make(
                UnavailableReason.InUse,
                $"The record in {address} is held by another program. Nothing was written.",
                problem
            ),
            SqliteError.IoError => Make(
                UnavailableReason.Full,
                $"The disk of {address} refused to take more. Nothing was written. Free some space or check the disk.",
                problem
            ),
            _ => null,
        };

    private static RecordUnavailableException Full(StoreAddress address, Exception problem) =>
        Make(
            UnavailableReason.Full,
            $"The disk of {address} is full. Nothing was written; what was there is safe. Free some space and try again.",
            problem
        );

    private static RecordUnavailableException ReadOnly(StoreAddress address, Exception problem) =>
        Make(
            UnavailableReason.ReadOnly,
            $"The folder {address} cannot be written. Give yourself write permission there or choose another folder.",
            problem
        );

    private static RecordUnavailableException Make(
        UnavailableReason reason,
        string message,
        Exception problem
    ) => new(reason, message, problem);
}
