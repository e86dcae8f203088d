using BoutDesk.Domain.Elimination;

namespace BoutDesk.Domain.Bouts;

/// <summary>Marks what can happen to a bout; this file is the whole list.</summary>
public interface IBoutEvent;

/// <summary>The bout was put on the programme. Its fencers may not be known yet.</summary>
/// <param name="CompetitionId">The competition.</param>
/// <param name="PoolId">The pool, or null in the elimination.</param>
/// <param name="Round">The pool round from 1, or null in the elimination.</param>
/// <param name="TableOf">The table in the elimination (2 for the final), or null in a pool.</param>
/// <param name="Stage">What it is for in the elimination, or null in a pool.</param>
/// <param name="Order">The place in the order of bouts of the pool or table, from 1.</param>
/// <param name="Rules">The rules it is fenced by.</param>
/// <param name="Left">Who is on the left.</param>
/// <param name="Right">Who is on the right.</param>
/// <param name="WinnerTo">Where the winner fences next, or null.</param>
/// <param name="LoserTo">Where the loser fences next, or null.</param>
public sealed record BoutProgrammed(
    string CompetitionId,
    string? PoolId,
    int? Round,
    int? TableOf,
    TableauStage? Stage,
    int Order,
    BoutRules Rules,
    Seat Left,
    Seat Right,
    SeatLink? WinnerTo,
    SeatLink? LoserTo) : IBoutEvent;

/// <summary>A side of an elimination bout was filled, emptied or found to stay empty.</summary>
/// <param name="Side">The side.</param>
/// <param name="Seat">Who takes it now.</param>
public sealed record SeatTaken(Side Side, Seat Seat) : IBoutEvent;

/// <summary>The bout is fenced on this strip.</summary>
/// <param name="StripId">The strip, or null when it was taken off.</param>
public sealed record StripAssigned(string? StripId) : IBoutEvent;

/// <summary>A touch was scored.</summary>
/// <param name="Side">Who for.</param>
/// <param name="Score">The score after it. A double touch that does not count leaves it as it was.</param>
/// <param name="At">When, by the clock of the device that recorded it, if it said so.</param>
public sealed record TouchScored(TouchSide Side, Score Score, DateTimeOffset? At) : IBoutEvent;

/// <summary>The last touch was taken back.</summary>
/// <param name="Score">The score after it.</param>
public sealed record TouchTakenBack(Score Score) : IBoutEvent;

/// <summary>A card was shown.</summary>
/// <param name="Side">To whom.</param>
/// <param name="Card">Which card.</param>
/// <param name="Reason">The offence.</param>
/// <param name="Score">The score after it: a red card gives the opponent a touch.</param>
/// <param name="Group">The group of the offence, 1 to 4, or null when the card alone was told.</param>
public sealed record CardShown(Side Side, Card Card, string Reason, Score Score, int? Group = null) : IBoutEvent;

/// <summary>The last card was taken back.</summary>
/// <param name="Score">The score after it.</param>
public sealed record CardTakenBack(Score Score) : IBoutEvent;

/// <summary>The fencing time of a period, or the extra minute, has run out.</summary>
public sealed record TimeRanOut : IBoutEvent;

/// <summary>It was a mistake that time had run out. Priority drawn since falls away too.</summary>
public sealed record TimeTakenBack : IBoutEvent;

/// <summary>Priority was drawn by lot at a level score.</summary>
/// <param name="Side">Who has it.</param>
/// <param name="DrawSeed">The seed of the lot, or null when the referee drew it by hand.</param>
public sealed record PriorityDrawn(Side Side, long? DrawSeed) : IBoutEvent;

/// <summary>Priority is to be drawn again.</summary>
public sealed record PriorityTakenBack : IBoutEvent;

/// <summary>A fencer took a break.</summary>
/// <param name="Side">Who.</param>
/// <param name="Kind">What for.</param>
/// <param name="At">When it began, if somebody said so.</param>
public sealed record BreakTaken(Side Side, BreakKind Kind, DateTimeOffset? At) : IBoutEvent;

/// <summary>The last break was taken back.</summary>
public sealed record BreakTakenBack : IBoutEvent;

