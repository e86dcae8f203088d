using BoutDesk.Domain.Refereeing;
using BoutDesk.Domain.Seeding;
using Google.OrTools.Graph;
using Xunit;
using Xunit.Abstractions;

namespace BoutDesk.Domain.Tests.Refereeing;

/// <summary>
/// Assignments of generated pools and referees: rules are never broken, and as many have a referee, at as little cost, as
/// another solver finds, or a search through everything. Both are told the rules and weights anew, as they are written down.
/// </summary>
public class AssignmentLaws
{
    private readonly ITestOutputHelper output;

    public AssignmentLaws(ITestOutputHelper output) => this.output = output;

    [Fact]
    public void No_rule_is_broken()
    {
        foreach (var (seed, made) in Cases(first: 20_000, count: 300, largest: 40))
        {
            var assigned = Assign(made);
            var what = $"Seed {seed}: ";
            Assert.Equal(made.Duties.Length, assigned.Covered.Length + assigned.Uncovered.Length);
            Assert.Equal(
                made.Duties.Select(d => d.At).Order(StringComparer.Ordinal),
                assigned.Covered.Select(c => c.At).Concat(assigned.Uncovered.Select(u => u.At)).Order(StringComparer.Ordinal));
            var taken = new HashSet<(string, int)>();
            foreach (var (at, refereeId) in assigned.Covered)
            {
                var duty = made.Duties.Single(d => d.At == at);
                var candidate = made.Candidates.Single(c => c.Referee.Id == refereeId);
                Assert.True(May(duty, candidate, made.Rules), what + $"{refereeId} must not have {at}.");
                Assert.True(taken.Add((refereeId, duty.Flight)), what + $"{refereeId} has two pools in turn {duty.Flight}.");
            }
        }
    }

    [Fact]
    public void No_more_could_have_a_referee_and_none_for_less()
    {
        var covered = 0;
        foreach (var (seed, made) in Cases(first: 30_000, count: 120, largest: 25).Concat(Large(first: 40_000, count: 12)))
        {
            var assigned = Assign(made);
            var (most, least) = BySolver(made);
            Assert.True(
                (most, least) == (assigned.Covered.Length, assigned.Cost),
                $"Seed {seed}: the solver covers {most} for {least}, we {assigned.Covered.Length} for {assigned.Cost}.");
            Assert.Equal(assigned.Cost, CostOf(made, assigned));
            covered += most;
        }

        Assert.True(covered > 1000, $"Only {covered} duties were covered, which says little.");
        output.WriteLine($"{covered} duties of 132 cases.");
    }

    [Fact]
    public void No_way_at_all_to_assign_a_few_is_better()
    {
        var (cases, uncovered) = (0, 0);
        for (var seed = 50_000; seed < 50_400; seed++)
        {
            var lots = new DrawSeed(seed).Lots();
            var made = GeneratedDuties.Of(seed, 1 + lots.Below(4), 1 + lots.Below(4), 1 + lots.Below(2), clubs: 8);
            var assigned = Assign(made);
            var (most, least) = ByEverything(made);
            Assert.True(
                (most, least) == (assigned.Covered.Length, assigned.Cost),
                $"Seed {seed}: at best {most} for {least}, but {assigned.Covered.Length} for {assigned.Cost}.");
            cases++;
            uncovered += assigned.Uncovered.Length;
        }

        Assert.True(uncovered > 100, $"Only {uncovered} of {cases} cases have too few referees.");
    }

    [Fact]
    public void The_same_duties_and_referees_give_the_same_assignment()
    {
        foreach (var (seed, made) in Cases(first: 60_000, count: 40, largest: 40))
        {
            var (once, twice) = (Assign(made), Assign(made));
            Assert.True(once.Covered.SequenceEqual(twice.Covered), $"Seed {seed}.");
        }
    }

