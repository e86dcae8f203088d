using BoutDesk.Domain.Bouts;

namespace BoutDesk.Domain.Standings;

/// <summary>
/// What bouts add to a tally, or how much they may add. Ordered as tallies of as many bouts are: by victories, then
/// indicator, then touches.
/// </summary>
/// <param name="Victories">Victories; defeats for a fencer who is to be held up.</param>
/// <param name="Indicator">Touches scored less touches received; the other way round for a fencer who is to be held up.</param>
/// <param name="Touches">Touches scored; as a negative number for a fencer who is to be held up.</param>
internal readonly record struct Gain(int Victories, int Indicator, int Touches)
{
    /// <summary>An indicator that nobody stays within: the limit of who may not have all the victories allowed.</summary>
    public const int Unreachable = -1_000_000;

    /// <summary>What one bout adds.</summary>
    public static Gain Of(bool won, int scored, int received) => new(won ? 1 : 0, scored - received, scored);

    /// <summary>The same bout counted for a fencer who is to be held up: the more he does, the less it is.</summary>
    public Gain Upwards() => new(1 - Victories, -Indicator, -Touches);

    /// <summary>True when this is not more than the limit.</summary>
    public bool IsWithin(Gain limit) =>
        Victories != limit.Victories ? Victories < limit.Victories
        : Indicator != limit.Indicator ? Indicator < limit.Indicator
        : Touches <= limit.Touches;

    public static Gain operator +(Gain left, Gain right) =>
        new(left.Victories + right.Victories, left.Indicator + right.Indicator, left.Touches + right.Touches);

    public static Gain operator -(Gain left, Gain right) =>
        new(left.Victories - right.Victories, left.Indicator - right.Indicator, left.Touches - right.Touches);
}

/// <summary>What either fencer of a bout gains.</summary>
internal readonly record struct GainOfBoth(Gain Left, Gain Right);

/// <summary>An open bout between two fencers, named by their index, and how it can end.</summary>
internal readonly record struct Contest(int Left, int Right, Endings Endings);

/// <summary>
/// How an open bout can end, as far as it matters to who wants to hold both fencers within limits: every other ending has
/// one here that gives neither of them more.
/// </summary>
internal sealed class Endings
{
    private Endings(bool isFresh, GainOfBoth[] all)
    {
        IsFresh = isFresh;
        All = all;
        Least = all[0];
        Most = all[0];
        foreach (var (left, right) in all)
        {
            Least = new GainOfBoth(left.IsWithin(Least.Left) ? left : Least.Left, right.IsWithin(Least.Right) ? right : Least.Right);
            Most = new GainOfBoth(left.IsWithin(Most.Left) ? Most.Left : left, right.IsWithin(Most.Right) ? Most.Right : right);
        }
    }

    /// <summary>True when no touch was scored and time has not run out, so that either can win by any margin.</summary>
    public bool IsFresh { get; }

    /// <summary>The endings.</summary>
    public GainOfBoth[] All { get; }

    /// <summary>The least that either can gain; not both at once.</summary>
    public GainOfBoth Least { get; }

    /// <summary>The most that either can gain; not both at once.</summary>
    public GainOfBoth Most { get; }

    /// <summary>
    /// The endings for who wants to hold fencers down or up. Of those with the same winner and margin, one with the fewest
    /// touches holds both down, and one with the most touches holds both up.
    /// </summary>
    public static Endings Of(OpenBout bout, int target, Hold hold)
    {
        var all = new List<GainOfBoth>();
        foreach (var winner in new[] { Side.Left, Side.Right })
        {
            var (least, most) = Margins(bout, winner, target);
            for (var margin = least; margin <= most; margin++)
            {
                var (left, right) = hold == Hold.Down
                    ? WithFewestTouches(bout, winner, margin)
                    : WithMostTouches(bout, winner, margin, target);
                var gain = new GainOfBoth(Gain.Of(winner == Side.Left, left, right), Gain.Of(winner == Side.Right, right, left));
                all.Add(hold == Hold.Down ? gain : new GainOfBoth(gain.Left.Upwards(), gain.Right.Upwards()));
            }
        }

        // Touches are what a search by these endings runs short of: the frugal ones come first.
        return new Endings(
            bout is { Score: { Left: 0, Right: 0 }, TimeIsUp: false },
            [.. all.OrderBy(g => g.Left.Touches + g.Right.Touches)]);
    }

    /// <summary>The score at which a side wins by as much as it still can.</summary>
    public static Score HighestVictory(OpenBout bout, Side winner, int target) =>
        WithFewestTouches(bout, winner, Margins(bout, winner, target).Most);

    /// <summary>
    /// The margins by which a side can win. Once time is up one touch decides, or none for the side with priority. Before,
    /// every margin is possible that the opponent's touches leave.
    /// </summary>
    private static (int Least, int Most) Margins(OpenBout bout, Side winner, int target) => bout.TimeIsUp
        ? (bout.Priority == winner.Other() ? 1 : 0, 1)
        : (0, target - bout.Score.Of(winner.Other()));

    private static Score WithFewestTouches(OpenBout bout, Side winner, int margin)
    {
        var loser = Math.Max(bout.Score.Of(winner.Other()), bout.Score.Of(winner) - margin);
        return Between(winner, loser + margin, loser);
    }

    private static Score WithMostTouches(OpenBout bout, Side winner, int margin, int target)
    {
        if (bout.TimeIsUp)
        {
            return WithFewestTouches(bout, winner, margin);
        }

        // Two fencers cannot both reach the target: priority decides at one touch less, at most.
        return margin == 0 ? new Score(target - 1, target - 1) : Between(winner, target, target - margin);
    }

    private static Score Between(Side winner, int won, int lost) =>
        winner == Side.Left ? new Score(won, lost) : new Score(lost, won);
}

/// <summary>In which direction fencers are held.</summary>
internal enum Hold
{
    /// <summary>They are not to get ahead of a tally.</summary>
    Down,

    /// <summary>They are not to fall behind a tally.</summary>
    Up,
}
