using System.Collections.Immutable;
using System.Threading.Channels;
using BoutDesk.Api.EventStore;
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
    private readonly Dictionary<(string Organiser, string Id), Trail> trails = [];
    private long begunAt;
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

    /// <summary>
    /// Takes a page of the store's events. What was handed on before is left out, since a page comes twice when the store
    /// could not note that it was; and a page is left out that does not follow on what was handed on.
    /// </summary>
    /// <param name="events">What happened after the one position and up to the other, in order.</param>
    /// <param name="after">The position that the page begins after.</param>
    /// <param name="upTo">The position that the page ends with.</param>
    public void Publish(IEnumerable<IEvent> events, long after, long upTo)
    {
        // Whoever begins to listen meanwhile would get neither this page nor, by the position he is told, look it up.
        lock (gate)
        {
            if (after > position)
            {
                return;
            }

            foreach (var happened in events.Where(e => e.Sequence > position))
            {
                var id = happened.StreamKey!;
                var of = (happened.TenantId, Identifiers.CompetitionOf(id) ?? id);
                if (!trails.TryGetValue(of, out var trail))
                {
                    trails[of] = trail = new Trail(begunAt);
                }

                trail.Add(id, happened.Sequence);
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

            position = Math.Max(position, upTo);
        }
    }

    /// <summary>Begins at a position: what is before it is not handed on.</summary>
    public void BeginAt(long from)
    {
        lock (gate)
        {
            begunAt = position = Math.Max(position, from);
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
                trails.GetValueOrDefault((organiser, competitionId))?.Last ?? 0,
                trails.GetValueOrDefault((organiser, Identifiers.TournamentOf(competitionId)))?.Last ?? 0);
        }
    }

    /// <summary>
    /// The streams of a competition to which something happened after a position, or null when that is no longer known.
    /// What was read of the store after asking for the position is in force but for these.
    /// </summary>
    public IReadOnlyCollection<string>? ChangedSince(string organiser, string competitionId, long since)
    {
        lock (gate)
        {
            return trails.TryGetValue((organiser, competitionId), out var trail) ? trail.Since(since) : since < begunAt ? null : [];
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

/// <summary>What happened last in one competition, stream by stream.</summary>
internal sealed class Trail
{
    // More than happens while a page is not looked at, and no more memory than a page takes.
    private const int Longest = 500;

    private readonly Queue<(string Stream, long At)> steps = new();
    private long knownSince;

    public Trail(long knownSince) => this.knownSince = knownSince;

    public long Last { get; private set; }

    public void Add(string stream, long at)
    {
        steps.Enqueue((stream, at));
        Last = at;
        if (steps.Count > Longest)
        {
            knownSince = steps.Dequeue().At;
        }
    }

    public IReadOnlyCollection<string>? Since(long position) =>
        position < knownSince ? null : steps.Where(s => s.At > position).Select(s => s.Stream).ToHashSet();
}

/// <summary>Follows the store and feeds the hub. The store's daemon holds back what an open transaction could still precede.</summary>
internal sealed class FeedSubscription : SubscriptionBase
{
    private readonly FeedHub hub;
    private readonly LatestChanges changes;

    public FeedSubscription(FeedHub hub, LatestChanges changes) => (this.hub, this.changes) = (hub, changes);

    /// <summary>Under what name the store notes how far it has come.</summary>
    public static ShardName Shard { get; } = new("Feed", ShardName.All, 1);

    public override Task<IChangeListener> ProcessEventsAsync(
        EventRange page, ISubscriptionController controller, IDocumentOperations operations, CancellationToken cancellationToken)
    {
        hub.Publish(page.Events, page.SequenceFloor, page.SequenceCeiling);
        if (!changes.Suffice)
        {
            // Sent with the commit that notes the position.
            operations.QueueSqlCommand("select pg_notify(?, '')", FeedFollower.Channel);
        }

        return Task.FromResult(NullChangeListener.Instance);
    }
}
