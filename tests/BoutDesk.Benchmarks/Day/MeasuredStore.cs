using System.Diagnostics;
using System.Globalization;
using Npgsql;

namespace BoutDesk.Benchmarks.Day;

/// <summary>The private PostgreSQL of a measured service, which is there while the service runs.</summary>
internal sealed class MeasuredStore(string dataFolder)
{
    /// <summary>How to connect to it as it runs now; the port can be another after a start of the service.</summary>
    public NpgsqlConnectionStringBuilder Server => new()
    {
        Host = "127.0.0.1",
        Port = int.Parse(File.ReadAllText(Path.Combine(dataFolder, "port")), CultureInfo.InvariantCulture),
        Database = "boutdesk",
        Username = "boutdesk",
        Password = File.ReadAllText(Path.Combine(dataFolder, "password")),
        CommandTimeout = 0,
        Pooling = false,
    };

    public async Task<NpgsqlConnection> OpenAsync()
    {
        var connection = new NpgsqlConnection(Server.ConnectionString);
        await connection.OpenAsync();
        return connection;
    }

    public async Task ExecuteAsync(string sql, params NpgsqlParameter[] parameters)
    {
        await using var connection = await OpenAsync();
        await using var command = new NpgsqlCommand(sql, connection);
        command.Parameters.AddRange(parameters);
        await command.ExecuteNonQueryAsync();
    }

    /// <summary>Waits until the feed has gone through what was stored.</summary>
    /// <exception cref="InvalidOperationException">It had not after ten minutes.</exception>
    public async Task FollowedUpAsync()
    {
        await using var connection = await OpenAsync();
        await using var behind = new NpgsqlCommand(
            "select coalesce((select max(seq_id) from boutdesk.mt_events), 0) - coalesce((select min(last_seq_id) from boutdesk.mt_event_progression where name like 'Feed%'), 0)", connection);
        for (var waited = Stopwatch.StartNew(); (long)(await behind.ExecuteScalarAsync())! > 0; await Task.Delay(500))
        {
            if (waited.Elapsed > TimeSpan.FromMinutes(10))
            {
                throw new InvalidOperationException("The feed did not come to the end of the events.");
            }
        }
    }
}
