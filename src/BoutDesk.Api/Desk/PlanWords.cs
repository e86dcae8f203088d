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

    public static string Of(WhatIf other) => other switch
    {
        { Change: PlanChange.StripsFewer, Number: { } strips } => N(strips, "with {0} strip fewer", "with {0} strips fewer"),
        { Change: PlanChange.RefereesMissing, Number: { } referees } => N(referees, "when {0} referee is missing", "when {0} referees are missing"),
        { Change: PlanChange.LateEntries, Number: { } entries } => N(entries, "with {0} late entry in the largest competition", "with {0} late entries in the largest competition"),
        { Change: PlanChange.StripsMore, Number: { } more } => N(more, "with {0} strip and referee more", "with {0} strips and referees more"),
        { Change: PlanChange.NoClosures } => T("without a break"),
        _ => T("opened an hour earlier"),
    };

    public static string Time(DateTimeOffset moment) => moment.ToString("HH:mm", CultureInfo.InvariantCulture);

    public static string Span(DateTimeOffset from, DateTimeOffset to) => $"{Time(from)} – {Time(to)}";
}

/// <summary>The time that charts of plans show across, so that those of one page lie on one scale.</summary>
/// <param name="Begin">The full hour that they begin with.</param>
/// <param name="End">The full hour that they end with.</param>
/// <param name="ClosesAt">When the hall closes.</param>
public sealed record ChartTimes(DateTimeOffset Begin, DateTimeOffset End, DateTimeOffset ClosesAt)
{
    /// <summary>From the first hour of any of the plans to the last, or to the closing of the hall.</summary>
    public static ChartTimes Of(DateTimeOffset closesAt, IEnumerable<PlannedCompetition> competitions)
    {
        PlannedCompetition[] all = [.. competitions];
        var first = all.Min(c => c.From);
        var last = all.Max(c => c.To);
        last = last > closesAt ? last : closesAt;
        return new ChartTimes(first.AddMinutes(-first.Minute), last.Minute == 0 ? last : last.AddMinutes(60 - last.Minute), closesAt);
    }
}
