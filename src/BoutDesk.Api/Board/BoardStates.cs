using System.Collections.Immutable;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Feed;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Tournaments;
using Marten;

namespace BoutDesk.Api.Board;

/// <summary>A tournament with all that its board shows.</summary>
/// <param name="Tournament">The tournament.</param>
/// <param name="Competitions">Its competitions, in the order of the programme.</param>
public sealed record TournamentState(Tournament Tournament, ImmutableArray<CompetitionState> Competitions);

/// <summary>Reads what the board shows, once for all who look.</summary>
internal sealed class BoardStates
{
    private readonly Organiser organiser;
    private readonly FeedHub hub;
    private readonly Shelf<CompetitionState> shelf;

    public BoardStates(Organiser organiser, FeedHub hub, TimeProvider clock)
    {
        this.organiser = organiser;
        this.hub = hub;
        shelf = new Shelf<CompetitionState>(clock, most: 100);
    }

    /// <summary>
    /// Waits until the pages know what was kept up to now, so that who has just changed something sees it: some 50 ms, a
    /// second at most when the feed is held up.
    /// </summary>
    public async Task CaughtUpAsync(CancellationToken cancellation)
    {
        await using var session = organiser.Read();
        var kept = await session.Events.QueryAllRawEvents().OrderByDescending(e => e.Sequence).Select(e => e.Sequence).FirstOrDefaultAsync(cancellation);
        for (var tries = 0; hub.Position < kept && tries < 100; tries++)
        {
            await Task.Delay(10, cancellation);
        }
    }

    /// <summary>All tournaments, latest first.</summary>
    public async Task<IReadOnlyList<Tournament>> TournamentsAsync()
    {
        await using var session = organiser.Read();
        var tournaments = await session.Query<Tournament>().ToListAsync();
        return [.. tournaments.OrderByDescending(t => t.StartsOn).ThenBy(t => t.Id, StringComparer.Ordinal)];
    }

    /// <summary>A tournament, or null.</summary>
    public async Task<TournamentState?> TournamentAsync(string tournamentId)
    {
        await using var session = organiser.Read();
        if (await session.LoadAsync<Tournament>(tournamentId) is not { } tournament)
        {
            return null;
        }

        var competitions = ImmutableArray.CreateBuilder<CompetitionState>();
        foreach (var id in tournament.Competitions)
        {
            if (await CompetitionAsync(id) is { } state)
            {
                competitions.Add(state);
            }
        }

        return new TournamentState(tournament, competitions.ToImmutable());
    }

    /// <summary>A competition, or null.</summary>
    public Task<CompetitionState?> CompetitionAsync(string competitionId) =>
        shelf.TakeAsync(competitionId, hub.LastOf(organiser.Id, competitionId), async () =>
        {
            await using var session = organiser.Read();
            if (await session.LoadAsync<Competition>(competitionId) is not { } competition
                || await session.LoadAsync<Tournament>(competition.TournamentId) is not { } tournament)
            {
                return null;
            }

            var bouts = await session.Query<Bout>().Where(b => b.CompetitionId == competitionId && !b.Struck).ToListAsync();
            return new CompetitionState(tournament, competition, bouts);
        });
}
