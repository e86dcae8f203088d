namespace BoutDesk.Faults;

/// <summary>One of several services that work on servers of their own.</summary>
internal sealed class ServiceOnServers : Service
{
    private readonly string connectionString;
    private readonly bool readsFromStandbys;

    private ServiceOnServers(string connectionString, bool readsFromStandbys, int port, string? program)
        : base(port, program) => (this.connectionString, this.readsFromStandbys) = (connectionString, readsFromStandbys);

    /// <summary>Starts it and waits until it is ready.</summary>
    /// <param name="connectionString">The servers.</param>
    /// <param name="readsFromStandbys">Whether it may read from standbys.</param>
    /// <param name="port">Where it listens; null is a port of its own.</param>
    /// <param name="program">Another version's program; null is the one that was built with this run.</param>
    public static async Task<ServiceOnServers> StartAsync(string connectionString, bool readsFromStandbys = false, int? port = null, string? program = null)
    {
        var service = new ServiceOnServers(connectionString, readsFromStandbys, port ?? FreePort.Find(), program);
        try
        {
            await service.StartAsync(untilReady: true);
            return service;
        }
        catch
        {
            await service.DisposeAsync();
            throw;
        }
    }

    protected override void Configure(IDictionary<string, string?> environment)
    {
        environment["ConnectionStrings__BoutDesk"] = connectionString;
        environment["BoutDesk__ReadFromStandbys"] = readsFromStandbys ? "true" : "false";
    }
}