    [Fact]
    public void Who_is_named_as_a_way_out_has_one_rule_against_him_and_nothing_to_do()
    {
        var named = 0;
        foreach (var (seed, made) in Cases(first: 70_000, count: 200, largest: 12))
        {
            var assigned = Assign(made);
            foreach (var (duty, relaxation) in assigned.Uncovered.SelectMany(u => u.Relaxations.Select(r => (made.Duties.Single(d => d.At == u.At), r))))
            {
                var candidate = made.Candidates.Single(c => c.Referee.Id == relaxation.RefereeId);
                Assert.False(May(duty, candidate, made.Rules), $"Seed {seed}: {relaxation.RefereeId} could have {duty.At}.");
                Assert.True(May(duty, LetGo(candidate, duty, relaxation.Rule, out var at), Eased(made.Rules, relaxation.Rule), at), $"Seed {seed}: {relaxation}.");
                Assert.DoesNotContain(
                    assigned.Covered,
                    c => c.RefereeId == relaxation.RefereeId && made.Duties.Single(d => d.At == c.At).Flight == duty.Flight);
                named++;
            }
        }

        Assert.True(named > 50, $"Only {named} ways out.");
    }

    private static AssignedDuties Assign(GeneratedDuties made) => RefereeAssignment.Assign(made.Duties, made.Candidates, made.Rules);

    private static IEnumerable<(long Seed, GeneratedDuties Made)> Cases(long first, int count, int largest)
    {
        for (var seed = first; seed < first + count; seed++)
        {
            var lots = new DrawSeed(seed).Lots();
            yield return (seed, GeneratedDuties.Of(seed, 1 + lots.Below(largest), 1 + lots.Below(largest), 1 + lots.Below(3), clubs: 6 + lots.Below(30)));
        }
    }

    private static IEnumerable<(long Seed, GeneratedDuties Made)> Large(long first, int count)
    {
        for (var i = 0; i < count; i++)
        {
            yield return (first + i, GeneratedDuties.Of(first + i, 60, 80, 1 + (i % 3), clubs: 30));
        }
    }

    /// <summary>The rules as they are written down, apart from those that only weigh.</summary>
    private static bool May(Duty duty, Candidate candidate, AssignmentRules rules, Duty? at = null)
    {
        var (who, when) = (candidate.Referee.Details, (at ?? duty).When);
        return !candidate.Referee.Away
            && !candidate.Fencing
            && !candidate.Elsewhere
            && !candidate.Flights.Contains(duty.Flight)
            && who.Weapons.Contains(duty.Weapon)
            && who.Level >= rules.LeastLevel
            && !duty.Clubs.Any(club => string.Equals(club, who.Club, StringComparison.OrdinalIgnoreCase))
            && !(rules.CountriesApart && OwnCountry(duty, candidate))
            && (when is null || !Overlaps(when, who));

        static bool Overlaps(HallSpan when, RefereeDetails who) =>
            (who.From is { } from && when.From < from) || (who.To is { } to && when.To > to) || who.Breaks.Any(b => b.From < when.To && when.From < b.To);
    }

    private static bool OwnCountry(Duty duty, Candidate candidate) =>
        duty.Countries.Any(country => string.Equals(country, candidate.Referee.Details.Country, StringComparison.OrdinalIgnoreCase));

    private static Candidate LetGo(Candidate candidate, Duty duty, Bars rule, out Duty without)
    {
        without = rule == Bars.Hours ? duty with { When = null } : duty;
        var details = rule == Bars.OwnClub ? candidate.Referee.Details with { Club = null } : candidate.Referee.Details;
        return candidate with
        {
            Referee = candidate.Referee with { Details = details, Away = candidate.Referee.Away && rule != Bars.Away },
            Elsewhere = candidate.Elsewhere && rule != Bars.Elsewhere,
        };
    }

    private static AssignmentRules Eased(AssignmentRules rules, Bars rule) => rule switch
    {
        Bars.Level => rules with { LeastLevel = RefereeLevel.Club },
        Bars.OwnCountry => rules with { CountriesApart = false },
        _ => rules,
    };

