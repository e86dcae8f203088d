namespace BoutDesk.Domain.Bouts;

/// <summary>When bouts end. Events do not say it; the store knows when each was kept.</summary>
public static class BoutEnd
{
    /// <summary>
    /// The bout with the moment of its end: that of the event which ended the fencing. A later correction or confirmation
    /// does not move it, a touch taken back forgets it, and a bout decided without any fencing has none.
    /// </summary>
    /// <param name="before">The bout before the event, or null.</param>
    /// <param name="after">The bout after it.</param>
    /// <param name="keptAt">When the event was kept; taken in UTC and whole milliseconds, so that it is the same when read back.</param>
    public static Bout Note(Bout? before, Bout after, DateTimeOffset keptAt) => after with
    {
        EndedAt = !HasEnded(after) ? null : before is not null && HasEnded(before) ? before.EndedAt : InMilliseconds(keptAt),
    };

    private static DateTimeOffset InMilliseconds(DateTimeOffset moment) =>
        new(moment.UtcTicks - (moment.UtcTicks % TimeSpan.TicksPerMillisecond), TimeSpan.Zero);

    private static bool HasEnded(Bout bout) => bout is { Status: BoutStatus.Decided, Untouched: false };
}
