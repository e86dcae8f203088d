using System.Linq.Expressions;
using BoutDesk.Domain;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Equipment;
using BoutDesk.Domain.LoanKit;
using BoutDesk.Domain.Tournaments;
using Marten;
using JasperFx.Events;

namespace BoutDesk.Api.EventStore;

/// <summary>
/// One command's view of the store: states as they were read, with their versions, and the facts to be kept together.
/// When a state was changed by somebody else meanwhile, saving fails and nothing is kept.
/// </summary>
internal sealed class Ledger : IAsyncDisposable
{
    private readonly Dictionary<string, object> states = [];
    private readonly Dictionary<string, Action<List<object>>> appends = [];
    private readonly Dictionary<string, List<object>> facts = [];

    private readonly CompetitionShelf competitions;

    // Null in a session of its own, which knows who it is.
    private readonly string? by;
    private readonly Competition? read;

    public Ledger(IDocumentSession session, CompetitionShelf competitions) => (Session, this.competitions) = (session, competitions);

    /// <summary>The ledger of a command on a bout, in a session that it shares with others of that kind.</summary>
    /// <param name="session">The session, which others save.</param>
    /// <param name="competitions">The competitions.</param>
    /// <param name="read">The competition, where it was read together with the bout.</param>
    /// <param name="by">Who gives the command.</param>
    /// <param name="boutId">The bout.</param>
    /// <param name="bout">The bout as it was read.</param>
    public Ledger(IDocumentSession session, CompetitionShelf competitions, Competition? read, string by, string boutId, IEventStream<Bout> bout)
        : this(session, competitions)
    {
        this.read = read;
        this.by = by;
        Take(boutId, bout);
    }

    /// <summary>The same for a bout that is remembered and need not be read.</summary>
    /// <param name="session">The session, which others save.</param>
    /// <param name="competitions">The competitions.</param>
    /// <param name="by">Who gives the command.</param>
    /// <param name="bout">The bout as it is remembered.</param>
    public Ledger(IDocumentSession session, CompetitionShelf competitions, string by, Bout bout)
        : this(session, competitions)
    {
        this.by = by;
        Take(bout);
    }

    public IDocumentSession Session { get; }

    /// <summary>Whether there is anything to keep in this history.</summary>
    public bool HasFactsOf(string id) => facts.ContainsKey(id);

    /// <summary>Reads a state that the command will change or depend on, or null when there is none.</summary>
    public async Task<T?> FindAsync<T>(string id)
        where T : class
    {
        // One that this command begins has a state and nothing in the store yet; one that was looked for in vain has neither.
        if (states.ContainsKey(id) || appends.ContainsKey(id))
        {
            return NowOrNull<T>(id);
        }

        StandAlone();
        return Take(id, await Session.Events.FetchForWriting<T>(id));
    }

    private T? Take<T>(string id, IEventStream<T> stream)
        where T : class
    {
        // The stream itself refuses the facts if it has moved on, also when only its state was looked at.
        appends[id] = stream.AppendMany;
        if (stream.Aggregate is { } state)
        {
            states[id] = state;
        }

        return stream.Aggregate;
    }

    private void Take(Bout bout)
    {
        states[bout.Id] = bout;
        appends[bout.Id] = events => Session.Events.Append(bout.Id, bout.Version + events.Count, events);
    }

    /// <summary>Reads a state that the command only depends on: saving fails if it has changed meanwhile.</summary>
    public async Task<T> DependOnAsync<T>(string id)
        where T : class
    {
        StandAlone();
        var stream = await Session.Events.FetchForWriting<T>(id);
        stream.AlwaysEnforceConsistency = true;
        return stream.Aggregate ?? throw new InvalidOperationException($"There is no {typeof(T).Name} {id}.");
    }

    /// <summary>Looks a competition up. Saving does not fail if it has changed meanwhile.</summary>
    public Task<Competition?> LookUpCompetitionAsync(string id) =>
        read?.Id == id ? Task.FromResult<Competition?>(read) : competitions.FindAsync(Session, id);

    /// <summary>Reads all bouts that fit, by identifier.</summary>
    public async Task<Dictionary<string, Bout>> BoutsAsync(Expression<Func<Bout, bool>> which)
    {
        StandAlone();
        var bouts = await Session.Query<Bout>().Where(which).ToListAsync();
        foreach (var bout in bouts.Where(b => !states.ContainsKey(b.Id)))
        {
            Take(bout);
        }

        return bouts.ToDictionary(b => b.Id, b => (Bout)states[b.Id]);
    }

    /// <summary>The state as the facts kept so far make it.</summary>
    public T Now<T>(string id)
        where T : class => (T)states[id];

    /// <summary>The same, or null where nothing was ever kept.</summary>
    public T? NowOrNull<T>(string id)
        where T : class => (T?)states.GetValueOrDefault(id);

    /// <summary>Takes the facts of a decision.</summary>
    public void Keep(Decision decision)
    {
        foreach (var (streamId, happened) in decision.Facts)
        {
            var before = states.GetValueOrDefault(streamId);
            if (!facts.TryGetValue(streamId, out var list))
            {
                facts[streamId] = list = [];
            }

            list.Add(happened);
            states[streamId] = happened switch
            {
                IBoutEvent e => Bout.Evolve((Bout?)before, streamId, e),
                ICompetitionEvent e => Competition.Evolve((Competition?)before, streamId, e),
                ITournamentEvent e => Tournament.Evolve((Tournament?)before, streamId, e),
                IEquipmentEvent e => EquipmentRecord.Evolve((EquipmentRecord?)before, streamId, e),
                ILoanEvent e => LoanStore.Evolve((LoanStore?)before, streamId, e),
                _ => throw new InvalidOperationException($"No state is folded from {happened.GetType().Name}."),
            };
        }
    }

    /// <summary>Hands the facts to the session, for whoever saves it.</summary>
    public void Append()
    {
        foreach (var (streamId, events) in facts)
        {
            if (appends.TryGetValue(streamId, out var append))
            {
                append(by is null ? events : events.ConvertAll(WithName));
            }
            else
            {
                Start(streamId, events);
            }
        }
    }

    public ValueTask DisposeAsync() => Session.DisposeAsync();

    private object WithName(object happened)
    {
        var named = Session.Events.BuildEvent(happened);
        named.UserName = by;
        return named;
    }

    private void StandAlone()
    {
        if (by is not null)
        {
            throw new MoreThanABoutException();
        }
    }

    private StreamAction Start(string streamId, List<object> events) => events[0] switch
    {
        IBoutEvent => Session.Events.StartStream<Bout>(streamId, events),
        ICompetitionEvent => Session.Events.StartStream<Competition>(streamId, events),
        ITournamentEvent => Session.Events.StartStream<Tournament>(streamId, events),
        ILoanEvent => Session.Events.StartStream<LoanStore>(streamId, events),
        _ => Session.Events.StartStream<EquipmentRecord>(streamId, events),
    };
}

/// <summary>A command that shares a session needs more than its bout, so it has to be carried out alone.</summary>
internal sealed class MoreThanABoutException : Exception;
