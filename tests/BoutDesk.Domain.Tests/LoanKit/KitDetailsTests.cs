using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Equipment;
using BoutDesk.Domain.LoanKit;
using Xunit;

namespace BoutDesk.Domain.Tests.LoanKit;

public class KitDetailsTests
{
    private static readonly KitDetails Glove = new(EquipmentItem.Glove, null, "Harbour Blades", "8", KitHand.Left, "G8");

    [Fact]
    public void Blanks_are_trimmed_and_empty_texts_left_out() => Assert.Equal(
        new KitDetails(EquipmentItem.Mask, null, "Harbour", null, KitHand.Either, null),
        new KitDetails(EquipmentItem.Mask, null, " Harbour ", " ", KitHand.Either, "").Tidied());

    [Theory]
    [InlineData("G8", "G8 G9 G10")]
    [InlineData("M-007", "M-007 M-008 M-009")]
    [InlineData("4", "4 5 6")]
    [InlineData("red", "red 1|red 2|red 3")]
    [InlineData("1234567890", "1234567890 1|1234567890 2|1234567890 3")]
    [InlineData("999", "999 1000 1001")]
    public void Labels_of_several_are_counted_on(string label, string labels) => Assert.Equal(
        labels.Split(labels.Contains('|', StringComparison.Ordinal) ? '|' : ' '), (Glove with { Label = label }).Times(3).Select(d => d.Label));

    [Fact]
    public void One_or_without_a_label_they_are_alike()
    {
        Assert.Equal([Glove], Glove.Times(1).AsEnumerable());
        var bare = Glove with { Label = null };
        Assert.Equal([bare, bare], bare.Times(2).AsEnumerable());
    }

    [Theory]
    [InlineData(EquipmentItem.Weapon, null, false)]
    [InlineData(EquipmentItem.Weapon, Weapon.Epee, true)]
    [InlineData(EquipmentItem.ConductiveJacket, null, false)]
    [InlineData(EquipmentItem.ConductiveJacket, Weapon.Foil, true)]
    [InlineData(EquipmentItem.ConductiveJacket, Weapon.Epee, false)]
    [InlineData(EquipmentItem.ConductiveCuff, Weapon.Sabre, true)]
    [InlineData(EquipmentItem.ConductiveCuff, Weapon.Foil, false)]
    [InlineData(EquipmentItem.ConductiveCuff, Weapon.Epee, false)]
    [InlineData(EquipmentItem.MaskCord, null, true)]
    [InlineData(EquipmentItem.MaskCord, Weapon.Epee, false)]
    [InlineData(EquipmentItem.Mask, null, true)]
    [InlineData(EquipmentItem.Mask, Weapon.Epee, true)]
    public void An_item_has_its_weapon_where_it_matters(EquipmentItem item, Weapon? weapon, bool good)
    {
        var problems = new KitDetails(item, weapon, null, null, KitHand.Either, null).Problems();
        Assert.Equal(good, problems.IsEmpty);
        Assert.All(problems, p => Assert.Equal("weapon", p.Field));
    }

    [Fact]
    public void Texts_have_their_lengths_and_no_control_characters()
    {
        Assert.Empty((Glove with { Club = new('c', 80), Size = new('s', 20), Label = new('l', 40) }).Problems());
        Assert.Equal(["club", "size", "label"], (Glove with { Club = new('c', 81), Size = new('s', 21), Label = new('l', 41) }).Problems().Select(p => p.Field));
        Assert.Equal(["club", "size", "label"], (Glove with { Club = "a\tb", Size = "a\nb", Label = "\0" }).Problems().Select(p => p.Field));
    }

    [Fact]
    public void Items_are_alike_by_kind_club_and_label()
    {
        Assert.True(Glove.LooksLike(Glove with { Label = "g8", Club = "HARBOUR BLADES", Size = "9" }));
        Assert.False(Glove.LooksLike(Glove with { Item = EquipmentItem.Mask }));
        Assert.False(Glove.LooksLike(Glove with { Club = null }));
        Assert.False((Glove with { Label = null }).LooksLike(Glove with { Label = null }));
    }

    [Theory]
    [InlineData(KitHand.Left, Hand.Right, true)]
    [InlineData(KitHand.Right, Hand.Left, true)]
    [InlineData(KitHand.Left, Hand.Left, false)]
    [InlineData(KitHand.Either, Hand.Left, false)]
    [InlineData(KitHand.Left, null, false)]
    public void The_other_hand_is_the_one_it_is_not_made_for(KitHand made, Hand? hand, bool other) =>
        Assert.Equal(other, (Glove with { Hand = made }).IsForTheOtherHand(hand));
}
