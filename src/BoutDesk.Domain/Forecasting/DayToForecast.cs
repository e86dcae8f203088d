using System.Collections.Immutable;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Planning;

namespace BoutDesk.Domain.Forecasting;

/// <summary>What is left of a day at some moment.</summary>
/// <param name="Now">The moment.</param>
/// <param name="Strips">The strips there are; with none, as many as wanted are taken to be there.</param>
/// <param name="Competitions">The competitions that are not finished.</param>
/// <param name="Closures">When nothing is fenced, such as lunch; what is under way goes on after it.</param>
/// <param name="ClosesAt">When the hall closes, or null.</param>
public sealed record DayToForecast(
    DateTimeOffset Now,
    ImmutableArray<string> Strips,
    ImmutableArray<CompetitionToForecast> Competitions,
    ImmutableArray<ClosedTime> Closures,
    DateTimeOffset? ClosesAt);

/// <summary>What is left of a competition.</summary>
/// <param name="Id">The identifier.</param>
/// <param name="PoolBouts">How long its pool bouts take.</param>
/// <param name="EliminationBouts">How long its elimination bouts take.</param>
/// <param name="Contenders">Who can still fence in it.</param>
/// <param name="Stages">The stages that are not over, first to last.</param>
/// <param name="FreeFrom">From when the first of them can be fenced; null for at once.</param>
/// <param name="Strips">The strips that serve its weapon, of those of the day; left out, or none, when all do.</param>
public sealed record CompetitionToForecast(
    string Id,
    BoutLengths PoolBouts,
    BoutLengths EliminationBouts,
    ImmutableArray<Contender> Contenders,
    ImmutableArray<StageToForecast> Stages,
    DateTimeOffset? FreeFrom,
    ImmutableArray<string> Strips = default);

/// <summary>How long the bouts of a kind take, their change-over included.</summary>
/// <param name="UsualMinutes">The mean that was planned with, in minutes, more than 0.</param>
/// <param name="Spread">The standard deviation in shares of the mean, from 0.</param>
/// <param name="Measured">What was measured on the day, in minutes, each more than 0.</param>
public sealed record BoutLengths(decimal UsualMinutes, decimal Spread, ImmutableArray<decimal> Measured)
{
    /// <summary>Pool bouts end by touches or by time; some are over in a minute. From memory of practice.</summary>
    public const decimal UsualPoolSpread = 0.4m;

    /// <summary>Elimination bouts. From memory of practice.</summary>
    public const decimal UsualEliminationSpread = 0.35m;
}

/// <summary>Somebody who can still fence in a competition.</summary>
/// <param name="EntrantId">The entrant.</param>
/// <param name="Person">Who it is: the same for entries of one person in several competitions.</param>
/// <param name="RestedAt">Until when he rests from his last elimination bout, or null.</param>
public sealed record Contender(string EntrantId, string Person, DateTimeOffset? RestedAt = null);

/// <summary>A stage of a competition, as far as it is not over.</summary>
/// <param name="Kind">What is fenced.</param>
/// <param name="Round">The pool round, from 1; 0 in the elimination.</param>
/// <param name="Drawn">Whether it is drawn; if not, a pause for the draw lies before it, and who fences where is drawn by lot.</param>
/// <param name="Turns">What is fenced in it, in the order in which strips are taken.</param>
/// <param name="BegunAt">When it began, or null.</param>
/// <param name="PlannedFrom">Before when it does not begin, or null.</param>
/// <param name="PlannedTo">When it was to end, or null.</param>
public sealed record StageToForecast(
    StageKind Kind,
    int Round,
    bool Drawn,
    ImmutableArray<TurnToForecast> Turns,
    DateTimeOffset? BegunAt = null,
    DateTimeOffset? PlannedFrom = null,
    DateTimeOffset? PlannedTo = null);

/// <summary>What is fenced on one strip without leaving it: the bouts of a pool in their order, or one elimination bout.</summary>
/// <param name="StripId">The strip that it was put on; null for any.</param>
/// <param name="UnderWay">Whether it has its strip already.</param>
/// <param name="Bouts">The bouts that are not over.</param>
public sealed record TurnToForecast(string? StripId, bool UnderWay, ImmutableArray<BoutToForecast> Bouts);

/// <summary>A bout that is not over.</summary>
/// <param name="Id">The identifier; in a stage that is not drawn any text that no other bout has.</param>
/// <param name="Left">Who is on the left.</param>
/// <param name="Right">Who is on the right.</param>
/// <param name="Since">Since when it holds its strip; null when it has not begun.</param>
/// <param name="WinnerTo">Where the winner goes, or null.</param>
/// <param name="LoserTo">Where the loser goes, or null.</param>
/// <param name="Unseen">True when it holds its strip, but nothing was recorded of it: it is told to begin now.</param>
public sealed record BoutToForecast(
    string Id,
    ForecastSeat Left,
    ForecastSeat Right,
    DateTimeOffset? Since = null,
    SeatLink? WinnerTo = null,
    SeatLink? LoserTo = null,
    bool Unseen = false);

/// <summary>A side of a bout to come: somebody not known yet, which is the default, nobody, a fencer, or whoever will be drawn.</summary>
/// <param name="EntrantId">The fencer, or null.</param>
/// <param name="Slot">In a stage that is not drawn: which of those drawn, from 0; else null.</param>
/// <param name="Empty">True when nobody comes who could win.</param>
public readonly record struct ForecastSeat(string? EntrantId, int? Slot = null, bool Empty = false)
{
    /// <summary>Nobody.</summary>
    public static ForecastSeat Nobody => new(null, Empty: true);
}
