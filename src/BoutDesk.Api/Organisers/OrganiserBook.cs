using System.Collections.Frozen;
using BoutDesk.Api.EventStore;
using Marten;

namespace BoutDesk.Api.Organisers;

/// <summary>
/// Tells by the host name of a request which organiser it is about. The few records are kept in memory, so that no request
/// waits for them, and read again every other second, since they are changed from outside the service.
/// </summary>
internal sealed class OrganiserBook : BackgroundService
{
    /// <summary>After what time every service knows what was changed: twice what lies between two looks, and a second.</summary>
    public static readonly TimeSpan Noticed = TimeSpan.FromSeconds(5);

    private static readonly TimeSpan Every = TimeSpan.FromSeconds(2);

    private readonly IDocumentStore store;
    private readonly BoutMemory memory;
    private readonly TimeProvider clock;
    private volatile FrozenDictionary<string, OrganiserRecord> byHost = FrozenDictionary<string, OrganiserRecord>.Empty;

    public OrganiserBook(IDocumentStore store, BoutMemory memory, TimeProvider clock) => (this.store, this.memory, this.clock) = (store, memory, clock);

    /// <summary>All but the one at home.</summary>
    public IEnumerable<OrganiserRecord> Others => byHost.Values.DistinctBy(o => o.Id);

    /// <summary>The organiser that has this host name, or null where that is the one at home.</summary>
    /// <param name="host">The host name, without port.</param>
    public OrganiserRecord? At(string host) => byHost.GetValueOrDefault(host.TrimEnd('.'));

    public override async Task StartAsync(CancellationToken cancellationToken)
    {
        await ReadAsync(cancellationToken);
        await base.StartAsync(cancellationToken);
    }

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        using var timer = new PeriodicTimer(Every, clock);
        while (await timer.WaitForNextTickAsync(stoppingToken))
        {
            try
            {
                await ReadAsync(stoppingToken);
            }
            catch (Exception) when (!stoppingToken.IsCancellationRequested)
            {
                // The store does not answer, which others say; until it does those known before stay.
            }
        }
    }

    private async Task ReadAsync(CancellationToken cancellation)
    {
        await using var session = store.QuerySession();
        var hosts = from organiser in await session.Query<OrganiserRecord>().ToListAsync(cancellation)
                    from host in organiser.Hosts
                    select (host, organiser);
        byHost = hosts.ToFrozenDictionary(h => h.host, h => h.organiser, StringComparer.OrdinalIgnoreCase);
        memory.ForgetAllBut(Others.Where(o => !o.Closed).Select(o => o.Id).Append(Organiser.Home).ToHashSet());
    }
}
