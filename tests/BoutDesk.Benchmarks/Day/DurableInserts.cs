using System.Diagnostics;
using Npgsql;

namespace BoutDesk.Benchmarks.Day;

/// <summary>
/// The least that keeping a fact can cost on the PostgreSQL of the service: a row of some 200 bytes, inserted by a
/// prepared statement and committed, one after the other on one connection.
/// </summary>
internal sealed class DurableInserts : IAsyncDisposable
{
    private readonly NpgsqlConnection connection;
    private readonly NpgsqlCommand insert;

    private DurableInserts(NpgsqlConnection connection)
    {
        this.connection = connection;
        insert = new NpgsqlCommand("INSERT INTO reference (body) VALUES ($1)", connection)
        {
            Parameters = { new NpgsqlParameter<string> { TypedValue = new string('x', 200) } },
        };
    }

    /// <summary>The version of the server.</summary>
    public string ServerVersion => connection.PostgreSqlVersion.ToString();

    /// <summary>Connects to the private PostgreSQL of a running service, and makes the table <c>reference</c> there until it is disposed of.</summary>
    public static async Task<DurableInserts> OpenAsync(string dataFolder)
    {
        var inserts = new DurableInserts(await new MeasuredStore(dataFolder).OpenAsync());
        await inserts.ExecuteAsync("CREATE TABLE reference (id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY, body text NOT NULL)");
        await inserts.insert.PrepareAsync();
        return inserts;
    }

    /// <summary>Inserts one row.</summary>
    public Task InsertAsync() => insert.ExecuteNonQueryAsync();

    /// <summary>Inserts so many rows; gives the seconds it took.</summary>
    public async Task<double> RunAsync(int rows)
    {
        var watch = Stopwatch.StartNew();
        for (var row = 0; row < rows; row++)
        {
            await InsertAsync();
        }

        return watch.Elapsed.TotalSeconds;
    }

    public async ValueTask DisposeAsync()
    {
        await insert.DisposeAsync();
        await ExecuteAsync("DROP TABLE reference");
        await connection.DisposeAsync();
    }

    private async Task ExecuteAsync(string sql)
    {
        await using var command = new NpgsqlCommand(sql, connection);
        await command.ExecuteNonQueryAsync();
    }
}
