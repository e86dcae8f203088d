namespace BoutDesk.Domain.LoanKit;

/// <summary>Marks what can happen to the loan kit of a tournament; this file is the whole list.</summary>
public interface ILoanEvent;

/// <summary>In what state an item came back.</summary>
public enum KitCondition
{
    /// <summary>It can be handed out again.</summary>
    Good,

    /// <summary>It must be mended first.</summary>
    ToMend,

    /// <summary>It is not handed out any more.</summary>
    Retired,
}

/// <summary>An item was put into the loan kit.</summary>
/// <param name="ItemId">The identifier given.</param>
/// <param name="Details">What it is.</param>
public sealed record KitAdded(string ItemId, KitDetails Details) : ILoanEvent;

/// <summary>The details of an item were corrected.</summary>
/// <param name="ItemId">The item.</param>
/// <param name="Details">What it is.</param>
public sealed record KitCorrected(string ItemId, KitDetails Details) : ILoanEvent;

/// <summary>An item was handed out.</summary>
/// <param name="ItemId">The item.</param>
/// <param name="EntrantId">Who has it; an entrant of any competition of the tournament.</param>
public sealed record KitIssued(string ItemId, string EntrantId) : ILoanEvent;

/// <summary>An item was handed out by mistake: it had not been.</summary>
/// <param name="ItemId">The item.</param>
public sealed record KitIssueTakenBack(string ItemId) : ILoanEvent;

/// <summary>An item came back.</summary>
/// <param name="ItemId">The item.</param>
/// <param name="Condition">In what state.</param>
/// <param name="Note">What is the matter with it, or null.</param>
public sealed record KitReturned(string ItemId, KitCondition Condition, string? Note) : ILoanEvent;

/// <summary>An item had come back by mistake: whoever had it has it still.</summary>
/// <param name="ItemId">The item.</param>
public sealed record KitReturnTakenBack(string ItemId) : ILoanEvent;

/// <summary>An item was mended.</summary>
/// <param name="ItemId">The item.</param>
public sealed record KitMended(string ItemId) : ILoanEvent;

/// <summary>An item was taken out of the loan kit for good.</summary>
/// <param name="ItemId">The item.</param>
public sealed record KitTakenOut(string ItemId) : ILoanEvent;
