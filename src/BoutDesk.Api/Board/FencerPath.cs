using System.Collections.Immutable;
using BoutDesk.Domain.Bouts;

namespace BoutDesk.Api.Board;

/// <summary>A bout on a fencer's way through the tableau.</summary>
/// <param name="Card">The bout.</param>
/// <param name="Side">The side on which he stands or would stand.</param>
/// <param name="Reached">Whether he is there, or would come there by winning.</param>
/// <param name="Opponents">Who he meets or can meet, best seed first; empty for a bye.</param>
public sealed record PathStep(BoutCard Card, Side Side, bool Reached, ImmutableArray<string> Opponents)
{
    /// <summary>True when there is nobody to fence.</summary>
    public bool Bye => Card.Bout.SeatOf(Side.Other()).Vacant;

    /// <summary>Whether he won, or null while it is open.</summary>
    public bool? Won => Card.Bout.Status == BoutStatus.Decided ? Card.Bout.Winner == Side : null;
}

/// <summary>A fencer's way through the tableau: what he has fenced, and what comes as long as he wins.</summary>
internal static class FencerPath
{
    /// <summary>The bouts in order; empty when he is not in the tableau.</summary>
    public static IReadOnlyList<PathStep> Of(CompetitionState state, string entrantId)
    {
        var his = state.Tableau.Where(b => b.SideOf(entrantId) is not null).ToArray();
        var followed = his.SelectMany(b => new[] { b.WinnerTo?.BoutId, b.LoserTo?.BoutId }).ToHashSet();
        var steps = new List<PathStep>();
        for (var (bout, side) = (his.FirstOrDefault(b => !followed.Contains(b.Id)), default(Side?)); bout is not null;)
        {
            var on = side ?? bout.SideOf(entrantId)!.Value;
            var reached = bout.SeatOf(on).EntrantId == entrantId;
            var step = new PathStep(new BoutCard(state, bout), on, reached, state.Possible(bout, on.Other()));
            steps.Add(step);
            var link = step.Won == false ? bout.LoserTo : bout.WinnerTo;
            var next = link is null ? null : state.Bouts[link.BoutId];
            // Who lost and is not seated there has left the competition.
            var goesOn = next is not null && (step.Won is null || !reached || next.SeatOf(link!.Side).EntrantId == entrantId);
            (bout, side) = (goesOn ? next : null, link?.Side);
        }

        return steps;
    }
}
