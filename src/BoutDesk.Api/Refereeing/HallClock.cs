using System.Globalization;
using BoutDesk.Domain.Refereeing;

namespace BoutDesk.Api.Refereeing;

/// <summary>Times of the day by the clock of the hall, as people write them: 09:00, and 12:00-12:45 for a span.</summary>
internal static class HallClock
{
    private const int Midnight = 24 * 60;

    /// <summary>The minutes since midnight, or null when it is no time of the day; 24:00 is the end of the day.</summary>
    public static int? Minute(string? text) => text == "24:00"
        ? Midnight
        : TimeOnly.TryParseExact(text, ["H:mm", "HH:mm"], CultureInfo.InvariantCulture, DateTimeStyles.None, out var time)
            ? (time.Hour * 60) + time.Minute
            : null;

    /// <summary>The span, or null when it is none.</summary>
    public static HallSpan? Span(string? text) => text?.Split(['-', '–']) is [var from, var to] && Minute(from.Trim()) is { } begin && Minute(to.Trim()) is { } end
        ? new HallSpan(begin, end)
        : null;

    /// <summary>A time as it is written.</summary>
    public static string? Text(int? minute) =>
        minute is { } at ? string.Create(CultureInfo.InvariantCulture, $"{at / 60:00}:{at % 60:00}") : null;

    /// <summary>A span as it is written.</summary>
    public static string Text(HallSpan span) => $"{Text(span.From)}-{Text(span.To)}";
}
