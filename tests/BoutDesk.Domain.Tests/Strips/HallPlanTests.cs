using BoutDesk.Domain.Strips;
using Xunit;

namespace BoutDesk.Domain.Tests.Strips;

public class HallPlanTests
{
    private static readonly PlanFigures Figures = new();

    /// <summary>
    /// A place is 18 m by 3.8 m. In 44 by 22 m the clearance leaves 42 by 20 m: down the hall 11 side by side (41.8 m);
    /// along it two end to end (18 + 1 + 18 = 37 m) in 5 rows (19 m). In 40 by 20 m, 38 by 18 m: 10 down, or 2 in 4 rows.
    /// </summary>
    [Theory]
    [InlineData(44_000, 22_000, 11, StripDirection.Down)]
    [InlineData(22_000, 44_000, 11, StripDirection.Across)]
    [InlineData(40_000, 20_000, 10, StripDirection.Down)]
    [InlineData(40_000, 19_999, 8, StripDirection.Across)]
    [InlineData(20_000, 5_800, 1, StripDirection.Across)]
    [InlineData(20_000, 5_799, 0, null)]
    [InlineData(19_999, 5_800, 0, null)]
    // Nothing but walls is left.
    [InlineData(1_000, 1_000, 0, null)]
    public void An_empty_hall_takes_what_can_be_reckoned_by_hand(int length, int width, int strips, StripDirection? direction)
    {
        var plan = HallPlan.For(new Hall(length, width), Figures);
        Assert.Equal((strips, strips), (plan.Strips.Length, plan.Alike));
        Assert.All(plan.Strips, s => Assert.Equal(direction, s.Direction));
        Assert.Equal(Enumerable.Range(1, strips), plan.Strips.Select(s => s.Number));
    }

    [Fact]
    public void The_parts_of_a_strip_lie_where_the_figures_say()
    {
        var strip = Assert.Single(HallPlan.For(new Hall(20_000, 5_800), Figures).Strips);
        Assert.Equal(new FloorArea(3_000, 3_000, 14_000, 1_800), strip.Strip);
        Assert.Equal(new FloorArea(1_000, 3_000, 2_000, 1_800), strip.FirstRunOff);
        Assert.Equal(new FloorArea(17_000, 3_000, 2_000, 1_800), strip.SecondRunOff);
        Assert.Equal(new FloorArea(1_000, 1_000, 18_000, 2_000), strip.Lane);
        Assert.Equal(new FloorArea(9_400, 1_700, 1_200, 600), strip.Table);
        Assert.Equal(new FloorArea(1_000, 1_000, 18_000, 3_800), strip.Place);

        var turned = Assert.Single(HallPlan.For(new Hall(5_800, 20_000), Figures).Strips);
        Assert.Equal(strip.Strip.Transposed, turned.Strip);
        Assert.Equal(strip.Table.Transposed, turned.Table);
    }

    [Fact]
    public void Where_both_ways_take_as_many_the_strips_lie_along_the_longer_walls()
    {
        // Clearance leaves 18 m by 18 m: four either way.
        Assert.All(HallPlan.For(new Hall(20_000, 20_000), Figures).Strips, s => Assert.Equal(StripDirection.Across, s.Direction));
        var plan = HallPlan.For(new Hall(20_100, 20_000), Figures);
        Assert.Equal(4, plan.Strips.Length);
        Assert.All(plan.Strips, s => Assert.Equal(StripDirection.Across, s.Direction));
        Assert.All(HallPlan.For(new Hall(20_000, 20_100), Figures).Strips, s => Assert.Equal(StripDirection.Down, s.Direction));
    }

    [Fact]
    public void A_door_and_a_stage_keep_their_floor()
    {
        // Ten stand down the empty hall. The door leaves 19 m on its left, for five, and 17 m on its right, for four.
        var hall = new Hall(40_000, 20_000) { Doors = [new HallDoor(Wall.Top, 20_000, 2_000, 2_000)] };
        var plan = HallPlan.For(hall, Figures);
        Assert.Equal(9, plan.Strips.Length);
        Assert.All(plan.Strips, s => Assert.False(s.Place.Overlaps(new FloorArea(20_000, 0, 2_000, 2_000))));

        // A stage of 4 m with its clearance leaves 37 m of the 42: nine side by side, or two end to end in five rows.
        var stage = new FloorArea(0, 0, 4_000, 22_000);
        var beside = HallPlan.For(new Hall(44_000, 22_000) { Blocks = [new HallBlock(stage)] }, Figures);
        Assert.All(beside.Strips, s => Assert.True(s.Place.X >= 5_000));
        Assert.Equal(10, beside.Strips.Length);
    }

