using BoutDesk.Domain.Strips;
using FsCheck;
using FsCheck.Fluent;
using FsCheck.Xunit;
using Xunit;

namespace BoutDesk.Domain.Tests.Strips;

/// <summary>What holds of every plan, whatever the hall.</summary>
public class HallPlanLaws
{
    [Property(MaxTest = 300)]
    public Property No_strip_shares_floor_or_passage_with_another() => ForAll((_, figures, plan) =>
    {
        for (var one = 0; one < plan.Strips.Length; one++)
        {
            // Its place with the passage at both ends, which it may share with nobody but another passage.
            var strip = plan.Strips[one];
            var (alongX, alongY) = strip.Direction == StripDirection.Across ? (figures.EndGap, 0) : (0, figures.EndGap);
            var place = strip.Place;
            var kept = new FloorArea(place.X - alongX, place.Y - alongY, place.Width + (2 * alongX), place.Height + (2 * alongY));
            Assert.All(plan.Strips.Where(other => other != strip), other => Assert.False(kept.Overlaps(other.Place)));
        }
    });

    [Property(MaxTest = 300)]
    public Property Between_strips_side_by_side_the_gap_is_kept() => ForAll((_, figures, plan) =>
        Assert.All(plan.Strips, strip => Assert.All(
            plan.Strips.Where(other => other != strip && other.Direction == strip.Direction),
            other => Assert.False(Beside(strip, figures.Gap).Overlaps(other.Strip)))));

    [Property(MaxTest = 300)]
    public Property Every_place_keeps_to_the_hall_and_out_of_doors_and_blocks() => ForAll((hall, figures, plan) =>
        Assert.All(plan.Strips, strip =>
        {
            Assert.True(hall.Floor.Grown(-figures.Clearance).Contains(strip.Place));
            Assert.DoesNotContain(hall.Doors, d => hall.InFrontOf(d).Overlaps(strip.Place));
            Assert.DoesNotContain(hall.Blocks, b => b.Area.Overlaps(strip.Place.Grown(figures.Clearance)));
        }));

    [Property(MaxTest = 300)]
    public Property The_parts_of_a_place_fill_it_and_are_as_large_as_the_figures_say() => ForAll((_, figures, plan) =>
        Assert.All(plan.Strips, strip =>
        {
            FloorArea[] parts = [strip.Strip, strip.FirstRunOff, strip.SecondRunOff, strip.Lane];
            Assert.All(parts, part => Assert.True(strip.Place.Contains(part)));
            Assert.Equal(Floor(strip.Place), parts.Sum(Floor));
            Assert.Equal(
                (long)figures.StripWidth * (figures.StripLength + (2 * figures.RunOff)),
                Floor(strip.Strip) + Floor(strip.FirstRunOff) + Floor(strip.SecondRunOff));
            Assert.True(strip.Lane.Contains(strip.Table));
        }));

    [Property(MaxTest = 200)]
    public Property More_room_never_holds_fewer_strips() => Prop.ForAll(
        (from any in GeneratedHall.AnySize from longer in Gen.Choose(0, 9_000) from wider in Gen.Choose(0, 9_000) select (any, longer, wider)).ToArbitrary(),
        drawn =>
        {
            var (hall, figures) = drawn.any;
            var (before, after) = (HallPlan.For(hall, figures), HallPlan.For(hall with { Length = hall.Length + drawn.longer, Width = hall.Width + drawn.wider }, figures));
            Assert.True(after.Strips.Length >= before.Strips.Length);
            Assert.True(after.Alike >= before.Alike);
        });

    [Property(MaxTest = 200)]
    public Property Asking_for_less_never_holds_fewer_strips() => ForAll((hall, figures, plan) =>
    {
        PlanFigures[] lesser =
        [
            figures with { StripLength = figures.StripLength - 1 },
            figures with { RunOff = figures.RunOff / 2 },
            figures with { Gap = figures.Gap - 1 },
            figures with { EndGap = figures.EndGap / 2 },
            figures with { Clearance = figures.Clearance / 2 },
        ];
        Assert.All(lesser, less => Assert.True(HallPlan.For(hall, less).Strips.Length >= plan.Strips.Length));
        Assert.True(HallPlan.For(hall with { Doors = [], Blocks = [] }, figures).Strips.Length >= plan.Strips.Length);
    });

    [Property(MaxTest = 200)]
    public Property The_hall_turned_over_its_diagonal_or_end_for_end_holds_as_many() => ForAll((hall, figures, plan) =>
    {
        Hall[] turned =
        [
            new(hall.Width, hall.Length)
            {
                Doors = [.. hall.Doors.Select(d => d with { Wall = d.Wall switch { Wall.Top => Wall.Left, Wall.Left => Wall.Top, Wall.Right => Wall.Bottom, _ => Wall.Right } })],
                Blocks = [.. hall.Blocks.Select(b => b with { Area = b.Area.Transposed })],
            },
            hall with
            {
                Doors =
                [
                    .. hall.Doors.Select(d => d.Wall switch
                    {
                        Wall.Left => d with { Wall = Wall.Right },
                        Wall.Right => d with { Wall = Wall.Left },
                        _ => d with { Offset = hall.Length - d.Offset - d.Width },
                    }),
                ],
                Blocks = [.. hall.Blocks.Select(b => b with { Area = b.Area with { X = hall.Length - b.Area.Right } })],
            },
        ];
        Assert.All(turned.Select(t => HallPlan.For(t, figures)), t => Assert.Equal((plan.Strips.Length, plan.Alike), (t.Strips.Length, t.Alike)));
    });

    private static long Floor(FloorArea area) => (long)area.Width * area.Height;

    /// <summary>The strip with its run-offs, and a margin beside it.</summary>
    private static FloorArea Beside(PlannedStrip strip, int margin) => strip.Direction == StripDirection.Across
        ? new FloorArea(strip.Place.X, strip.Strip.Y - margin, strip.Place.Width, strip.Strip.Height + (2 * margin))
        : new FloorArea(strip.Strip.X - margin, strip.Place.Y, strip.Strip.Width + (2 * margin), strip.Place.Height);

    private static Property ForAll(Action<Hall, PlanFigures, HallPlan> law) => Prop.ForAll(
        GeneratedHall.AnySize.ToArbitrary(), any => law(any.Hall, any.Figures, HallPlan.For(any.Hall, any.Figures)));
}