    private static long WeightOf(Duty duty, Candidate candidate)
    {
        var steps = (int)candidate.Referee.Details.Level - (int)duty.Wanted;
        return (OwnCountry(duty, candidate) ? 4000 : 0)
            + (steps > 0 ? 60 * steps : 400 * -steps)
            + (candidate.InARow < 2 ? 0 : 1500 * (candidate.InARow - 1));
    }

    /// <summary>What it costs that somebody who had a load has so many duties more.</summary>
    private static long LoadOf(GeneratedDuties made, Candidate candidate, int more)
    {
        var mean = (long)Math.Ceiling(made.Duties.Sum(d => d.Load) / (decimal)made.Duties.Length);
        return ((candidate.Load + (mean * more)) * (candidate.Load + (mean * more))) - ((long)candidate.Load * candidate.Load);
    }

    private static long CostOf(GeneratedDuties made, AssignedDuties assigned) =>
        assigned.Covered.Sum(c => WeightOf(made.Duties.Single(d => d.At == c.At), made.Candidates.Single(r => r.Referee.Id == c.RefereeId)))
        + assigned.Covered.CountBy(c => c.RefereeId).Sum(n => LoadOf(made, made.Candidates.Single(r => r.Referee.Id == n.Key), n.Value));

    private static (int Most, long Least) BySolver(GeneratedDuties made)
    {
        var flow = new MinCostFlow();
        int[] flights = [.. made.Duties.Select(d => d.Flight).Distinct()];
        var (duties, referees) = (made.Duties.Length, made.Candidates.Length);
        var (source, sink) = (duties + (referees * (flights.Length + 1)), duties + (referees * (flights.Length + 1)) + 1);
        for (var d = 0; d < duties; d++)
        {
            flow.AddArcWithCapacityAndUnitCost(source, d, 1, 0);
            for (var r = 0; r < referees; r++)
            {
                if (May(made.Duties[d], made.Candidates[r], made.Rules))
                {
                    flow.AddArcWithCapacityAndUnitCost(
                        d, duties + (r * flights.Length) + Array.IndexOf(flights, made.Duties[d].Flight), 1, WeightOf(made.Duties[d], made.Candidates[r]));
                }
            }
        }

        for (var r = 0; r < referees; r++)
        {
            for (var turn = 0; turn < flights.Length; turn++)
            {
                var node = duties + (referees * flights.Length) + r;
                flow.AddArcWithCapacityAndUnitCost(duties + (r * flights.Length) + turn, node, 1, 0);
                flow.AddArcWithCapacityAndUnitCost(node, sink, 1, LoadOf(made, made.Candidates[r], turn + 1) - LoadOf(made, made.Candidates[r], turn));
            }
        }

        flow.SetNodeSupply(source, duties);
        flow.SetNodeSupply(sink, -duties);
        Assert.Equal(MinCostFlowBase.Status.OPTIMAL, flow.SolveMaxFlowWithMinCost());
        return ((int)flow.MaximumFlow(), flow.OptimalCost());
    }

    private static (int Most, long Least) ByEverything(GeneratedDuties made)
    {
        var best = (Most: 0, Least: long.MaxValue);
        Try(0, []);
        return best;

        void Try(int duty, List<(int Duty, int Referee)> chosen)
        {
            if (duty == made.Duties.Length)
            {
                var cost = chosen.Sum(c => WeightOf(made.Duties[c.Duty], made.Candidates[c.Referee]))
                    + chosen.CountBy(c => c.Referee).Sum(n => LoadOf(made, made.Candidates[n.Key], n.Value));
                if (chosen.Count > best.Most || (chosen.Count == best.Most && cost < best.Least))
                {
                    best = (chosen.Count, cost);
                }

                return;
            }

            Try(duty + 1, chosen);
            for (var referee = 0; referee < made.Candidates.Length; referee++)
            {
                if (May(made.Duties[duty], made.Candidates[referee], made.Rules)
                    && chosen.All(c => c.Referee != referee || made.Duties[c.Duty].Flight != made.Duties[duty].Flight))
                {
                    Try(duty + 1, [.. chosen, (duty, referee)]);
                }
            }
        }
    }
}
