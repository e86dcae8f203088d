using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Equipment;
using BoutDesk.Domain.LoanKit;
using Xunit;

namespace BoutDesk.Domain.Tests.LoanKit;

public class LoanTests
{
    private static readonly KitDetails Mask = new(EquipmentItem.Mask, null, "Harbour Blades", "M", KitHand.Either, "M-1");
    private static readonly KitDetails LeftGlove = new(EquipmentItem.Glove, null, "Harbour Blades", "7", KitHand.Left, null);
    private static readonly Entrant Mara = new("t-1-e1", new EntrantDetails("Kern", "Mara", null, null, null, Hand.Right, null), EntrantStatus.CheckedIn, null);
    private static readonly Entrant Jon = new("t-2-e4", new EntrantDetails("Vidal", "Jon", null, null, null, null, null), EntrantStatus.Entered, null);

    private static readonly LoanStore Stock = After(null, LoanDecider.Add("t", null, [Mask, LeftGlove]));

    [Fact]
    public void Items_are_numbered_as_they_are_added()
    {
        Expect.Events(LoanDecider.Add("t", Stock, [LeftGlove]), new KitAdded("t-k3", LeftGlove));
        var more = After(Stock, LoanDecider.Add("t", Stock, [LeftGlove]));
        Assert.Equal(("t-loans", 3), (more.Id, more.Version));
        Assert.Equal([1, 2, 3], more.Items.Select(i => i.Number));
        Assert.All(more.Items, i => Assert.Equal(KitState.In, i.State));
        Assert.Equal(["M-1", "#2", "#3"], more.Items.Select(i => i.Called));
    }

    [Fact]
    public void No_number_is_given_twice_when_an_item_is_gone()
    {
        var less = After(Stock, LoanDecider.TakeOut(Stock, Glove(Stock), null));
        Assert.Equal(["t-k1"], less.Stock.Select(i => i.Id));
        Expect.Events(LoanDecider.Add("t", less, [LeftGlove]), new KitAdded("t-k3", LeftGlove));
    }

    [Fact]
    public void A_label_stands_once_for_a_kind_and_club()
    {
        var problems = LoanDecider.CheckItems(Stock, [Mask with { Label = "m-1" }, Mask with { Label = "M-2" }, Mask with { Label = "M-2" }, Mask with { Club = null }, LeftGlove, LeftGlove]);
        Assert.Equal([0, 2], problems.Select(p => p.Row));
        Assert.All(problems, p => Assert.Equal((RefusalReason.AlreadyDone, "label"), (p.Problem.Reason, p.Problem.Field)));
        Assert.Empty(LoanDecider.CheckItems(After(Stock, LoanDecider.TakeOut(Stock, MaskOf(Stock), null)), [Mask]));
        Assert.Equal([1], LoanDecider.CheckItems(null, [Mask, Mask with { Size = new string('s', 21), Label = "x" }]).Select(p => p.Row));
    }

    [Fact]
    public void A_tournament_has_no_end_of_items_but_a_limit()
    {
        Expect.Accepted(LoanDecider.Add("t", null, [.. Enumerable.Repeat(LeftGlove, LoanDecider.MostItems)]));
        Expect.Refused(RefusalReason.InvalidValue, LoanDecider.Add("t", Stock, [.. Enumerable.Repeat(LeftGlove, LoanDecider.MostItems - 1)]));
    }

    [Fact]
    public void An_item_is_corrected_also_while_it_is_out()
    {
        var right = LeftGlove with { Hand = KitHand.Right };
        Expect.Events(LoanDecider.Correct(Stock, Glove(Stock), right), new KitCorrected("t-k2", right));
        Expect.Nothing(LoanDecider.Correct(Stock, Glove(Stock), LeftGlove));
        var store = After(Stock, LoanDecider.Issue(Stock, Glove(Stock), Mara, null));
        var corrected = Glove(After(store, LoanDecider.Correct(store, Glove(store), right)));
        Assert.Equal((right, Mara.Id), (corrected.Details, corrected.BorrowerId));
        Expect.Invalid("weapon", LoanDecider.Correct(Stock, Glove(Stock), LeftGlove with { Item = EquipmentItem.Weapon }));
        Assert.Equal("label", Expect.Refused(RefusalReason.AlreadyDone, LoanDecider.Correct(Stock, Glove(Stock), Mask)).Field);
        Expect.Accepted(LoanDecider.Correct(Stock, MaskOf(Stock), Mask with { Size = "L" }));
    }

