using BoutDesk.Domain.Refereeing;
using static BoutDesk.Api.Pages.Texts;

namespace BoutDesk.Api.Board;

/// <summary>How pages and sentences call what concerns referees.</summary>
internal static class RefereeWording
{
    /// <summary>A level.</summary>
    public static string Of(RefereeLevel level) => level switch
    {
        RefereeLevel.Club => T("club level"),
        RefereeLevel.Regional => T("regional"),
        RefereeLevel.National => T("national"),
        _ => T("international"),
    };

    /// <summary>What is said of a pool.</summary>
    public static string OfPool(int number, string sentence) => T("Pool {0}: {1}", number, sentence);

    /// <summary>What is said of a bout.</summary>
    public static string OfBout(string? left, string? right, string sentence) => T("{0} – {1}: {2}", left, right, sentence);

    /// <summary>One rule that stands against a referee.</summary>
    public static string Of(Bars rule) => rule switch
    {
        Bars.Level => T("level too low"),
        Bars.OwnCountry => T("own country"),
        Bars.Hours => T("not there, or in a break"),
        Bars.Elsewhere => T("has something else to referee"),
        Bars.Away => T("is away"),
        Bars.OwnClub => T("own club"),
        Bars.Fencing => T("fences himself"),
        _ => T("another weapon"),
    };
}
