using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Equipment;
using Xunit;
using static BoutDesk.Domain.Tests.Equipment.Kit;

namespace BoutDesk.Domain.Tests.Equipment;

public class EquipmentRecordTests
{
    [Fact]
    public void The_latest_check_of_a_piece_counts()
    {
        var record = Record(
            Check(EquipmentItem.Mask, Verdict.Failed),
            Check(EquipmentItem.Weapon, Verdict.Passed),
            Check(EquipmentItem.Mask, Verdict.Passed),
            Check(EquipmentItem.BodyCord, Verdict.Passed),
            Check(EquipmentItem.BodyCord, Verdict.Failed));
        Assert.Equal([EquipmentItem.Mask, EquipmentItem.Weapon], record.Items(Verdict.Passed).AsEnumerable());
        Assert.Equal([EquipmentItem.BodyCord], record.Items(Verdict.Failed).AsEnumerable());
        Assert.Equal(5, record.Checks.Length);
        Assert.Equal(5, record.Version);
    }

    [Fact]
    public void A_kind_has_failed_while_one_of_its_pieces_has()
    {
        var record = Record(Check(EquipmentItem.Weapon, Verdict.Passed, 1), Check(EquipmentItem.Weapon, Verdict.Failed, 2));
        Assert.Equal([EquipmentItem.Weapon], record.Items(Verdict.Failed).AsEnumerable());
        Assert.Empty(record.Items(Verdict.Passed));
        Assert.Equal([1, 2], record.Latest.Select(c => c.Piece!.Value));
    }

    [Fact]
    public void A_check_without_a_piece_is_of_the_first()
    {
        var record = Record(Check(EquipmentItem.Weapon, Verdict.Failed), Check(EquipmentItem.Weapon, Verdict.Passed, 1));
        Assert.Single(record.Latest);
        Assert.Empty(record.Items(Verdict.Failed));
    }

    [Fact]
    public void A_check_is_taken_back_and_the_one_before_it_counts_again()
    {
        var record = Record(Check(EquipmentItem.Mask, Verdict.Passed), Check(EquipmentItem.Mask, Verdict.Failed)).After(
            EquipmentDecider.TakeBack(Record(Check(EquipmentItem.Mask, Verdict.Passed), Check(EquipmentItem.Mask, Verdict.Failed))));
        Assert.Equal([EquipmentItem.Mask], record.Items(Verdict.Passed).AsEnumerable());
        Expect.Refused(RefusalReason.NothingToTakeBack, EquipmentDecider.TakeBack(record.After(EquipmentDecider.TakeBack(record))));
        Expect.Refused(RefusalReason.NothingToTakeBack, EquipmentDecider.TakeBack(null));
    }

    [Fact]
    public void A_waiver_is_recorded_with_its_reason_and_can_be_taken_back()
    {
        var competition = Of(Weapon.Foil);
        var waived = ((EquipmentRecord?)null).After(EquipmentDecider.Waive(null, RecordId, competition, EquipmentRules.Usual, "lent by the club, seen by the armourer"));
        Assert.False(waived.StateOf(competition).Complete);
        Assert.True(waived.StateOf(competition).MayFence);
        Assert.Empty(EquipmentDecider.Waive(waived, RecordId, competition, EquipmentRules.Usual, "lent by the club, seen by the armourer").Facts);
        Assert.Equal("another", waived.After(EquipmentDecider.Waive(waived, RecordId, competition, EquipmentRules.Usual, "another")).Waiver);

        // A weapon that failed can be done without; protection that failed cannot.
        Assert.True(Record(new EquipmentWaived("t-1", "x"), Check(EquipmentItem.Weapon, Verdict.Failed)).StateOf(competition).MayFence);
        var unsafeMask = Record(new EquipmentWaived("t-1", "x"), Check(EquipmentItem.Mask, Verdict.Failed));
        Assert.False(unsafeMask.StateOf(competition).MayFence);
        Expect.Refused(RefusalReason.EquipmentNotPassed, EquipmentDecider.Waive(unsafeMask, RecordId, competition, EquipmentRules.Usual, "y"));
        Assert.True(Record(new EquipmentWaived("t-1", "x"), Check(EquipmentItem.Mask, Verdict.Failed), Check(EquipmentItem.Mask, Verdict.Passed, 2)).StateOf(competition).MayFence);

        var back = waived.After(EquipmentDecider.TakeWaiverBack(waived));
        Assert.False(back.StateOf(competition).MayFence);
        Assert.Empty(EquipmentDecider.TakeWaiverBack(back).Facts);
        Assert.Empty(EquipmentDecider.TakeWaiverBack(null).Facts);
    }
}
