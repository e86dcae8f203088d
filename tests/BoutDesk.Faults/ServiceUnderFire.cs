using System.Globalization;
using Npgsql;

namespace BoutDesk.Faults;

/// <summary>The service with a private PostgreSQL, and all that can be done to it.</summary>
internal sealed class ServiceUnderFire : Service
{
    private readonly SmallDisk disk;
    private readonly MovableClock clock;

    public ServiceUnderFire(SmallDisk disk, MovableClock clock, int port)
        : base(port) => (this.disk, this.clock) = (disk, clock);

    private string DataFolder => Path.Combine(disk.Folder, "data");

    private string PostmasterFile => Path.Combine(DataFolder, "cluster", "postmaster.pid");

    /// <summary>Kills the service.</summary>
    public async Task KillServiceAsync()
    {
        Running!.Kill();
        await Running.WaitForExitAsync();
        Running.Dispose();
    }

    /// <summary>Kills the server, which leaves its own processes to notice.</summary>
    public void KillPostgres() => Signals.Kill(PostmasterId());

    /// <summary>Kills everything at once.</summary>
    public async Task LosePowerAsync()
    {
        var server = PostmasterId();
        var children = Signals.ChildrenOf(server);
        Running!.Kill();
        Signals.Kill([server, .. children]);
        await Running.WaitForExitAsync();
        Running.Dispose();
    }

    /// <summary>Cuts the connections between service and server.</summary>
    public async Task CutStoreConnectionsAsync()
    {
        await using var connection = new NpgsqlConnection(ConnectionString());
        await connection.OpenAsync();
        await using var cut = new NpgsqlCommand("select pg_terminate_backend(pid) from pg_stat_activity where application_name = 'BoutDesk'", connection);
        await cut.ExecuteNonQueryAsync();
    }

    /// <summary>Takes a number of the events' sequence that no event will have, as an append does that is broken off.</summary>
    public async Task<long> WasteNumberAsync()
    {
        await using var connection = new NpgsqlConnection(ConnectionString());
        await connection.OpenAsync();
        await using var take = new NpgsqlCommand("select nextval('boutdesk.mt_events_sequence')", connection);
        return (long)(await take.ExecuteScalarAsync())!;
    }

    /// <summary>A connection to the private PostgreSQL. It is not pooled, so it does not outlive a kill.</summary>
    public string ConnectionString() => new NpgsqlConnectionStringBuilder
    {
        Host = "127.0.0.1",
        Port = int.Parse(File.ReadAllText(Path.Combine(DataFolder, "port")), CultureInfo.InvariantCulture),
        Database = "boutdesk",
        Username = "boutdesk",
        Password = File.ReadAllText(Path.Combine(DataFolder, "password")),
        Pooling = false,
    }.ConnectionString;

    public override async ValueTask DisposeAsync()
    {
        await base.DisposeAsync();
        // A service that failed leaves its server running.
        if (File.Exists(PostmasterFile))
        {
            Signals.Kill(PostmasterId());
            await Task.Delay(TimeSpan.FromSeconds(1));
        }
    }

    protected override void Configure(IDictionary<string, string?> environment)
    {
        environment["BoutDesk__DataFolder"] = DataFolder;
        clock.Give(environment);
    }

    private int PostmasterId() => int.Parse(File.ReadLines(PostmasterFile).First(), CultureInfo.InvariantCulture);
}
