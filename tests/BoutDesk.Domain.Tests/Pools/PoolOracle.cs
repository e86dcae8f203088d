using System.Collections.Immutable;
using BoutDesk.Domain.Pools;
using Google.OrTools.Sat;

namespace BoutDesk.Domain.Tests.Pools;

/// <summary>
/// The aims of the draw as an integer program, solved exactly: slow, obvious, and sharing no code with the draw.
/// </summary>
public sealed class PoolOracle
{
    private readonly CpModel model = new();
    private readonly IReadOnlyList<PoolFencer> fencers;
    private readonly int pools;
    private readonly BoolVar[,] isIn;

    private PoolOracle(IReadOnlyList<PoolFencer> fencers, int pools, IReadOnlyDictionary<string, int> placements)
    {
        this.fencers = fencers;
        this.pools = pools;
        isIn = new BoolVar[fencers.Count, pools];
        for (var f = 0; f < fencers.Count; f++)
        {
            for (var p = 0; p < pools; p++)
            {
                isIn[f, p] = model.NewBoolVar($"{f} in {p}");
            }
            model.AddExactlyOne(Enumerable.Range(0, pools).Select(p => (ILiteral)isIn[f, p]));
            if (placements.TryGetValue(fencers[f].Id, out var pool))
            {
                model.Add(isIn[f, pool - 1] == 1);
            }
        }
        foreach (var tier in Enumerable.Range(0, fencers.Count).Chunk(pools))
        {
            for (var p = 0; p < pools; p++)
            {
                model.AddAtMostOne(tier.Select(f => (ILiteral)isIn[f, p]));
            }
        }
    }

    /// <summary>The least pairs of each level, in order of importance, and then the least displacement.</summary>
    public sealed record Optimum(ImmutableArray<int> Pairs, int Displacement);

    /// <summary>Solves a field; null if the solver gives up.</summary>
    public static Optimum? Solve(
        IReadOnlyList<PoolFencer> fencers, int pools, IReadOnlyDictionary<string, int>? placements = null)
    {
        placements ??= ImmutableDictionary<string, int>.Empty;
        // Every group spread evenly is as good as can be, and by far the easiest to prove; only if that is impossible
        // are the pairs minimised level by level.
        return SolveEven(fencers, pools, placements) is (var even, var isPossible) && isPossible
            ? even
            : SolveByLevel(fencers, pools, placements);
    }

    private static (Optimum? Optimum, bool IsPossible) SolveEven(
        IReadOnlyList<PoolFencer> fencers, int pools, IReadOnlyDictionary<string, int> placements)
    {
        var oracle = new PoolOracle(fencers, pools, placements);
        var pairs = new List<int>();
        for (var level = 0; level < oracle.Levels; level++)
        {
            var groups = oracle.Groups(level);
            foreach (var group in groups)
            {
                for (var p = 0; p < pools; p++)
                {
                    oracle.model.AddLinearConstraint(oracle.Members(group, p), group.Length / pools, (group.Length + pools - 1) / pools);
                }
            }
            pairs.Add(groups.Sum(group => Enumerable.Range(0, pools).Sum(p => Pairs((group.Length + p) / pools))));
        }
        var displacement = oracle.Minimise(oracle.Displacement(), out var isPossible);
        return (displacement is { } least ? new Optimum([.. pairs], least) : null, isPossible);
    }

    private static Optimum? SolveByLevel(
        IReadOnlyList<PoolFencer> fencers, int pools, IReadOnlyDictionary<string, int> placements)
    {
        var oracle = new PoolOracle(fencers, pools, placements);
        var pairs = new List<int>();
        for (var level = 0; level < oracle.Levels; level++)
        {
            var sum = oracle.PairsOf(level);
            if (oracle.Minimise(sum, out _) is not { } least)
            {
                return null;
            }
            oracle.model.Add(sum == least);
            pairs.Add(least);
        }
        return oracle.Minimise(oracle.Displacement(), out _) is { } displacement ? new Optimum([.. pairs], displacement) : null;
    }

    private int Levels => fencers.Max(f => f.Affiliations.Length);

    private static int Pairs(int members) => members * (members - 1) / 2;

    private List<int[]> Groups(int level) =>
        [.. Enumerable.Range(0, fencers.Count)
            .Where(f => level < fencers[f].Affiliations.Length && fencers[f].Affiliations[level] is not null)
            .GroupBy(f => fencers[f].Affiliations[level])
            .Select(group => group.ToArray())
            .Where(group => group.Length > 1)];

    private LinearExpr Members(int[] group, int pool) => LinearExpr.Sum(group.Select(f => isIn[f, pool]));

    /// <summary>
    /// The pairs of a level: the number of pairs is a convex function of the number of members, so it is the least
    /// number above its chords from m to m + 1 members.
    /// </summary>
    private LinearExpr PairsOf(int level)
    {
        var most = (fencers.Count + pools - 1) / pools;
        var all = new List<IntVar>();
        foreach (var group in Groups(level))
        {
            for (var p = 0; p < pools; p++)
            {
                var pairs = model.NewIntVar(0, Pairs(most), "pairs");
                for (var m = 1; m < Math.Min(most, group.Length); m++)
                {
                    model.Add(pairs >= (Members(group, p) * m) - Pairs(m + 1));
                }
                all.Add(pairs);
            }
        }
        return LinearExpr.Sum(all);
    }

    private LinearExpr Displacement()
    {
        var terms = new List<LinearExpr>();
        for (var f = 0; f < fencers.Count; f++)
        {
            var along = f % pools;
            var home = f / pools % 2 == 0 ? along : pools - 1 - along;
            for (var p = 0; p < pools; p++)
            {
                terms.Add(isIn[f, p] * Math.Abs(p - home));
            }
        }
        return LinearExpr.Sum(terms);
    }

    /// <summary>The proven minimum, or null if there is no solution or no proof within the limit.</summary>
    private int? Minimise(LinearExpr what, out bool isPossible)
    {
        model.Minimize(what);
        // One worker with the full linear relaxation: a portfolio of two workers holds none that bounds by it, and
        // proves much less. The limit counts work, not seconds, so that a busy machine proves the same.
        var solver = new CpSolver
        {
            StringParameters = "num_workers:1,linearization_level:2,random_seed:1,max_deterministic_time:60",
        };
        var status = solver.Solve(model);
        isPossible = status != CpSolverStatus.Infeasible;
        return status == CpSolverStatus.Optimal ? (int)Math.Round(solver.ObjectiveValue) : null;
    }
}
