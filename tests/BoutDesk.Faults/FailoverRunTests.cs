using Xunit;

namespace BoutDesk.Faults;

[Collection("one after the other")]
public class FailoverRunTests
{
    [Fact]
    public async Task What_was_acknowledged_is_there_once_when_the_primary_dies_and_its_standby_is_promoted()
    {
        var plan = FailoverPlan.Short(Random.Shared.Next());
        var report = await FailoverRun.RunAsync(plan, _ => { });
        Assert.True(report.Wrong.Count == 0, report.ToString());
        Assert.Equal(plan.Failovers, report.Failovers.Count);
        Assert.True(report.Reckoned.Actions > 100, report.ToString());
    }
}
