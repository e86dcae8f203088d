using System.Collections.Immutable;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Equipment;
using BoutDesk.Domain.LoanKit;

namespace BoutDesk.Api.LoanKit;

/// <summary>Kit to add.</summary>
/// <param name="Item">The kind of item.</param>
/// <param name="Weapon">The weapon it is for; needed for a weapon and a conductive jacket.</param>
/// <param name="Club">The club that owns it, to 80 characters.</param>
/// <param name="Size">The size as its maker writes it, to 20 characters.</param>
/// <param name="Hand">The weapon hand that it is made for.</param>
/// <param name="Label">What is written on it, to 40 characters. Of several the number at its end is counted on.</param>
/// <param name="Count">How many of them, 1 to 100.</param>
internal sealed record AddKit(
    EquipmentItem Item,
    Weapon? Weapon = null,
    string? Club = null,
    string? Size = null,
    KitHand Hand = KitHand.Either,
    string? Label = null,
    int Count = 1)
{
    /// <summary>The most items that one row or request adds.</summary>
    public const int MostAtOnce = 100;

    public KitDetails ToDetails() => new KitDetails(Item, Weapon, Club, Size, Hand, Label).Tidied();
}

/// <summary>The details of an item, corrected. What is left out is not known.</summary>
/// <param name="Item">The kind of item.</param>
/// <param name="Weapon">The weapon it is for; needed for a weapon and a conductive jacket.</param>
/// <param name="Club">The club that owns it, to 80 characters.</param>
/// <param name="Size">The size as its maker writes it, to 20 characters.</param>
/// <param name="Hand">The weapon hand that it is made for.</param>
/// <param name="Label">What is written on it, to 40 characters.</param>
internal sealed record CorrectKit(
    EquipmentItem Item, Weapon? Weapon = null, string? Club = null, string? Size = null, KitHand Hand = KitHand.Either, string? Label = null)
{
    public KitDetails ToDetails() => new KitDetails(Item, Weapon, Club, Size, Hand, Label).Tidied();
}

/// <summary>Who gets an item.</summary>
/// <param name="EntrantId">An entrant of any competition of the tournament.</param>
internal sealed record IssueKit(string EntrantId);

/// <summary>How an item came back.</summary>
/// <param name="State">In what state.</param>
/// <param name="Note">What is the matter with it, to 200 characters.</param>
internal sealed record ReturnKit(KitCondition State = KitCondition.Good, string? Note = null);

/// <summary>The items that were added.</summary>
/// <param name="Items">The items, in order.</param>
internal sealed record AddedKit(ImmutableArray<KitView> Items);

/// <summary>An item of loan kit, and who has it.</summary>
/// <param name="Id">The identifier.</param>
/// <param name="Number">Its number in the tournament, from 1.</param>
/// <param name="Item">The kind of item.</param>
/// <param name="Weapon">The weapon it is for, or null.</param>
/// <param name="Club">The club that owns it, or null.</param>
/// <param name="Size">The size, or null.</param>
/// <param name="Hand">The weapon hand that it is made for.</param>
/// <param name="Label">What is written on it, or null.</param>
/// <param name="State">Where it is.</param>
/// <param name="EntrantId">Who has it, or null.</param>
/// <param name="Fencer">Family name and given name of who has it, or null.</param>
/// <param name="FencerClub">The fencer's club, or null.</param>
/// <param name="CompetitionId">The fencer's competition, or null.</param>
/// <param name="Competition">Its name, or null.</param>
/// <param name="Due">Why it is to be fetched: the fencer has left, or the competition is finished; null otherwise.</param>
/// <param name="Note">What was noted when it came back last, or null.</param>
/// <param name="GivenBackBy">Who gave it back last, as long as that can be taken back.</param>
public record KitView(
    string Id,
    int Number,
    EquipmentItem Item,
    Weapon? Weapon,
    string? Club,
    string? Size,
    KitHand Hand,
    string? Label,
    KitState State,
    string? EntrantId,
    string? Fencer,
    string? FencerClub,
    string? CompetitionId,
    string? Competition,
    DueReason? Due,
    string? Note,
    string? GivenBackBy)
{
    /// <summary>What the item is.</summary>
    internal KitDetails Details() => new(Item, Weapon, Club, Size, Hand, Label);

    internal static KitView Of(KitItem item, KitBorrowers borrowers)
    {
        var with = borrowers.Find(item.BorrowerId);
        return new KitView(
            item.Id,
            item.Number,
            item.Details.Item,
            item.Details.Weapon,
            item.Details.Club,
            item.Details.Size,
            item.Details.Hand,
            item.Details.Label,
            item.State,
            item.BorrowerId,
            with?.Entrant.Details.Name,
            with?.Entrant.Details.Club,
            with?.Competition.Id,
            with?.Competition.Name,
            with?.Due,
            item.Note,
            item.GivenBackBy);
    }
}

/// <summary>Why an item is to be fetched.</summary>
public enum DueReason
{
    /// <summary>The fencer is absent, withdrew or was excluded.</summary>
    FencerLeft,

    /// <summary>The fencer's competition is finished.</summary>
    CompetitionFinished,
}

/// <summary>An item just handed out, with what is odd about it.</summary>
internal sealed record IssuedKit : KitView
{
    public IssuedKit(KitView item, ImmutableArray<LoanWarning> warnings)
        : base(item) => Warnings = warnings;

    /// <summary>What is odd about the loan, which was made all the same; empty when nothing is.</summary>
    public ImmutableArray<LoanWarning> Warnings { get; init; }
}
