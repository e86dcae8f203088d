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

/// <summary>
/// Reads what the board shows, once for all who look: a competition at first with all of its bouts, then what happened to
/// since, so that after a touch no more is read of a large competition than of a small one.
/// </summary>
internal sealed class BoardStates
{
    private readonly Organiser organiser;
    private readonly FeedHub hub;
    private readonly TimeProvider clock;
    private readonly Shelf<Read> shelf;

    public BoardStates([FromKeyedServices] Organiser organiser, TimeProvider clock)
    {
        this.organiser = organiser;
        hub = organiser.Database.Feed;
        this.clock = clock;
        shelf = new Shelf<Read>(clock, most: 100);
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
    public async Task<CompetitionState?> CompetitionAsync(string competitionId) =>
        (await shelf.TakeAsync(competitionId, hub.LastOf(organiser.Id, competitionId), before => ReadAsync(competitionId, before)))?.State;

    private Task<Read?> ReadAsync(string competitionId, Read? before)
    {
        // Before anything is read, so that what happens meanwhile is read again next time.
        var position = hub.Position;
        return organiser.Database.Standbys.ReadAsync(() => ReadAsync(competitionId, before, position));
    }

    private async Task<Read?> ReadAsync(string competitionId, Read? before, long position)
    {
        var changed = before is not null && clock.GetElapsedTime(before.WholeAt) < Shelf.Longest
            ? hub.ChangedSince(organiser.Id, competitionId, before.Position)
            : null;
        await using var session = organiser.Read();
        var competition = changed?.Contains(competitionId) == false ? before!.State.Competition : await session.LoadAsync<Competition>(competitionId);
        if (competition is null || await session.LoadAsync<Tournament>(competition.TournamentId) is not { } tournament)
        {
            return null;
        }

        if (changed is null)
        {
            var bouts = await session.Query<Bout>().Where(b => b.CompetitionId == competitionId && !b.Struck).ToListAsync();
            return new Read(new CompetitionState(tournament, competition, bouts), position, clock.GetTimestamp());
        }

        var renewed = (await session.LoadManyAsync<Bout>(changed)).ToDictionary(b => b.Id);
        var known = before!.State.AllBouts.Select(b => renewed.GetValueOrDefault(b.Id, b));
        var added = renewed.Values.Where(b => before.State.Bout(b.Id) is null);
        return before with
        {
            State = new CompetitionState(tournament, competition, [.. known.Concat(added).Where(b => !b.Struck)]),
            Position = position,
        };
    }

    /// <summary>What was read.</summary>
    /// <param name="State">The competition.</param>
    /// <param name="Position">The position of the feed before it was read.</param>
    /// <param name="WholeAt">When all of it was read, in ticks of the clock.</param>
    private sealed record Read(CompetitionState State, long Position, long WholeAt);
}
