using System.Collections.Immutable;
using BoutDesk.Domain.Bouts;

namespace BoutDesk.Domain.Standings;

/// <summary>A pool bout that has its result.</summary>
/// <param name="Left">The position of the fencer on the left, from 1.</param>
/// <param name="Right">The position of the fencer on the right, from 1.</param>
/// <param name="Score">The touches, each from 0 to the target.</param>
/// <param name="Winner">
/// Who won. It is taken as given: at a level score priority decided, and whoever was shown a black card lost whatever the touches.
/// </param>
public readonly record struct DecidedBout(int Left, int Right, Score Score, Side Winner);

/// <summary>A pool bout without a result, whether it has begun or not.</summary>
/// <param name="Left">The position of the fencer on the left, from 1.</param>
/// <param name="Right">The position of the fencer on the right, from 1.</param>
/// <param name="Score">The touches so far, each from 0 to one less than the target. They are taken to stand.</param>
/// <param name="TimeIsUp">True when time has run out at a level score, so that one more touch or priority decides.</param>
/// <param name="Priority">Who has priority, or null while it is not drawn; null unless <paramref name="TimeIsUp"/>.</param>
public readonly record struct OpenBout(int Left, int Right, Score Score = default, bool TimeIsUp = false, Side? Priority = null);

/// <summary>A pool as far as it is fenced. Immutable.</summary>
/// <remarks>A pair that has neither a decided nor an open bout does not meet.</remarks>
public sealed class PoolSoFar
{
    /// <summary>The most fencers a pool can have here, 20.</summary>
    public const int MaxFencers = 20;

    /// <summary>Makes a pool of its bouts.</summary>
    /// <param name="fencers">The number of fencers drawn into it, 1 to <see cref="MaxFencers"/>.</param>
    /// <param name="target">The touches that win a bout, 1 to 45.</param>
    /// <param name="decided">The bouts that have a result, in any order.</param>
    /// <param name="open">The bouts that have none, in any order.</param>
    /// <param name="gone">
    /// The positions of those who left before the end. Their bouts may be in the lists; they are annulled and do not count.
    /// </param>
    /// <exception cref="ArgumentOutOfRangeException">
    /// <paramref name="fencers"/>, <paramref name="target"/> or a position is outside its range.
    /// </exception>
    /// <exception cref="ArgumentException">
    /// A fencer meets himself or the same opponent twice, or a score cannot be by the rules of the bout.
    /// </exception>
    public PoolSoFar(
        int fencers,
        int target,
        IReadOnlyCollection<DecidedBout> decided,
        IReadOnlyCollection<OpenBout> open,
        IReadOnlyCollection<int>? gone = null)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(fencers, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(fencers, MaxFencers);
        ArgumentOutOfRangeException.ThrowIfLessThan(target, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(target, 45);
        Fencers = fencers;
        Target = target;
        Gone = [.. (gone ?? []).Distinct().Order()];
        foreach (var position in Gone)
        {
            CheckPosition(position);
        }

        var pairs = new HashSet<(int, int)>();
        foreach (var bout in decided)
        {
            CheckPair(bout.Left, bout.Right, pairs);
            CheckTouches(bout.Left, bout.Right, bout.Score, target);
        }

        foreach (var bout in open)
        {
            CheckPair(bout.Left, bout.Right, pairs);
            CheckTouches(bout.Left, bout.Right, bout.Score, target - 1);
            CheckTime(bout);
        }

        Decided = [.. decided.Where(b => Counts(b.Left, b.Right))];
        Open = [.. open.Where(b => Counts(b.Left, b.Right))];
    }

    /// <summary>The number of fencers drawn into it, whoever left included.</summary>
    public int Fencers { get; }

    /// <summary>The touches that win a bout.</summary>
    public int Target { get; }

    /// <summary>The bouts with a result that count.</summary>
    public ImmutableArray<DecidedBout> Decided { get; }

    /// <summary>The bouts without a result that will count.</summary>
    public ImmutableArray<OpenBout> Open { get; }

    /// <summary>The positions of those who left, from 1, ascending.</summary>
    public ImmutableArray<int> Gone { get; }

    /// <summary>How many are ranked: all but those who left.</summary>
    public int Ranked => Fencers - Gone.Length;

    /// <summary>The pool as its bouts stand.</summary>
    /// <param name="fencers">The identifiers of the entrants drawn into the pool; their order gives the positions.</param>
    /// <param name="bouts">The bouts of the pool; at least one, all by the same rules.</param>
    /// <param name="gone">Who left; may name others too.</param>
    /// <exception cref="ArgumentException">There is no bout, or one that is not of this pool.</exception>
    public static PoolSoFar Of(IReadOnlyList<string> fencers, IReadOnlyCollection<Bout> bouts, IReadOnlySet<string> gone)
    {
        if (bouts.Count == 0)
        {
            throw new ArgumentException("A pool has at least one bout.", nameof(bouts));
        }

        var positions = fencers.Select((id, i) => (id, i + 1)).ToDictionary();
        Bout[] counted = [.. bouts.Where(b => b.Status != BoutStatus.Annulled)];
        return new PoolSoFar(
            fencers.Count,
            bouts.First().Rules.Target,
            [.. counted.Where(b => b.Winner is not null).Select(b => new DecidedBout(At(b.Left), At(b.Right), b.Score, b.Winner!.Value))],
            [.. counted.Where(b => b.Winner is null).Select(OpenBoutOf)],
            [.. fencers.Where(gone.Contains).Select(id => positions[id])]);

        OpenBout OpenBoutOf(Bout bout) => new(
            At(bout.Left),
            At(bout.Right),
            bout.Score,
            bout.Course.PriorityDue || bout.Course.Priority is not null,
            bout.Course.Priority);

        int At(Seat seat) => seat.EntrantId is { } id && positions.TryGetValue(id, out var position)
            ? position
            : throw new ArgumentException($"Entrant {seat.EntrantId} is not in this pool.", nameof(bouts));
    }

    private bool Counts(int left, int right) => !Gone.Contains(left) && !Gone.Contains(right);

    private void CheckPosition(int position)
    {
        if (position < 1 || position > Fencers)
        {
            throw new ArgumentOutOfRangeException(nameof(position), position, $"Positions go from 1 to {Fencers}.");
        }
    }

    private void CheckPair(int left, int right, HashSet<(int, int)> pairs)
    {
        CheckPosition(left);
        CheckPosition(right);
        if (left == right || !pairs.Add((Math.Min(left, right), Math.Max(left, right))))
        {
            throw new ArgumentException($"Fencers {left} and {right} cannot meet, or meet twice.");
        }
    }

    private static void CheckTouches(int left, int right, Score score, int most)
    {
        if (score.Left < 0 || score.Left > most || score.Right < 0 || score.Right > most)
        {
            throw new ArgumentException($"Bout {left}-{right}: touches go from 0 to {most}.");
        }
    }

    private static void CheckTime(OpenBout bout)
    {
        if ((bout.TimeIsUp && bout.Score.Leader is not null) || (bout.Priority is not null && !bout.TimeIsUp))
        {
            throw new ArgumentException($"Bout {bout.Left}-{bout.Right}: an open bout is past its time, with or without priority, at a level score only.");
        }
    }
}
