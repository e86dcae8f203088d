using System.Collections.Immutable;
using System.Globalization;
using BoutDesk.Domain.Planning;
using BoutDesk.Domain.Seeding;
using Google.OrTools.Sat;

namespace BoutDesk.ProvenPlans;

/// <summary>
/// Plans days with an exact solver (CP-SAT): where it comes to its end in time its plan is proven best, else its bound is
/// nearer than that of the search alone. It begins with the plan of <see cref="DayPlanner"/> and never ends later.
/// </summary>
/// <remarks>
/// A step is a change of that search, of which the first <see cref="SearchSteps"/> are made; all of them together set how
/// long the solver works: <see cref="StepsASecond"/> to a second of an idle machine, counted by its own work and not by a
/// clock, so that the same day gives the same plan on every machine.
/// </remarks>
public sealed class ProvenDayPlanner : IDayPlanner
{
    /// <summary>So many changes are tried before the solver begins.</summary>
    public const int SearchSteps = 20_000;

    /// <summary>So many steps are worth about a second of the solver.</summary>
    public const int StepsASecond = 20_000;

    // An earlier end by one slot is worth more than all waiting: sixty competitions wait fewer slots than that in all.
    private const int EndWeight = 100_000;

    /// <inheritdoc/>
    public IEnumerable<DayPlan> Plans(DayToPlan day, DrawSeed seed, int steps)
    {
        var found = new DayPlanner().Best(day, seed, Math.Min(steps, SearchSteps));
        yield return found;
        if (found is not { EndIsLeast: true, YoungWait: 0 } && steps > 0)
        {
            yield return new Model(day, found).Solve((double)steps / StepsASecond, seed);
        }
    }

    /// <summary>
    /// A beginning and a width for each stage, never more strips of any weapons than can be in use, and where strips are of
    /// several kinds so many of each group: the model of the search. What it chose is kept when its plan is put in order, so
    /// that the plan ends as the model said.
    /// </summary>
    private sealed class Model
    {
        private readonly CpModel model = new();
        private readonly DayToPlan day;
        private readonly DayPlan found;
        private readonly TimeAxis axis;
        private readonly IntVar[][] begins;
        private readonly IntVar[][] ends;
        private readonly BoolVar[][][] widths;
        private readonly ImmutableArray<StripGroup> groups;
        // How many strips of each group a stage takes; none while there is one group only.
        private readonly IntVar[][][] takes;
        private readonly int latest;

        public Model(DayToPlan day, DayPlan found)
        {
            this.day = day;
            this.found = found;
            axis = new TimeAxis(day.OpensAt, day.Closures);
            latest = axis.SlotAtOrAfter(found.EndsAt);
            IntVar[] Slots(CompetitionToPlan c) => [.. c.Stages.Select(_ => model.NewIntVar(0, latest, string.Empty))];
            begins = [.. day.Competitions.Select(Slots)];
            ends = [.. day.Competitions.Select(Slots)];
            widths = [.. day.Competitions.Select(c => c.Stages.Select(s => s.Widths.Select(_ => model.NewBoolVar(string.Empty)).ToArray()).ToArray())];
            groups = day.Groups;
            takes = groups.Length == 1 ? [] : [.. day.Competitions.Select(c => c.Stages.Select(s => Takes(c, s)).ToArray())];
            CumulativeConstraint[] byGroup = groups.Length == 1 ? [] : [.. groups.Select(group => model.AddCumulative(group.Strips.Length))];
            (StripLimit Limit, CumulativeConstraint InUse)[] strips = [.. StripLimit.Of(day).Select(limit => (limit, Limited(limit)))];
            var end = model.NewIntVar(0, latest, string.Empty);
            var waits = new List<LinearExpr>();
            for (var c = 0; c < begins.Length; c++)
            {
                AddCompetition(c, strips, end, waits);
                if (groups.Length > 1)
                {
                    AddTakes(c, byGroup);
                }
            }

            foreach (var (first, second) in day.Shared.Where(s => s.First != s.Second))
            {
                KeepApart(first, second);
            }

            model.Minimize((end * EndWeight) + LinearExpr.Sum(waits));
            Hint();
        }

        /// <summary>The best plan within so many seconds of the solver's own count.</summary>
        public DayPlan Solve(double effort, DrawSeed seed)
        {
            // Several searches in turns, so that the answer does not depend on which of them was faster.
            var solver = new CpSolver
            {
                StringParameters = string.Create(
                    CultureInfo.InvariantCulture,
                    $"max_deterministic_time:{effort},num_workers:4,interleave_search:true,random_seed:{seed.Value % int.MaxValue}"),
            };
            var status = solver.Solve(model);
            if (status == CpSolverStatus.ModelInvalid)
            {
                throw new InvalidOperationException($"The solver does not understand the model: {model.Validate()}");
            }

            if (status is not (CpSolverStatus.Optimal or CpSolverStatus.Feasible))
            {
                return found;
            }

            var proven = axis.EndAt((int)Math.Floor((solver.BestObjectiveBound + 0.5) / EndWeight));
            var bound = proven > found.LowerBound ? new DayBound(proven, DayLimit.Proof, []) : found.Bound;
            ImmutableArray<int> order =
            [
                .. begins.SelectMany((of, c) => of.Select((begin, s) => (Competition: c, Stage: s, From: solver.Value(begin))))
                    .OrderBy(s => s.From).ThenBy(s => s.Stage).Select(s => s.Competition),
            ];
            var plan = DayPlanner.InOrder(
                day,
                order,
                [.. widths.Select(of => of.Select(w => Array.FindIndex(w, solver.BooleanValue)).ToImmutableArray())],
                bound,
                groups.Length == 1 ? default : [.. takes.Select(of => of.Select(take => take.Select(t => (int)solver.Value(t)).ToImmutableArray()).ToImmutableArray())]);
            return plan.IsBetterThan(found) ? plan : found with { Bound = bound };
        }

