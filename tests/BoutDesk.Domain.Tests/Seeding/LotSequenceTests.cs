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
}
