using BoutDesk.Domain.Competitions;
using Marten;

namespace BoutDesk.Api.EventStore;

/// <summary>
/// The competitions whose bouts are being fenced. Each touch, and each pool or tableau that is looked at after one, asks
/// for its competition, which with all of its entrants is by far the largest thing that it would read, and which hardly
/// ever changes meanwhile.
/// </summary>
internal sealed class CompetitionShelf
{
    private readonly LatestChanges changes;
    private readonly Shelf<Competition> shelf;

    public CompetitionShelf(LatestChanges changes, TimeProvider clock)
    {
        this.changes = changes;
        shelf = new Shelf<Competition>(clock, most: 100);
    }

    /// <summary>Whether what was read is kept for others. Where it is not, it is better read together with something else.</summary>
    public bool Keeps => changes.Suffice;

    /// <summary>The competition as it is now, or null. Who depends on its staying so reads it from the ledger.</summary>
    public Task<Competition?> FindAsync(IQuerySession session, string competitionId) => Keeps
        ? shelf.TakeAsync($"{session.TenantId} {competitionId}", changes.OfItself(session.TenantId, competitionId), () => session.LoadAsync<Competition>(competitionId))
        : session.LoadAsync<Competition>(competitionId);
}
