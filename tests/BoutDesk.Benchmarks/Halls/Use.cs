using BoutDesk.Benchmarks.Day;

namespace BoutDesk.Benchmarks.Halls;

/// <summary>What was used of the machine in a stretch of time.</summary>
/// <param name="Seconds">How long it was.</param>
/// <param name="Services">Processor seconds of the services.</param>
/// <param name="Database">Processor seconds of PostgreSQL.</param>
/// <param name="Clients">Processor seconds of this program, which is the phones and those who look.</param>
/// <param name="Others">Processor seconds of whatever else ran here.</param>
/// <param name="ServicesMiB">Memory of the services at its end.</param>
/// <param name="DatabaseMiB">Memory of PostgreSQL at its end.</param>
/// <param name="Store">What was added to the store; the connections are those at its end.</param>
internal sealed record Use(double Seconds, double Services, double Database, double Clients, double Others, double ServicesMiB, double DatabaseMiB, StoreUse Store);

/// <summary>Counts what is used from now on.</summary>
internal sealed class UseCounter
{
    private readonly MeasuredServer server;
    private readonly IReadOnlyList<ServiceProcess> services;
    private readonly StoreUse store;
    private readonly long begin;
    private readonly double ofServices;
    private readonly double ofDatabase;
    private readonly double ofClients;
    private readonly double ofAll;

    private UseCounter(MeasuredServer server, IReadOnlyList<ServiceProcess> services, StoreUse store)
    {
        this.server = server;
        this.services = services;
        this.store = store;
        begin = TimeProvider.System.GetTimestamp();
        (ofServices, ofDatabase, ofClients, ofAll) = Processors();
    }

    public static async Task<UseCounter> BeginAsync(MeasuredServer server, IReadOnlyList<ServiceProcess> services) =>
        new(server, services, await server.UseAsync());

    /// <summary>What was used since.</summary>
    public async Task<Use> EndAsync()
    {
        var seconds = TimeProvider.System.GetElapsedTime(begin).TotalSeconds;
        var (nowServices, nowDatabase, nowClients, nowAll) = Processors();
        var (usedServices, usedDatabase, usedClients) = (nowServices - ofServices, nowDatabase - ofDatabase, nowClients - ofClients);
        var now = await server.UseAsync();
        return new Use(
            seconds,
            usedServices,
            usedDatabase,
            usedClients,
            Math.Max(0, nowAll - ofAll - usedServices - usedDatabase - usedClients),
            services.Sum(service => ProcessTree.MemoryMiB(service.Id)),
            ProcessTree.MemoryMiB(server.ProcessId),
            new StoreUse(now.Bytes - store.Bytes, now.LogBytes - store.LogBytes, now.Commits - store.Commits, now.Connections));
    }

    private (double Services, double Database, double Clients, double All) Processors() => (
        services.Sum(service => ProcessTree.ProcessorSeconds(service.Id)),
        ProcessTree.ProcessorSeconds(server.ProcessId),
        Environment.CpuUsage.TotalTime.TotalSeconds,
        ProcessTree.ProcessorSecondsOfTheMachine());
}
