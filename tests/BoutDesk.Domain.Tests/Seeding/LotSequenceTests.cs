using BoutDesk.Domain.Seeding;
using Xunit;

namespace BoutDesk.Domain.Tests.Seeding;

public class LotSequenceTests
{
    [Fact]
    public void The_lots_are_those_of_the_published_generator()
    {
        // SplitMix64 from the start value 1234567; test values in wide circulation, here from memory.
        ulong[] published = [6457827717110365317, 3203168211198807973, 9817491932198370423, 4593380528125082431, 16408922859458223821];
        const int Range = 1 << 30;
        var lots = new DrawSeed(1234567).Lots();
        Assert.Equal(published.Select(value => (int)(value % Range)), published.Select(_ => lots.Below(Range)));
    }

    [Fact]
    public void A_lot_is_below_the_number_of_outcomes_and_each_comes_up()
    {
        var lots = new DrawSeed(3).Lots();
        foreach (var outcomes in Enumerable.Range(1, 12))
        {
            Assert.Equal(Enumerable.Range(0, outcomes), Enumerable.Range(0, 400).Select(_ => lots.Below(outcomes)).Distinct().Order());
        }
    }

    [Fact]
    public void There_is_no_lot_among_no_outcomes() =>
        Assert.Throws<ArgumentOutOfRangeException>(() => new DrawSeed(1).Lots().Below(0));

    [Fact]
    public void The_lots_of_the_seeding_are_a_sequence_of_their_own()
    {
        // Neither sequence is in the first thousand lots of the other, whatever the step between them.
        var first = Lots(new DrawSeed(2026).Lots(), 1000);
        var seeding = Lots(new DrawSeed(2026).SeedingLots(), 1000);
        Assert.DoesNotContain(seeding[0], first);
        Assert.DoesNotContain(first[0], seeding);
        Assert.Equal(seeding, Lots(new DrawSeed(2026).SeedingLots(), 1000));
        Assert.NotEqual(seeding, Lots(new DrawSeed(2027).SeedingLots(), 1000));

        static int[] Lots(LotSequence lots, int count) => [.. Enumerable.Range(0, count).Select(_ => lots.Below(int.MaxValue))];
    }

    [Fact]
    public void A_recorded_draw_comes_out_the_same_in_years_to_come()
    {
        // Fisher-Yates from the end with the published values above, worked out apart: remainders by 5, 4, 3 and 2.
        var lots = new DrawSeed(1234567).Lots();
        int[] order = [1, 2, 3, 4, 5];
        lots.Shuffle<int>(order);
        Assert.Equal([5, 4, 1, 2, 3], order);
        // Four lots were drawn for five, no more.
        Assert.Equal(147545805, lots.Below(1 << 30));
    }

    [Fact]
    public void The_lots_of_the_seeding_come_out_the_same_in_years_to_come()
    {
        // The same generator from the complement of the seed, begun anew at its first value; worked out apart.
        var lots = new DrawSeed(1234567).SeedingLots();
        Assert.Equal([964551735, 849249917, 243017554], Enumerable.Range(0, 3).Select(_ => lots.Below(1 << 30)));
    }

    [Fact]
    public void A_seed_is_written_in_full_and_stays_exact_in_readers_of_JSON()
    {
        Assert.Equal("9007199254740991", new DrawSeed(DrawSeed.MaxValue).ToString());
        Assert.Equal(DrawSeed.MaxValue, (long)(double)DrawSeed.MaxValue);
        Assert.NotEqual(DrawSeed.MaxValue + 2, (long)(double)(DrawSeed.MaxValue + 2));
    }
}