/// <summary>The clock was started.</summary>
/// <param name="RemainingMs">The fencing time it showed, in milliseconds.</param>
/// <param name="At">When.</param>
public sealed record ClockStarted(int RemainingMs, DateTimeOffset At) : IBoutEvent;

/// <summary>The clock was halted.</summary>
/// <param name="RemainingMs">The fencing time left in the period, in milliseconds.</param>
/// <param name="At">When.</param>
public sealed record ClockHalted(int RemainingMs, DateTimeOffset At) : IBoutEvent;

/// <summary>The clock was set by hand. It stands.</summary>
/// <param name="RemainingMs">The fencing time it was set to, in milliseconds.</param>
/// <param name="At">When.</param>
public sealed record ClockSet(int RemainingMs, DateTimeOffset At) : IBoutEvent;

/// <summary>The result was confirmed at the strip or typed in at the desk.</summary>
/// <param name="Score">The touches.</param>
/// <param name="Winner">The winner.</param>
public sealed record ResultRecorded(Score Score, Side Winner) : IBoutEvent;

/// <summary>The desk replaced a result.</summary>
/// <param name="Score">The touches.</param>
/// <param name="Winner">The winner.</param>
/// <param name="Reason">Why.</param>
public sealed record ResultCorrected(Score Score, Side Winner, string Reason) : IBoutEvent;

/// <summary>The desk took a result back: it was typed in for the wrong bout. What was scored at the strip stays.</summary>
/// <param name="Reason">Why.</param>
public sealed record ResultTakenBack(string Reason) : IBoutEvent;

/// <summary>What had been fenced was struck, because other fencers meet here after a correction.</summary>
/// <param name="Reason">Why.</param>
public sealed record BoutCleared(string Reason) : IBoutEvent;

/// <summary>A fencer of an elimination bout does not appear, cannot go on or was excluded; the opponent goes on.</summary>
/// <param name="Side">Who is out.</param>
/// <param name="Reason">Why.</param>
public sealed record FencerOut(Side Side, string Reason) : IBoutEvent;

/// <summary>A fencer who was out is back.</summary>
/// <param name="Side">Who.</param>
public sealed record FencerBack(Side Side) : IBoutEvent;

/// <summary>A pool bout counts no longer, because one of its fencers left.</summary>
/// <param name="EntrantId">Who left.</param>
/// <param name="Reason">Why.</param>
public sealed record BoutAnnulled(string EntrantId, string Reason) : IBoutEvent;

/// <summary>A pool bout counts again, because the fencer is back.</summary>
/// <param name="EntrantId">Who is back.</param>
public sealed record BoutRestored(string EntrantId) : IBoutEvent;

/// <summary>The round was closed over this bout; only a correction by the desk changes it now.</summary>
public sealed record BoutSealed : IBoutEvent;

/// <summary>The draw that the bout belonged to was scrapped.</summary>
/// <param name="Reason">Why.</param>
public sealed record BoutStruck(string Reason) : IBoutEvent;

/// <summary>Where the winner or loser of a bout goes.</summary>
/// <param name="BoutId">The next bout.</param>
/// <param name="Side">The side there.</param>
public sealed record SeatLink(string BoutId, Side Side);

/// <summary>A side of a bout: a fencer, somebody not known yet, or nobody at all.</summary>
/// <param name="EntrantId">The fencer, or null.</param>
/// <param name="Vacant">True when nobody will come: a bye, or both fencers of the bout before are out.</param>
/// <param name="Out">True when the fencer does not fence it.</param>
public sealed record Seat(string? EntrantId, bool Vacant = false, bool Out = false)
{
    /// <summary>Somebody not known yet.</summary>
    public static Seat Awaited { get; } = new((string?)null);

    /// <summary>Nobody.</summary>
    public static Seat Nobody { get; } = new(null, Vacant: true);

    /// <summary>True when it is known who comes, or that nobody does.</summary>
    public bool IsKnown => EntrantId is not null || Vacant;

    /// <summary>True when a fencer is there who can win the bout.</summary>
    public bool CanWin => EntrantId is not null && !Out;
}
