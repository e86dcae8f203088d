using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Seeding;
using BoutDesk.Domain.Standings;

namespace BoutDesk.Domain.Tests.Standings;

/// <summary>
/// Pools drawn from lots, with some bouts decided and some open. Fencers differ in strength, so that there are leaders and
/// stragglers, and scores are often close, so that there are ties.
/// </summary>
public static class PossiblePlacesPools
{
    /// <summary>A pool with the given number of open bouts, of which the given number have begun.</summary>
    public static PoolSoFar WithOpenBouts(LotSequence lots, int fencers, int target, int open, int begun = 0, params int[] gone)
    {
        var pairs = Pairs(lots, fencers);
        var strength = Strengths(lots, fencers);
        return new PoolSoFar(
            fencers,
            target,
            [.. pairs[open..].Select(p => Decided(lots, p, target, strength))],
            [.. pairs[..open].Select((p, i) => new OpenBout(p.Left, p.Right) is var bout && i < begun ? Begun(lots, bout, target) : bout)],
            gone);
    }

    /// <summary>
    /// A pool in which hardly anybody is ahead: most have beaten those who follow them on the sheet, by two touches at most.
    /// No others are as hard to search.
    /// </summary>
    public static PoolSoFar OfEquals(LotSequence lots, int fencers, int target, int open, int begun = 0, params int[] gone)
    {
        var pairs = Pairs(lots, fencers);
        return new PoolSoFar(
            fencers,
            target,
            [.. pairs[open..].Select(p => Close(lots, p, target, fencers))],
            [.. pairs[..open].Select((p, i) => new OpenBout(p.Left, p.Right) is var bout && i < begun ? Begun(lots, bout, target) : bout)],
            gone);
    }

    /// <summary>
    /// A pool with as many open bouts as have no more outcomes together than given, by lots fewer; one in four of the bouts
    /// has begun, and from one pool in four somebody has left.
    /// </summary>
    public static PoolSoFar WithFewOutcomes(LotSequence lots, int fencers, int target, long mostOutcomes)
    {
        var strength = Strengths(lots, fencers);
        int[] gone = lots.Below(4) == 0 ? [1 + lots.Below(fencers)] : [];
        var decided = new List<DecidedBout>();
        var open = new List<OpenBout>();
        var outcomes = 1L;
        foreach (var pair in Pairs(lots, fencers))
        {
            var bout = new OpenBout(pair.Left, pair.Right);
            if (lots.Below(4) == 0)
            {
                bout = Begun(lots, bout, target);
            }

            var counts = !gone.Contains(pair.Left) && !gone.Contains(pair.Right);
            var endings = counts ? PossiblePlacesEnumeration.Endings(target, bout).Length : 1;
            if (decided.Count == 0 && outcomes * endings <= mostOutcomes && lots.Below(15) > 0)
            {
                outcomes *= endings;
                open.Add(bout);
            }
            else
            {
                decided.Add(Decided(lots, pair, target, strength));
            }
        }

        return new PoolSoFar(fencers, target, decided, open, gone);
    }

    /// <summary>The pool with one of its open bouts replaced by what became of it: another open bout, or a decided one.</summary>
    public static PoolSoFar With(this PoolSoFar pool, OpenBout bout, OpenBout? goesOn = null, (Score Score, Side Winner)? ends = null) => new(
        pool.Fencers,
        pool.Target,
        ends is { } end ? [.. pool.Decided, new DecidedBout(bout.Left, bout.Right, end.Score, end.Winner)] : pool.Decided,
        [.. pool.Open.SelectMany(b => b != bout ? [b] : goesOn is { } next ? (OpenBout[])[next] : [])],
        pool.Gone);

    /// <summary>The pool after one of the outcomes of its open bouts.</summary>
    public static PoolSoFar Ended(this PoolSoFar pool, LotSequence lots) =>
        pool.Open.Aggregate(pool, (before, bout) => before.With(bout, ends: AnyEnding(lots, pool.Target, bout)));

    /// <summary>One of the endings of an open bout.</summary>
    public static (Score Score, Side Winner) AnyEnding(LotSequence lots, int target, OpenBout bout)
    {
        var endings = PossiblePlacesEnumeration.Endings(target, bout);
        return endings[lots.Below(endings.Length)];
    }

    /// <summary>The tallies of a pool, by index of the fencer.</summary>
    public static Tally[] Tallies(this PoolSoFar pool)
    {
        var tallies = new Tally[pool.Fencers];
        foreach (var (left, right, score, winner) in pool.Decided)
        {
            tallies[left - 1] = tallies[left - 1].With(winner == Side.Left, score.Left, score.Right);
            tallies[right - 1] = tallies[right - 1].With(winner == Side.Right, score.Right, score.Left);
        }

        return tallies;
    }

    /// <summary>The pool in words, to be found again.</summary>
    public static string Describe(this PoolSoFar pool) =>
        $"{pool.Fencers} fencers to {pool.Target}, gone: [{string.Join(", ", pool.Gone)}]\n  "
        + string.Join("\n  ", pool.Decided.Select(b => b.ToString()).Concat(pool.Open.Select(b => b.ToString())));

    private static (int Left, int Right)[] Pairs(LotSequence lots, int fencers)
    {
        (int, int)[] pairs =
        [
            .. from left in Enumerable.Range(1, fencers)
               from right in Enumerable.Range(left + 1, fencers - left)
               select lots.Below(2) == 0 ? (left, right) : (right, left),
        ];
        lots.Shuffle<(int, int)>(pairs);
        return pairs;
    }

    private static int[] Strengths(LotSequence lots, int fencers) =>
        [.. Enumerable.Range(0, fencers + 1).Select(_ => lots.Below(3) == 0 ? lots.Below(100) : 50)];

    private static DecidedBout Decided(LotSequence lots, (int Left, int Right) pair, int target, int[] strength)
    {
        var winner = lots.Below(100) < 50 + ((strength[pair.Left] - strength[pair.Right]) * 4 / 5) ? Side.Left : Side.Right;
        var (won, lost) = lots.Below(10) switch
        {
            < 7 => (target, lots.Below(target)),
            < 9 => lots.Below(target) is var level ? (level + 1, lots.Below(level + 1)) : default,
            _ => lots.Below(target) is var level ? (level, level) : default,
        };
        return new DecidedBout(pair.Left, pair.Right, winner == Side.Left ? new Score(won, lost) : new Score(lost, won), winner);
    }

    private static DecidedBout Close(LotSequence lots, (int Left, int Right) pair, int target, int fencers)
    {
        var ahead = (pair.Right - pair.Left + fencers) % fencers;
        var winner = (ahead * 2 <= fencers) != (lots.Below(8) == 0) ? Side.Left : Side.Right;
        var margin = lots.Below(Math.Min(target, 3));
        var won = margin == 0 ? lots.Below(target) : lots.Below(3) == 0 ? margin + lots.Below(target - margin + 1) : target;
        return new DecidedBout(
            pair.Left, pair.Right, winner == Side.Left ? new Score(won, won - margin) : new Score(won - margin, won), winner);
    }

    private static OpenBout Begun(LotSequence lots, OpenBout bout, int target)
    {
        if (lots.Below(4) > 0)
        {
            return bout with { Score = new Score(lots.Below(target), lots.Below(target)) };
        }

        var level = lots.Below(target);
        Side?[] priority = [null, Side.Left, Side.Right];
        return bout with { Score = new Score(level, level), TimeIsUp = true, Priority = priority[lots.Below(3)] };
    }
}
