using System.Globalization;
using BoutDesk.Domain.Entries;

namespace BoutDesk.Api.Board;

/// <summary>Finds fencers by a part of their name or club, however it is written.</summary>
internal static class FencerSearch
{
    /// <summary>The fencers of a tournament who fit, by name.</summary>
    /// <param name="state">The tournament.</param>
    /// <param name="part">A part of a name, family name first or last, or of a club.</param>
    public static (CompetitionState State, Entrant Entrant)[] Of(TournamentState state, string part)
    {
        return
        [
            .. state.Competitions.SelectMany(c => c.Competition.Entrants.Where(Fits).Select(e => (State: c, Entrant: e)))
                .OrderBy(f => f.Entrant.Details.Name, Wording.Alphabet),
        ];

        bool Fits(Entrant entrant) => Has(entrant.Details.Name) || Has($"{entrant.Details.GivenName} {entrant.Details.FamilyName}") || Has(entrant.Details.Club ?? string.Empty);

        bool Has(string text) =>
            CultureInfo.InvariantCulture.CompareInfo.IndexOf(text, part, CompareOptions.IgnoreCase | CompareOptions.IgnoreNonSpace) >= 0;
    }
}
