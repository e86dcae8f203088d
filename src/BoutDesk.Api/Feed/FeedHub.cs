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

    private readonly Lock gate = new();
    private readonly Dictionary<(string Organiser, string Tournament), ImmutableHashSet<Channel<FeedMessage>>> listeners = [];
    private readonly Dictionary<(string Organiser, string Id), long> lastOf = [];
    private long position;

    /// <summary>The position up to which everything was handed on.</summary>
    public long Position
    {
        get
        {
            lock (gate)
            {
                return position;
            }
        }
    }

    /// <summary>Takes a page of the store's events.</summary>
    public void Publish(IEnumerable<IEvent> events, long upTo)
    {
        // Whoever begins to listen meanwhile would get neither this page nor, by the position he is told, look it up.
        lock (gate)
        {
            foreach (var happened in events)
            {
                var id = happened.StreamKey!;
                lastOf[(happened.TenantId, Identifiers.CompetitionOf(id) ?? id)] = happened.Sequence;
                var key = (happened.TenantId, Identifiers.TournamentOf(id));
                if (!listeners.TryGetValue(key, out var channels))
                {
                    continue;
                }

                // Put into words once, however many listen.
                var message = FeedMessage.Of(happened);
                foreach (var channel in channels)
                {
                    if (!channel.Writer.TryWrite(message))
                    {
                        channel.Writer.TryComplete();
                    }
                }
            }

            // A page comes twice when the store could not note that it was handed on.
            position = Math.Max(position, upTo);
        }
    }

    /// <summary>
    /// The position of the last that happened in a competition or to its tournament as a whole. What was made of the
    /// store after asking for it is in force as long as the answer is the same. 0 when nothing did since the start.
    /// </summary>
    public long LastOf(string organiser, string competitionId)
    {
        lock (gate)
        {
            return Math.Max(
                lastOf.GetValueOrDefault((organiser, competitionId)),
                lastOf.GetValueOrDefault((organiser, Identifiers.TournamentOf(competitionId))));
        }
    }

    /// <summary>
    /// Listens from now on. The channel completes when the listener falls too far behind. Up to the position everything
    /// was handed on before; what comes after it will come through the channel.
    /// </summary>
    public (Channel<FeedMessage> Channel, long Position) Listen(string organiser, string tournamentId)
    {
        var channel = Channel.CreateBounded<FeedMessage>(Backlog);
        lock (gate)
        {
            var key = (organiser, tournamentId);
            listeners[key] = listeners.GetValueOrDefault(key, []).Add(channel);
            return (channel, position);
        }
    }

    public void Leave(string organiser, string tournamentId, Channel<FeedMessage> channel)
    {
        lock (gate)
        {
            var key = (organiser, tournamentId);
            var left = listeners.GetValueOrDefault(key, []).Remove(channel);
            if (left.IsEmpty)
            {
                listeners.Remove(key);
            }
            else
            {
                listeners[key] = left;
            }
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
