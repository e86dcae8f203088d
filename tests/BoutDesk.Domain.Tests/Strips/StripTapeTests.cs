using BoutDesk.Domain.Strips;
using FsCheck;
using FsCheck.Fluent;
using FsCheck.Xunit;
using Xunit;

namespace BoutDesk.Domain.Tests.Strips;

public class StripTapeTests
{
    private const int Roll = 33_000;

    [Fact]
    public void A_strip_is_laid_with_the_lines_of_the_rule()
    {
        // 2 sides of 10 m, 5 lines across of 1.8 m; 4 sides of 2 m and 2 lines across for the warning zones.
        Assert.Equal(
            ["Side Line 2x10000", "End Line 2x1800", "Centre Line 1x1800", "OnGuard Line 2x1800", "WarningSide Warning 4x2000", "WarningLine Warning 2x1800"],
            StripTape.ForOne(14_000, 1_800).Select(p => $"{p.Line} {p.Tape} {p.Count}x{p.Length}"));
        Assert.DoesNotContain(StripTape.ForOne(4_000, 1_500), p => p.Line == StripLine.Side);
        Assert.Throws<ArgumentOutOfRangeException>(() => StripTape.ForOne(3_999, 1_500));
    }

    [Fact]
    public void The_materials_of_a_hall_are_those_of_its_strips()
    {
        var need = StripMaterials.For(6, new PlanFigures(), Roll, 50);
        Assert.Equal((6, 12, 6, 6, 6), (need.Strips, need.Reels, need.ScoringSets, need.Tables, need.Outlets));
        // By hand: 6 x 29 m and 6 x 11.6 m. Each roll gives three sides and a line across; the other 26 lines across,
        // at 17 to a roll of 33 m, take 2 more. Of the warning tape 24 x 2.05 m and 12 x 1.85 m are 71.4 m: three rolls.
        Assert.Equal([(Tape.Line, 174_000L, 6), (Tape.Warning, 69_600L, 3)], need.Tapes.Select(t => (t.Tape, t.Length, t.Rolls)));
        Assert.Equal(need.PiecesOfOne.Select(p => 6 * p.Count), need.Pieces.Select(p => p.Count));
        Assert.All(StripMaterials.For(0, new PlanFigures(), Roll, 50).Tapes, t => Assert.Equal((0L, 0), (t.Length, t.Rolls)));
    }

    [Fact]
    public void A_piece_longer_than_a_roll_is_joined()
    {
        // 10 m from rolls of 4 m that give 3.9 m each: two whole ones, and 2.3 m of a third.
        Assert.Equal(3, StripTape.Rolls([Piece(10_000, 1)], 4_000, 100));
        Assert.Equal(2, StripTape.Rolls([Piece(8_000, 1)], 4_000, 0));
        Assert.Throws<ArgumentOutOfRangeException>(() => StripTape.Rolls([], 100, 100));
    }

    /// <summary>
    /// First-fit decreasing takes at most 11/9 of the fewest rolls and 6/9 more: G. Dósa, The tight bound of first fit
    /// decreasing bin-packing algorithm, 2007 (from memory).
    /// </summary>
    [Property(MaxTest = 300)]
    public Property Rolls_are_enough_and_hardly_more_than_the_fewest() => Prop.ForAll(
        Gen.Choose(1, 30).NonEmptyListOf().Where(lengths => lengths.Count <= 8).ToArbitrary(),
        Gen.Choose(0, 3).ToArbitrary(),
        (lengths, loss) =>
        {
            const int Length = 33;
            var rolls = StripTape.Rolls(lengths.Select(l => Piece(l, 1)), Length, loss);
            var fewest = Fewest([.. lengths.Select(l => l + loss)], 0, []);
            Assert.InRange(rolls, fewest, ((11 * fewest) + 6) / 9);

            // Every piece on each roll that is begun, or on a new one.
            static int Fewest(int[] pieces, int next, int[] left) => next == pieces.Length
                ? left.Length
                : Enumerable.Range(0, left.Length).Where(roll => left[roll] >= pieces[next])
                    .Select(roll => Fewest(pieces, next + 1, [.. left.Select((l, i) => i == roll ? l - pieces[next] : l)]))
                    .Append(Fewest(pieces, next + 1, [.. left, Length - pieces[next]]))
                    .Min();
        });

    private static TapePiece Piece(int length, int count) => new(StripLine.Side, Tape.Line, length, count);
}
