using BoutDesk.Domain.Planning;
using BoutDesk.Domain.Tests.Competitions;
using Xunit;

namespace BoutDesk.Domain.Tests.Planning;

/// <summary>Which numbers have moved away from a plan that is kept.</summary>
public class KeptPlanTests
{
    [Theory]
    // Counted from the entries: every other number is told.
    [InlineData(8, false, false, true)]
    [InlineData(9, false, false, false)]
    [InlineData(10, false, false, true)]
    // Expected by the organiser: fewer may still enter until the draw.
    [InlineData(10, true, false, false)]
    [InlineData(10, true, true, true)]
    [InlineData(9, true, true, false)]
    [InlineData(8, true, false, true)]
    public void A_number_has_moved_when_it_cannot_be_that_of_the_plan_any_more(int planned, bool expected, bool drawn, bool moved)
    {
        var day = CompetitionDay.Of(9);
        if (drawn)
        {
            day.DrawPools();
        }

        var plan = Plan(new PlannedField(day.Competition.Id, planned, expected, null));
        Assert.Equal(moved ? [new MovedNumber(day.Competition.Id, planned, 9)] : [], plan.Moved([day.Competition]));
    }

    [Fact]
    public void Who_leaves_after_the_draw_does_not_move_a_number()
    {
        var day = CompetitionDay.Of(9).DrawPools().Leaves(1);
        Assert.Single(day.Competition.Gone);
        Assert.Empty(Plan(new PlannedField(day.Competition.Id, 9, false, null)).Moved([day.Competition]));
    }

    [Fact]
    public void A_competition_that_the_plan_does_not_know_has_moved_once_it_can_be_fenced()
    {
        Assert.Equal([new MovedNumber("c", 0, 2)], Plan().Moved([CompetitionDay.Of(2).Competition with { Id = "c" }]));
        Assert.Empty(Plan().Moved([CompetitionDay.Of(1).Competition]));
    }

    [Fact]
    public void A_competition_that_is_fenced_on_another_day_has_not_moved()
    {
        var plan = Plan();
        Assert.Empty((plan with { For = plan.For! with { LeftOut = [CompetitionDay.Id] } }).Moved([CompetitionDay.Of(9).Competition]));
    }

    [Fact]
    public void A_plan_that_was_kept_without_its_numbers_tells_nothing() =>
        Assert.Empty((Plan() with { For = null }).Moved([CompetitionDay.Of(9).Competition]));

    private static KeptPlan Plan(params PlannedField[] fields) => new(default, default, 1, 1, [], default, default, [], new PlannedFor([.. fields], 1, 2, 12, false, []));
}
