using BoutDesk.Domain.Strips;
using Xunit;

namespace BoutDesk.Domain.Tests.Strips;

/// <summary>The limits are those of the Material book from memory, and of practice.</summary>
public class StripCheckTests
{
    [Theory]
    [InlineData(StripMeasure.Length, 14_000, 0)]
    [InlineData(StripMeasure.Length, 13_960, -40)]
    [InlineData(StripMeasure.Length, 14_001, 1)]
    [InlineData(StripMeasure.Width, 1_499, -1)]
    [InlineData(StripMeasure.Width, 1_500, 0)]
    [InlineData(StripMeasure.Width, 2_000, 0)]
    [InlineData(StripMeasure.Width, 2_050, 50)]
    [InlineData(StripMeasure.LeftOnGuardLine, 2_000, 0)]
    [InlineData(StripMeasure.RightOnGuardLine, 1_900, -100)]
    [InlineData(StripMeasure.LeftWarningZone, 1_000, -1_000)]
    [InlineData(StripMeasure.RightWarningZone, 2_000, 0)]
    [InlineData(StripMeasure.LeftRunOff, 0, -1_500)]
    [InlineData(StripMeasure.RightRunOff, 1_500, 0)]
    [InlineData(StripMeasure.RightRunOff, 2_400, 400)]
    public void A_measure_is_off_by_what_it_lies_outside_the_rule(StripMeasure measure, int millimetres, int offBy)
    {
        var finding = Assert.Single(StripCheck.Of([new(measure, millimetres)]));
        Assert.Equal((measure, millimetres, offBy), (finding.Limit.Measure, finding.Measured, finding.OffBy));
    }

    [Fact]
    public void A_tolerance_forgives_what_lies_within_it_and_nothing_of_what_lies_beyond()
    {
        Assert.Equal(0, Assert.Single(StripCheck.Of([new(StripMeasure.Length, 14_010)], tolerance: 10)).OffBy);
        Assert.Equal(11, Assert.Single(StripCheck.Of([new(StripMeasure.Length, 14_011)], tolerance: 10)).OffBy);
        Assert.Throws<ArgumentOutOfRangeException>(() => StripCheck.Of([], tolerance: -1));
    }

    [Fact]
    public void Each_measure_has_its_rule_and_what_was_not_measured_has_no_finding()
    {
        Assert.Equal(Enum.GetValues<StripMeasure>(), StripRule.Limits.Select(l => l.Measure));
        Assert.Equal(
            [StripMeasure.Width, StripMeasure.RightRunOff],
            StripCheck.Of([new(StripMeasure.RightRunOff, 2_000), new(StripMeasure.Width, 1_800)]).Select(f => f.Limit.Measure));
    }
}
