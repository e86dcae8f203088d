using Xunit;

namespace BoutDesk.Faults;

[Collection("one after the other")]
public class FaultRunTests
{
    [Fact]
    public async Task What_was_acknowledged_is_there_once_and_nothing_else_whatever_dies()
    {
        var report = await FaultRun.RunAsync(FaultPlan.Short(Random.Shared.Next()), _ => { });
        Assert.True(report.Wrong.Count == 0, report.ToString());
        Assert.True(report.Actions > 100, report.ToString());
    }
}
