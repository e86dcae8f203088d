using System.Collections.Immutable;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;

namespace BoutDesk.Domain.Elimination;

/// <summary>
/// Carries the outcome of elimination bouts to the bouts that follow from them: seats winners and losers, lets
/// somebody without an opponent through, and takes back what no longer follows after a correction.
/// </summary>
public static class Progression
{
    /// <summary>
    /// Works out what else must be kept so that every later bout agrees with the bouts before it.
    /// </summary>
    /// <param name="bouts">
    /// The bouts as they are in the store: the changed ones and all that follow from them. Not modified.
    /// </param>
    /// <param name="facts">What has been decided so far, in order.</param>
    /// <param name="gone">The entrants who will not fence any more, once the facts are kept.</param>
    /// <param name="later">
    /// <see cref="LaterDraws.Scrap"/> clears later bouts that have begun. Otherwise a change that reaches one is refused,
    /// with the later bouts concerned: a bout cannot be kept when other fencers meet in it.
    /// </param>
    public static Decision Follow(IReadOnlyDictionary<string, Bout> bouts, IEnumerable<Fact> facts, IReadOnlySet<string> gone, LaterDraws? later)
    {
        var current = new Dictionary<string, Bout>(bouts);
        var kept = new List<Fact>();
        var changed = new Queue<string>();
        foreach (var fact in facts)
        {
            Keep(fact);
        }

        var concerned = new SortedSet<string>(StringComparer.Ordinal);
        while (changed.TryDequeue(out var boutId))
        {
            LeaveOutWhoIsGone(current[boutId]);
            var bout = current[boutId];
            Place(bout.WinnerTo, WinnerSeat(bout, gone));
            Place(bout.LoserTo, LoserSeat(bout, gone));
        }

        return concerned.Count > 0
            ? new Refusal(
                RefusalReason.CorrectionHasConsequences,
                later == LaterDraws.Keep
                    ? (FormattableString)$"Bouts of the tableau cannot be kept when other fencers meet in them. To clear those that have begun and fence them again, repeat this with later set to scrap."
                    : $"Other fencers would meet in bouts that have already begun. To clear those bouts and fence them again, repeat this with later set to scrap.")
                { Concerns = [.. concerned] }
            : Decision.Accept(kept);

        // Who left after a bout was decided is not out of it; reopened or cleared, it must not wait for him.
        void LeaveOutWhoIsGone(Bout bout)
        {
            foreach (var side in new[] { Side.Left, Side.Right })
            {
                if (bout.Status != BoutStatus.Decided && bout.SeatOf(side) is { Out: false, EntrantId: { } entrantId } && gone.Contains(entrantId))
                {
                    Keep(new Fact(bout.Id, new FencerOut(side, "The fencer has left the competition since.")));
                }
            }
        }

        void Place(SeatLink? link, Seat seat)
        {
            if (link is null)
            {
                return;
            }

            var next = current[link.BoutId];
            var taken = next.SeatOf(link.Side);
            if (taken.EntrantId == seat.EntrantId && taken.Vacant == seat.Vacant)
            {
                return;
            }

            if (!next.Untouched)
            {
                if (later != LaterDraws.Scrap)
                {
                    concerned.Add(next.Id);
                }

                Keep(new Fact(next.Id, new BoutCleared($"The fencers changed by a correction of bout {link.BoutId}.")));
            }

            Keep(new Fact(next.Id, new SeatTaken(link.Side, seat)));
        }

        void Keep(Fact fact)
        {
            kept.Add(fact);
            if (fact.Event is IBoutEvent happened)
            {
                current[fact.StreamId] = Bout.Evolve(current.GetValueOrDefault(fact.StreamId), fact.StreamId, happened);
                changed.Enqueue(fact.StreamId);
            }
        }
    }

    private static Seat WinnerSeat(Bout bout, IReadOnlySet<string> gone) => bout switch
    {
        { Status: not BoutStatus.Decided } => Seat.Awaited,
        { Winner: { } winner } => Seated(bout.SeatOf(winner), gone),
        _ => Seat.Nobody,
    };

    private static Seat LoserSeat(Bout bout, IReadOnlySet<string> gone) => bout switch
    {
        { Status: not BoutStatus.Decided } => Seat.Awaited,
        { Winner: { } winner } => Seated(bout.SeatOf(winner.Other()), gone),
        _ => Seat.Nobody,
    };

    private static Seat Seated(Seat before, IReadOnlySet<string> gone) =>
        before.EntrantId is { } entrantId ? new Seat(entrantId, Out: gone.Contains(entrantId)) : Seat.Nobody;
}
