using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Equipment;
using FsCheck;
using FsCheck.Fluent;
using FsCheck.Xunit;
using Xunit;
using static BoutDesk.Domain.Tests.Equipment.Kit;

namespace BoutDesk.Domain.Tests.Equipment;

public class EquipmentStateTests
{
    private static readonly Competition Epee = Of(Weapon.Epee, Category.Men);

    [Fact]
    public void Everything_is_missing_in_the_beginning()
    {
        var state = ((EquipmentRecord?)null).StateOf(Epee);
        Assert.False(state.Complete);
        Assert.False(state.MayFence);
        Assert.Null(state.CompleteAt);
        Assert.Equal([1, 1, 1, 1, 1, 2, 2], state.Items.Select(i => i.Missing));
    }

    [Fact]
    public void The_rest_passes_at_once_but_what_has_failed_stays_so()
    {
        var record = Record(Check(EquipmentItem.Mask, Verdict.Failed), Check(EquipmentItem.Weapon, Verdict.Passed, 2));
        var after = record.After(EquipmentDecider.PassTheRest(record, RecordId, Epee, EquipmentRules.Usual, "green 14", Morning.AddMinutes(5)));
        var state = after.StateOf(Epee);
        Assert.Equal([EquipmentItem.Mask], state.Items.Where(i => i.Missing > 0).Select(i => i.Item));
        // Jacket, plastron, breeches, glove, the first weapon and two cords.
        Assert.Equal(2 + 7, after.Checks.Length);
        Assert.Equal("green 14", after.Checks[^1].Mark);
        Assert.Empty(EquipmentDecider.PassTheRest(after, RecordId, Epee, EquipmentRules.Usual, null, Morning).Facts);
    }

    [Fact]
    public void A_spare_that_failed_does_not_count_against_two_that_passed()
    {
        var complete = Complete();
        var state = Record([.. complete.Checks, Check(EquipmentItem.Weapon, Verdict.Failed, 3, 20)]).StateOf(Epee);
        Assert.True(state.Complete);
        Assert.Equal(1, state.Items.Single(i => i.Item == EquipmentItem.Weapon).Failed);
    }

    [Fact]
    public void What_the_rules_do_not_ask_for_is_listed_behind_what_they_do()
    {
        var state = Record(Check(EquipmentItem.ChestProtector, Verdict.Failed)).StateOf(Epee);
        Assert.Equal(new ItemState(EquipmentItem.ChestProtector, 0, 0, 1), state.Items[^1]);
    }

    [Fact]
    public void It_is_complete_from_the_last_check_that_was_needed_and_anew_after_a_failure()
    {
        var complete = Complete();
        Assert.Equal(Morning.AddMinutes(10), complete.StateOf(Epee).CompleteAt);

        var later = Record([.. complete.Checks, Check(EquipmentItem.Glove, Verdict.Passed, minute: 30)]);
        Assert.Equal(Morning.AddMinutes(10), later.StateOf(Epee).CompleteAt);

        var broken = Record([.. later.Checks, Check(EquipmentItem.Mask, Verdict.Failed, minute: 40)]);
        Assert.False(broken.StateOf(Epee).Complete);
        Assert.Null(broken.StateOf(Epee).CompleteAt);

        var mended = Record([.. broken.Checks, Check(EquipmentItem.Mask, Verdict.Passed, minute: 50)]);
        Assert.Equal(Morning.AddMinutes(50), mended.StateOf(Epee).CompleteAt);
    }

    [Fact]
    public void Rules_that_ask_for_nothing_are_met_by_everybody()
    {
        var state = EquipmentState.Of(EquipmentRules.Usual with { Required = [] }, Weapon.Foil, Category.Men, null);
        Assert.True(state.Complete);
        Assert.Null(state.CompleteAt);
    }

    [Property(MaxTest = 200)]
    public Property To_pass_another_piece_never_makes_anything_missing()
    {
        var check =
            from item in Gen.Elements(Enum.GetValues<EquipmentItem>())
            from verdict in Gen.Elements(Verdict.Passed, Verdict.Failed)
            from piece in Gen.Choose(1, 3)
            select Check(item, verdict, piece);
        return Prop.ForAll(check.ArrayOf().ToArbitrary(), check.ToArbitrary(), (checks, another) =>
        {
            var before = (checks.Length == 0 ? null : Record(checks)).StateOf(Epee);
            var after = Record([.. checks, another with { Verdict = Verdict.Passed }]).StateOf(Epee);
            return before.Items.All(i => after.Items.Single(a => a.Item == i.Item).Missing <= i.Missing) && (!before.Complete || after.Complete);
        });
    }

    [Theory]
    [InlineData(EquipmentGate.Off, false)]
    [InlineData(EquipmentGate.Warn, false)]
    [InlineData(EquipmentGate.Block, true)]
    public void Only_a_gate_that_blocks_hinders(EquipmentGate gate, bool hinders)
    {
        Unready one = new("t-1-e1", "Lindqvist Ada", [EquipmentItem.Mask], []), other = new("t-1-e2", "Okafor Ben", [EquipmentItem.Glove], []);
        Assert.Null(EquipmentGates.Hinders(gate, []));
        var refusal = EquipmentGates.Hinders(gate, [one, other]);
        Assert.Equal(hinders, refusal is not null);
        if (refusal is not null)
        {
            Assert.Equal(RefusalReason.EquipmentNotPassed, refusal.Reason);
            Assert.Equal(["t-1-e1", "t-1-e2"], refusal.Concerns.AsEnumerable());
            Assert.Contains("Lindqvist Ada + Okafor Ben", refusal.Message, StringComparison.Ordinal);
        }
    }

    private static EquipmentRecord Complete()
    {
        var record = Record(Check(EquipmentItem.Mask, Verdict.Passed));
        return record.After(EquipmentDecider.PassTheRest(record, RecordId, Epee, EquipmentRules.Usual, null, Morning.AddMinutes(10)));
    }
}
