using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Standings;
using BoutDesk.Domain.Tests.Bouts;
using Xunit;

namespace BoutDesk.Domain.Tests.Standings;

/// <summary>Pools as far as they are fenced, made of lists and of bouts.</summary>
public class PossiblePlacesPoolTests
{
    private static readonly string[] Fencers = ["t-1-e1", "t-1-e2"];

    [Fact]
    public void A_bout_not_begun_is_open() =>
        Assert.Equal(new OpenBout(1, 2), OnlyOpen(BoutScript.InPool()));

    [Fact]
    public void A_bout_begun_is_open_with_its_touches() =>
        Assert.Equal(new OpenBout(1, 2, new Score(2, 1)), OnlyOpen(BoutScript.InPool().After("L R L")));

    [Fact]
    public void A_bout_past_its_time_is_open_with_or_without_priority()
    {
        var due = BoutScript.InPool().After("L R T");
        Assert.Equal(new OpenBout(1, 2, new Score(1, 1), TimeIsUp: true), OnlyOpen(due));
        Assert.Equal(new OpenBout(1, 2, new Score(1, 1), TimeIsUp: true, Side.Right), OnlyOpen(due.After("PR")));
    }

    [Fact]
    public void A_bout_that_has_a_winner_is_decided_whether_or_not_it_is_confirmed()
    {
        Assert.Equal(new DecidedBout(1, 2, new Score(1, 0), Side.Left), OnlyDecided(BoutScript.InPool().After("L T")));
        Assert.Equal(
            new DecidedBout(1, 2, new Score(3, 3), Side.Right),
            OnlyDecided(BoutScript.InPool().Given(new ResultRecorded(new Score(3, 3), Side.Right))));
    }

    [Fact]
    public void A_black_card_decides_a_bout_against_the_touches() =>
        Assert.Equal(new DecidedBout(1, 2, new Score(2, 0), Side.Right), OnlyDecided(BoutScript.InPool().After("L L BL")));

    [Fact]
    public void An_annulled_bout_is_in_neither_list()
    {
        var pool = PoolSoFar.Of(Fencers, [BoutScript.InPool().Given(new BoutAnnulled("t-1-e2", "injured"))], new HashSet<string> { "t-1-e2", "t-1-e9" });
        Assert.Empty(pool.Open);
        Assert.Empty(pool.Decided);
        Assert.Equal(2, Assert.Single(pool.Gone));
        Assert.Equal(1, pool.Ranked);
    }

    [Fact]
    public void The_target_is_that_of_the_bouts() => Assert.Equal(3, Of(BoutScript.InPool(target: 3)).Target);

    [Fact]
    public void A_bout_of_another_pool_or_none_at_all_makes_no_pool()
    {
        Assert.Throws<ArgumentException>("bouts", () => PoolSoFar.Of(["t-1-e1", "t-1-e7"], [BoutScript.InPool()], new HashSet<string>()));
        Assert.Throws<ArgumentException>("bouts", () => PoolSoFar.Of(Fencers, [], new HashSet<string>()));
    }

    [Theory]
    [InlineData(0, 5)]
    [InlineData(21, 5)]
    [InlineData(4, 0)]
    [InlineData(4, 46)]
    public void Fencers_go_from_one_to_twenty_and_touches_from_one_to_forty_five(int fencers, int target) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => new PoolSoFar(fencers, target, [], []));

    [Theory]
    [InlineData(0, 1)]
    [InlineData(1, 5)]
    public void Positions_go_from_one_to_the_number_of_fencers(int left, int right)
    {
        Assert.Throws<ArgumentOutOfRangeException>("position", () => new PoolSoFar(4, 5, [], [new OpenBout(left, right)]));
        Assert.Throws<ArgumentOutOfRangeException>("position", () => new PoolSoFar(4, 5, [], [], [left, right]));
    }

    [Fact]
    public void Nobody_meets_himself_or_anybody_twice()
    {
        Assert.Throws<ArgumentException>(() => new PoolSoFar(4, 5, [], [new OpenBout(1, 1)]));
        Assert.Throws<ArgumentException>(() => new PoolSoFar(4, 5, [new DecidedBout(2, 1, new Score(5, 0), Side.Left)], [new OpenBout(1, 2)]));
    }

    [Theory]
    [InlineData(6, 0)]
    [InlineData(0, 6)]
    [InlineData(-1, 5)]
    [InlineData(5, -1)]
    public void Touches_do_not_pass_the_target(int left, int right) =>
        Assert.Throws<ArgumentException>(() => new PoolSoFar(4, 5, [new DecidedBout(1, 2, new Score(left, right), Side.Left)], []));

    [Theory]
    [InlineData(5, 0, false, null)]
    [InlineData(0, 5, false, null)]
    [InlineData(-1, 0, false, null)]
    [InlineData(2, 1, true, null)]
    [InlineData(2, 2, false, Side.Left)]
    public void What_would_have_ended_a_bout_or_cannot_be_makes_no_open_one(int left, int right, bool timeIsUp, Side? priority) =>
        Assert.Throws<ArgumentException>(() => new PoolSoFar(4, 5, [], [new OpenBout(1, 2, new Score(left, right), timeIsUp, priority)]));

    private static PoolSoFar Of(Bout bout) => PoolSoFar.Of(Fencers, [bout], new HashSet<string>());

    private static OpenBout OnlyOpen(Bout bout)
    {
        var pool = Of(bout);
        Assert.Empty(pool.Decided);
        return Assert.Single(pool.Open);
    }

    private static DecidedBout OnlyDecided(Bout bout)
    {
        var pool = Of(bout);
        Assert.Empty(pool.Open);
        return Assert.Single(pool.Decided);
    }
}
