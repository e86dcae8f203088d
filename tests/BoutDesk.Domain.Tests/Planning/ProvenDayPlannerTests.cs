using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Planning;
using BoutDesk.Domain.Seeding;
using BoutDesk.ProvenPlans;
using Xunit;
using static BoutDesk.Domain.Tests.Planning.GeneratedDay;

namespace BoutDesk.Domain.Tests.Planning;

/// <summary>The planner with an exact solver, and the search held against it.</summary>
public class ProvenDayPlannerTests
{
    private readonly ProvenDayPlanner exact = new();

    [Theory]
    [MemberData(nameof(Seeds))]
    public void It_keeps_all_rules_never_ends_later_than_the_search_and_never_before_its_bound(int seed)
    {
        var day = Of(seed, 2 + (seed % 5), 4 + (seed % 7), lunch: seed % 2 == 0);
        DayPlan[] plans = [.. exact.Plans(day, new DrawSeed(seed), ProvenDayPlanner.StepsASecond / 2)];
        Assert.All(plans, plan => DayPlannerTests.AssertKept(day, plan));
        Assert.Equal(plans, plans.OrderByDescending(p => p.EndsAt).ThenByDescending(p => p.YoungWait));
        var searched = new DayPlanner().Best(day, new DrawSeed(seed), ProvenDayPlanner.StepsASecond / 2);
        Assert.True(plans[^1].EndsAt <= searched.EndsAt);
        // What the one proves holds for the other.
        Assert.True(plans[^1].LowerBound >= searched.LowerBound);
        Assert.InRange(searched.EndsAt, plans[^1].LowerBound, int.MaxValue);
        if (plans[^1].EndIsLeast)
        {
            Assert.True(searched.EndsAt - day.OpensAt <= 1.08 * (plans[^1].EndsAt - day.OpensAt), $"{searched.EndsAt} instead of {plans[^1].EndsAt}");
        }
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    public void Its_end_of_a_small_day_is_that_of_an_exhaustive_search_and_is_proven(int seed) => AssertProvenLeast(DayPlannerTests.Small(seed), seed);

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    public void With_a_list_of_referees_its_end_of_a_small_day_is_proven_too(int seed) => AssertProvenLeast(DayPlannerTests.SmallWithList(seed), seed);

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    public void With_a_list_of_referees_it_keeps_all_rules_and_its_bound_holds_for_the_search(int seed) =>
        AssertBoundHolds(WithList(seed, 2 + (seed % 4), 4 + (seed % 5)), seed);

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    [InlineData(5)]
    [InlineData(6)]
    public void On_strips_of_several_kinds_its_end_of_a_small_day_is_that_of_an_exhaustive_search_and_is_proven(int seed) => AssertProvenLeast(DayPlannerTests.SmallWithKinds(seed), seed);

    [Theory]
    [MemberData(nameof(Seeds))]
    public void On_strips_of_several_kinds_it_keeps_all_rules_and_its_bound_holds_for_the_search(int seed) =>
        AssertBoundHolds(WithKinds(seed, 2 + (seed % 4), 4 + (seed % 5), list: seed % 4 == 0), seed);

    [Fact]
    public void The_same_day_and_seed_give_the_same_plan()
    {
        var plans = Enumerable.Range(0, 2).Select(_ =>
        {
            var plan = exact.Best(Of(9, 7, 9), new DrawSeed(2), ProvenDayPlanner.StepsASecond);
            return string.Join('|', plan.Stages.Select(s => $"{s.Competition} {s.Stage} {s.From} {s.To}")) + plan.Bound;
        }).ToArray();
        Assert.Equal(plans[0], plans[1]);
    }

    [Fact]
    public void A_stage_for_more_strips_than_there_are_is_refused() => Assert.Throws<ArgumentException>(
        () => exact.Best(new DayToPlan([Competition("c", 24, Weapon.Foil, 8)], 8, 3, 0, 1440, [], []), new DrawSeed(1), 0));

    public static TheoryData<int> Seeds => [.. Enumerable.Range(1, 8)];

    private void AssertProvenLeast(DayToPlan day, int seed)
    {
        var plan = exact.Best(day, new DrawSeed(seed), 5 * ProvenDayPlanner.StepsASecond);
        DayPlannerTests.AssertKept(day, plan);
        Assert.Equal(Exhaustive.EarliestEnd(day), plan.EndsAt);
        Assert.True(plan.EndIsLeast);
    }

    /// <summary>All rules are kept, and what is proven holds for the search.</summary>
    private void AssertBoundHolds(DayToPlan day, int seed)
    {
        DayPlan[] plans = [.. exact.Plans(day, new DrawSeed(seed), ProvenDayPlanner.StepsASecond / 2)];
        Assert.All(plans, plan => DayPlannerTests.AssertKept(day, plan));
        var searched = new DayPlanner().Best(day, new DrawSeed(seed), ProvenDayPlanner.StepsASecond / 2);
        Assert.True(plans[^1].EndsAt <= searched.EndsAt);
        Assert.InRange(searched.EndsAt, plans[^1].LowerBound, int.MaxValue);
    }
}
