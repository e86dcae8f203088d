using BoutDesk.Domain.Pools;
using Xunit;

namespace BoutDesk.Domain.Tests.Pools;

public class PoolPlanTests
{
    [Theory]
    [InlineData(3, 3, new[] { 3 })]
    [InlineData(7, 7, new[] { 7 })]
    [InlineData(8, 7, new[] { 4, 4 })]
    [InlineData(20, 7, new[] { 7, 7, 6 })]
    [InlineData(21, 7, new[] { 7, 7, 7 })]
    [InlineData(22, 7, new[] { 6, 6, 5, 5 })]
    [InlineData(12, 12, new[] { 12 })]
    [InlineData(13, 12, new[] { 7, 6 })]
    public void A_size_gives_the_fewest_pools_that_are_no_larger(int fencers, int poolSize, int[] sizes) =>
        Assert.Equal(sizes, PoolPlan.ForSize(fencers, poolSize).Sizes);

    [Theory]
    [InlineData(20, 3, new[] { 7, 7, 6 })]
    [InlineData(20, 4, new[] { 5, 5, 5, 5 })]
    [InlineData(20, 6, new[] { 4, 4, 3, 3, 3, 3 })]
    [InlineData(12, 1, new[] { 12 })]
    [InlineData(3, 1, new[] { 3 })]
    public void A_count_gives_pools_as_equal_as_can_be(int fencers, int poolCount, int[] sizes) =>
        Assert.Equal(sizes, PoolPlan.ForCount(fencers, poolCount).Sizes);

    [Theory]
    [InlineData(2, "Pools need at least 3 fencers; there are only 2.")]
    [InlineData(1, "Pools need at least 3 fencers; there is only 1.")]
    [InlineData(0, "Pools need at least 3 fencers; there are only 0.")]
    public void Fewer_than_three_fencers_are_refused(int fencers, string text)
    {
        Assert.Equal(text, Assert.Throws<ArgumentException>(() => PoolPlan.ForSize(fencers, 7)).Message);
        Assert.Equal(text, Assert.Throws<ArgumentException>(() => PoolPlan.ForCount(fencers, 1)).Message);
    }

    [Theory]
    [InlineData(2)]
    [InlineData(13)]
    public void A_size_that_no_pool_can_have_is_refused(int poolSize) =>
        Assert.Equal(
            $"A pool has 3 to 12 fencers; a size of {poolSize} is not possible.",
            Assert.Throws<ArgumentException>(() => PoolPlan.ForSize(30, poolSize)).Message);

    [Theory]
    [InlineData(5, 4, "5 fencers in pools of at most 4 would leave a pool of fewer than 3. Choose pools of at most 5 (5).")]
    [InlineData(4, 3, "4 fencers in pools of at most 3 would leave a pool of fewer than 3. Choose pools of at most 4 (4).")]
    [InlineData(10, 3, "10 fencers in pools of at most 3 would leave a pool of fewer than 3. Choose pools of at most 4 (4 + 3 + 3).")]
    public void A_size_that_leaves_too_small_a_pool_is_refused_with_one_that_fits(int fencers, int poolSize, string text) =>
        Assert.Equal(text, Assert.Throws<ArgumentException>(() => PoolPlan.ForSize(fencers, poolSize)).Message);

    [Theory]
    [InlineData(20, 1, "20 fencers cannot be drawn into 1 pools of 3 to 12. Number of pools to choose: 2 to 6.")]
    [InlineData(20, 7, "20 fencers cannot be drawn into 7 pools of 3 to 12. Number of pools to choose: 2 to 6.")]
    [InlineData(20, 0, "20 fencers cannot be drawn into 0 pools of 3 to 12. Number of pools to choose: 2 to 6.")]
    [InlineData(5, 2, "5 fencers cannot be drawn into 2 pools of 3 to 12. Number of pools to choose: 1.")]
    public void A_count_that_gives_impossible_sizes_is_refused_with_those_that_fit(int fencers, int poolCount, string text) =>
        Assert.Equal(text, Assert.Throws<ArgumentException>(() => PoolPlan.ForCount(fencers, poolCount)).Message);

    [Fact]
    public void Every_plan_up_to_a_hundred_fencers_is_within_its_limits_or_refused_for_a_pool_of_two()
    {
        for (var fencers = 3; fencers <= 100; fencers++)
        {
            for (var poolSize = 3; poolSize <= 12; poolSize++)
            {
                var fewestPools = (fencers + poolSize - 1) / poolSize;
                if (fewestPools * 3 > fencers)
                {
                    Assert.Throws<ArgumentException>(() => PoolPlan.ForSize(fencers, poolSize));
                    continue;
                }
                var plan = PoolPlan.ForSize(fencers, poolSize);
                Assert.Equal(fewestPools, plan.PoolCount);
                Assert.Equal(PoolPlan.ForCount(fencers, fewestPools), plan);
                Assert.Equal(fencers, plan.Sizes.Sum());
                Assert.All(plan.Sizes, size => Assert.InRange(size, 3, poolSize));
                Assert.InRange(plan.Sizes[0] - plan.Sizes[^1], 0, 1);
            }
        }
    }

    [Fact]
    public void The_size_that_a_refusal_names_is_the_next_one_that_fits()
    {
        var refused = 0;
        for (var fencers = 3; fencers <= 100; fencers++)
        {
            for (var poolSize = 3; poolSize <= 12; poolSize++)
            {
                if (Record.Exception(() => PoolPlan.ForSize(fencers, poolSize)) is not { } refusal)
                {
                    continue;
                }
                refused++;
                var next = Enumerable.Range(poolSize + 1, 12 - poolSize)
                    .First(size => Record.Exception(() => PoolPlan.ForSize(fencers, size)) is null);
                Assert.Contains($"Choose pools of at most {next} ", refusal.Message, StringComparison.Ordinal);
            }
        }
        Assert.True(refused > 0);
    }
}
