using BoutDesk.Domain.Tournaments;

namespace BoutDesk.Api.Board;

/// <summary>The clock on the wall of the hall.</summary>
internal static class HallTime
{
    /// <summary>A moment by the time zone of the venue.</summary>
    public static DateTimeOffset TimeAt(this Tournament tournament, DateTimeOffset moment) =>
        TimeZoneInfo.ConvertTime(moment, TimeZoneInfo.FindSystemTimeZoneById(tournament.TimeZone));

    /// <summary>The moment at which the clock on the wall shows a time.</summary>
    public static DateTimeOffset Moment(this Tournament tournament, DateTime shown) =>
        new(shown, TimeZoneInfo.FindSystemTimeZoneById(tournament.TimeZone).GetUtcOffset(shown));

    /// <summary>The end of the day at the venue: the midnight that comes next.</summary>
    public static DateTimeOffset EndOfDay(this Tournament tournament, DateTimeOffset moment) =>
        tournament.Moment(tournament.TimeAt(moment).Date.AddDays(1));
}
