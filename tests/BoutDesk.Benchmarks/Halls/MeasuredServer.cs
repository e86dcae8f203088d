using BoutDesk.Api.PrivatePostgres;
using BoutDesk.Benchmarks.Day;
using Microsoft.Extensions.Logging.Abstractions;
using Npgsql;

namespace BoutDesk.Benchmarks.Halls;

/// <summary>
/// A PostgreSQL for several services, with the settings of a private one but for more connections. A service that
/// started it by itself would take itself for the only one.
/// </summary>
internal sealed class MeasuredServer : IAsyncDisposable
{
    private const int Connections = 300;

    private readonly MeasuringFolder folder;
    private readonly PrivateCluster cluster;

    private MeasuredServer(MeasuringFolder folder, PrivateCluster cluster, string version)
    {
        this.folder = folder;
        this.cluster = cluster;
        Version = version;
    }

    /// <summary>How services connect to it.</summary>
    public string ConnectionString => cluster.ConnectionString;

    /// <summary>Its first process, whose children the others are.</summary>
    public int ProcessId => cluster.ServerProcessId;

    /// <summary>The version of PostgreSQL.</summary>
    public string Version { get; }

    public static async Task<MeasuredServer> StartAsync()
    {
        var folder = new MeasuringFolder("boutdesk-halls-");
        try
        {
            await using (var first = await ClusterAsync(folder))
            {
                await using var connection = await OpenAsync(first.ConnectionString);
                await using var more = new NpgsqlCommand($"alter system set max_connections = {Connections}", connection);
                await more.ExecuteNonQueryAsync();
            }

            var cluster = await ClusterAsync(folder);
            await using var again = await OpenAsync(cluster.ConnectionString);
            return new MeasuredServer(folder, cluster, again.PostgreSqlVersion.ToString());
        }
        catch
        {
            folder.Dispose();
            throw;
        }
    }

    /// <summary>What is stored, and what was written and asked for it since the server started.</summary>
    public async Task<StoreUse> UseAsync()
    {
        await using var connection = await OpenAsync(ConnectionString);
        await using var command = new NpgsqlCommand(
            """
            select pg_database_size(current_database()),
                pg_wal_lsn_diff(pg_current_wal_lsn(), '0/0')::bigint,
                (select xact_commit from pg_stat_database where datname = current_database()),
                (select count(*) from pg_stat_activity where datname = current_database() and pid <> pg_backend_pid())
            """,
            connection);
        await using var row = await command.ExecuteReaderAsync();
        await row.ReadAsync();
        return new StoreUse(row.GetInt64(0), row.GetInt64(1), row.GetInt64(2), (int)row.GetInt64(3));
    }

    public async ValueTask DisposeAsync()
    {
        await cluster.DisposeAsync();
        folder.Dispose();
    }

    private static Task<PrivateCluster> ClusterAsync(MeasuringFolder folder) => PrivateCluster.StartAsync(
        new PrivateClusterOptions { DataFolder = folder.DataFolder }, NullLogger.Instance, CancellationToken.None);

    private static async Task<NpgsqlConnection> OpenAsync(string connectionString)
    {
        var connection = new NpgsqlConnection(new NpgsqlConnectionStringBuilder(connectionString) { Pooling = false }.ConnectionString);
        await connection.OpenAsync();
        return connection;
    }
}

/// <summary>What a database takes.</summary>
/// <param name="Bytes">Its size on the disk.</param>
/// <param name="LogBytes">The write-ahead log of its server, ever.</param>
/// <param name="Commits">Transactions, ever.</param>
/// <param name="Connections">Connections that are open.</param>
internal sealed record StoreUse(long Bytes, long LogBytes, long Commits, int Connections);
