using System.Collections.Concurrent;

namespace BoutDesk.Api.Timetables;

/// <summary>
/// Remembers what was last told of each event of a calendar, so that a calendar which somebody follows knows an event that
/// changed by its sequence number. The number is that of the second of the change, so it grows over a restart too, after
/// which everything counts as changed once.
/// </summary>
internal sealed class CalendarRevisions
{
    // Some days of a large tournament; beyond that everything counts as changed once.
    private const int Most = 50_000;

    private static readonly DateTimeOffset First = new(2026, 1, 1, 0, 0, 0, TimeSpan.Zero);

    private readonly ConcurrentDictionary<string, (string Content, DateTimeOffset At)> known = new();
    private readonly TimeProvider clock;

    public CalendarRevisions(TimeProvider clock) => this.clock = clock;

    /// <summary>When an event became as it is, to the second.</summary>
    /// <param name="uid">What identifies it.</param>
    /// <param name="content">All of it that can change.</param>
    public DateTimeOffset ChangedAt(string uid, string content)
    {
        if (known.Count > Most)
        {
            known.Clear();
        }

        var now = clock.GetUtcNow();
        var second = new DateTimeOffset(now.UtcTicks - (now.UtcTicks % TimeSpan.TicksPerSecond), TimeSpan.Zero);
        return known.AddOrUpdate(uid, _ => (content, second), (_, before) => before.Content == content ? before : (content, second)).At;
    }

    /// <summary>The sequence number of a change at some moment.</summary>
    public static int Sequence(DateTimeOffset changedAt) => (int)Math.Clamp((changedAt - First).TotalSeconds, 0, int.MaxValue);
}
