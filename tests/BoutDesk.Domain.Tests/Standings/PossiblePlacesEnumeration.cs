using System.Collections.Concurrent;
using System.Collections.Immutable;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Standings;

namespace BoutDesk.Domain.Tests.Standings;

/// <summary>Possible places the slow way: every outcome of all open bouts of a round together, with all scores.</summary>
public static class PossiblePlacesEnumeration
{
    private static readonly ConcurrentDictionary<(int Target, OpenBout Bout), (Score Score, Side Winner)[]> Known = [];

    /// <summary>
    /// How an open bout can end: whatever is reached by calling touches, doubles, time, priority and, between time and
    /// priority, red cards, as the bout itself follows them.
    /// </summary>
    public static (Score Score, Side Winner)[] Endings(int target, OpenBout bout) =>
        Known.GetOrAdd((target, bout with { Left = 1, Right = 2 }), key => FollowAll(key.Target, key.Bout));

    /// <summary>The best and worst place of each position of each pool over all outcomes; null for who left.</summary>
    public static (int Best, int Worst)?[][] Places(IReadOnlyList<PoolSoFar> pools)
    {
        int[] start = [.. pools.Select((_, p) => pools.Take(p).Sum(q => q.Fencers))];
        Tally[] tallies = [.. pools.SelectMany(p => p.Tallies())];
        bool[] ranked = [.. pools.SelectMany(p => Enumerable.Range(1, p.Fencers).Select(f => !p.Gone.Contains(f)))];
        (int Left, int Right, (Score Score, Side Winner)[] Endings)[] open =
        [
            .. pools.SelectMany((p, i) => p.Open.Select(b => (start[i] + b.Left - 1, start[i] + b.Right - 1, Endings(p.Target, b)))),
        ];
        var best = new int[tallies.Length];
        var worst = new int[tallies.Length];
        Array.Fill(best, int.MaxValue);
        TryAll(0);
        return
        [
            .. pools.Select((p, i) => Enumerable.Range(start[i], p.Fencers)
                .Select(f => ranked[f] ? (best[f], worst[f]) : ((int, int)?)null)
                .ToArray()),
        ];

        void TryAll(int bout)
        {
            if (bout == open.Length)
            {
                Note();
                return;
            }

            var (left, right, endings) = open[bout];
            var (before, beforeOther) = (tallies[left], tallies[right]);
            foreach (var (score, winner) in endings)
            {
                tallies[left] = before.With(winner == Side.Left, score.Left, score.Right);
                tallies[right] = beforeOther.With(winner == Side.Right, score.Right, score.Left);
                TryAll(bout + 1);
            }

            (tallies[left], tallies[right]) = (before, beforeOther);
        }

        void Note()
        {
            for (var f = 0; f < tallies.Length; f++)
            {
                var (ahead, level) = (0, 0);
                for (var other = 0; other < tallies.Length; other++)
                {
                    if (ranked[other] && other != f)
                    {
                        var order = tallies[other].CompareTo(tallies[f]);
                        ahead += order < 0 ? 1 : 0;
                        level += order == 0 ? 1 : 0;
                    }
                }

                best[f] = Math.Min(best[f], 1 + ahead);
                worst[f] = Math.Max(worst[f], 1 + ahead + level);
            }
        }
    }

    private static (Score Score, Side Winner)[] FollowAll(int target, OpenBout bout)
    {
        var rules = new BoutRules(Weapon.Epee, target, 1, 3);
        var endings = new HashSet<(Score, Side)>();
        var seen = new HashSet<BoutCourse>();
        Follow(
        [
            .. Enumerable.Repeat(Touch(Side.Left), bout.Score.Left),
            .. Enumerable.Repeat(Touch(Side.Right), bout.Score.Right),
            .. bout.TimeIsUp ? [new BoutAction(BoutActionKind.Time, default)] : (BoutAction[])[],
            .. bout.Priority is { } priority ? [new BoutAction(BoutActionKind.Priority, priority)] : (BoutAction[])[],
        ]);
        return [.. endings];

        void Follow(ImmutableArray<BoutAction> actions)
        {
            var course = Bout.Follow(rules, actions);
            if (course.Winner is { } winner)
            {
                endings.Add((course.Score, winner));
            }
            else if (seen.Add(course))
            {
                foreach (var next in course.PriorityDue ? CallsWhenPriorityIsDue : Calls)
                {
                    Follow(actions.Add(next));
                }
            }
        }
    }

    private static BoutAction Touch(Side side) => new(BoutActionKind.Touch, side);

    private static readonly BoutAction[] Calls =
    [
        Touch(Side.Left),
        Touch(Side.Right),
        new(BoutActionKind.DoubleTouch, default),
        new(BoutActionKind.Time, default),
    ];

    private static readonly BoutAction[] CallsWhenPriorityIsDue =
    [
        new(BoutActionKind.Priority, Side.Left),
        new(BoutActionKind.Priority, Side.Right),
        new(BoutActionKind.Card, Side.Left, Card.Red),
        new(BoutActionKind.Card, Side.Right, Card.Red),
    ];
}
