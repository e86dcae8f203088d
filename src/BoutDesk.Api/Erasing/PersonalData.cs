using System.Collections.Immutable;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Http;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Equipment;
using BoutDesk.Domain.Erasing;
using BoutDesk.Domain.LoanKit;
using BoutDesk.Domain.Tournaments;
using Marten;

namespace BoutDesk.Api.Erasing;

/// <summary>What an erasure did in the store.</summary>
/// <param name="Rewritten">How many events were rewritten.</param>
/// <param name="ToTell">Of whom the log is to tell that it was done: of all when something was rewritten, else of those of whom it does not tell yet.</param>
/// <param name="Announcements">Announcements that stand on the board and whose text was struck.</param>
internal sealed record Erasure(int Rewritten, ImmutableArray<string> ToTell, ImmutableArray<string> Announcements);

/// <summary>Somebody who is entered or listed.</summary>
/// <param name="Id">The entrant or referee.</param>
/// <param name="Person">What tells him from others.</param>
/// <param name="Name">His name.</param>
/// <param name="Competition">The name of the competition that he is entered in; null for a referee.</param>
internal sealed record ListedPerson(string Id, string Person, string Name, string? Competition);

/// <summary>
/// Rewrites what the store keeps of a person: the events, the states that follow from them, and the answers kept for
/// repeats. Nothing else in this service changes an event once it is kept.
/// </summary>
internal sealed class PersonalData
{
    private static readonly string[] Looked =
    [
        .. EventNames.All.Where(e => PersonErasure.Concerns(e.Key)).Select(e => e.Value),
        EventNames.All[typeof(EntrantErased)], EventNames.All[typeof(RefereeErased)],
    ];

    private readonly Organiser organiser;
    private readonly IDocumentStore store;

    public PersonalData(Organiser organiser, IDocumentStore store) => (this.organiser, this.store) = (organiser, store);

    /// <summary>Everybody who is entered in these competitions or listed as a referee of the tournament.</summary>
    public static IEnumerable<ListedPerson> People(Tournament tournament, IEnumerable<Competition> competitions) =>
        competitions.SelectMany(c => c.Entrants.Select(e => new ListedPerson(e.Id, e.Details.Person(), e.Details.Name, c.Name)))
            .Concat(tournament.Referees.Select(r => new ListedPerson(r.Id, r.Details.Person(), r.Details.Name, null)));

    /// <summary>Everybody who is entered or listed in a tournament, each with what tells a person from others.</summary>
    public async Task<Dictionary<string, string>> PeopleAsync(string tournamentId)
    {
        await using var session = organiser.Read();
        if (tournamentId.Length == 0 || await session.LoadAsync<Tournament>(tournamentId) is not { } tournament)
        {
            return [];
        }

        var competitions = await session.LoadManyAsync<Competition>(tournament.Competitions);
        return People(tournament, competitions).ToDictionary(p => p.Id, p => p.Person);
    }

    /// <summary>
    /// Erases, all or nothing. No command may run meanwhile: one that has read a state before would write it back, since
    /// the versions of the states do not change.
    /// </summary>
    /// <param name="tournamentId">The tournament.</param>
    /// <param name="ids">The entrants and referees who are the person.</param>
    /// <exception cref="UnconfirmedException">It was done, but the standby does not have it yet. The same again does what is left.</exception>
    public async Task<Erasure> EraseAsync(string tournamentId, IReadOnlyCollection<string> ids)
    {
        await using var session = organiser.Write("erasure");
        var within = tournamentId + "-";
        var events = await session.Events.QueryAllRawEvents()
            .Where(e => (e.StreamKey == tournamentId || e.StreamKey!.StartsWith(within)) && e.EventTypeName.IsOneOf(Looked))
            .OrderBy(e => e.Sequence).ToListAsync();
        var erasure = new PersonErasure(ids, events.Select(e => e.Data));
        var serializer = store.Options.Serializer();
        var rewritten = 0;
        ImmutableArray<string> announcements = [];
        foreach (var stream in events.GroupBy(e => e.StreamKey!))
        {
            var left = erasure.Without(stream.Key, [.. stream.Select(e => e.Data)]);
            var changed = stream.Zip(left).Where(pair => !ReferenceEquals(pair.First.Data, pair.Second)).ToArray();
            foreach (var (before, after) in changed)
            {
                session.QueueSqlCommand(
                    $"update {store.Options.Schema.ForEvents()} set data = ?::jsonb where seq_id = ? and tenant_id = ?", serializer.ToJson(after), before.Sequence, organiser.Id);
            }

            rewritten += changed.Length;
            // The state of a bout holds nothing of what is erased.
            if (changed.Length > 0 && changed[0].Second is not IBoutEvent)
            {
                var (state, table) = await StateAsync(session, erasure, stream.Key);
                session.QueueSqlCommand($"update {table} set data = ?::jsonb where id = ? and tenant_id = ?", serializer.ToJson(state), stream.Key, organiser.Id);
                announcements = state is Tournament tournament
                    ? [.. tournament.Announcements.Where(a => a.Text == PersonErasure.Struck).Select(a => a.Id)]
                    : announcements;
            }
        }

        // They are encrypted under keys that this service does not have, so it cannot tell in which of them the person is.
        session.QueueSqlCommand(
            $$"""update {{store.Options.Schema.For<KeptAnswer>()}} set data = jsonb_set(data, '{body}', '""') where tenant_id = ? and coalesce(data ->> 'tournament', ?) = ?""",
            organiser.Id,
            tournamentId,
            tournamentId);
        await organiser.Database.Gate.SaveAsync(session);

        var told = events.Select(e => e.Data switch { EntrantErased e1 => e1.EntrantId, RefereeErased e2 => e2.RefereeId, _ => null }).ToHashSet();
        return new Erasure(rewritten, [.. ids.Where(id => rewritten > 0 || !told.Contains(id))], announcements);
    }

    /// <summary>The state that follows from the events that are left of a stream, and its table.</summary>
    private async Task<(object State, string Table)> StateAsync(IDocumentSession session, PersonErasure erasure, string stream)
    {
        var events = await session.Events.FetchStreamAsync(stream);
        object? state = null;
        foreach (var happened in erasure.Without(stream, [.. events.Select(e => e.Data)]))
        {
            state = happened switch
            {
                ITournamentEvent e => Tournament.Evolve((Tournament?)state, stream, e),
                ICompetitionEvent e => Competition.Evolve((Competition?)state, stream, e),
                IEquipmentEvent e => EquipmentRecord.Evolve((EquipmentRecord?)state, stream, e),
                ILoanEvent e => LoanStore.Evolve((LoanStore?)state, stream, e),
                _ => throw new InvalidOperationException($"No state to rewrite is folded from {happened.GetType().Name}."),
            };
        }

        var schema = store.Options.Schema;
        return (state!, state switch
        {
            Tournament => schema.For<Tournament>(),
            Competition => schema.For<Competition>(),
            EquipmentRecord => schema.For<EquipmentRecord>(),
            _ => schema.For<LoanStore>(),
        });
    }
}
