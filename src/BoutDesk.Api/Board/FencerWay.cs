using System.Collections.Immutable;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Elimination;

namespace BoutDesk.Api.Board;

/// <summary>A bout on a fencer's way through the tableau.</summary>
/// <param name="Card">The bout.</param>
/// <param name="Side">The side on which he stands or would stand.</param>
/// <param name="Reached">Whether he is there, or would come there by winning.</param>
/// <param name="Opponents">Who he met, meets or can meet, best seed first; empty for a bye.</param>
public sealed record WayStep(BoutCard Card, Side Side, bool Reached, ImmutableArray<string> Opponents)
{
    /// <summary>True when there is nobody to fence.</summary>
    public bool Bye => Card.Bout.SeatOf(Side.Other()).Vacant;

    /// <summary>Whether he won, or null while it is open.</summary>
    public bool? Won => Card.Bout.Status == BoutStatus.Decided ? Card.Bout.Winner == Side : null;
}

/// <summary>A fencer's whole way through the tableau: what he has fenced, and what comes as long as he wins.</summary>
internal static class FencerWay
{
    /// <summary>The bouts in order; empty when he is not in the tableau.</summary>
    public static IReadOnlyList<WayStep> Of(CompetitionState state, string entrantId)
    {
        var steps = state.Tableau
            .Where(b => b.Status == BoutStatus.Decided && b.SideOf(entrantId) is not null)
            .Select(b => Fenced(state, b, b.SideOf(entrantId)!.Value))
            .OrderByDescending(s => s.Card.Bout.Stage!.LoserWorst)
            .ThenByDescending(s => s.Card.Bout.TableOf)
            .ToList();
        if (state.Competition.Tableau is not { } drawn || !drawn.Seeds.Contains(entrantId))
        {
            return steps;
        }

        var side = default(Side?);
        foreach (var ahead in FencerPath.Of(state.Seeded, state.Seed(entrantId)))
        {
            var bout = state.Bouts[ahead.Bout.Id];
            var on = bout.SideOf(entrantId) ?? side!.Value;
            steps.Add(new WayStep(new BoutCard(state, bout), on, bout.SideOf(entrantId) is not null, [.. ahead.Opponents.Select(seed => drawn.Seeds[seed - 1])]));
            side = bout.WinnerTo?.Side;
        }

        return steps;
    }

    private static WayStep Fenced(CompetitionState state, Bout bout, Side side) =>
        new(new BoutCard(state, bout), side, Reached: true, bout.SeatOf(side.Other()).EntrantId is { } opponent ? [opponent] : []);
}
