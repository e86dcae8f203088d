namespace BoutDesk.Domain.Bouts;

/// <summary>What is going on in a bout at this moment, for board and pad.</summary>
public enum BoutPhase
{
    /// <summary>Nothing was recorded and no time was fenced yet.</summary>
    Ready,

    /// <summary>The clock runs.</summary>
    Fencing,

    /// <summary>The clock stands, or nobody runs it.</summary>
    Halted,

    /// <summary>The minute between two periods.</summary>
    Pause,

    /// <summary>The minute of sabre after one fencer has reached half of the target in the first period.</summary>
    SabreBreak,

    /// <summary>A medical break.</summary>
    MedicalBreak,

    /// <summary>The minute after priority was drawn, whether the clock runs or stands.</summary>
    ExtraMinute,

    /// <summary>The bout has a winner, or does not count.</summary>
    Over,
}

/// <summary>What is to be done next in a bout.</summary>
public enum BoutStep
{
    /// <summary>Fence, or go on fencing.</summary>
    Fence,

    /// <summary>Begin the next period, or go on after a break.</summary>
    EndBreak,

    /// <summary>Draw priority.</summary>
    DrawPriority,

    /// <summary>Confirm the result.</summary>
    ConfirmResult,

    /// <summary>Wait: a fencer is not known yet.</summary>
    Await,

    /// <summary>Nothing: it is confirmed, decided without fencing, or does not count.</summary>
    Nothing,
}

/// <summary>The kinds of break that a fencer takes.</summary>
public enum BreakKind
{
    /// <summary>For an injury that the physician has seen; up to five minutes (Technical book, from memory).</summary>
    Medical,
}

/// <summary>An interruption of the fencing that has a length.</summary>
/// <param name="Phase"><see cref="BoutPhase.Pause"/>, <see cref="BoutPhase.SabreBreak"/> or <see cref="BoutPhase.MedicalBreak"/>.</param>
/// <param name="Action">Which of the recorded actions began it, from 0.</param>
/// <param name="Side">Who takes it, for a medical break.</param>
/// <param name="Since">When it began, or null when nobody said so.</param>
public readonly record struct BoutInterval(BoutPhase Phase, int Action, Side? Side = null, DateTimeOffset? Since = null)
{
    /// <summary>How long it may last, in milliseconds: a minute; for a medical break five (Books 1 and 2, from memory).</summary>
    public int LengthMs => Phase == BoutPhase.MedicalBreak ? 300_000 : 60_000;
}

/// <summary>What the clock of a bout showed at some moment. The clock is only told of; it decides nothing.</summary>
/// <param name="Period">The period that it times, from 1; the extra minute comes after the last one.</param>
/// <param name="RemainingMs">The fencing time left in the period, in milliseconds.</param>
/// <param name="At">When it showed that, or null when nobody has touched the clock in this period.</param>
/// <param name="Running">Whether it ran from then on.</param>
/// <param name="StartedAfter">How many actions had been recorded when it was last started in this period; 0 if never.</param>
public readonly record struct ClockReading(int Period, int RemainingMs, DateTimeOffset? At, bool Running, int StartedAfter)
{
    /// <summary>The longest time that a clock is set to: an hour, in milliseconds.</summary>
    public const int MostMs = 3_600_000;

    /// <summary>The fencing time left at some later moment, in milliseconds, never below 0 nor above what was left before.</summary>
    public int RemainingAt(DateTimeOffset moment)
    {
        if (!Running || At is not { } since)
        {
            return RemainingMs;
        }

        // Two devices' clocks differ, so a moment can seem to be before the start.
        var elapsed = (moment - since).Ticks / TimeSpan.TicksPerMillisecond;
        return (int)Math.Clamp(RemainingMs - elapsed, 0, RemainingMs);
    }
}
