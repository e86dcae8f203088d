using Xunit;

namespace BoutDesk.Faults;

[Collection("one after the other")]
public class UpgradeRunTests
{
    [Fact]
    public async Task No_touch_is_refused_or_lost_and_no_table_made_twice_when_one_service_after_the_other_is_exchanged()
    {
        var plan = UpgradePlan.Short(Random.Shared.Next());
        var report = await UpgradeRun.RunAsync(plan, _ => { });
        Assert.True(report.Wrong.Count == 0, report.ToString());
        Assert.Equal(2 * plan.Rolls, report.Exchanges.Count);
        Assert.True(report.Reckoned.Actions > 100, report.ToString());
    }
}
