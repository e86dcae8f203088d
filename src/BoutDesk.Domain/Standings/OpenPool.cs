using BoutDesk.Domain.Bouts;

namespace BoutDesk.Domain.Standings;

/// <summary>A number of fencers.</summary>
/// <param name="Count">The number.</param>
/// <param name="Exact">False when it may be further than what can come about; it is never short of that.</param>
internal readonly record struct Bound(int Count, bool Exact);

/// <summary>
/// A pool, for the question how many of its fencers can end ahead of a tally. Fencers are named by an index from 0, those
/// who left excepted.
/// </summary>
internal sealed class OpenPool
{
    private readonly Tally[] tallies;
    private readonly int[] openBouts;
    private readonly OpenBout[] open;
    private readonly int target;
    private readonly HoldingSearch down;
    private readonly HoldingSearch up;

    public OpenPool(PoolSoFar pool, SearchEffort effort)
    {
        target = pool.Target;
        Positions = [.. Enumerable.Range(1, pool.Fencers).Where(p => !pool.Gone.Contains(p))];
        tallies = new Tally[Positions.Length];
        openBouts = new int[Positions.Length];
        var index = new int[pool.Fencers + 1];
        for (var i = 0; i < Positions.Length; i++)
        {
            index[Positions[i]] = i;
        }

        foreach (var bout in pool.Decided)
        {
            var (left, right) = (index[bout.Left], index[bout.Right]);
            tallies[left] = tallies[left].With(bout.Winner == Side.Left, bout.Score.Left, bout.Score.Right);
            tallies[right] = tallies[right].With(bout.Winner == Side.Right, bout.Score.Right, bout.Score.Left);
        }

        open = [.. pool.Open.Select(b => b with { Left = index[b.Left], Right = index[b.Right] })];
        foreach (var bout in open)
        {
            openBouts[bout.Left]++;
            openBouts[bout.Right]++;
        }

        down = new HoldingSearch(Hold.Down, target, open, effort);
        up = new HoldingSearch(Hold.Up, target, open, effort);
    }

    /// <summary>The positions on the sheet, from 1, of the fencers.</summary>
    public int[] Positions { get; }

    /// <summary>How many fencers there are.</summary>
    public int Count => Positions.Length;

    /// <summary>
    /// The fencer's tally when he wins every open bout by as much as he can. Nothing else gives him more victories,
    /// indicator or touches, nor any of his opponents less; so it alone decides his best place.
    /// </summary>
    public Tally BestOf(int fencer) => WithOpenBouts(fencer, won: true);

    /// <summary>The fencer's tally when he loses every open bout by as much as he can, which decides his worst place.</summary>
    public Tally WorstOf(int fencer) => WithOpenBouts(fencer, won: false);

    /// <summary>The fewest fencers who can end ahead of a tally.</summary>
    /// <param name="tally">The tally.</param>
    /// <param name="whose">The fencer whose <see cref="BestOf"/> it is and who is not counted, or null if he is of another pool.</param>
    public Bound FewestAhead(Tally tally, int? whose)
    {
        var limits = new Gain[Count];
        for (var i = 0; i < limits.Length; i++)
        {
            var (victories, isExact) = VictoriesOf(i, tally);
            limits[i] = isExact
                ? new Gain(
                    victories - tallies[i].Victories,
                    tally.Indicator - tallies[i].Indicator,
                    tally.TouchesScored - tallies[i].TouchesScored)
                : new Gain(victories + 1 - tallies[i].Victories, Gain.Unreachable, 0);
        }

        var held = down.MostHeld(limits, whose);
        return held with { Count = (whose is null ? Count : Count - 1) - held.Count };
    }

    /// <summary>The most fencers who can end level with a tally or ahead of it.</summary>
    /// <param name="tally">The tally.</param>
    /// <param name="whose">The fencer whose <see cref="WorstOf"/> it is and who is not counted, or null if he is of another pool.</param>
    public Bound MostNotBehind(Tally tally, int? whose)
    {
        var limits = new Gain[Count];
        for (var i = 0; i < limits.Length; i++)
        {
            var (victories, isExact) = VictoriesOf(i, tally);
            var defeats = tallies[i].Victories + openBouts[i] - victories;
            limits[i] = isExact
                ? new Gain(
                    defeats,
                    tallies[i].Indicator - tally.Indicator,
                    tallies[i].TouchesScored - tally.TouchesScored)
                : new Gain(defeats, Gain.Unreachable, 0);
        }

        return up.MostHeld(limits, whose);
    }

    /// <summary>
    /// The victories with which a fencer has the victory ratio of a tally once all his bouts are fenced, rounded down; and
    /// whether they give it exactly. They do not always where pools have different sizes.
    /// </summary>
    private (int Victories, bool IsExact) VictoriesOf(int fencer, Tally tally)
    {
        var bouts = Math.Max(tallies[fencer].Bouts + openBouts[fencer], 1);
        var (victories, rest) = Math.DivRem(tally.Victories * bouts, Math.Max(tally.Bouts, 1));
        return (victories, rest == 0);
    }

    private Tally WithOpenBouts(int fencer, bool won)
    {
        var tally = tallies[fencer];
        foreach (var bout in open)
        {
            if (bout.Left == fencer || bout.Right == fencer)
            {
                var side = bout.Left == fencer ? Side.Left : Side.Right;
                var score = Endings.HighestVictory(bout, won ? side : side.Other(), target);
                tally = tally.With(won, score.Of(side), score.Of(side.Other()));
            }
        }

        return tally;
    }
}
