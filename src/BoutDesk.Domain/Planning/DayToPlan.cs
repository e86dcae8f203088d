using System.Collections.Immutable;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Refereeing;

namespace BoutDesk.Domain.Planning;

/// <summary>A competition of a day that is planned.</summary>
/// <param name="Id">The identifier.</param>
/// <param name="Weapon">The weapon.</param>
/// <param name="Stages">Its stages, first to last, at least one.</param>
/// <param name="NotBefore">The earliest minute of the day at which it can begin: the close of its check-in and the time to draw.</param>
/// <param name="Young">Whether it is for the young, who are kept waiting least.</param>
public sealed record CompetitionToPlan(string Id, Weapon Weapon, ImmutableArray<StageToPlan> Stages, int NotBefore, bool Young)
{
    /// <summary>The least that it takes from its first bout to its last, in minutes.</summary>
    public int LeastMinutes => Stages.Sum(s => s.Widths[^1].Minutes + s.PauseBefore);
}

/// <summary>Two competitions with somebody entered in both: their stages do not overlap.</summary>
/// <param name="First">The place of the one in the list of competitions, from 0.</param>
/// <param name="Second">The place of the other.</param>
public readonly record struct SharedFencers(int First, int Second);

/// <summary>A time in which nothing is fenced; what is under way goes on after it.</summary>
/// <param name="From">The minute of the day at which it begins.</param>
/// <param name="To">The minute of the day at which it ends.</param>
public readonly record struct Closure(int From, int To);

/// <summary>
/// A day to be planned. Minutes are those of the day from midnight; everything is planned in steps of
/// <see cref="StageToPlan.Grid"/> minutes.
/// </summary>
/// <param name="Competitions">The competitions, 1 to 60.</param>
/// <param name="Strips">How many strips there are, at least 1.</param>
/// <param name="Referees">How many referees there are, one for each strip in use, at least 1; with a list its length.</param>
/// <param name="OpensAt">The minute from which can be fenced, 0 to 1,439.</param>
/// <param name="ClosesAt">The minute at which the hall closes.</param>
/// <param name="Closures">When nothing is fenced, such as lunch.</param>
/// <param name="Shared">Competitions with somebody entered in both.</param>
/// <param name="Listed">The referees with their weapons, hours and breaks, see <see cref="StripLimit"/>; none when only their number is known.</param>
/// <param name="Kinds">For each strip, by its number, the weapons that it serves, none for all; left out when every strip serves every weapon.</param>
public sealed record DayToPlan(
    ImmutableArray<CompetitionToPlan> Competitions,
    int Strips,
    int Referees,
    int OpensAt,
    int ClosesAt,
    ImmutableArray<Closure> Closures,
    ImmutableArray<SharedFencers> Shared,
    ImmutableArray<RefereeDetails> Listed = default,
    ImmutableArray<ImmutableArray<Weapon>> Kinds = default)
{
    /// <summary>Minutes that a fencer of two competitions has between them. Practice.</summary>
    public const int TurnRound = 15;

    /// <summary>How many strips can be in use at once at most.</summary>
    public int Capacity => Math.Min(Strips, Referees);

    /// <summary>The strips by what they serve, see <see cref="StripGroup"/>.</summary>
    /// <exception cref="ArgumentException">A weapon has no strip, or there are not as many kinds as strips.</exception>
    public ImmutableArray<StripGroup> Groups => StripGroup.Of(Strips, Kinds, Competitions.Select(c => c.Weapon));
}

/// <summary>A stage in its place.</summary>
/// <param name="Competition">The place of its competition in the list, from 0.</param>
/// <param name="Stage">The place of the stage in its competition, from 0.</param>
/// <param name="Width">How it is fenced.</param>
/// <param name="From">The minute of the day at which it begins.</param>
/// <param name="To">The minute of the day at which it ends; closures within it are part of it.</param>
/// <param name="Strips">The numbers of its strips, from 1, lowest first; each serves its weapon. They need not lie side by side.</param>
public sealed record PlannedStage(int Competition, int Stage, StageWidth Width, int From, int To, ImmutableArray<int> Strips);

/// <summary>A plan of a day.</summary>
/// <param name="Stages">All stages, in the order of their beginning.</param>
/// <param name="EndsAt">The minute of the day at which the last one ends.</param>
/// <param name="Bound">What no plan of this model can end before.</param>
/// <param name="Waits">For each competition the minutes in which could be fenced that it spends before its first stage and between its stages beyond what is needed, in the order of the day.</param>
/// <param name="YoungWait">The sum of those of the competitions for the young.</param>
public sealed record DayPlan(ImmutableArray<PlannedStage> Stages, int EndsAt, DayBound Bound, ImmutableArray<int> Waits, int YoungWait)
{
    /// <summary>A minute before which no plan of this model can end.</summary>
    public int LowerBound => Bound.Minute;

    /// <summary>Whether no plan of this model ends earlier.</summary>
    public bool EndIsLeast => EndsAt == LowerBound;

    /// <summary>Whether this plan is the better one: it ends earlier, or as early and the young wait less.</summary>
    /// <param name="other">Another plan.</param>
    public bool IsBetterThan(DayPlan other) => (EndsAt, YoungWait).CompareTo((other.EndsAt, other.YoungWait)) < 0;
}
