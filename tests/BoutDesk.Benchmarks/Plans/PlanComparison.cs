using System.Diagnostics;
using System.Globalization;
using BoutDesk.Domain.Planning;
using BoutDesk.Domain.Seeding;
using BoutDesk.Domain.Tests.Planning;
using BoutDesk.ProvenPlans;

namespace BoutDesk.Benchmarks.Plans;

/// <summary>
/// Compares the planner with the exact one on generated days of 4 to 12 competitions, breaks and fencers entered twice
/// included: how much later its days end, and how long each took. Both plan the same days in the same run.
/// </summary>
internal static class PlanComparison
{
    private const int Steps = 100_000;
    private const int ExactSteps = 10 * ProvenDayPlanner.StepsASecond;

    public static int Run()
    {
        Console.WriteLine($"Planner with {Steps} changes beside the exact one with {ExactSteps} steps; minutes from opening to end.");
        Console.WriteLine("| competitions | strips | planner | exact | bound | later by | planner ms | exact ms |");
        Console.WriteLine("| --- | --- | --- | --- | --- | --- | --- | --- |");
        var gaps = new List<double>();
        var proven = 0;
        foreach (var competitions in new[] { 4, 6, 8, 10, 12 })
        {
            foreach (var strips in new[] { 8, 12, 16 })
            {
                for (var seed = 1; seed <= 2; seed++)
                {
                    var (gap, isProven) = Compare(competitions, strips, seed);
                    gaps.Add(gap);
                    proven += isProven ? 1 : 0;
                }
            }
        }

        Console.WriteLine(string.Create(
            CultureInfo.InvariantCulture,
            $"Later by {gaps.Average():0.0} % on average, {gaps.Max():0.0} % at most, over {gaps.Count} days; {proven} ends proven least."));
        return 0;
    }

    private static (double Gap, bool Proven) Compare(int competitions, int strips, int seed)
    {
        var day = GeneratedDay.Of((1000 * competitions) + (100 * strips) + seed, competitions, strips);
        var (plan, took) = Timed(new DayPlanner(), day, Steps);
        var (exact, tookExact) = Timed(new ProvenDayPlanner(), day, ExactSteps);
        var (end, least) = (plan.EndsAt - day.OpensAt, exact.EndsAt - day.OpensAt);
        var gap = 100.0 * (end - least) / least;
        Console.WriteLine(string.Create(
            CultureInfo.InvariantCulture,
            $"| {competitions} | {strips} | {end} | {least} | {exact.LowerBound - day.OpensAt} | {gap:0.0} % | {took} | {tookExact} |"));
        return (gap, exact.EndIsLeast);
    }

    private static (DayPlan Plan, long Milliseconds) Timed(IDayPlanner planner, DayToPlan day, int steps)
    {
        var watch = Stopwatch.StartNew();
        return (planner.Best(day, new DrawSeed(1), steps), watch.ElapsedMilliseconds);
    }
}
