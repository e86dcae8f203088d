using BoutDesk.Domain.Bouts;
using Xunit;
using static BoutDesk.Domain.Tests.Bouts.BoutScript;

namespace BoutDesk.Domain.Tests.Bouts;

/// <summary>Technical book, penalties; from memory.</summary>
public class CardTests
{
    [Fact]
    public void A_yellow_card_leaves_the_score() => Expect.Events(
        BoutDecider.ShowCard(InPool().After("L"), Side.Left, Card.Yellow, "covers the target"),
        new CardShown(Side.Left, Card.Yellow, "covers the target", new Score(1, 0)));

    [Theory]
    [InlineData("YL", "YL")]
    [InlineData("RL", "YL")]
    [InlineData("YR L RR", "YR")]
    public void Who_has_a_card_gets_no_yellow_any_more(string calls, string call) =>
        Assert.Equal("card", Expect.Refused(RefusalReason.AlreadyWarned, InPool().After(calls).Decide(call)).Field);

    [Fact]
    public void The_opponent_can_still_be_warned()
    {
        var bout = InPool().After("YL YR RL");
        Assert.Equal(new Score(0, 1), bout.Score);
    }

    [Fact]
    public void A_red_card_gives_the_opponent_a_touch() => Expect.Events(
        BoutDecider.ShowCard(InPool().After("L YL"), Side.Left, Card.Red, "turns the back"),
        new CardShown(Side.Left, Card.Red, "turns the back", new Score(1, 1)));

    [Fact]
    public void A_second_red_card_gives_another_touch() =>
        Assert.Equal(new Score(0, 2), InPool().After("RL RL").Score);

    [Fact]
    public void A_red_card_can_end_the_bout()
    {
        var bout = InPool().After("R R R R RL");
        Assert.Equal(new Score(0, 5), bout.Score);
        Assert.Equal(Side.Right, bout.Winner);
        Expect.Refused(RefusalReason.BoutDecided, bout.Decide("L"));
    }

    [Fact]
    public void A_red_card_in_the_minute_after_priority_ends_the_bout()
    {
        var bout = InPool().After("T PL RL");
        Assert.Equal(new Score(0, 1), bout.Score);
        Assert.Equal(Side.Right, bout.Winner);
    }

    [Fact]
    public void A_black_card_ends_the_bout_whatever_the_score()
    {
        var bout = InTableau().After("L L L R BL");
        Assert.Equal(Side.Right, bout.Winner);
        Assert.Equal(new Score(3, 1), bout.Score);
        Assert.True(bout.BlackCard(Side.Left));
        Assert.False(bout.BlackCard(Side.Right));
        Expect.Refused(RefusalReason.BoutDecided, bout.Decide("L"));
    }

    [Fact]
    public void A_fencer_with_a_black_card_is_not_confirmed_as_the_winner() => Expect.Invalid(
        "winner",
        BoutDecider.RecordResult(InTableau().After("L BL"), new Score(15, 3), Side.Left, Authority.Desk, null));

    [Fact]
    public void The_last_card_is_taken_back_with_its_touch()
    {
        var bout = InPool().After("YL RL L");
        Expect.Events(bout.Decide("-C"), new CardTakenBack(new Score(1, 0)));
        bout = bout.After("-C -C");
        Assert.Equal(new Score(1, 0), bout.Score);
        Assert.Equal(new Score(1, 0), bout.After("YL").Score);
    }

    [Fact]
    public void A_red_card_that_ended_the_bout_can_be_taken_back_and_the_bout_goes_on()
    {
        var bout = InPool().After("R R R R RL -C");
        Assert.Equal(BoutStatus.Fencing, bout.Status);
        Assert.Equal(new Score(0, 4), bout.Score);
    }

    [Fact]
    public void Without_a_card_there_is_none_to_take_back() =>
        Expect.Refused(RefusalReason.NothingToTakeBack, InPool().After("L").Decide("-C"));

    [Fact]
    public void A_black_card_is_lifted_at_the_desk_only() =>
        Expect.Refused(RefusalReason.DeskOnly, InPool().After("BL").Decide("-C"));

    [Theory]
    [InlineData("", "1L", Card.Yellow)]
    [InlineData("1R 2R 3R", "1L", Card.Yellow)]
    [InlineData("1L", "1L", Card.Red)]
    [InlineData("1L 1L", "1L", Card.Red)]
    [InlineData("2L", "1L", Card.Red)]
    [InlineData("YL", "1L", Card.Red)]
    [InlineData("", "2L", Card.Red)]
    [InlineData("2L", "2L", Card.Red)]
    [InlineData("", "3L", Card.Red)]
    [InlineData("1L 2L RL", "3L", Card.Red)]
    [InlineData("3R", "3L", Card.Red)]
    [InlineData("3L", "3L", Card.Black)]
    [InlineData("3L 1L", "3L", Card.Black)]
    [InlineData("3L -C", "3L", Card.Red)]
    [InlineData("", "4L", Card.Black)]
    public void The_card_follows_from_the_group_of_the_offence_and_from_what_the_fencer_has(string calls, string call, Card card)
    {
        var shown = Assert.IsType<CardShown>(Assert.Single(Expect.Accepted(InTableau().After(calls).Decide(call)).Facts).Event);
        Assert.Equal((Side.Left, card, call[0] - '0'), (shown.Side, shown.Card, shown.Group));
        Assert.Equal(call[0] - '0', InTableau().After(calls).After(call).Actions[^1].Group);
    }

    [Theory]
    [InlineData(0)]
    [InlineData(5)]
    public void There_are_four_groups(int group) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => Penalties.CardFor([], Side.Left, group));

    [Fact]
    public void Only_a_black_card_excludes()
    {
        Assert.False(InPool().After("YL RL").BlackCard(Side.Left));
        Assert.False(InPool().After("BR").BlackCard(Side.Left));
        Assert.True(InPool().After("YR BL").BlackCard(Side.Left));
    }

    [Fact]
    public void A_black_card_after_others_is_lifted_by_the_desk_alone()
    {
        Expect.Refused(RefusalReason.DeskOnly, InPool().After("YL BL").Decide("-C"));
        Expect.Refused(RefusalReason.BoutAnnulled, InPool().After("YL BL").Given(new BoutAnnulled("t-1-e1", "violence")).Decide("-C"));
    }
}
