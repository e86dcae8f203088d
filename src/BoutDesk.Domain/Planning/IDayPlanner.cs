using BoutDesk.Domain.Seeding;

namespace BoutDesk.Domain.Planning;

/// <summary>Plans days: has a plan at once, and betters it as long as it is asked to.</summary>
public interface IDayPlanner
{
    /// <summary>The best plan at first and as it gets better; the last one is the best that was found. Whoever looks can stop at any time.</summary>
    /// <param name="day">The day.</param>
    /// <param name="seed">The seed of the search: the same day, seed and steps give the same plans.</param>
    /// <param name="steps">How long is searched at most, at least 0; what a step is each planner says.</param>
    /// <exception cref="ArgumentException">There is no competition, or a stage asks for more strips than can be in use.</exception>
    IEnumerable<DayPlan> Plans(DayToPlan day, DrawSeed seed, int steps);
}

/// <summary>What can be asked of every planner.</summary>
public static class DayPlannerExtensions
{
    /// <summary>The last of the plans, or the one that there was when the search was stopped.</summary>
    /// <param name="planner">The planner.</param>
    /// <param name="day">The day.</param>
    /// <param name="seed">The seed of the search.</param>
    /// <param name="steps">How long is searched at most, at least 0.</param>
    /// <param name="stopAfter">After how many steps the search is stopped, at least 0, a begun <see cref="DayPlanner.Batch"/> counted whole; it goes on to its end if left out.</param>
    /// <exception cref="ArgumentException">There is no competition, or a stage asks for more strips than can be in use.</exception>
    public static DayPlan Best(this IDayPlanner planner, DayToPlan day, DrawSeed seed, int steps, int stopAfter = int.MaxValue) =>
        planner.Plans(day, seed, steps).Take(1 + ((stopAfter / DayPlanner.Batch) + (stopAfter % DayPlanner.Batch > 0 ? 1 : 0))).Last();
}
