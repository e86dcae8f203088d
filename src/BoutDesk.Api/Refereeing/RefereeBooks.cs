using BoutDesk.Api.Planning;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Refereeing;
using BoutDesk.Domain.Tournaments;
using Marten;

namespace BoutDesk.Api.Refereeing;

/// <summary>Reads what the referees of a tournament have done and have to do.</summary>
internal static class RefereeBooks
{
    /// <summary>Reads the book of a tournament.</summary>
    /// <param name="session">The store.</param>
    /// <param name="tournament">The tournament.</param>
    /// <param name="now">The moment.</param>
    /// <param name="current">A competition as the caller has read it, taken in place of the stored one; or null.</param>
    /// <param name="cancellation">Gives up.</param>
    public static async Task<RefereeBook> ReadAsync(
        IQuerySession session, Tournament tournament, DateTimeOffset now, Competition? current, CancellationToken cancellation)
    {
        Competition[] competitions =
        [
            .. (await PlanRoutes.CompetitionsAsync(session, tournament, cancellation)).Select(c => c.Id == current?.Id ? current : c),
        ];
        var bouts = new List<Bout>();
        foreach (var competition in competitions.Where(c => c.Stage != Stage.Entries))
        {
            var (id, last) = (competition.Id, competition.Rounds.Length);
            bouts.AddRange(await session.Query<Bout>()
                .Where(b => b.CompetitionId == id && !b.Struck && (b.TableOf != null || b.Round == last)).ToListAsync(cancellation));
        }

        return new RefereeBook(tournament, competitions, bouts, now);
    }
}
