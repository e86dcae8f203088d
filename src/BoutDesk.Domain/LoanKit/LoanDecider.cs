using System.Collections.Immutable;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Equipment;

namespace BoutDesk.Domain.LoanKit;

/// <summary>What can be odd about a loan that is made all the same.</summary>
public enum LoanWarningKind
{
    /// <summary>The item is made for the other hand.</summary>
    OtherHand,

    /// <summary>The item is for another weapon than the one of the competition.</summary>
    OtherWeapon,

    /// <summary>The fencer does not fence (any more).</summary>
    FencerGone,
}

/// <summary>Something odd about a loan. It was made: whoever hands the kit out sees both, the fencer and the item.</summary>
/// <param name="What">What, in a sentence.</param>
/// <param name="Kind">The same for a program.</param>
public sealed record LoanWarning(FormattableString What, LoanWarningKind Kind);

/// <summary>What can be done with the loan kit of a tournament.</summary>
/// <remarks>
/// An aid to whoever hands kit out: whether an item protects is for the rule book in force and a qualified armourer, and
/// whether it fits is found by trying it on.
/// </remarks>
public static class LoanDecider
{
    /// <summary>The most items that a tournament ever has, those that are gone among them.</summary>
    public const int MostItems = 2000;

    /// <summary>Says what is wrong with items that are to be added, by row from 0: in themselves, beside the stock and beside one another.</summary>
    /// <param name="store">The loan kit, or null before the first item.</param>
    /// <param name="rows">The items, tidied.</param>
    public static ImmutableArray<(int Row, Refusal Problem)> CheckItems(LoanStore? store, IReadOnlyList<KitDetails> rows)
    {
        var problems = ImmutableArray.CreateBuilder<(int, Refusal)>();
        var known = (store?.Stock ?? []).Select(i => KeyOf(i.Details)).ToHashSet();
        var earlier = new HashSet<(EquipmentItem, string?, string?)>();
        foreach (var (i, row) in rows.Index())
        {
            problems.AddRange(row.Problems().Select(problem => (i, problem)));
            if (row.Label is null)
            {
                continue;
            }

            if (known.Contains(KeyOf(row)))
            {
                problems.Add((i, LabelTaken(row)));
            }
            else if (!earlier.Add(KeyOf(row)))
            {
                problems.Add((i, new Refusal(RefusalReason.AlreadyDone, $"The label {row.Label} stands twice for one kind of item and club. Give one of them another label, or none.") { Field = "label" }));
            }
        }

        return problems.ToImmutable();

        static (EquipmentItem, string?, string?) KeyOf(KitDetails details) =>
            (details.Item, details.Club?.ToUpperInvariant(), details.Label?.ToUpperInvariant());
    }

    /// <summary>Adds items that were checked with <see cref="CheckItems"/>.</summary>
    /// <param name="tournamentId">The tournament.</param>
    /// <param name="store">Its loan kit, or null before the first item.</param>
    /// <param name="rows">The items, tidied.</param>
    public static Decision Add(string tournamentId, LoanStore? store, IReadOnlyList<KitDetails> rows)
    {
        var had = store?.Items.Length ?? 0;
        return had + rows.Count > MostItems
            ? new Refusal(RefusalReason.InvalidValue, $"A tournament keeps {MostItems} items of loan kit, those that are gone counted; these would make {had + rows.Count}.")
            : Decision.Accept(rows.Select((details, i) => new Fact(
                Identifiers.LoanStore(tournamentId), new KitAdded(Identifiers.LoanItem(tournamentId, had + i + 1), details))));
    }

    /// <summary>Corrects the details of an item, also while it is out.</summary>
    /// <param name="store">The loan kit.</param>
    /// <param name="item">The item.</param>
    /// <param name="details">The details, tidied.</param>
    public static Decision Correct(LoanStore store, KitItem item, KitDetails details)
    {
        if (details.Problems() is [var problem, ..])
        {
            return problem;
        }

        if (item.State == KitState.Gone)
        {
            return IsGone(item);
        }

        if (store.Stock.Any(other => other.Id != item.Id && other.Details.LooksLike(details)))
        {
            return LabelTaken(details);
        }

        return details == item.Details ? Decision.Nothing : Keep(store, new KitCorrected(item.Id, details));
    }

    /// <summary>Hands an item out. To the one who has it already it changes nothing.</summary>
    /// <param name="store">The loan kit.</param>
    /// <param name="item">The item.</param>
    /// <param name="entrant">Who gets it.</param>
    /// <param name="borrower">Who has it, or null when nobody does.</param>
    public static Decision Issue(LoanStore store, KitItem item, Entrant entrant, Entrant? borrower) => item.State switch
    {
        KitState.Out when item.BorrowerId == entrant.Id => Decision.Nothing,
        KitState.Out => IsOut(item, borrower),
        KitState.Mend => new Refusal(RefusalReason.KitToMend, $"{item.Called} is to be mended. Mend it first, or hand out another."),
        KitState.Gone => IsGone(item),
        _ => Keep(store, new KitIssued(item.Id, entrant.Id)),
    };

