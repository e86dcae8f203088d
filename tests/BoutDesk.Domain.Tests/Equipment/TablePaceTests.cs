using BoutDesk.Domain.Equipment;
using Xunit;
using static BoutDesk.Domain.Tests.Equipment.Kit;

namespace BoutDesk.Domain.Tests.Equipment;

public class TablePaceTests
{
    [Fact]
    public void The_pace_is_that_of_the_last_hour_and_tells_when_the_queue_is_done()
    {
        // One every three minutes, for the last half hour.
        var pace = TablePace.Of(11, 40, Every(3, 11), Morning.AddMinutes(30));
        Assert.Equal(20m, pace.PerHour);
        Assert.Equal(Morning.AddMinutes(30 + 120), pace.DoneAt);
        Assert.Equal((11, 40), (pace.Through, pace.Waiting));
    }

    [Fact]
    public void What_is_older_than_an_hour_does_not_count()
    {
        var now = Morning.AddMinutes(80);
        Assert.Null(TablePace.Of(4, 1, Every(5, 4), now).PerHour);
        Assert.Equal(4.5m, TablePace.Of(8, 1, [.. Every(5, 4), now.AddMinutes(-40), now.AddMinutes(-30), now.AddMinutes(-20), now], now).PerHour);
    }

    [Fact]
    public void A_table_that_stands_still_becomes_slower()
    {
        Assert.Equal(18m, TablePace.Of(4, 9, Every(3, 4), Morning.AddMinutes(10)).PerHour);
        Assert.Equal(6m, TablePace.Of(4, 9, Every(3, 4), Morning.AddMinutes(30)).PerHour);
    }

    [Theory]
    [InlineData(0)]
    [InlineData(3)]
    public void Too_few_make_no_pace(int completed)
    {
        var pace = TablePace.Of(completed, 9, Every(3, completed), Morning.AddMinutes(30));
        Assert.Null(pace.PerHour);
        Assert.Null(pace.DoneAt);
    }

    [Fact]
    public void Many_at_one_moment_make_no_pace_either() => Assert.Null(TablePace.Of(5, 9, Every(0, 5), Morning.AddSeconds(5)).PerHour);

    [Fact]
    public void When_nobody_waits_there_is_nothing_to_wait_for() => Assert.Null(TablePace.Of(11, 0, Every(3, 11), Morning.AddMinutes(30)).DoneAt);

    [Fact]
    public void The_end_is_told_up_to_the_next_minute() =>
        Assert.Equal(Morning.AddMinutes(31), TablePace.Of(4, 1, [Morning, Morning.AddMinutes(29), Morning.AddMinutes(29), .. Enumerable.Repeat(Morning.AddMinutes(29), 60)], Morning.AddMinutes(30)).DoneAt);

    [Fact]
    public void What_fails_most_comes_first()
    {
        var failures = FailureCount.Of(
        [
            Record(Check(EquipmentItem.Mask, Verdict.Failed), Check(EquipmentItem.Mask, Verdict.Passed), Check(EquipmentItem.Glove, Verdict.Passed)),
            Record(Check(EquipmentItem.BodyCord, Verdict.Failed, 1), Check(EquipmentItem.BodyCord, Verdict.Failed, 2), Check(EquipmentItem.Jacket, Verdict.Failed)),
        ]);
        Assert.Equal(
            [new FailureCount(EquipmentItem.BodyCord, 2, 2), new FailureCount(EquipmentItem.Jacket, 1, 1), new FailureCount(EquipmentItem.Mask, 2, 1)],
            failures.AsEnumerable());
    }

    private static DateTimeOffset[] Every(int minutes, int count) => [.. Enumerable.Range(0, count).Select(i => Morning.AddMinutes(i * minutes))];
}
