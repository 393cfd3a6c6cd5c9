using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Infrastructure;
using Npgsql;
using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Records.Storage;

/// <summary>Where a record is kept: a folder with an SQLite file, or a PostgreSQL database.</summary>
public sealed class StoreAddress
{
    /// <summary>What PostgreSQL says when it is stopped or started (SQLSTATE class 57, operator intervention).</summary>
    private static readonly string[] ServerGoesAway = ["57P01", "57P02", "57P03"];

    private const string PoolSize = "Maximum Pool Size";

    /// <summary>A server takes 100 connections unless it is told otherwise (PostgreSQL documentation, max_connections).</summary>
    private const int UsualConnections = 24;

    // Making them costs more than a short question to the database does.
    private readonly Lazy<DbContextOptions<SqliteLogbookContext>> _sqlite;
    private readonly Dictionary<
        (bool MayWrite, bool Retries),
        Lazy<DbContextOptions<PostgresLogbookContext>>
    > _postgres;

    private StoreAddress(string? folder, string? connectionString)
    {
        Folder = folder;
        ConnectionString = connectionString;
        _sqlite = new(OptionsOfFile);
        _postgres = (
            from mayWrite in (bool[])[false, true]
            from retries in (bool[])[false, true]
            select (mayWrite, retries)
        ).ToDictionary(
            use => use,
            use => new Lazy<DbContextOptions<PostgresLogbookContext>>(() =>
                OptionsOfServer(use.mayWrite, use.retries)
            )
        );
    }

    /// <summary>Folder of the SQLite file, if that is what is used.</summary>
    public string? Folder { get; }

    /// <summary>PostgreSQL connection string, if that is what is used.</summary>
    public string? ConnectionString { get; }

    public static StoreAddress InFolder(string folder) => new(Path.GetFullPath(folder), null);

    /// <summary>A PostgreSQL database, with few enough connections for several programs beside one another unless the text says how many.</summary>
    /// <exception cref="UnreadableAddressException">It has a word that is none of a connection string, or a value that does not fit.</exception>
    public static StoreAddress Postgres(string connectionString)
    {
        NpgsqlConnectionStringBuilder connection;
        try
        {
            connection = new(connectionString);
        }
        catch (Exception problem)
            when (problem is ArgumentException or FormatException or InvalidCastException)
        {
            throw new UnreadableAddressException(problem);
        }

        if (!connection.Keys.OfType<string>().Contains(PoolSize, StringComparer.OrdinalIgnoreCase))
        {
            connection.MaxPoolSize = UsualConnections;
        }

        return new(null, connection.ToString());
    }

    /// <summary>
    /// Reads what a person gave: a connection string (it has <c>Host=</c>) or a folder; nothing means
    /// <c>rinsewright</c> in the XDG data folder.
    /// </summary>
    /// <param name="text">What was given.</param>
    /// <param name="environment">Looks up <c>XDG_DATA_HOME</c> and <c>HOME</c>.</param>
    public static StoreAddress Parse(string? text, Func<string, string?> environment)
    {
        if (!string.IsNullOrWhiteSpace(text))
        {
            return text.Contains("Host=", StringComparison.OrdinalIgnoreCase)
                ? Postgres(text)
                : InFolder(text);
        }

        // XDG base directory specification: a relative path there is to be ignored.
        string? dataHome = environment("XDG_DATA_HOME");
        if (string.IsNullOrEmpty(dataHome) || !Path.IsPathRooted(dataHome))
        {
            string home =
                environment("HOME") ?? Environment.GetFolderPath(Environment.SpecialFolder.UserProfile);
            dataHome = Path.Combine(home, ".local", "share");
        }

        return InFolder(Path.Combine(dataHome, "rinsewright"));
    }

    /// <summary>The address without anything secret.</summary>
    public override string ToString() => Folder ?? "a PostgreSQL database";

    internal string DatabaseFile =>
        Path.Combine(
            Folder ?? throw new InvalidOperationException("A PostgreSQL record has no file."),
            "rinsewright.db"
        );

    /// <summary>Opens a session.</summary>
    /// <param name="mayWrite">Whether it may save changes.</param>
    /// <param name="scope">The organisation to whose entries it is kept; everything if not said.</param>
    /// <param name="retries">Whether PostgreSQL statements are tried again when the connection breaks; not inside a transaction of the caller's.</param>
    internal LogbookContext NewContext(bool mayWrite, bool retries = true, Id<Organisation>? scope = null)
    {
        if (Folder is not null)
        {
            return new SqliteLogbookContext(_sqlite.Value) { MayWrite = mayWrite, Scope = scope };
        }

        var context = new PostgresLogbookContext(_postgres[(mayWrite, retries)].Value)
        {
            MayWrite = mayWrite,
            Scope = scope,
        };
        // An edit is written whole or not at all, so it needs no savepoints; going back to one over a connection that
        // has broken fails in a way that hides the break, and the edit would not be tried again.
        context.Database.AutoSavepointsEnabled = false;
        return context;
    }

    private DbContextOptions<SqliteLogbookContext> OptionsOfFile() =>
        new DbContextOptionsBuilder<SqliteLogbookContext>()
            .UseSqlite(SqliteFile.ConnectionString(DatabaseFile))
            .AddInterceptors(SqliteDurability.Instance)
            .ReplaceService<IModelCacheKeyFactory, ModelOfScope>()
            .Options;

    private DbContextOptions<PostgresLogbookContext> OptionsOfServer(bool mayWrite, bool retries)
    {
        DbContextOptionsBuilder<PostgresLogbookContext> postgres =
            new DbContextOptionsBuilder<PostgresLogbookContext>().UseNpgsql(
                ConnectionString,
                npgsql =>
                {
                    if (retries)
                    {
                        npgsql.EnableRetryOnFailure(
                            maxRetryCount: 8,
                            maxRetryDelay: TimeSpan.FromSeconds(3),
                            errorCodesToAdd: ServerGoesAway
                        );
                    }
                }
            );
        postgres.ReplaceService<IModelCacheKeyFactory, ModelOfScope>();
        if (mayWrite)
        {
            postgres.AddInterceptors(OneConnection.Instance);
        }

        return postgres.Options;
    }
}

/// <summary>A connection string that cannot be read.</summary>
public sealed class UnreadableAddressException(Exception problem) : FormatException(problem.Message, problem)
{
    /// <summary>What is wrong; never the string itself, which may hold a password.</summary>
    public InputProblem Problem { get; } =
        new(
            "connection string",
            problem.Message,
            "Host=…;Database=…;Username=… and other words that PostgreSQL connections know"
        );
}
