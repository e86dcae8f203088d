using BoutDesk.Domain.Equipment;
using Xunit;

namespace BoutDesk.Domain.Tests.Equipment;

public class EquipmentRecordTests
{
    [Fact]
    public void The_latest_check_of_a_kind_of_item_counts()
    {
        var record = Checked(
            (EquipmentItem.Mask, Verdict.Failed), (EquipmentItem.Weapon, Verdict.Passed),
            (EquipmentItem.Mask, Verdict.Passed), (EquipmentItem.BodyCord, Verdict.Passed), (EquipmentItem.BodyCord, Verdict.Failed));
        Assert.Equal([EquipmentItem.Mask, EquipmentItem.Weapon], record.Items(Verdict.Passed).AsEnumerable());
        Assert.Equal([EquipmentItem.BodyCord], record.Items(Verdict.Failed).AsEnumerable());
        Assert.Equal(5, record.Checks.Length);
        Assert.Equal(5, record.Version);
    }

    private static EquipmentRecord Checked(params (EquipmentItem Item, Verdict Verdict)[] checks) => checks.Aggregate(
        (EquipmentRecord?)null,
        (record, check) => EquipmentRecord.Evolve(record, "t-1-e1-kit", new EquipmentChecked("t-1", check.Item, check.Verdict, null, null)))!;
}
