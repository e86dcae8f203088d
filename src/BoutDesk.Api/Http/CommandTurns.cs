using System.Threading.RateLimiting;
using BoutDesk.Api.EventStore;

namespace BoutDesk.Api.Http;

/// <summary>Says when a command has its turn, and how many run at once, of all organisers of a database together.</summary>
internal sealed class CommandTurns : IDisposable
{
    // Beside other services each holds a connection from its beginning, and half of the connections are left to reads.
    private const int MostAtOnce = 1000, MostAtOnceBesideOthers = 50;

    // Requests about the same thing take turns, first come, first served. Left to the store alone they would all read
    // the same version and all but one be sent round again, and whoever has the slowest link could lose every time.
    // The store's versions still decide between a bout and what depends on it, and between several services.
    private readonly PartitionedRateLimiter<(string Organiser, string Subject)> turns =
        PartitionedRateLimiter.Create<(string Organiser, string Subject), (string Organiser, string Subject)>(subject =>
            RateLimitPartition.GetConcurrencyLimiter(subject, _ => new ConcurrencyLimiterOptions { PermitLimit = 1, QueueLimit = 1000 }));

    // Each command holds one of these while it runs, and what must run alone holds all of them.
    private readonly ConcurrencyLimiter running;
    private readonly int mostAtOnce;

    public CommandTurns(LatestChanges changes)
    {
        mostAtOnce = changes.Suffice ? MostAtOnce : MostAtOnceBesideOthers;
        running = new ConcurrencyLimiter(new ConcurrencyLimiterOptions { PermitLimit = mostAtOnce, QueueLimit = int.MaxValue });
    }

    /// <summary>Waits for the turn among the organiser's commands on the same thing; it is not acquired when too many wait.</summary>
    public ValueTask<RateLimitLease> TakeAsync(Organiser organiser, string subject, CancellationToken cancellation) =>
        turns.AcquireAsync((organiser.Id, subject), 1, cancellation);

    /// <summary>Waits until the command may run: beside others, or when those under way are done and with none beside it.</summary>
    public ValueTask<RateLimitLease> RunAsync(bool alone, CancellationToken cancellation) => running.AcquireAsync(alone ? mostAtOnce : 1, cancellation);

    public void Dispose()
    {
        turns.Dispose();
        running.Dispose();
    }
}