        /// <summary>As many strips as there can ever be in use; what is missing at a time is taken up by an interval that stands fast.</summary>
        private CumulativeConstraint Limited(StripLimit limit)
        {
            var inUse = model.AddCumulative(limit.Afterwards);
            for (var (from, to) = (0, 0); from < latest; from = to)
            {
                for (to = from + 1; to < latest && limit.At(to) == limit.At(from); to++)
                {
                }

                if (limit.At(from) < limit.Afterwards)
                {
                    inUse.AddDemand(model.NewFixedSizeIntervalVar(LinearExpr.Constant(from), to - from, string.Empty), limit.Afterwards - limit.At(from));
                }
            }

            return inUse;
        }

        private void AddCompetition(int c, (StripLimit Limit, CumulativeConstraint InUse)[] strips, IntVar end, List<LinearExpr> waits)
        {
            var competition = day.Competitions[c];
            var ready = axis.SlotAtOrAfter(competition.NotBefore);
            LinearExpr before = LinearExpr.Constant(ready);
            LinearExpr needed = LinearExpr.Constant(0);
            foreach (var (s, stage) in competition.Stages.Index())
            {
                var pause = s == 0 ? 0 : TimeAxis.Slots(stage.PauseBefore);
                model.Add(begins[c][s] >= before + pause);
                foreach (var (w, width) in stage.Widths.Index())
                {
                    var interval = model.NewOptionalIntervalVar(begins[c][s], TimeAxis.Slots(width.Minutes), ends[c][s], widths[c][s][w], string.Empty);
                    foreach (var (_, inUse) in strips.Where(s => s.Limit.Weapons.Contains(competition.Weapon)))
                    {
                        inUse.AddDemand(interval, width.Strips);
                    }

                    needed += widths[c][s][w] * TimeAxis.Slots(width.Minutes);
                }

                model.AddExactlyOne(widths[c][s]);
                needed += pause;
                before = ends[c][s];
            }

            model.Add(end >= ends[c][^1]);
            if (competition.Young)
            {
                waits.Add(ends[c][^1] - needed - ready);
            }
        }

        private IntVar[] Takes(CompetitionToPlan competition, StageToPlan stage) =>
            [.. groups.Select(group => model.NewIntVar(0, group.Weapons.Contains(competition.Weapon) ? Math.Min(group.Strips.Length, stage.Widths[^1].Strips) : 0, string.Empty))];

        /// <summary>A stage takes as many strips of its groups as its width from its beginning to its end.</summary>
        private void AddTakes(int c, CumulativeConstraint[] inUse)
        {
            foreach (var (s, stage) in day.Competitions[c].Stages.Index())
            {
                LinearExpr Chosen(Func<StageWidth, int> what) => LinearExpr.WeightedSum(widths[c][s], [.. stage.Widths.Select(what)]);

                model.Add(LinearExpr.Sum(takes[c][s]) == Chosen(w => w.Strips));
                // The solver takes one variable for the length of an interval, no sum.
                var length = model.NewIntVar(TimeAxis.Slots(stage.Widths[^1].Minutes), TimeAxis.Slots(stage.Widths[0].Minutes), string.Empty);
                model.Add(length == Chosen(w => TimeAxis.Slots(w.Minutes)));
                var interval = model.NewIntervalVar(begins[c][s], length, ends[c][s], string.Empty);
                for (var g = 0; g < groups.Length; g++)
                {
                    if (groups[g].Weapons.Contains(day.Competitions[c].Weapon))
                    {
                        inUse[g].AddDemand(interval, takes[c][s][g]);
                    }
                }
            }
        }

        private void KeepApart(int first, int second)
        {
            var turn = TimeAxis.Slots(DayToPlan.TurnRound);
            for (var s = 0; s < begins[first].Length; s++)
            {
                for (var t = 0; t < begins[second].Length; t++)
                {
                    var firstGoesFirst = model.NewBoolVar(string.Empty);
                    model.Add(begins[second][t] >= ends[first][s] + turn).OnlyEnforceIf(firstGoesFirst);
                    model.Add(begins[first][s] >= ends[second][t] + turn).OnlyEnforceIf(firstGoesFirst.Not());
                }
            }
        }

        private void Hint()
        {
            foreach (var stage in found.Stages)
            {
                model.AddHint(begins[stage.Competition][stage.Stage], axis.SlotAtOrAfter(stage.From));
                var chosen = day.Competitions[stage.Competition].Stages[stage.Stage].Widths.IndexOf(stage.Width);
                foreach (var (w, literal) in widths[stage.Competition][stage.Stage].Index())
                {
                    model.AddHint(literal, w == chosen);
                }

                if (groups.Length > 1)
                {
                    foreach (var (take, count) in takes[stage.Competition][stage.Stage].Zip(StripGroup.Count(groups, stage.Strips)))
                    {
                        model.AddHint(take, count);
                    }
                }
            }
        }
    }
}
