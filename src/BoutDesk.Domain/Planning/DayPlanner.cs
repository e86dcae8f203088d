using System.Collections.Immutable;
using BoutDesk.Domain.Seeding;

namespace BoutDesk.Domain.Planning;

/// <summary>
/// Looks for a plan that ends as early as can be, and of those for one in which the young wait least. A plan is there at
/// once; each further change may better it, and whoever looks can stop at any time. The same day and seed give the same
/// plans.
/// </summary>
/// <remarks>
/// <para>
/// The model: a stage has its strips from its beginning to its end. Stages of a competition follow one another with their
/// pauses; competitions that share a fencer do not overlap; never more strips are in use than there are strips, and
/// referees of their weapons on duty (<see cref="StripLimit"/>). Where strips are of several kinds, a stage takes from its
/// beginning to its end a number of each group that serves its weapon (<see cref="StripGroup"/>), first of those that serve
/// fewest weapons; that is a choice, and another one can end the day earlier. Within a group it does not matter which
/// strips are taken. Closures are cut out of the time axis, so that a stage under way at lunch goes on after it.
/// </para>
/// <para>
/// The search changes the order in which stages are put at their earliest place, and their widths (simulated
/// annealing over list schedules). It proves nothing by itself; <see cref="DayPlan.LowerBound"/> is the larger of what the strips allow
/// in all, what the longest competition needs, and what competitions that share a fencer need one after the other.
/// </para>
/// </remarks>
public sealed class DayPlanner : IDayPlanner
{
    /// <summary>So many changes lie between two plans that are told.</summary>
    public const int Batch = 100;

    /// <summary>The best plan at first, and after each further <see cref="Batch"/> of changes; it ends when nothing can be bettered.</summary>
    /// <param name="day">The day.</param>
    /// <param name="seed">The seed of the search.</param>
    /// <param name="steps">How many changes are tried at most, at least 0.</param>
    /// <exception cref="ArgumentException">There is no competition, or a stage asks for more strips than can be in use, or a weapon has no strip, or no referee on the list.</exception>
    public IEnumerable<DayPlan> Plans(DayToPlan day, DrawSeed seed, int steps)
    {
        Check(day);
        return Searching(new PlanSearch(day, seed.Lots(), steps), steps);
    }

    /// <summary>The plan that puts stages at their earliest place, one after the other.</summary>
    /// <param name="day">The day.</param>
    /// <param name="order">The order: a competition by its place in the list, from 0, as often as it has stages.</param>
    /// <param name="widths">For each competition the place of the width of each of its stages, from 0.</param>
    /// <param name="bound">What no plan can end before.</param>
    /// <param name="takes">For each competition and stage how many strips of each group of the day it takes, as many as its width and none of a group that does not serve its weapon; left out, first of those that serve fewest weapons, as they are free.</param>
    /// <exception cref="ArgumentException">The order does not name each competition as often as it has stages, or a stage asks for more strips than can be in use, or takes others than its width.</exception>
    public static DayPlan InOrder(
        DayToPlan day,
        ImmutableArray<int> order,
        ImmutableArray<ImmutableArray<int>> widths,
        DayBound bound,
        ImmutableArray<ImmutableArray<ImmutableArray<int>>> takes = default)
    {
        if (!order.Order().SequenceEqual(day.Competitions.SelectMany((c, i) => Enumerable.Repeat(i, c.Stages.Length))))
        {
            throw new ArgumentException("An order names each competition as often as it has stages.", nameof(order));
        }

        Check(day);
        int[][] chosen = [.. widths.Select(w => w.ToArray())];
        int[]?[][]? wanted = takes.IsDefault ? null : [.. takes.Select(of => of.Select(take => take.ToArray()).ToArray())];
        if (wanted is not null)
        {
            Check(day, chosen, wanted);
        }

        return Placed(day, [.. order], chosen, bound, wanted);
    }

    private static DayPlan Placed(DayToPlan day, int[] order, int[][] widths, DayBound bound, int[]?[][]? wanted)
    {
        var schedule = new Schedule(day);
        return schedule.ToPlan(widths, schedule.Place(order, widths, wanted), bound);
    }

