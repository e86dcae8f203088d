using BoutDesk.Domain.Competitions;

namespace BoutDesk.Domain.Bouts;

/// <summary>The rules of one bout.</summary>
/// <param name="Weapon">The weapon; only épée knows double touches.</param>
/// <param name="Target">The touches that win, 1 to 45.</param>
/// <param name="Periods">The number of periods, at least 1.</param>
/// <param name="Minutes">Fencing time of a period in minutes.</param>
public sealed record BoutRules(Weapon Weapon, int Target, int Periods, int Minutes)
{
    /// <summary>
    /// Whether a fencer with these touches ends the first period of a sabre bout: half of the target, rounded up, where
    /// there are several periods; 8 of 15 (Books 1 and 2, from memory; for other targets our convention).
    /// </summary>
    public bool IsSabreHalf(int touches) => Weapon == Weapon.Sabre && Periods > 1 && touches >= (Target + 1) / 2;

    /// <summary>The fencing time of a period in milliseconds; the extra minute is the period after the last.</summary>
    public int PeriodMs(int period) => 60_000 * (period > Periods ? 1 : Minutes);
}

/// <summary>The two ends of a strip, as the referee sees them.</summary>
public enum Side
{
    /// <summary>The fencer on the referee's left.</summary>
    Left,

    /// <summary>The fencer on the referee's right.</summary>
    Right,
}

/// <summary>Who a touch counts for.</summary>
public enum TouchSide
{
    /// <summary>The fencer on the left.</summary>
    Left,

    /// <summary>The fencer on the right.</summary>
    Right,

    /// <summary>Both: an épée double touch.</summary>
    Both,
}

/// <summary>The penalty cards.</summary>
public enum Card
{
    /// <summary>A warning.</summary>
    Yellow,

    /// <summary>A touch for the opponent.</summary>
    Red,

    /// <summary>Exclusion from the competition.</summary>
    Black,
}

/// <summary>The touches of both fencers.</summary>
/// <param name="Left">Touches of the fencer on the left, from 0.</param>
/// <param name="Right">Touches of the fencer on the right, from 0.</param>
public readonly record struct Score(int Left, int Right)
{
    /// <summary>The touches of one side.</summary>
    public int Of(Side side) => side == Side.Left ? Left : Right;

    /// <summary>The score with one touch more for one side.</summary>
    public Score Plus(Side side) => side == Side.Left ? this with { Left = Left + 1 } : this with { Right = Right + 1 };

    /// <summary>The side that is ahead, or null at a level score.</summary>
    public Side? Leader => Left == Right ? null : Left > Right ? Side.Left : Side.Right;
}

/// <summary>Arithmetic on sides.</summary>
public static class Sides
{
    /// <summary>The opposite end.</summary>
    public static Side Other(this Side side) => side == Side.Left ? Side.Right : Side.Left;
}
