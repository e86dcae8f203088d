using System.Numerics;
using BoutDesk.Domain.Seeding;

namespace BoutDesk.Domain.Standings;

/// <summary>
/// Finds how many fencers of a pool can be held within their limits in one and the same outcome of the open bouts.
/// </summary>
/// <remarks>
/// Which sets of fencers can be held follows from <see cref="HoldableSets"/> by counting, as far as victories and indicator
/// decide and bouts have not begun. Touches scored decide only about a fencer who has exactly the victories and exactly
/// the indicator of his limit. Where that can matter, and for bouts that have begun, endings are tried one by one, each time
/// with the counts as a check of what is left.
/// </remarks>
internal sealed class HoldingSearch
{
    /// <summary>
    /// Above this the sets of fencers in question are too many to go through. Whoever can be held without the others'
    /// help, or not at all, is not in question.
    /// </summary>
    private const int MostInQuestion = 12;

    /// <summary>
    /// How many endings a first attempt may try. Most need a few; the rest are better begun anew in another order than
    /// gone on with, as an early choice that cannot lead anywhere is found out late.
    /// </summary>
    private const int FirstAttempt = 100;

    private readonly Hold hold;
    private readonly int target;
    private readonly Contest[] open;
    private readonly SearchEffort effort;
    private int endOfAttempt;

    public HoldingSearch(Hold hold, int target, IEnumerable<OpenBout> open, SearchEffort effort)
    {
        this.effort = effort;
        this.hold = hold;
        this.target = target;
        this.open = [.. open.Select(b => new Contest(b.Left, b.Right, Endings.Of(b, target, hold)))];
    }

    /// <summary>The most fencers who can be held, as an exact number or one that cannot be passed.</summary>
    /// <param name="limits">The limit of each fencer for what he gains in the open bouts.</param>
    /// <param name="except">A fencer who is not counted and gives all his opponents the least; or null.</param>
    public Bound MostHeld(Gain[] limits, int? except)
    {
        var situation = new HoldingSituation(limits, open);
        if (except is { } fencer)
        {
            situation.Dismiss(fencer);
        }

        var (held, _) = situation.DismissSettled();
        if (situation.Count > MostInQuestion)
        {
            return new Bound(held + situation.Count, Exact: false);
        }

        if (situation.Count == 0)
        {
            return new Bound(held, Exact: true);
        }

        effort.Begin();
        held += MostHeld(situation.Renumbered());
        return new Bound(held, !effort.IsSpent);
    }

    private int MostHeld(HoldingSituation situation)
    {
        var sets = Sets(situation, benefitOfDoubt: true);
        var decisive = !situation.HasBegunBout && !IsAnyInDoubt(situation);
        for (var size = situation.Count; size > 0; size--)
        {
            for (var set = 1; set <= situation.Fencers; set++)
            {
                if (BitOperations.PopCount((uint)set) == size
                    && sets.CanHold(set)
                    && (decisive || MayHold(situation, set)))
                {
                    return size;
                }
            }
        }

        return 0;
    }

    /// <summary>Whether all fencers of a set can be held, as long as the effort lasts; true when it is spent.</summary>
    private bool MayHold(HoldingSituation situation, int set)
    {
        for (var attempt = 0; !effort.IsSpent; attempt++)
        {
            // The lots are the same each time, and so is the answer.
            var lots = new DrawSeed(attempt).Lots();
            endOfAttempt = effort.Spent + (FirstAttempt << BitOperations.PopCount((uint)set) << (attempt / 3));
            if (CanHoldAll(situation.Of(set), lots) is { } answer)
            {
                return answer;
            }
        }

        return true;
    }