    [Fact]
    public void An_item_goes_out_and_comes_back()
    {
        Expect.Events(LoanDecider.Issue(Stock, MaskOf(Stock), Mara, null), new KitIssued("t-k1", Mara.Id));
        var store = After(Stock, LoanDecider.Issue(Stock, MaskOf(Stock), Mara, null));
        Assert.Equal((KitState.Out, Mara.Id), (MaskOf(store).State, MaskOf(store).BorrowerId));
        Assert.Equal(["t-k1"], store.With(Mara.Id).Select(i => i.Id));
        Expect.Nothing(LoanDecider.Issue(store, MaskOf(store), Mara, Mara));

        Expect.Events(LoanDecider.Return(store, MaskOf(store), KitCondition.Good, null), new KitReturned("t-k1", KitCondition.Good, null));
        store = After(store, LoanDecider.Return(store, MaskOf(store), KitCondition.Good, null));
        Assert.Equal((KitState.In, null), (MaskOf(store).State, MaskOf(store).BorrowerId));
        Assert.Empty(store.With(Mara.Id));
        Expect.Nothing(LoanDecider.Return(store, MaskOf(store), KitCondition.Good, null));
        Expect.Refused(RefusalReason.StepMissing, LoanDecider.Return(store, MaskOf(store), KitCondition.ToMend, "dent"));
        Expect.Refused(RefusalReason.StepMissing, LoanDecider.Return(store, Glove(store), KitCondition.Good, null));
        Expect.Accepted(LoanDecider.Issue(store, MaskOf(store), Jon, null));
    }

    [Fact]
    public void Who_has_an_item_already_is_named()
    {
        var store = After(Stock, LoanDecider.Issue(Stock, MaskOf(Stock), Mara, null));
        var refusal = Expect.Refused(RefusalReason.KitOut, LoanDecider.Issue(store, MaskOf(store), Jon, Mara));
        Assert.Equal("M-1 is with Kern Mara. Take it in first.", refusal.Message);
        Assert.Equal([Mara.Id], refusal.Concerns.AsEnumerable());
        Expect.Refused(RefusalReason.KitOut, LoanDecider.Mend(store, MaskOf(store), Mara));
        Expect.Refused(RefusalReason.KitOut, LoanDecider.TakeOut(store, MaskOf(store), Mara));
    }

    [Fact]
    public void What_is_to_be_mended_is_not_handed_out_before()
    {
        var store = Lent(KitCondition.ToMend, "bib torn");
        Assert.Equal((KitState.Mend, "bib torn"), (MaskOf(store).State, MaskOf(store).Note));
        Expect.Refused(RefusalReason.KitToMend, LoanDecider.Issue(store, MaskOf(store), Jon, null));
        Expect.Events(LoanDecider.Mend(store, MaskOf(store), null), new KitMended("t-k1"));
        store = After(store, LoanDecider.Mend(store, MaskOf(store), null));
        Assert.Equal((KitState.In, null), (MaskOf(store).State, MaskOf(store).Note));
        Expect.Nothing(LoanDecider.Mend(store, MaskOf(store), null));
        Expect.Accepted(LoanDecider.Issue(store, MaskOf(store), Jon, null));
    }

    [Fact]
    public void What_is_gone_stays_gone()
    {
        foreach (var store in new[] { Lent(KitCondition.Retired, null), After(Stock, LoanDecider.TakeOut(Stock, MaskOf(Stock), null)) })
        {
            Assert.Equal(KitState.Gone, MaskOf(store).State);
            Expect.Refused(RefusalReason.KitGone, LoanDecider.Issue(store, MaskOf(store), Jon, null));
            Expect.Refused(RefusalReason.KitGone, LoanDecider.Mend(store, MaskOf(store), null));
            Expect.Refused(RefusalReason.KitGone, LoanDecider.Correct(store, MaskOf(store), Mask with { Size = "L" }));
        }

        var taken = After(Stock, LoanDecider.TakeOut(Stock, MaskOf(Stock), null));
        Expect.Nothing(LoanDecider.TakeOut(taken, MaskOf(taken), null));
        Expect.Refused(RefusalReason.NothingToTakeBack, LoanDecider.TakeBackReturn(taken, MaskOf(taken)));
    }