    /// <summary>
    /// A plan of one day on another with the same competitions and stages: stages in the same order, each on as many strips
    /// as before or, where that is no way to fence it there, on the next fewer, of the same kinds where these are there. On a day with as much of everything and no
    /// more to fence it does not end later. Null when a competition has not the same stages.
    /// </summary>
    /// <param name="plan">The plan.</param>
    /// <param name="from">The day that it is for.</param>
    /// <param name="to">The other day.</param>
    public static DayPlan? CarriedOver(DayPlan plan, DayToPlan from, DayToPlan to)
    {
        static IEnumerable<(string, StageKind, int)> Stages(DayToPlan day) => day.Competitions.SelectMany(c => c.Stages.Select(s => (c.Id, s.Kind, s.Round)));
        if (!Stages(from).SequenceEqual(Stages(to)))
        {
            return null;
        }

        Check(to);
        var (before, now) = (from.Groups, to.Groups);
        int[][] widths = [.. to.Competitions.Select(c => new int[c.Stages.Length])];
        int[]?[][] takes = [.. to.Competitions.Select(c => new int[]?[c.Stages.Length])];
        foreach (var stage in plan.Stages)
        {
            var possible = to.Competitions[stage.Competition].Stages[stage.Stage].Widths;
            var width = Math.Max(0, possible.Count(w => w.Strips <= stage.Width.Strips) - 1);
            widths[stage.Competition][stage.Stage] = width;
            takes[stage.Competition][stage.Stage] = SameKinds(StripGroup.Count(before, stage.Strips), possible[width].Strips);
        }

        return Placed(to, [.. plan.Stages.OrderBy(s => s.From).ThenBy(s => s.Stage).Select(s => s.Competition)], widths, DayBound.Of(to), takes);

        // So many of the strips as are wanted, of the groups of the other day that serve the same weapons; null where it has too few of them.
        int[]? SameKinds(ImmutableArray<int> counts, int wanted)
        {
            var take = new int[now.Length];
            for (var g = 0; g < now.Length; g++)
            {
                var same = before.Index().Where(group => group.Item.Weapons.SequenceEqual(now[g].Weapons)).Sum(group => counts[group.Index]);
                take[g] = Math.Min(Math.Min(same, now[g].Strips.Length), wanted);
                wanted -= take[g];
            }

            return wanted == 0 ? take : null;
        }
    }

    private static void Check(DayToPlan day)
    {
        if (day.Competitions.IsEmpty)
        {
            throw new ArgumentException("A plan needs a competition.", nameof(day));
        }

        foreach (var limit in StripLimit.Of(day))
        {
            if (day.Competitions.Where(c => limit.Weapons.Contains(c.Weapon)).Any(c => c.Stages.Any(s => s.Widths.Any(w => w.Strips > limit.Afterwards))))
            {
                throw new ArgumentException("A plan needs stages that are planned for the strips and referees there are.", nameof(day));
            }
        }
    }

    private static void Check(DayToPlan day, int[][] widths, int[]?[][] takes)
    {
        var groups = day.Groups;
        foreach (var (c, competition) in day.Competitions.Index())
        {
            foreach (var (s, stage) in competition.Stages.Index())
            {
                var take = takes[c][s]!;
                if (take.Sum() != stage.Widths[widths[c][s]].Strips
                    || take.Index().Any(t => t.Item < 0 || t.Item > (groups[t.Index].Weapons.Contains(competition.Weapon) ? groups[t.Index].Strips.Length : 0)))
                {
                    throw new ArgumentException("A stage takes as many strips as its width, of those that serve its weapon.", nameof(takes));
                }
            }
        }
    }

    private static IEnumerable<DayPlan> Searching(PlanSearch search, int steps)
    {
        yield return search.Best;
        for (var done = 0; done < steps && !search.Finished; done += Batch)
        {
            search.Try(Math.Min(Batch, steps - done));
            yield return search.Best;
        }
    }
}
