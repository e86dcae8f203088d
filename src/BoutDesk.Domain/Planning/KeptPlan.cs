using System.Collections.Immutable;

namespace BoutDesk.Domain.Planning;

/// <summary>A stage of a plan that is kept.</summary>
/// <param name="CompetitionId">The competition.</param>
/// <param name="Kind">What is fenced.</param>
/// <param name="Round">The pool round, from 1; 0 in the elimination.</param>
/// <param name="Flights">For pools: in how many turns they are fenced; 1 else.</param>
/// <param name="From">When it begins.</param>
/// <param name="To">When it ends.</param>
/// <param name="Strips">The numbers of its strips, from 1.</param>
public sealed record KeptStage(
    string CompetitionId, StageKind Kind, int Round, int Flights, DateTimeOffset From, DateTimeOffset To, ImmutableArray<int> Strips);

/// <summary>A time in which nothing is fenced; what is under way goes on after it.</summary>
/// <param name="From">When it begins.</param>
/// <param name="To">When it ends.</param>
public sealed record ClosedTime(DateTimeOffset From, DateTimeOffset To);

/// <summary>The plan that a day is meant to follow. It stays as it was found, whatever is entered later.</summary>
/// <param name="OpensAt">From when can be fenced.</param>
/// <param name="ClosesAt">When the hall closes.</param>
/// <param name="Strips">How many strips it was made for, at least 1.</param>
/// <param name="Referees">How many referees it was made for, at least 1.</param>
/// <param name="Closures">When nothing is fenced.</param>
/// <param name="EndsAt">When the last bout ends.</param>
/// <param name="LowerBound">A moment before which no plan of its model ended.</param>
/// <param name="Stages">All stages, in the order of their beginning.</param>
public sealed record KeptPlan(
    DateTimeOffset OpensAt,
    DateTimeOffset ClosesAt,
    int Strips,
    int Referees,
    ImmutableArray<ClosedTime> Closures,
    DateTimeOffset EndsAt,
    DateTimeOffset LowerBound,
    ImmutableArray<KeptStage> Stages)
{
    /// <summary>The stage of a competition, or null when it is not in the plan.</summary>
    /// <param name="competitionId">The competition.</param>
    /// <param name="kind">What is fenced.</param>
    /// <param name="round">The pool round, from 1; 0 in the elimination.</param>
    public KeptStage? Stage(string competitionId, StageKind kind, int round = 0) =>
        Stages.FirstOrDefault(s => s.CompetitionId == competitionId && s.Kind == kind && s.Round == round);
}
