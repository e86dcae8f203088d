using System.Diagnostics;
using System.Globalization;
using Npgsql;

namespace BoutDesk.Benchmarks.Day;

/// <summary>
/// The least that keeping a fact can cost on the PostgreSQL of the service: a row of some 200 bytes, inserted by a
/// prepared statement and committed, one after the other on one connection.
/// </summary>
internal sealed class DurableInserts : IAsyncDisposable
{
    private readonly NpgsqlConnection connection;

    private DurableInserts(NpgsqlConnection connection) => this.connection = connection;

    /// <summary>The version of the server.</summary>
    public string ServerVersion => connection.PostgreSqlVersion.ToString();

    /// <summary>Connects to the private PostgreSQL of a running service.</summary>
    public static async Task<DurableInserts> OpenAsync(string dataFolder)
    {
        var connection = new NpgsqlConnection(new NpgsqlConnectionStringBuilder
        {
            Host = "127.0.0.1",
            Port = int.Parse(await File.ReadAllTextAsync(Path.Combine(dataFolder, "port")), CultureInfo.InvariantCulture),
            Database = "boutdesk",
            Username = "boutdesk",
            Password = await File.ReadAllTextAsync(Path.Combine(dataFolder, "password")),
        }.ConnectionString);
        await connection.OpenAsync();
        return new DurableInserts(connection);
    }

    /// <summary>Inserts so many rows; gives the seconds it took.</summary>
    public async Task<double> RunAsync(int rows)
    {
        await ExecuteAsync("CREATE TABLE reference (id bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY, body text NOT NULL)");
        await using var insert = new NpgsqlCommand("INSERT INTO reference (body) VALUES ($1)", connection)
        {
            Parameters = { new NpgsqlParameter<string> { TypedValue = new string('x', 200) } },
        };
        await insert.PrepareAsync();
        var watch = Stopwatch.StartNew();
        for (var row = 0; row < rows; row++)
        {
            await insert.ExecuteNonQueryAsync();
        }

        var seconds = watch.Elapsed.TotalSeconds;
        await ExecuteAsync("DROP TABLE reference");
        return seconds;
    }

    public ValueTask DisposeAsync() => connection.DisposeAsync();

    private async Task ExecuteAsync(string sql)
    {
        await using var command = new NpgsqlCommand(sql, connection);
        await command.ExecuteNonQueryAsync();
    }
}