    [Fact]
    public void An_issue_by_mistake_is_taken_back()
    {
        var store = After(Stock, LoanDecider.Issue(Stock, MaskOf(Stock), Mara, null));
        Expect.Events(LoanDecider.TakeBackIssue(store, MaskOf(store)), new KitIssueTakenBack("t-k1"));
        store = After(store, LoanDecider.TakeBackIssue(store, MaskOf(store)));
        Assert.Equal(KitState.In, MaskOf(store).State);
        Assert.Empty(MaskOf(store).Loans);
        Expect.Refused(RefusalReason.NothingToTakeBack, LoanDecider.TakeBackIssue(store, MaskOf(store)));
        Expect.Refused(RefusalReason.NothingToTakeBack, LoanDecider.TakeBackReturn(store, MaskOf(store)));
    }

    [Theory]
    [InlineData(KitCondition.Good)]
    [InlineData(KitCondition.ToMend)]
    [InlineData(KitCondition.Retired)]
    public void A_return_by_mistake_is_taken_back(KitCondition condition)
    {
        var store = Lent(condition, null);
        Assert.Equal(Mara.Id, MaskOf(store).GivenBackBy);
        Expect.Events(LoanDecider.TakeBackReturn(store, MaskOf(store)), new KitReturnTakenBack("t-k1"));
        store = After(store, LoanDecider.TakeBackReturn(store, MaskOf(store)));
        Assert.Equal((KitState.Out, Mara.Id, null), (MaskOf(store).State, MaskOf(store).BorrowerId, MaskOf(store).GivenBackBy));
        Expect.Refused(RefusalReason.NothingToTakeBack, LoanDecider.TakeBackReturn(store, MaskOf(store)));
    }

    [Fact]
    public void A_return_stands_once_the_item_is_mended_or_with_somebody_else()
    {
        var mended = Lent(KitCondition.ToMend, null);
        mended = After(mended, LoanDecider.Mend(mended, MaskOf(mended), null));
        Expect.Refused(RefusalReason.NothingToTakeBack, LoanDecider.TakeBackReturn(mended, MaskOf(mended)));
        var with = Lent(KitCondition.Good, null);
        with = After(with, LoanDecider.Issue(with, MaskOf(with), Jon, null));
        Expect.Refused(RefusalReason.NothingToTakeBack, LoanDecider.TakeBackReturn(with, MaskOf(with)));
    }

    [Fact]
    public void Odd_loans_are_made_with_a_warning()
    {
        Assert.Equal([LoanWarningKind.OtherHand], Kinds(LeftGlove, Mara, Weapon.Foil));
        Assert.Equal([LoanWarningKind.OtherHand], Kinds(LeftGlove with { Hand = KitHand.Right }, Mara with { Details = Mara.Details with { Hand = Hand.Left } }, Weapon.Foil));
        Assert.Empty(Kinds(LeftGlove, Jon, Weapon.Foil));
        var foil = new KitDetails(EquipmentItem.Weapon, Weapon.Foil, null, "0", KitHand.Either, null);
        Assert.Equal([LoanWarningKind.OtherWeapon], Kinds(foil, Jon, Weapon.Epee));
        Assert.Empty(Kinds(foil, Jon, Weapon.Foil));
        Assert.Equal([LoanWarningKind.FencerGone], Kinds(foil, Jon with { Status = EntrantStatus.Withdrawn }, Weapon.Foil));
        Assert.All(LoanDecider.Warnings(LeftGlove, Mara, Weapon.Foil), w => Assert.Contains("Kern Mara", FormattableString.Invariant(w.What), StringComparison.Ordinal));

        static IEnumerable<LoanWarningKind> Kinds(KitDetails details, Entrant entrant, Weapon weapon) => LoanDecider.Warnings(details, entrant, weapon).Select(w => w.Kind);
    }

    private static LoanStore Lent(KitCondition condition, string? note)
    {
        var store = After(Stock, LoanDecider.Issue(Stock, MaskOf(Stock), Mara, null));
        return After(store, LoanDecider.Return(store, MaskOf(store), condition, note));
    }

    private static KitItem MaskOf(LoanStore store) => store.Item("t-k1")!;

    private static KitItem Glove(LoanStore store) => store.Item("t-k2")!;

    private static LoanStore After(LoanStore? store, Decision decision) =>
        Expect.Accepted(decision).Facts.Aggregate(store, (s, fact) => LoanStore.Evolve(s, fact.StreamId, (ILoanEvent)fact.Event))!;
}