    /// <summary>What is odd about handing an item to an entrant; nothing of it hinders.</summary>
    /// <param name="details">What the item is.</param>
    /// <param name="entrant">Who gets it.</param>
    /// <param name="weapon">The weapon of the entrant's competition.</param>
    public static ImmutableArray<LoanWarning> Warnings(KitDetails details, Entrant entrant, Weapon weapon)
    {
        var warnings = ImmutableArray.CreateBuilder<LoanWarning>();
        var name = entrant.Details.Name;
        if (details.IsForTheOtherHand(entrant.Details.Hand))
        {
            warnings.Add(new LoanWarning(
                details.Hand == KitHand.Left
                    ? (FormattableString)$"Note: it is for the left hand, and {name} is entered as right-handed."
                    : $"Note: it is for the right hand, and {name} is entered as left-handed.",
                LoanWarningKind.OtherHand));
        }

        if (details.Weapon is { } made && made != weapon)
        {
            warnings.Add(new LoanWarning($"Note: it is for another weapon than the competition of {name}.", LoanWarningKind.OtherWeapon));
        }

        if (entrant.Gone)
        {
            warnings.Add(new LoanWarning($"Note: {name} is absent or has left this competition.", LoanWarningKind.FencerGone));
        }

        return warnings.ToImmutable();
    }

    /// <summary>Takes back that an item was handed out: it had not been.</summary>
    /// <param name="store">The loan kit.</param>
    /// <param name="item">The item.</param>
    public static Decision TakeBackIssue(LoanStore store, KitItem item) => item.State == KitState.Out
        ? Keep(store, new KitIssueTakenBack(item.Id))
        : new Refusal(RefusalReason.NothingToTakeBack, $"{item.Called} is not out, so there is nothing to take back.");

    /// <summary>Takes an item in again. What came back in the same state already changes nothing.</summary>
    /// <param name="store">The loan kit.</param>
    /// <param name="item">The item.</param>
    /// <param name="condition">In what state it is.</param>
    /// <param name="note">What is the matter with it, or null.</param>
    public static Decision Return(LoanStore store, KitItem item, KitCondition condition, string? note)
    {
        if (item.State == KitState.Out)
        {
            return Keep(store, new KitReturned(item.Id, condition, note));
        }

        return item.Loans is [.., { Returned: { Mended: false } last }] && last.Condition == condition && last.Note == note
            ? Decision.Nothing
            : new Refusal(RefusalReason.StepMissing, $"{item.Called} is not out, so it cannot come back. Look whether it is the right item.");
    }

    /// <summary>Takes back that an item came back: whoever had it has it still. Not after it was mended, handed out again or taken out.</summary>
    /// <param name="store">The loan kit.</param>
    /// <param name="item">The item.</param>
    public static Decision TakeBackReturn(LoanStore store, KitItem item) => item.GivenBackBy is not null
        ? Keep(store, new KitReturnTakenBack(item.Id))
        : new Refusal(RefusalReason.NothingToTakeBack, $"{item.Called} has not just come back, so there is nothing to take back. Hand it out again if somebody has it.");

    /// <summary>Says that an item was mended. What needs no mending changes nothing.</summary>
    /// <param name="store">The loan kit.</param>
    /// <param name="item">The item.</param>
    /// <param name="borrower">Who has it, or null when nobody does.</param>
    public static Decision Mend(LoanStore store, KitItem item, Entrant? borrower) => item.State switch
    {
        KitState.Mend => Keep(store, new KitMended(item.Id)),
        KitState.Out => IsOut(item, borrower),
        KitState.Gone => IsGone(item),
        _ => Decision.Nothing,
    };

    /// <summary>Takes an item out of the stock for good. Once more changes nothing.</summary>
    /// <param name="store">The loan kit.</param>
    /// <param name="item">The item.</param>
    /// <param name="borrower">Who has it, or null when nobody does.</param>
    public static Decision TakeOut(LoanStore store, KitItem item, Entrant? borrower) => item switch
    {
        { TakenOut: true } => Decision.Nothing,
        { State: KitState.Out } => IsOut(item, borrower),
        _ => Keep(store, new KitTakenOut(item.Id)),
    };

    private static Decision Keep(LoanStore store, ILoanEvent happened) => Decision.Accept(store.Id, happened);

    private static Refusal IsOut(KitItem item, Entrant? borrower) =>
        new(RefusalReason.KitOut, $"{item.Called} is with {borrower?.Details.Name ?? item.BorrowerId}. Take it in first.") { Concerns = [item.BorrowerId!] };

    private static Refusal IsGone(KitItem item) =>
        new(RefusalReason.KitGone, $"{item.Called} was retired or taken out of the stock. Add it anew if it is in use after all.");

    private static Refusal LabelTaken(KitDetails details) => new(
        RefusalReason.AlreadyDone,
        $"There is such an item labelled {details.Label} of this club already. Give this one another label, or none.") { Field = "label" };
}