    /// <summary>Whether all fencers of a situation can be held, or null when the effort of the attempt is spent.</summary>
    private bool? CanHoldAll(HoldingSituation situation, LotSequence lots)
    {
        var (_, lost) = situation.DismissSettled();
        if (lost > 0)
        {
            return false;
        }

        if (situation.Count == 0)
        {
            return true;
        }

        if (effort.Spent > endOfAttempt || effort.IsSpent)
        {
            return null;
        }

        // To take a bout that has begun for one that has not only adds endings, so a no is a no.
        if (!Sets(situation, benefitOfDoubt: true).CanHold(situation.Fencers))
        {
            return false;
        }

        if (!situation.HasBegunBout
            && (!IsAnyInDoubt(situation) || Sets(situation, benefitOfDoubt: false).CanHold(situation.Fencers)))
        {
            return true;
        }

        var next = Shuffled(situation.Open, lots).MinBy(c => Urgency(situation, c));
        foreach (var ending in next.Endings.All)
        {
            var answer = CanHoldAll(situation.After(next, ending), lots);
            if (answer is not false)
            {
                return answer;
            }
        }

        return false;
    }

    private static T[] Shuffled<T>(IReadOnlyList<T> items, LotSequence lots)
    {
        T[] shuffled = [.. items];
        lots.Shuffle<T>(shuffled);
        return shuffled;
    }

    /// <summary>
    /// Bouts that have begun come first, because the counts cannot decide while there are any; then those of the fencer in
    /// doubt who has the fewest, because he soon is no more.
    /// </summary>
    private int Urgency(HoldingSituation situation, Contest contest)
    {
        return contest.Endings.IsFresh ? Math.Min(Of(contest.Left), Of(contest.Right)) : 0;

        int Of(int fencer) => IsInDoubt(situation, fencer) ? situation.BoutsOf(fencer) : int.MaxValue;
    }

    private bool IsAnyInDoubt(HoldingSituation situation)
    {
        for (var fencer = 0; fencer < situation.Limits.Length; fencer++)
        {
            if (situation.Contains(fencer) && IsInDoubt(situation, fencer))
            {
                return true;
            }
        }

        return false;
    }

    /// <summary>True when it depends on touches whether the fencer may have exactly the indicator of his limit.</summary>
    private bool IsInDoubt(HoldingSituation situation, int fencer)
    {
        var (least, most) = TouchesAtLimit(situation, fencer);
        var limit = situation.Limits[fencer].Touches;
        return least <= limit && limit < most;
    }

    /// <summary>The sets that can be held if whoever is in doubt may, or may not, have exactly the indicator of his limit.</summary>
    private HoldableSets Sets(HoldingSituation situation, bool benefitOfDoubt)
    {
        var indicators = new int[situation.Limits.Length];
        for (var fencer = 0; fencer < indicators.Length; fencer++)
        {
            var limit = situation.Limits[fencer];
            var (least, most) = TouchesAtLimit(situation, fencer);
            indicators[fencer] = limit.Touches >= (benefitOfDoubt ? least : most) ? limit.Indicator : limit.Indicator - 1;
        }

        return new HoldableSets(situation, indicators, target, effort);
    }

    /// <summary>
    /// Between how many touches a fencer gains if he gains exactly the victories and indicator of his limit, in bouts that
    /// have not begun. Touches are bounded in themselves, and by the indicator together with the touches of the opponents.
    /// </summary>
    private (int Least, int Most) TouchesAtLimit(HoldingSituation situation, int fencer)
    {
        var bouts = situation.BoutsOf(fencer);
        var indicator = situation.Limits[fencer].Indicator;
        var victories = Math.Clamp(situation.Limits[fencer].Victories, 0, bouts);
        var defeats = bouts - victories;

        // Down: the winner scores the margin, 0 to the target, and the loser nothing.
        // Up: a "victory" is a defeat by target to anything less, or by priority at one less than the target; all is negative.
        return hold == Hold.Down
            ? (Math.Max(0, indicator), Math.Min(target * victories, indicator + (target * defeats)))
            : (Math.Max(
                  -((target - 1) * victories) - (target * defeats),
                  indicator - (target * victories) - ((target - 1) * defeats)),
               Math.Min(-(target - 1) * defeats, indicator - ((target - 1) * victories)));
    }
}
