using System.Numerics;

namespace BoutDesk.Domain.Standings;

/// <summary>
/// Fencers who are to be held within limits, with the open bouts among them. A set of fencers is written as a number, with
/// the bit of each fencer's index.
/// </summary>
internal sealed class HoldingSituation
{
    private readonly List<Contest> open;
    private readonly int[] opponents;

    public HoldingSituation(Gain[] limits, IEnumerable<Contest> open)
        : this(limits, (1 << limits.Length) - 1, open)
    {
    }

    private HoldingSituation(Gain[] limits, int fencers, IEnumerable<Contest> open)
    {
        Limits = limits;
        Fencers = fencers;
        this.open = [.. open];
        opponents = new int[limits.Length];
        foreach (var contest in this.open)
        {
            opponents[contest.Left] |= 1 << contest.Right;
            opponents[contest.Right] |= 1 << contest.Left;
        }
    }

    /// <summary>What each fencer may still gain.</summary>
    public Gain[] Limits { get; }

    /// <summary>The fencers.</summary>
    public int Fencers { get; private set; }

    /// <summary>How many fencers there are.</summary>
    public int Count => BitOperations.PopCount((uint)Fencers);

    /// <summary>The open bouts between them.</summary>
    public IReadOnlyList<Contest> Open => open;

    /// <summary>True when there is a bout that has begun.</summary>
    public bool HasBegunBout => open.Exists(c => !c.Endings.IsFresh);

    /// <summary>Whether the fencer is one of them.</summary>
    public bool Contains(int fencer) => ((Fencers >> fencer) & 1) != 0;

    /// <summary>Whom the fencer has still to meet.</summary>
    public int OpponentsOf(int fencer) => opponents[fencer];

    /// <summary>How many open bouts the fencer has.</summary>
    public int BoutsOf(int fencer) => BitOperations.PopCount((uint)opponents[fencer]);

    /// <summary>The situation after one of the bouts.</summary>
    public HoldingSituation After(Contest contest, GainOfBoth ending)
    {
        var limits = (Gain[])Limits.Clone();
        limits[contest.Left] -= ending.Left;
        limits[contest.Right] -= ending.Right;
        return new HoldingSituation(limits, Fencers, open.Where(c => c != contest));
    }

    /// <summary>The situation when only the fencers of a set need be held.</summary>
    public HoldingSituation Of(int set)
    {
        var situation = new HoldingSituation((Gain[])Limits.Clone(), Fencers, open);
        for (var fencer = 0; fencer < Limits.Length; fencer++)
        {
            if (((set >> fencer) & 1) == 0)
            {
                situation.Dismiss(fencer);
            }
        }

        return situation;
    }

    /// <summary>The same situation, with the fencers numbered from 0 without gaps.</summary>
    public HoldingSituation Renumbered()
    {
        int[] remaining = [.. Enumerable.Range(0, Limits.Length).Where(Contains)];
        return new HoldingSituation(
            [.. remaining.Select(f => Limits[f])],
            open.Select(c => c with { Left = Array.IndexOf(remaining, c.Left), Right = Array.IndexOf(remaining, c.Right) }));
    }

    /// <summary>Lets a fencer go who need not be held: his bouts give his opponents the least they can.</summary>
    public void Dismiss(int fencer)
    {
        for (var i = open.Count - 1; i >= 0; i--)
        {
            var (left, right, endings) = open[i];
            if (left == fencer || right == fencer)
            {
                var (opponent, least) = left == fencer ? (right, endings.Least.Right) : (left, endings.Least.Left);
                Limits[opponent] -= least;
                opponents[opponent] &= ~(1 << fencer);
                open.RemoveAt(i);
            }
        }

        opponents[fencer] = 0;
        Fencers &= ~(1 << fencer);
    }

    /// <summary>
    /// Lets those go who stay within their limits whatever they do, and those who pass them whatever they do. As each of
    /// them gives his opponents the least, that can settle others.
    /// </summary>
    /// <returns>How many were held, and how many could not be.</returns>
    public (int Held, int Lost) DismissSettled()
    {
        var (held, lost) = (0, 0);
        var least = new Gain[Limits.Length];
        var most = new Gain[Limits.Length];
        while (true)
        {
            Array.Clear(least);
            Array.Clear(most);
            foreach (var (left, right, endings) in open)
            {
                least[left] += endings.Least.Left;
                least[right] += endings.Least.Right;
                most[left] += endings.Most.Left;
                most[right] += endings.Most.Right;
            }

            var before = Fencers;
            for (var fencer = 0; fencer < Limits.Length && Fencers == before; fencer++)
            {
                if (!Contains(fencer))
                {
                    continue;
                }

                if (most[fencer].IsWithin(Limits[fencer]))
                {
                    held++;
                    Dismiss(fencer);
                }
                else if (!least[fencer].IsWithin(Limits[fencer]))
                {
                    lost++;
                    Dismiss(fencer);
                }
            }

            if (Fencers == before)
            {
                return (held, lost);
            }
        }
    }
}
