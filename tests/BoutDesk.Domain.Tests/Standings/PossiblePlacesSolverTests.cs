using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Seeding;
using BoutDesk.Domain.Standings;
using Google.OrTools.Sat;
using Xunit;
using Xunit.Abstractions;

namespace BoutDesk.Domain.Tests.Standings;

/// <summary>
/// Possible places against an exact solver, for pools with too many open bouts to try all outcomes. The solver is told the
/// rules only: which scores a bout can end with, and who is ahead of whom.
/// </summary>
[Trait("Run", "Bulk")]
public class PossiblePlacesSolverTests
{
    private readonly ITestOutputHelper output;

    public PossiblePlacesSolverTests(ITestOutputHelper output) => this.output = output;

    [Fact]
    public void With_many_bouts_open()
    {
        const int FirstSeed = 300_000;
        const int Cases = 30;
        for (var seed = FirstSeed; seed < FirstSeed + Cases; seed++)
        {
            var lots = new DrawSeed(seed).Lots();
            var fencers = 5 + lots.Below(3);
            var bouts = fencers * (fencers - 1) / 2;
            var target = new[] { 1, 3, 5, 5, 10 }[lots.Below(5)];
            int[] gone = lots.Below(4) == 0 ? [1 + lots.Below(fencers)] : [];
            var open = 5 + lots.Below(bouts - 4);
            var pool = lots.Below(2) == 0
                ? PossiblePlacesPools.OfEquals(lots, fencers, target, open, lots.Below(3), gone)
                : PossiblePlacesPools.WithOpenBouts(lots, fencers, target, open, lots.Below(3), gone);
            var ranges = PossiblePlaces.InPool(pool);
            for (var fencer = 1; fencer <= fencers; fencer++)
            {
                PlaceRange? expected = gone.Contains(fencer)
                    ? null
                    : new PlaceRange(Place(pool, fencer, best: true), Place(pool, fencer, best: false), Exact: true);
                Assert.True(
                    expected == ranges[fencer - 1],
                    $"Seed {seed}, fencer {fencer}: expected {expected}, but {ranges[fencer - 1]}.\n{pool.Describe()}");
            }
        }

        output.WriteLine($"Seeds {FirstSeed} to {FirstSeed + Cases - 1}.");
    }

    private static int Place(PoolSoFar pool, int fencer, bool best)
    {
        var model = new CpModel();
        var tallies = pool.Tallies();
        LinearExpr[] victories = [.. tallies.Select(t => LinearExpr.Constant(t.Victories))];
        LinearExpr[] scored = [.. tallies.Select(t => LinearExpr.Constant(t.TouchesScored))];
        LinearExpr[] received = [.. tallies.Select(t => LinearExpr.Constant(t.TouchesReceived))];
        int[] bouts = [.. tallies.Select(t => t.Bouts)];
        foreach (var bout in pool.Open)
        {
            var (left, right) = (bout.Left - 1, bout.Right - 1);
            var (leftTouches, rightTouches, leftWins) = Ending(model, pool.Target, bout);
            victories[left] += leftWins;
            victories[right] += 1 - leftWins;
            scored[left] += leftTouches;
            received[left] += rightTouches;
            scored[right] += rightTouches;
            received[right] += leftTouches;
            bouts[left]++;
            bouts[right]++;
        }

        // Victories by bouts, then indicator, then touches, written as one number; all that are compared stay below the weights.
        const long Touches = 1_000;
        const long Victories = 1_000 * Touches;
        var before = new List<BoolVar>();
        for (var other = 0; other < pool.Fencers; other++)
        {
            if (other == fencer - 1 || pool.Gone.Contains(other + 1))
            {
                continue;
            }

            var me = fencer - 1;
            var lead = (Victories * ((victories[other] * Math.Max(bouts[me], 1)) - (victories[me] * Math.Max(bouts[other], 1))))
                + (Touches * (scored[other] - received[other] - scored[me] + received[me]))
                + scored[other] - scored[me];
            var isBefore = model.NewBoolVar("");
            before.Add(isBefore);
            if (best)
            {
                model.Add(lead <= 0).OnlyEnforceIf(isBefore.Not());
            }
            else
            {
                model.Add(lead >= 0).OnlyEnforceIf(isBefore);
            }
        }

        var count = LinearExpr.Sum(before);
        if (best)
        {
            model.Minimize(count);
        }
        else
        {
            model.Maximize(count);
        }

        var solver = new CpSolver { StringParameters = "num_workers:8,random_seed:1" };
        Assert.Equal(CpSolverStatus.Optimal, solver.Solve(model));
        return 1 + (int)Math.Round(solver.ObjectiveValue);
    }

    private static (LinearExpr Left, LinearExpr Right, BoolVar LeftWins) Ending(CpModel model, int target, OpenBout bout)
    {
        var most = bout.TimeIsUp ? bout.Score.Left + 1 : target;
        var left = model.NewIntVar(bout.Score.Left, most, "");
        var right = model.NewIntVar(bout.Score.Right, most, "");
        var leftWins = model.NewBoolVar("");
        model.Add(left + right <= (2 * most) - 1);
        model.Add(left >= right).OnlyEnforceIf(leftWins);
        model.Add(right >= left).OnlyEnforceIf(leftWins.Not());
        if (bout.Priority is { } priority)
        {
            // Without priority only the touch wins.
            model.Add(priority == Side.Left ? right >= left + 1 : left >= right + 1)
                .OnlyEnforceIf(priority == Side.Left ? leftWins.Not() : leftWins);
        }

        return (left, right, leftWins);
    }
}
