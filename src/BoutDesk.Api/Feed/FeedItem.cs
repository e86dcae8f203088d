using BoutDesk.Api.Bouts;
using BoutDesk.Api.EventStore;
using BoutDesk.Domain;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Equipment;
using JasperFx.Events;

namespace BoutDesk.Api.Feed;

/// <summary>Something that happened, as everybody may know it.</summary>
/// <param name="What">What happened.</param>
/// <param name="At">When it was kept.</param>
/// <param name="CompetitionId">The competition, or null.</param>
/// <param name="PoolId">The pool, or null.</param>
/// <param name="BoutId">The bout, or null.</param>
/// <param name="EntrantId">The entrant, or null.</param>
/// <param name="Score">The touches after it, for what changes them.</param>
/// <param name="Winner">The winner, for a result.</param>
internal sealed record FeedItem(
    string What,
    DateTimeOffset At,
    string? CompetitionId,
    string? PoolId,
    string? BoutId,
    string? EntrantId,
    ScoreView? Score,
    Side? Winner)
{
    /// <summary>
    /// What the public is told of an event. Names, years of birth and reasons are not in it: a reader of the feed looks
    /// up what he may see.
    /// </summary>
    public static FeedItem Of(IEvent kept)
    {
        var id = kept.StreamKey!;
        var isBout = kept.Data is IBoutEvent;
        return new FeedItem(
            EventNames.Of(kept.Data),
            kept.Timestamp,
            Identifiers.CompetitionOf(id) ?? (kept.Data is ICompetitionEvent ? id : (kept.Data as Domain.Tournaments.CompetitionAdded)?.CompetitionId),
            isBout ? Identifiers.PoolOf(id) : null,
            isBout ? id : null,
            kept.Data switch
            {
                EntrantEntered e => e.EntrantId,
                EntrantCorrected e => e.EntrantId,
                EntrantCheckedIn e => e.EntrantId,
                EntrantMarkedAbsent e => e.EntrantId,
                EntrantWithdrew e => e.EntrantId,
                EntrantExcluded e => e.EntrantId,
                EntrantReinstated e => e.EntrantId,
                EquipmentChecked => Identifiers.EntrantOf(id),
                _ => null,
            },
            kept.Data switch
            {
                TouchScored e => ScoreView.Of(e.Score),
                TouchTakenBack e => ScoreView.Of(e.Score),
                CardShown e => ScoreView.Of(e.Score),
                CardTakenBack e => ScoreView.Of(e.Score),
                ResultRecorded e => ScoreView.Of(e.Score),
                ResultCorrected e => ScoreView.Of(e.Score),
                _ => null,
            },
            kept.Data switch
            {
                ResultRecorded e => e.Winner,
                ResultCorrected e => e.Winner,
                _ => null,
            });
    }
}
