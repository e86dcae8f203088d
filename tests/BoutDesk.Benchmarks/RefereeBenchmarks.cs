using BenchmarkDotNet.Attributes;
using BoutDesk.Domain.Refereeing;
using BoutDesk.Domain.Tests.Refereeing;
using Google.OrTools.Graph;

namespace BoutDesk.Benchmarks;

/// <summary>
/// Assigning 80 referees to 60 pools, beside another solver of the same flow, whose network is made each time as ours is.
/// Bar on two cores of a server: 10 ms.
/// </summary>
[MemoryDiagnoser]
public class RefereeBenchmarks
{
    private const int Pools = 60;
    private const int Referees = 80;

    private GeneratedDuties made = null!;

    [Params(1, 3)]
    public int Flights { get; set; }

    [GlobalSetup]
    public void Make() => made = GeneratedDuties.Of(40_000, Pools, Referees, Flights, clubs: 30);

    [Benchmark]
    public AssignedDuties Assign() => RefereeAssignment.Assign(made.Duties, made.Candidates, made.Rules);

    /// <summary>The network of the same size: its costs are like ours, and what may be assigned is the same.</summary>
    [Benchmark(Baseline = true)]
    public long Solver()
    {
        var flow = new MinCostFlow();
        var (referees, source) = (Pools + (Referees * Flights), Pools + (Referees * (Flights + 1)));
        for (var d = 0; d < Pools; d++)
        {
            flow.AddArcWithCapacityAndUnitCost(source, d, 1, 0);
            for (var r = 0; r < Referees; r++)
            {
                var (duty, candidate) = (made.Duties[d], made.Candidates[r]);
                if (RefereeAssignment.WhyNot(duty, candidate, made.Rules) == Bars.None && !candidate.Flights.Contains(duty.Flight))
                {
                    flow.AddArcWithCapacityAndUnitCost(d, Pools + (r * Flights) + duty.Flight, 1, CostOf(duty, candidate));
                }
            }
        }

        for (var r = 0; r < Referees; r++)
        {
            for (var turn = 0; turn < Flights; turn++)
            {
                long before = made.Candidates[r].Load + (18 * turn);
                flow.AddArcWithCapacityAndUnitCost(Pools + (r * Flights) + turn, referees + r, 1, 0);
                flow.AddArcWithCapacityAndUnitCost(referees + r, source + 1, 1, ((before + 18) * (before + 18)) - (before * before));
            }
        }

        flow.SetNodeSupply(source, Pools);
        flow.SetNodeSupply(source + 1, -Pools);
        flow.SolveMaxFlowWithMinCost();
        return flow.OptimalCost();
    }

    private static long CostOf(Duty duty, Candidate candidate)
    {
        var steps = candidate.Referee.Details.Level - duty.Wanted;
        return (steps >= 0 ? steps * RefereeAssignment.LevelAbove : -steps * RefereeAssignment.LevelBelow)
            + (duty.Countries.Contains(candidate.Referee.Details.Country ?? string.Empty) ? RefereeAssignment.OwnCountry : 0)
            + (Math.Max(0, candidate.InARow - 1) * RefereeAssignment.NoRest);
    }
}
