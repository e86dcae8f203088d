using BoutDesk.Domain.Strips;
using FsCheck;
using FsCheck.Fluent;
using FsCheck.Xunit;
using Xunit;

namespace BoutDesk.Domain.Tests.Strips;

/// <summary>The plan of a small hall beside a search through every plan of it.</summary>
public class HallPlanSearchTests
{
    private const int Cell = 1_000;

    [Property(MaxTest = 2_000)]
    public Property No_plan_in_rows_has_more_strips() => Prop.ForAll(GeneratedHall.Small(Cell).ToArbitrary(), small =>
    {
        var plan = HallPlan.For(small.Hall, small.Figures);
        var search = new SlowHallSearch(small.Hall, small.Figures, Cell);
        Assert.Equal(search.InRows(alike: true), plan.Alike);
        Assert.Equal(search.InRows(alike: false), plan.Strips.Length);
    });

    /// <summary>What the model costs: strips that lie alike, but in no rows, could be more in a few halls that are full of corners.</summary>
    [Fact]
    public void Rows_hold_nearly_always_as_many_as_strips_that_lie_anywhere()
    {
        var chance = new Random(20261128);
        var (halls, fewer) = (0, 0);
        while (halls < 200)
        {
            var (length, width) = (chance.Next(4, 8), chance.Next(4, 7));
            var hall = new Hall(length * Cell, width * Cell)
            {
                Blocks = [.. Enumerable.Range(0, chance.Next(0, 4)).Select(_ => new HallBlock(new FloorArea(chance.Next(length) * Cell, chance.Next(width) * Cell, Cell, Cell)))],
            };
            var figures = new PlanFigures { StripLength = 3 * Cell, StripWidth = Cell, RunOff = 0, Gap = 0, EndGap = 0, Clearance = 0, TableLength = 0, TableDepth = 0 };
            var anywhere = new SlowHallSearch(hall, figures, Cell).AnywhereAlike();
            var alike = HallPlan.For(hall, figures).Alike;
            Assert.InRange(alike, 0, anywhere);
            halls++;
            fewer += alike < anywhere ? 1 : 0;
        }

        Assert.InRange(fewer, 0, halls / 50);
    }
}
