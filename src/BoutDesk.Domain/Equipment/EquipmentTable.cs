using System.Collections.Immutable;

namespace BoutDesk.Domain.Equipment;

/// <summary>How the queue at the equipment table moves.</summary>
/// <param name="Through">How many are complete.</param>
/// <param name="Waiting">How many are here and not complete.</param>
/// <param name="PerHour">
/// How many an hour became complete lately, to one decimal; null until <see cref="Enough"/> did within the last hour.
/// </param>
/// <param name="DoneAt">When all who wait will be through at that pace, up to the next minute; null without a pace, or when nobody waits.</param>
public sealed record TablePace(int Through, int Waiting, decimal? PerHour, DateTimeOffset? DoneAt)
{
    /// <summary>From so many on there is a pace.</summary>
    public const int Enough = 4;

    private static readonly TimeSpan Lately = TimeSpan.FromHours(1);

    /// <summary>
    /// The pace of the last hour, from the first who became complete in it: so a table that opened ten minutes ago is
    /// judged by these, and a table that has stopped becomes slower by the minute.
    /// </summary>
    /// <param name="through">How many are complete.</param>
    /// <param name="waiting">How many are here and not complete.</param>
    /// <param name="completed">When those became complete of whom it is known, in any order.</param>
    /// <param name="now">The moment.</param>
    public static TablePace Of(int through, int waiting, IEnumerable<DateTimeOffset> completed, DateTimeOffset now)
    {
        DateTimeOffset[] lately = [.. completed.Where(at => at > now - Lately && at <= now).Order()];
        if (lately.Length < Enough || now - lately[0] < TimeSpan.FromMinutes(1))
        {
            return new TablePace(through, waiting, null, null);
        }

        // The first one opens the span, so it is not counted in it.
        var perHour = (lately.Length - 1) / (decimal)(now - lately[0]).TotalHours;
        DateTimeOffset? doneAt = waiting == 0 ? null : UpToTheMinute(now.AddHours((double)(waiting / perHour)));
        return new TablePace(through, waiting, Math.Round(perHour, 1), doneAt);
    }

    private static DateTimeOffset UpToTheMinute(DateTimeOffset moment)
    {
        var minutes = (moment.UtcTicks + TimeSpan.TicksPerMinute - 1) / TimeSpan.TicksPerMinute;
        return new DateTimeOffset(minutes * TimeSpan.TicksPerMinute, TimeSpan.Zero);
    }
}

/// <summary>How often a kind of item failed.</summary>
/// <param name="Item">The kind.</param>
/// <param name="Checks">How many checks there were.</param>
/// <param name="Failed">How many of them failed.</param>
public sealed record FailureCount(EquipmentItem Item, int Checks, int Failed)
{
    /// <summary>The kinds that failed at all, most failures first; equal ones by fewer checks, then in the order of kinds.</summary>
    public static ImmutableArray<FailureCount> Of(IEnumerable<EquipmentRecord> records) =>
    [
        .. records.SelectMany(r => r.Checks).GroupBy(c => c.Item)
            .Select(g => new FailureCount(g.Key, g.Count(), g.Count(c => c.Verdict == Verdict.Failed)))
            .Where(f => f.Failed > 0)
            .OrderByDescending(f => f.Failed).ThenBy(f => f.Checks).ThenBy(f => f.Item),
    ];
}
