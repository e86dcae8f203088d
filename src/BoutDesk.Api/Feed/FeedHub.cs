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

    // More than happens anywhere between two looks at a page that somebody has open.
    private const int Remembered = 5000;

    private readonly Lock gate = new();
    private readonly Dictionary<(string Organiser, string Tournament), ImmutableHashSet<Channel<FeedMessage>>> listeners = [];
    private readonly Dictionary<(string Organiser, string Id), long> lastOf = [];
    private readonly List<(string Organiser, string Id, string Stream, long At)> latest = [];
    private bool hasBegun;
    private long knownSince;
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
    /// could not note that it was.
    /// </summary>
    /// <param name="events">What happened after the one position and up to the other, in order.</param>
    /// <param name="after">The position that the page begins after.</param>
    /// <param name="upTo">The position that the page ends with.</param>
    /// <returns>False when the page does not follow on what was handed on, and was not taken.</returns>
    public bool Publish(IEnumerable<IEvent> events, long after, long upTo)
    {
        // Whoever begins to listen meanwhile would get neither this page nor, by the position he is told, look it up.
        lock (gate)
        {
            Begin(after);
            if (after > position)
            {
                return false;
            }

            foreach (var happened in events.Where(e => e.Sequence > position))
            {
                var id = happened.StreamKey!;
                var of = Identifiers.CompetitionOf(id) ?? id;
                lastOf[(happened.TenantId, of)] = happened.Sequence;
                latest.Add((happened.TenantId, of, id, happened.Sequence));
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

            if (latest.Count > 2 * Remembered)
            {
                knownSince = latest[^(Remembered + 1)].At;
                latest.RemoveRange(0, latest.Count - Remembered);
            }

            position = Math.Max(position, upTo);
            return true;
        }
    }

    /// <summary>Begins at a position, unless a page came before: what is before it is not handed on.</summary>
    public void BeginAt(long from)
    {
        lock (gate)
        {
            Begin(from);
        }
    }

    /// <summary>Begins at a position with nothing known of what was handed on before, as where a database may be another than the last of its name.</summary>
    public void BeginAnewAt(long from)
    {
        lock (gate)
        {
            lastOf.Clear();
            latest.Clear();
            hasBegun = false;
            Begin(from);
        }
    }

    private void Begin(long from)
    {
        if (!hasBegun)
        {
            (hasBegun, position, knownSince) = (true, from, from);
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
    /// The streams of a competition to which something happened after a position, or null when that is no longer known.
    /// What was read of the store after asking for the position is in force but for these.
    /// </summary>
    public IReadOnlyCollection<string>? ChangedSince(string organiser, string competitionId, long since)
    {
        lock (gate)
        {
            if (!hasBegun || since < knownSince)
            {
                return null;
            }

            var changed = new HashSet<string>();
            for (var step = latest.Count - 1; step >= 0 && latest[step].At > since; step--)
            {
                if (latest[step].Id == competitionId && latest[step].Organiser == organiser)
                {
                    changed.Add(latest[step].Stream);
                }
            }

            return changed;
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

    /// <summary>Sends everybody away who listens to an organiser.</summary>
    public void End(string organiser)
    {
        lock (gate)
        {
            foreach (var channel in listeners.Where(l => l.Key.Organiser == organiser).SelectMany(l => l.Value))
            {
                channel.Writer.TryComplete();
            }
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
    private readonly LatestChanges changes;
    private readonly LatestEvents latest;
    private readonly Standbys standbys;

    public FeedSubscription([FromKeyedServices(Organiser.Home)] FeedHub hub, LatestChanges changes, LatestEvents latest, Standbys standbys)
    {
        (this.hub, this.changes, this.latest, this.standbys) = (hub, changes, latest, standbys);
        Name = "Feed";
    }

    /// <summary>Under what name the store notes how far it has come.</summary>
    public static ShardName Shard { get; } = new("Feed", ShardName.All, 1);

    public override async Task<IChangeListener> ProcessEventsAsync(
        EventRange page, ISubscriptionController controller, IDocumentOperations operations, CancellationToken cancellationToken)
    {
        latest.Note(page.Events);
        await standbys.ToldAsync(operations, cancellationToken);
        if (!hub.Publish(page.Events, page.SequenceFloor, page.SequenceCeiling) && changes.Suffice)
        {
            // Nobody else is there to read what is missing before it.
            hub.Publish(page.Events, hub.Position, page.SequenceCeiling);
        }

        if (!changes.Suffice)
        {
            // Sent with the commit that notes the position.
            operations.QueueSqlCommand("select pg_notify(?, '')", FeedFollower.Channel);
        }

        return NullChangeListener.Instance;
    }
}
