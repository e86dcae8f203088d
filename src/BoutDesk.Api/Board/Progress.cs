using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;
using static BoutDesk.Api.Pages.Texts;

namespace BoutDesk.Api.Board;

/// <summary>How far a competition is, in a line.</summary>
internal static class Progress
{
    public static string Of(CompetitionState state) => state.Stage switch
    {
        Stage.Entries => Entries(state.Competition),
        Stage.Pools when state.Competition.OpenRound is { } round => Pools(state, round),
        Stage.Pools => T("Pool round {0} is closed, {1} go on", state.LastRound!.Number, state.LastRound.GoOn.Length),
        Stage.Elimination => Elimination(state),
        _ => string.Join(", ", state.Places.Where(p => p.Place == 1).Select(p => T("won by {0}", state.Name(p.EntrantId)))),
    };

    private static string Entries(Competition competition)
    {
        var here = competition.Entrants.Count(e => e.Status == EntrantStatus.CheckedIn);
        var entered = competition.Entrants.Length;
        return here == 0
            ? N(entered, "{0} fencer", "{0} fencers")
            : N(entered, "{1} of {0} fencer checked in", "{1} of {0} fencers checked in", here);
    }

    private static string Pools(CompetitionState state, PoolRound round)
    {
        Bout[] bouts = [.. state.RoundBouts(round).Where(b => b.Status != BoutStatus.Annulled)];
        var fenced = N(bouts.Length, "{1} of {0} bout fenced", "{1} of {0} bouts fenced", bouts.Count(b => b.Status == BoutStatus.Decided));
        return state.Competition.Formula.Pools.Rounds > 1 ? T("round {0}, {1}", round.Number, fenced) : fenced;
    }

    private static string Elimination(CompetitionState state)
    {
        Bout[] left = [.. state.Programme];
        return left is [var next, ..] ? N(left.Length, "{1}, {0} bout to fence", "{1}, {0} bouts to fence", Wording.Bout(next)) : string.Empty;
    }
}
