using System.Globalization;
using BoutDesk.Api.Planning;
using BoutDesk.Domain.Planning;
using static BoutDesk.Api.Pages.Texts;

namespace BoutDesk.Api.Desk;

/// <summary>How the page of the day plan calls things.</summary>
internal static class PlanWords
{
    public static string Of(PlannedStageView stage) => Of(stage.Kind, stage.Round);

    public static string Of(StageKind kind, int round) => kind switch
    {
        StageKind.Pools => round > 1 ? T("Pools, round {0}", round) : T("Pools"),
        StageKind.Tables => T("Tableau"),
        _ => T("Last eight"),
    };

    public static string Of(PlanChange change) => change switch
    {
        PlanChange.OneStripFewer => T("with one strip fewer"),
        PlanChange.OneStripMore => T("with one strip and one referee more"),
        PlanChange.TwoStripsMore => T("with two strips and two referees more"),
        PlanChange.TwoRefereesFewer => T("when two referees are missing"),
        PlanChange.TwelveLateEntries => T("with twelve late entries in the largest competition"),
        PlanChange.NoClosures => T("without a break"),
        _ => T("opened an hour earlier"),
    };

    public static string Time(DateTimeOffset moment) => moment.ToString("HH:mm", CultureInfo.InvariantCulture);

    public static string Span(DateTimeOffset from, DateTimeOffset to) => $"{Time(from)} – {Time(to)}";
}
