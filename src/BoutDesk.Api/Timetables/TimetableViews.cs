using System.Collections.Immutable;
using BoutDesk.Domain.Forecasting;
using BoutDesk.Domain.Planning;

namespace BoutDesk.Api.Timetables;

/// <summary>A moment to come, by the clock of the hall, in whole minutes.</summary>
/// <param name="At">It is as likely before as after this.</param>
/// <param name="From">In one case of ten it is earlier than this.</param>
/// <param name="To">In one case of ten it is later than this.</param>
internal sealed record ExpectedTime(DateTimeOffset At, DateTimeOffset From, DateTimeOffset To);

/// <summary>What is to be expected of the rest of a tournament's day.</summary>
/// <param name="At">When it was worked out.</param>
/// <param name="EndsAt">When the last bout ends; null when none is left.</param>
/// <param name="Competitions">The competitions that are not over, in the order of the programme.</param>
/// <param name="Next">When fencers fence next; with entrant or club only.</param>
/// <param name="Warnings">What ends later than it was to.</param>
internal sealed record TimetableView(
    DateTimeOffset At,
    ExpectedTime? EndsAt,
    ImmutableArray<TimetableCompetition> Competitions,
    ImmutableArray<TimetableFencer> Next,
    ImmutableArray<TimetableWarning> Warnings);

/// <summary>A competition of a timetable.</summary>
/// <param name="CompetitionId">The competition.</param>
/// <param name="Name">Its name.</param>
/// <param name="EndsAt">When its last bout ends.</param>
/// <param name="PoolBoutMinutes">How long its pool bouts are taken to last, change-over included: what was measured, or what is usual.</param>
/// <param name="EliminationBoutMinutes">The same of its elimination bouts.</param>
/// <param name="Stages">The stages that are not over, first to last.</param>
/// <param name="Bouts">The bouts to come that are drawn, in the order in which they are expected.</param>
internal sealed record TimetableCompetition(
    string CompetitionId,
    string Name,
    ExpectedTime EndsAt,
    decimal PoolBoutMinutes,
    decimal EliminationBoutMinutes,
    ImmutableArray<TimetableStage> Stages,
    ImmutableArray<TimetableBout> Bouts);

/// <summary>A stage of a timetable.</summary>
/// <param name="Kind">What is fenced.</param>
/// <param name="Round">The pool round, from 1; 0 in the elimination.</param>
/// <param name="PlannedFrom">When it was to begin, or null.</param>
/// <param name="BegunAt">When it began, or null.</param>
/// <param name="Begins">When it begins; null when it has begun.</param>
/// <param name="Ends">When it ends.</param>
internal sealed record TimetableStage(
    StageKind Kind, int Round, DateTimeOffset? PlannedFrom, DateTimeOffset? BegunAt, ExpectedTime? Begins, ExpectedTime Ends);

/// <summary>A bout of a timetable.</summary>
/// <param name="BoutId">The bout.</param>
/// <param name="PoolNumber">The number of its pool, or null in the elimination.</param>
/// <param name="TableOf">How many fencers there are in its table, or null in a pool.</param>
/// <param name="Order">Its place in the order of its pool or table, from 1.</param>
/// <param name="Left">Who is on the left: family name and given name; null while not known.</param>
/// <param name="Right">Who is on the right; null while not known.</param>
/// <param name="StripId">The strip it was put on, or null.</param>
/// <param name="Begins">When it begins.</param>
internal sealed record TimetableBout(
    string BoutId, int? PoolNumber, int? TableOf, int Order, string? Left, string? Right, string? StripId, ExpectedTime Begins);

/// <summary>When somebody fences next.</summary>
/// <param name="EntrantId">The entrant.</param>
/// <param name="Name">Family name and given name.</param>
/// <param name="Begins">When, if at all: who is cut does not.</param>
internal sealed record TimetableFencer(string EntrantId, string Name, ExpectedTime Begins);

/// <summary>Something that ends late.</summary>
/// <param name="CompetitionId">The competition; null for the day as a whole.</param>
/// <param name="Planned">When it was to end.</param>
/// <param name="Ends">When it ends.</param>
/// <param name="Reason">What accounts for most of it.</param>
/// <param name="Sentence">What is late, in words.</param>
/// <param name="Why">The reason in words.</param>
internal sealed record TimetableWarning(
    string? CompetitionId, DateTimeOffset Planned, ExpectedTime Ends, LateReason Reason, FormattableString Sentence, FormattableString Why);

/// <summary>A bout of a timetable as a line of a list.</summary>
/// <param name="CompetitionId">The competition.</param>
/// <param name="Competition">Its name.</param>
/// <param name="BoutId">The bout.</param>
/// <param name="PoolNumber">The number of its pool, or empty in the elimination.</param>
/// <param name="TableOf">How many fencers there are in its table, or empty in a pool.</param>
/// <param name="Order">Its place in the order of its pool or table, from 1.</param>
/// <param name="Left">Who is on the left; empty while not known.</param>
/// <param name="Right">Who is on the right; empty while not known.</param>
/// <param name="Strip">The name of its strip, or empty.</param>
/// <param name="Expected">When it begins.</param>
/// <param name="From">In one case of ten it is earlier than this.</param>
/// <param name="To">In one case of ten it is later than this.</param>
internal sealed record TimetableRow(
    string CompetitionId,
    string Competition,
    string BoutId,
    int? PoolNumber,
    int? TableOf,
    int Order,
    string? Left,
    string? Right,
    string? Strip,
    DateTimeOffset Expected,
    DateTimeOffset From,
    DateTimeOffset To);
