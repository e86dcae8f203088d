using System.Diagnostics;
using System.Globalization;
using BoutDesk.Domain.Planning;
using BoutDesk.Domain.Seeding;
using BoutDesk.Domain.Tests.Planning;

namespace BoutDesk.Benchmarks.Plans;

/// <summary>
/// Compares the planner with an exact solver on generated days of 4 to 12 competitions: how much later its days end, and
/// how long each took. Days without a break and without fencers entered twice, so that both solve the same.
/// </summary>
internal static class PlanComparison
{
    private const int Steps = 100_000;
    private const int SolverSeconds = 10;

    public static int Run()
    {
        Console.WriteLine($"Planner with {Steps} changes beside CP-SAT with {SolverSeconds} s and 2 workers; minutes of the day in which is fenced.");
        Console.WriteLine("| competitions | strips | planner | CP-SAT | proven | later by | bound | planner ms |");
        Console.WriteLine("| --- | --- | --- | --- | --- | --- | --- | --- |");
        var gaps = new List<double>();
        foreach (var competitions in new[] { 4, 6, 8, 10, 12 })
        {
            foreach (var strips in new[] { 8, 12, 16 })
            {
                for (var seed = 1; seed <= 2; seed++)
                {
                    gaps.Add(Compare(competitions, strips, seed));
                }
            }
        }

        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"Later by {gaps.Average():0.0} % on average, {gaps.Max():0.0} % at most, over {gaps.Count} days."));
        return 0;
    }

    private static double Compare(int competitions, int strips, int seed)
    {
        var day = GeneratedDay.Of((1000 * competitions) + (100 * strips) + seed, competitions, strips, lunch: false) with { Shared = [] };
        var watch = Stopwatch.StartNew();
        var plan = DayPlanner.Best(day, new DrawSeed(1), Steps);
        var took = watch.ElapsedMilliseconds;
        var end = plan.EndsAt - day.OpensAt;
        var (solved, proven) = SolverPlan.Of(day, (end / StageToPlan.Grid) + 1, SolverSeconds);
        var gap = 100.0 * (end - solved) / solved;
        Console.WriteLine(string.Create(
            CultureInfo.InvariantCulture,
            $"| {competitions} | {strips} | {end} | {solved} | {(proven ? "yes" : "no")} | {gap:0.0} % | {plan.LowerBound - day.OpensAt} | {took} |"));
        return gap;
    }
}
