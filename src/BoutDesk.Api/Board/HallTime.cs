using BoutDesk.Domain.Tournaments;

namespace BoutDesk.Api.Board;

/// <summary>The clock on the wall of the hall.</summary>
internal static class HallTime
{
    /// <summary>A moment by the time zone of the venue.</summary>
    public static DateTimeOffset TimeAt(this Tournament tournament, DateTimeOffset moment) =>
        TimeZoneInfo.ConvertTime(moment, TimeZoneInfo.FindSystemTimeZoneById(tournament.TimeZone));

    /// <summary>The end of the day at the venue: the midnight that comes next.</summary>
    public static DateTimeOffset EndOfDay(this Tournament tournament, DateTimeOffset moment)
    {
        var midnight = tournament.TimeAt(moment).Date.AddDays(1);
        return new DateTimeOffset(midnight, TimeZoneInfo.FindSystemTimeZoneById(tournament.TimeZone).GetUtcOffset(midnight));
    }
}
