using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Equipment;
using Xunit;
using static BoutDesk.Domain.Tests.Equipment.Kit;

namespace BoutDesk.Domain.Tests.Equipment;

/// <summary>All of this is common practice: notes for the armourer, no verdicts.</summary>
public class FitNotesTests
{
    [Theory]
    [InlineData(Hand.Left, JacketOpening.Left, FitConcern.JacketOpensOnWeaponSide)]
    [InlineData(Hand.Right, JacketOpening.Right, FitConcern.JacketOpensOnWeaponSide)]
    [InlineData(Hand.Left, JacketOpening.Right, null)]
    [InlineData(Hand.Right, JacketOpening.Left, null)]
    [InlineData(Hand.Right, JacketOpening.Back, null)]
    [InlineData(null, JacketOpening.Left, FitConcern.HandUnknown)]
    [InlineData(null, JacketOpening.Back, null)]
    public void A_jacket_opens_away_from_the_weapon_hand(Hand? hand, JacketOpening opens, FitConcern? concern) =>
        Assert.Equal(concern is { } expected ? [expected] : [], Concerns(Of(Weapon.Foil), hand, Check(EquipmentItem.Jacket, Verdict.Passed, opens: opens)));

    [Theory]
    [InlineData("U10", 2, null)]
    [InlineData("U10", 3, FitConcern.LongBlade)]
    [InlineData("Girls under 8", 5, FitConcern.LongBlade)]
    [InlineData("U12", 2, null)]
    [InlineData("U12", 5, null)]
    [InlineData("U14", 3, null)]
    [InlineData("U15", 4, FitConcern.ShortBlade)]
    [InlineData("senior", 4, FitConcern.ShortBlade)]
    [InlineData("senior", 5, null)]
    public void A_blade_suits_the_age_group(string ageGroup, int size, FitConcern? concern) => Assert.Equal(
        concern is { } expected ? [expected] : [],
        Concerns(Of(Weapon.Foil, ageGroup: ageGroup), Hand.Right, Check(EquipmentItem.Weapon, Verdict.Passed, 1, bladeSize: size), Check(EquipmentItem.Weapon, Verdict.Passed, 2)));

    [Fact]
    public void A_conductive_jacket_is_for_one_weapon()
    {
        Assert.Equal([FitConcern.OtherWeapon], Concerns(Of(Weapon.Sabre), Hand.Right, Check(EquipmentItem.ConductiveJacket, Verdict.Passed, madeFor: Weapon.Foil)));
        Assert.Empty(Concerns(Of(Weapon.Sabre), Hand.Right, Check(EquipmentItem.ConductiveJacket, Verdict.Passed, madeFor: Weapon.Sabre)));
    }

    [Fact]
    public void Who_is_no_woman_is_reminded_of_the_chest_protector_until_one_was_checked()
    {
        Assert.Equal([FitConcern.ChestProtector], Concerns(Of(Weapon.Foil, Category.Mixed), Hand.Right));
        Assert.Empty(Concerns(Of(Weapon.Foil, Category.Mixed), Hand.Right, Check(EquipmentItem.ChestProtector, Verdict.Passed)));
        Assert.Empty(Concerns(Of(Weapon.Foil, Category.Women), Hand.Right));
    }

    [Fact]
    public void A_single_weapon_or_cord_is_noted()
    {
        var one = new[] { Check(EquipmentItem.Weapon, Verdict.Passed, 1), Check(EquipmentItem.Weapon, Verdict.Failed, 2), Check(EquipmentItem.BodyCord, Verdict.Passed, 1) };
        Assert.Equal([FitConcern.SpareWeapon, FitConcern.SpareBodyCord], Concerns(Of(Weapon.Foil), Hand.Right, one));
        Assert.Equal([FitConcern.SpareBodyCord], Concerns(Of(Weapon.Foil), Hand.Right, [.. one, Check(EquipmentItem.Weapon, Verdict.Passed, 2)]));
    }

    private static FitConcern[] Concerns(Competition competition, Hand? hand, params EquipmentChecked[] checks) =>
        [.. FitNotes.Of(competition, hand, checks.Length == 0 ? null : Record(checks)).Select(n => n.Concern)];
}
