using System.Globalization;
using BoutDesk.Domain.Forecasting;
using BoutDesk.Domain.Planning;
using BoutDesk.Domain.Tournaments;
using static BoutDesk.Api.Pages.Texts;

namespace BoutDesk.Api.Board;

/// <summary>How the pages say what is expected: to five minutes, since nobody fences by the minute.</summary>
internal static class ForecastWords
{
    private static readonly TimeSpan Step = TimeSpan.FromMinutes(5);

    /// <summary>When something begins.</summary>
    public static string About(Tournament tournament, ForecastTime time) =>
        T("about {0}, between {1} and {2}", At(tournament, time.Expected, Math.Round), At(tournament, time.From, Math.Floor), At(tournament, time.To, Math.Ceiling));

    /// <summary>When something ends.</summary>
    public static string Ends(Tournament tournament, ForecastTime time) =>
        T("ends about {0}, between {1} and {2}", At(tournament, time.Expected, Math.Round), At(tournament, time.From, Math.Floor), At(tournament, time.To, Math.Ceiling));

    /// <summary>The next bout of somebody.</summary>
    public static string NextBout(string name) => T("{0}: next bout", name);

    /// <summary>A stage of a competition with so many pool rounds.</summary>
    public static string Stage(StageKind kind, int round, int rounds) => kind switch
    {
        StageKind.Pools => rounds == 1 ? T("Pools") : T("Pool round {0}", round),
        StageKind.Tables => T("Tableau"),
        _ => T("Last eight"),
    };

    private static string At(Tournament tournament, DateTimeOffset moment, Func<decimal, decimal> whole)
    {
        var rounded = new DateTimeOffset((long)whole((decimal)moment.UtcTicks / Step.Ticks) * Step.Ticks, TimeSpan.Zero);
        return tournament.TimeAt(rounded).ToString("HH:mm", CultureInfo.InvariantCulture);
    }
}
