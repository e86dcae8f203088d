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
/// <param name="Clock">What the clock shows, for what was done to it.</param>
internal sealed record FeedItem(
    string What,
    DateTimeOffset At,
    string? CompetitionId,
    string? PoolId,
    string? BoutId,
    string? EntrantId,
    ScoreView? Score,
    Side? Winner,
    FeedClock? Clock = null)
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
                CheckInTakenBack e => e.EntrantId,
                EntrantMarkedAbsent e => e.EntrantId,
                EntrantWithdrew e => e.EntrantId,
                EntrantExcluded e => e.EntrantId,
                EntrantReinstated e => e.EntrantId,
                EntrantErased e => e.EntrantId,
                IEquipmentEvent => Identifiers.EntrantOf(id),
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
            },
            kept.Data switch
            {
                ClockStarted e => new FeedClock(e.RemainingMs, e.At),
                ClockHalted e => new FeedClock(e.RemainingMs, null),
                ClockSet e => new FeedClock(e.RemainingMs, null),
                _ => null,
            });
    }
}

/// <summary>What a clock shows.</summary>
/// <param name="RemainingMs">The fencing time left, in milliseconds: now when it stands, at runningSince when it runs.</param>
/// <param name="RunningSince">Since when it runs, or null when it stands.</param>
internal sealed record FeedClock(int RemainingMs, DateTimeOffset? RunningSince);
