using System.Globalization;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;

namespace BoutDesk.Api.Board;

/// <summary>How far a competition is, in a line.</summary>
internal static class Progress
{
    public static string Of(CompetitionState state) => state.Stage switch
    {
        Stage.Entries => Entries(state.Competition),
        Stage.Pools when state.Competition.OpenRound is { } round => Pools(state, round),
        Stage.Pools => Text($"Pool round {state.LastRound!.Number} is closed, {state.LastRound.GoOn.Length} go on"),
        Stage.Elimination => Elimination(state),
        _ => string.Join(", ", state.Places.Where(p => p.Place == 1).Select(p => $"won by {state.Name(p.EntrantId)}")),
    };

    private static string Entries(Competition competition)
    {
        var here = competition.Entrants.Count(e => e.Status == EntrantStatus.CheckedIn);
        var fencers = Wording.Count(competition.Entrants.Length, "fencer", "fencers");
        return here == 0 ? fencers : Text($"{here} of {fencers} checked in");
    }

    private static string Pools(CompetitionState state, PoolRound round)
    {
        Bout[] bouts = [.. state.RoundBouts(round).Where(b => b.Status != BoutStatus.Annulled)];
        var which = state.Competition.Formula.Pools.Rounds > 1 ? Text($"round {round.Number}, ") : string.Empty;
        return Text($"{which}{bouts.Count(b => b.Status == BoutStatus.Decided)} of {bouts.Length} bouts fenced");
    }

    private static string Elimination(CompetitionState state)
    {
        Bout[] left = [.. state.Programme];
        return left is [var next, ..] ? Text($"{Wording.Bout(next)}, {Wording.Count(left.Length, "bout", "bouts")} to fence") : string.Empty;
    }

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
