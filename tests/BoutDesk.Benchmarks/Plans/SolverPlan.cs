using BoutDesk.Domain.Planning;
using Google.OrTools.Sat;

namespace BoutDesk.Benchmarks.Plans;

/// <summary>The same day for an exact solver: a width and a beginning for each stage, never more strips than there are.</summary>
internal static class SolverPlan
{
    /// <summary>The best end found within the time as a minute of the open time, and whether it is proven least.</summary>
    public static (int End, bool Proven) Of(DayToPlan day, int latest, int seconds)
    {
        var model = new CpModel();
        var capacity = model.AddCumulative(day.Capacity);
        var end = model.NewIntVar(0, latest, "end");
        for (var c = 0; c < day.Competitions.Length; c++)
        {
            LinearExpr ended = LinearExpr.Constant(Slots(Math.Max(0, day.Competitions[c].NotBefore - day.OpensAt)));
            foreach (var (number, stage) in day.Competitions[c].Stages.Index())
            {
                var from = model.NewIntVar(0, latest, string.Empty);
                var to = model.NewIntVar(0, latest, string.Empty);
                model.Add(from >= ended + (number == 0 ? 0 : Slots(stage.PauseBefore)));
                var chosen = new List<ILiteral>();
                foreach (var width in stage.Widths)
                {
                    var literal = model.NewBoolVar(string.Empty);
                    var interval = model.NewOptionalIntervalVar(from, Slots(width.Minutes), to, literal, string.Empty);
                    capacity.AddDemand(interval, width.Strips);
                    chosen.Add(literal);
                }

                model.AddExactlyOne(chosen);
                model.Add(end >= to);
                ended = to + 0;
            }
        }

        model.Minimize(end);
        var solver = new CpSolver { StringParameters = $"max_time_in_seconds:{seconds},num_workers:2" };
        var status = solver.Solve(model);
        return ((int)solver.ObjectiveValue * StageToPlan.Grid, status == CpSolverStatus.Optimal);
    }

    private static int Slots(int minutes) => (minutes + StageToPlan.Grid - 1) / StageToPlan.Grid;
}