    [Fact]
    public void Rows_of_both_directions_are_taken_only_where_they_hold_more()
    {
        // Inside the clearance 18 m by 22.8 m: down one row of four and below it, a passage further, one strip across.
        var plan = HallPlan.For(new Hall(20_000, 24_800), Figures);
        Assert.Equal((6, 6), (plan.Strips.Length, plan.Alike));
        var shallow = Figures with { StripLength = 8_000, RunOff = 1_000, Gap = 1_200, EndGap = 500, StripWidth = 1_500 };
        // Places of 10 m by 2.7 m in 10.5 m by 13.2 m: three side by side and one across below them, or four across.
        var mixed = HallPlan.For(new Hall(12_500, 15_200), shallow);
        Assert.Equal(4, mixed.Alike);
        Assert.Equal(4, mixed.Strips.Length);
        // In 10.9 m by 13.2 m four stand side by side, and one more lies across below.
        mixed = HallPlan.For(new Hall(12_900, 15_200), shallow);
        Assert.Equal((5, 4), (mixed.Strips.Length, mixed.Alike));
        Assert.Equal([4, 1], mixed.Strips.GroupBy(s => s.Direction).Select(g => g.Count()));
    }

    [Fact]
    public void Strips_of_different_rows_lie_in_line_where_that_costs_nothing()
    {
        // The door pushes the second strip of the first row to 22 m; in the other row it could lie at 20 m. A metre and a half is
        // left over at the right.
        var plan = HallPlan.For(new Hall(42_500, 9_600) { Doors = [new HallDoor(Wall.Top, 20_000, 2_000, 2_000)] }, Figures);
        Assert.Equal([1_700, 22_700, 1_700, 22_700], plan.Strips.Select(s => s.Place.X));
    }

    [Fact]
    public void Floor_that_is_left_over_is_shared_between_both_sides_where_nothing_is_in_the_way()
    {
        // 20 m between the clearances and 18 m of strip; 42 m and eleven places of 3.8 m.
        Assert.All(HallPlan.For(new Hall(44_000, 22_000), Figures).Strips, s => Assert.Equal(2_000, s.Place.Y));
        Assert.Equal(1_100, HallPlan.For(new Hall(44_000, 22_000), Figures).Strips[0].Place.X);
        // With its clearance a table at the bottom takes the floor from 19.5 m on, where they would reach to 20 m.
        var table = new HallBlock(new FloorArea(21_000, 20_500, 2_000, 1_500));
        Assert.All(HallPlan.For(new Hall(44_000, 22_000) { Blocks = [table] }, Figures).Strips, s => Assert.Equal((1_000, 19_000), (s.Place.Y, s.Place.Bottom)));
    }

    [Fact]
    public void What_stands_in_front_of_a_door_is_named()
    {
        var hall = new Hall(30_000, 20_000)
        {
            Doors = [new HallDoor(Wall.Left, 1_000, 1_000, 2_000), new HallDoor(Wall.Bottom, 28_000, 1_000, 2_000)],
            Blocks = [new HallBlock(new FloorArea(2_000, 1_000, 1_000, 1_000)), new HallBlock(new FloorArea(27_000, 17_000, 3_000, 1_100), "bar")],
        };
        Assert.Equal(new BlockedDoor(2, 2), Assert.Single(HallPlan.For(hall, Figures).BlockedDoors));
    }

    [Fact]
    public void What_cannot_be_planned_is_a_mistake_of_the_caller()
    {
        Assert.Throws<ArgumentException>(() => HallPlan.For(new Hall(0, 10_000), Figures));
        Assert.Throws<ArgumentException>(() => HallPlan.For(new Hall(20_000, 10_000), Figures with { Clearance = -1 }));
        Assert.Throws<ArgumentException>(() => HallPlan.For(new Hall(20_000, 10_000), Figures with { TableDepth = 2_001 }));
    }
}
