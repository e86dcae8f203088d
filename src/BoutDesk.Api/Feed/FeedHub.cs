using System.Collections.Concurrent;
using System.Collections.Immutable;
using System.Threading.Channels;
using BoutDesk.Domain;
using JasperFx.Events;
using JasperFx.Events.Daemon;
using JasperFx.Events.Projections;
using Marten;
using Marten.Subscriptions;

namespace BoutDesk.Api.Feed;

/// <summary>Hands what happens to those who listen, tournament by tournament, in the order of the store.</summary>
internal sealed class FeedHub
{
    // A phone that has fallen so far behind is sent back to the store, where it resumes without a gap.
    private const int Backlog = 1000;

    private readonly ConcurrentDictionary<(string Organiser, string Tournament), ImmutableHashSet<Channel<IEvent>>> listeners = [];
    private long position;

    /// <summary>Up to where everything was handed on.</summary>
    public long Position => Volatile.Read(ref position);

    /// <summary>Takes a page of the store's events.</summary>
    public void Publish(IEnumerable<IEvent> events, long upTo)
    {
        foreach (var happened in events)
        {
            var key = (happened.TenantId, Identifiers.TournamentOf(happened.StreamKey!));
            foreach (var channel in listeners.GetValueOrDefault(key, []))
            {
                if (!channel.Writer.TryWrite(happened))
                {
                    channel.Writer.TryComplete();
                }
            }
        }

        Volatile.Write(ref position, upTo);
    }

    /// <summary>Listens from now on. The channel completes when the listener falls too far behind.</summary>
    public Channel<IEvent> Listen(string organiser, string tournamentId)
    {
        var channel = Channel.CreateBounded<IEvent>(Backlog);
        listeners.AddOrUpdate((organiser, tournamentId), [channel], (_, others) => others.Add(channel));
        return channel;
    }

    public void Leave(string organiser, string tournamentId, Channel<IEvent> channel)
    {
        var key = (organiser, tournamentId);
        var left = listeners.AddOrUpdate(key, [], (_, others) => others.Remove(channel));
        if (left.IsEmpty)
        {
            listeners.TryRemove(new(key, left));
        }
    }
}

/// <summary>Follows the store and feeds the hub. The store's daemon holds back what an open transaction could still precede.</summary>
internal sealed class FeedSubscription : SubscriptionBase
{
    private readonly FeedHub hub;

    public FeedSubscription(FeedHub hub) => this.hub = hub;

    public override Task<IChangeListener> ProcessEventsAsync(
        EventRange page, ISubscriptionController controller, IDocumentOperations operations, CancellationToken cancellationToken)
    {
        hub.Publish(page.Events, page.SequenceCeiling);
        return Task.FromResult(NullChangeListener.Instance);
    }
}
