namespace BoutDesk.Domain.Bouts;

/// <summary>When bouts begin and end. Events do not say it; the store knows when each was kept.</summary>
public static class BoutTimes
{
    /// <summary>
    /// The bout with the moments of its beginning and its end: those of the first event that was recorded of the fencing,
    /// and of the one which ended it. A later correction or confirmation does not move them, what is taken back forgets
    /// them, a bout decided without any fencing has neither, and one whose result alone was typed in has no beginning.
    /// </summary>
    /// <param name="before">The bout before the event, or null.</param>
    /// <param name="after">The bout after it.</param>
    /// <param name="keptAt">When the event was kept; taken in UTC and whole milliseconds, so that it is the same when read back.</param>
    public static Bout Note(Bout? before, Bout after, DateTimeOffset keptAt) => after with
    {
        BegunAt = after.Untouched ? null : before?.BegunAt ?? (after.Declared is null ? InMilliseconds(keptAt) : null),
        EndedAt = !HasEnded(after) ? null : before is not null && HasEnded(before) ? before.EndedAt : InMilliseconds(keptAt),
    };

    private static DateTimeOffset InMilliseconds(DateTimeOffset moment) =>
        new(moment.UtcTicks - (moment.UtcTicks % TimeSpan.TicksPerMillisecond), TimeSpan.Zero);

    private static bool HasEnded(Bout bout) => bout is { Status: BoutStatus.Decided, Untouched: false };
}
