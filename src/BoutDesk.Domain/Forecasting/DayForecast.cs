using System.Collections.Immutable;
using BoutDesk.Domain.Planning;

namespace BoutDesk.Domain.Forecasting;

/// <summary>A moment to come and how sure it is.</summary>
/// <param name="Expected">It is as likely before as after this.</param>
/// <param name="From">In one case of ten it is earlier than this.</param>
/// <param name="To">In one case of ten it is later than this.</param>
public readonly record struct ForecastTime(DateTimeOffset Expected, DateTimeOffset From, DateTimeOffset To);

/// <summary>When a bout begins.</summary>
/// <param name="BoutId">The bout.</param>
/// <param name="Begin">When.</param>
public sealed record BoutForecast(string BoutId, ForecastTime Begin);

/// <summary>When an entrant fences next.</summary>
/// <param name="EntrantId">The entrant.</param>
/// <param name="Begin">When, if he does at all: he may be cut before.</param>
public sealed record EntrantForecast(string EntrantId, ForecastTime Begin);

/// <summary>When a stage is fenced.</summary>
/// <param name="CompetitionId">Its competition.</param>
/// <param name="Kind">What is fenced.</param>
/// <param name="Round">The pool round, from 1; 0 in the elimination.</param>
/// <param name="Begin">When its first bout begins that has not begun; null when none is left to begin.</param>
/// <param name="End">When its last bout ends.</param>
public sealed record StageForecast(string CompetitionId, StageKind Kind, int Round, ForecastTime? Begin, ForecastTime End);

/// <summary>When a competition ends.</summary>
/// <param name="CompetitionId">The competition.</param>
/// <param name="End">When its last bout ends.</param>
/// <param name="PoolBoutMinutes">How long its pool bouts are taken to last on average.</param>
/// <param name="EliminationBoutMinutes">How long its elimination bouts are.</param>
public sealed record CompetitionForecast(string CompetitionId, ForecastTime End, decimal PoolBoutMinutes, decimal EliminationBoutMinutes);

/// <summary>Why something ends late.</summary>
public enum LateReason
{
    /// <summary>Bouts take longer than was planned.</summary>
    LongBouts,

    /// <summary>There are too few strips for all that could be fenced at once.</summary>
    FewStrips,

    /// <summary>It waits for fencers who still fence in another competition.</summary>
    SharedFencers,

    /// <summary>It began later than planned.</summary>
    LateStart,

    /// <summary>None of these: the plan was too short for what there is to fence.</summary>
    TightPlan,
}

/// <summary>A competition or the day ends later than it was to.</summary>
/// <param name="CompetitionId">The competition; null when the day ends after the hall closes.</param>
/// <param name="Planned">When it was to end.</param>
/// <param name="End">When it ends.</param>
/// <param name="Reason">What accounts for most of it.</param>
/// <param name="Minutes">So many minutes of it, at least 0.</param>
/// <param name="BecauseOf">The competition that the reason lies in: the same, the one that ends last, or the one waited for.</param>
/// <param name="BoutMinutes">For long bouts: how long they take.</param>
/// <param name="PlannedBoutMinutes">For long bouts: how long was planned.</param>
public sealed record LateWarning(
    string? CompetitionId,
    DateTimeOffset Planned,
    ForecastTime End,
    LateReason Reason,
    int Minutes,
    string BecauseOf,
    decimal BoutMinutes,
    decimal PlannedBoutMinutes);

/// <summary>What is to be expected of the rest of a day.</summary>
/// <param name="Bouts">The bouts of drawn stages that have not begun, in the order of their beginning.</param>
/// <param name="Entrants">Each entrant who is expected to fence again.</param>
/// <param name="Stages">The stages that are not over.</param>
/// <param name="Competitions">The competitions that are not over.</param>
/// <param name="End">When the last bout of the day ends; null when none is left.</param>
/// <param name="Warnings">What ends late.</param>
public sealed record DayForecast(
    ImmutableArray<BoutForecast> Bouts,
    ImmutableArray<EntrantForecast> Entrants,
    ImmutableArray<StageForecast> Stages,
    ImmutableArray<CompetitionForecast> Competitions,
    ForecastTime? End,
    ImmutableArray<LateWarning> Warnings);

/// <summary>A bout of one course that the day can take.</summary>
/// <param name="BoutId">The bout.</param>
/// <param name="Left">Who is on the left.</param>
/// <param name="Right">Who is on the right.</param>
/// <param name="Strip">The place of its strip in the list, from 0; -1 when it was under way on one that is taken otherwise.</param>
/// <param name="From">When it began.</param>
/// <param name="To">When it ended.</param>
public sealed record SimulatedBout(string BoutId, string Left, string Right, int Strip, DateTimeOffset From, DateTimeOffset To);
