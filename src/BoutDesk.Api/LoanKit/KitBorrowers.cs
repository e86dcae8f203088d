using System.Collections.Immutable;
using BoutDesk.Api.Competitions;
using BoutDesk.Domain;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.LoanKit;
using Marten;

namespace BoutDesk.Api.LoanKit;

/// <summary>Somebody who has loan kit.</summary>
/// <param name="Entrant">The entrant.</param>
/// <param name="Competition">The entrant's competition.</param>
/// <param name="Due">Why the kit is to be fetched, or null.</param>
internal sealed record KitBorrower(Entrant Entrant, Competition Competition, DueReason? Due);

/// <summary>Looks up who has loan kit.</summary>
internal sealed class KitBorrowers
{
    private readonly ImmutableDictionary<string, (Competition Competition, bool Finished)> competitions;

    private KitBorrowers(ImmutableDictionary<string, (Competition Competition, bool Finished)> competitions) => this.competitions = competitions;

    /// <summary>Reads the competitions of those who have something.</summary>
    public static async Task<KitBorrowers> OfAsync(IQuerySession session, IEnumerable<KitItem> items, CancellationToken cancellation)
    {
        string[] ids = [.. items.Select(i => i.BorrowerId).OfType<string>().Select(Identifiers.CompetitionOf).OfType<string>().Distinct()];
        var competitions = ImmutableDictionary.CreateBuilder<string, (Competition, bool)>();
        foreach (var competition in ids.Length == 0 ? [] : await session.LoadManyAsync<Competition>(cancellation, ids))
        {
            var stage = await CompetitionRoutes.StageAsync(session, competition, cancellation);
            competitions[competition.Id] = (competition, stage == Stage.Finished);
        }

        return new KitBorrowers(competitions.ToImmutable());
    }

    /// <summary>An entrant of these competitions, or null.</summary>
    public KitBorrower? Find(string? entrantId) =>
        entrantId is not null
        && Identifiers.CompetitionOf(entrantId) is { } competitionId
        && competitions.TryGetValue(competitionId, out var of)
        && of.Competition.Entrant(entrantId) is { } entrant
            ? new KitBorrower(entrant, of.Competition, entrant.Gone ? DueReason.FencerLeft : of.Finished ? DueReason.CompetitionFinished : null)
            : null;
}
