using System.Collections.Immutable;
using BoutDesk.Domain.Competitions;

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

/// <summary>How many a plan was made for, in one competition.</summary>
/// <param name="CompetitionId">The competition.</param>
/// <param name="Fencers">How many, at least 2.</param>
/// <param name="Expected">Whether the organiser said so; else they were counted from the entries.</param>
/// <param name="NotBefore">The earliest moment that it was to begin, where the organiser said one.</param>
public sealed record PlannedField(string CompetitionId, int Fencers, bool Expected, DateTimeOffset? NotBefore);

/// <summary>What a plan was made for and compared with.</summary>
/// <param name="Fields">The competitions that are in it, in the order of the programme.</param>
/// <param name="StripsFewer">How many strips fewer it was compared with, from 0.</param>
/// <param name="RefereesMissing">How many referees missing it was compared with, from 0.</param>
/// <param name="LateEntries">How many late entries it was compared with, from 0.</param>
/// <param name="ByList">Whether its referees were those listed, with their weapons, hours and breaks; else a number of them.</param>
/// <param name="LeftOut">The competitions of which the organiser expects nobody on this day: they are fenced on another.</param>
/// <param name="StripsByList">Whether its strips were those of the tournament, with their weapons; else a number of them. Null of plans that were kept before this was noted.</param>
public sealed record PlannedFor(
    ImmutableArray<PlannedField> Fields, int StripsFewer, int RefereesMissing, int LateEntries, bool ByList, ImmutableArray<string> LeftOut, bool? StripsByList = null);

/// <summary>A competition whose number has moved away from the plan.</summary>
/// <param name="CompetitionId">The competition.</param>
/// <param name="Planned">How many the plan was made for; 0 when the competition is not in it.</param>
/// <param name="Entered">How many are entered, or were drawn.</param>
public sealed record MovedNumber(string CompetitionId, int Planned, int Entered);

/// <summary>The plan that a day is meant to follow. It stays as it was found, whatever is entered later.</summary>
/// <param name="OpensAt">From when can be fenced.</param>
/// <param name="ClosesAt">When the hall closes.</param>
/// <param name="Strips">How many strips it was made for, at least 1.</param>
/// <param name="Referees">How many referees it was made for, at least 1.</param>
/// <param name="Closures">When nothing is fenced.</param>
/// <param name="EndsAt">When the last bout ends.</param>
/// <param name="LowerBound">A moment before which no plan of its model ended.</param>
/// <param name="Stages">All stages, in the order of their beginning.</param>
/// <param name="For">What it was made for; null of plans that were kept before this was noted.</param>
public sealed record KeptPlan(
    DateTimeOffset OpensAt,
    DateTimeOffset ClosesAt,
    int Strips,
    int Referees,
    ImmutableArray<ClosedTime> Closures,
    DateTimeOffset EndsAt,
    DateTimeOffset LowerBound,
    ImmutableArray<KeptStage> Stages,
    PlannedFor? For = null)
{
    /// <summary>The stage of a competition, or null when it is not in the plan.</summary>
    /// <param name="competitionId">The competition.</param>
    /// <param name="kind">What is fenced.</param>
    /// <param name="round">The pool round, from 1; 0 in the elimination.</param>
    public KeptStage? Stage(string competitionId, StageKind kind, int round = 0) =>
        Stages.FirstOrDefault(s => s.CompetitionId == competitionId && s.Kind == kind && s.Round == round);

    /// <summary>
    /// The competitions whose numbers have moved away from the plan: more are entered than it was made for, or others than
    /// it counted, or it does not know them. Fewer than the organiser expects count only once the first round is drawn,
    /// since until then some may still enter; who leaves after that changes nothing. Of competitions that are fenced on another
    /// day nothing is said. Our convention.
    /// </summary>
    /// <param name="competitions">The competitions of the tournament, in the order of the programme.</param>
    public IEnumerable<MovedNumber> Moved(IEnumerable<Competition> competitions)
    {
        if (For is null)
        {
            yield break;
        }

        foreach (var competition in competitions.Where(c => !For.LeftOut.Contains(c.Id)))
        {
            var planned = For.Fields.FirstOrDefault(f => f.CompetitionId == competition.Id);
            var drawn = competition.Rounds.FirstOrDefault() is { Drawn: var first } ? first.Exempt.Length + first.Seeding.Length : competition.Tableau?.Seeds.Length;
            var entered = drawn ?? competition.Entrants.Count(e => !e.Gone);
            var moved = planned is null ? entered >= 2
                : entered > planned.Fencers || (entered < planned.Fencers && (!planned.Expected || drawn is not null));
            if (moved)
            {
                yield return new MovedNumber(competition.Id, planned?.Fencers ?? 0, entered);
            }
        }
    }
}
