using System.Numerics;
using BoutDesk.Domain.Standings;
using FsCheck;
using FsCheck.Fluent;
using FsCheck.Xunit;

namespace BoutDesk.Domain.Tests.Standings;

/// <summary>What holds for every table of standings. Small numbers, so that ties are frequent.</summary>
public class StandingsLaws
{
    private static readonly Gen<Tally> AnyTally =
        from bouts in Gen.Choose(0, 7)
        from victories in Gen.Choose(0, bouts)
        from scored in Gen.Choose(0, 6)
        from received in Gen.Choose(0, 6)
        select new Tally(victories, bouts, scored, received);

    private static readonly Arbitrary<Tally[]> AnyTallies = AnyTally.ArrayOf().ToArbitrary();

    [Property]
    public Property The_order_is_the_one_of_exact_fractions_then_indicator_then_touches() =>
        Prop.ForAll(AnyTally.ToArbitrary(), AnyTally.ToArbitrary(), (one, other) =>
            Math.Sign(one.CompareTo(other)) == Math.Sign(ByTheBook(one, other)));

    [Property]
    public Property The_order_is_the_same_both_ways_round_and_consistent() =>
        Prop.ForAll(AnyTally.ToArbitrary(), AnyTally.ToArbitrary(), AnyTally.ToArbitrary(), (a, b, c) =>
            Math.Sign(a.CompareTo(b)) == -Math.Sign(b.CompareTo(a))
            && (a.CompareTo(b) > 0 || b.CompareTo(c) > 0 || a.CompareTo(c) <= 0));

    [Property]
    public Property The_place_is_one_more_than_the_number_of_those_who_are_better() => Prop.ForAll(AnyTallies, tallies =>
        StandingsTable.Rank(tallies.Select((t, i) => (i, t))).All(s =>
            s.Place == 1 + tallies.Count(other => ByTheBook(other, s.Tally) < 0)
            && s.Tied == (tallies.Count(other => ByTheBook(other, s.Tally) == 0) > 1)));

    [Property]
    public Property Everybody_is_in_the_table_once_with_his_own_tally() => Prop.ForAll(AnyTallies, tallies =>
    {
        var standings = StandingsTable.Rank(tallies.Select((t, i) => (i, t)));
        return standings.Select(s => s.Fencer).Order().SequenceEqual(Enumerable.Range(0, tallies.Length))
            && standings.All(s => s.Tally == tallies[s.Fencer])
            && standings.Zip(standings.Skip(1)).All(pair => pair.First.Place <= pair.Second.Place);
    });

    /// <summary>The rule written out with common fractions: negative when the first is better.</summary>
    private static int ByTheBook(Tally one, Tally other)
    {
        var denominator = new BigInteger(Math.Max(one.Bouts, 1)) * Math.Max(other.Bouts, 1);
        var ratioOne = one.Victories * denominator / Math.Max(one.Bouts, 1);
        var ratioOther = other.Victories * denominator / Math.Max(other.Bouts, 1);
        return (-ratioOne, other.TouchesScored - other.TouchesReceived, -one.TouchesScored)
            .CompareTo((-ratioOther, one.TouchesScored - one.TouchesReceived, -other.TouchesScored));
    }
}
