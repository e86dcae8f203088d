using System.Collections.Immutable;
using System.Globalization;

namespace BoutDesk.Domain.LoanKit;

/// <summary>Where an item of loan kit is.</summary>
public enum KitState
{
    /// <summary>In the stock, to be handed out.</summary>
    In,

    /// <summary>With an entrant.</summary>
    Out,

    /// <summary>In the stock, to be mended before it is handed out.</summary>
    Mend,

    /// <summary>Retired, or taken out of the stock: handed out no more.</summary>
    Gone,
}

/// <summary>How a loan ended.</summary>
/// <param name="Condition">In what state the item came back.</param>
/// <param name="Note">What is the matter with it, or null.</param>
/// <param name="Mended">Whether it was mended since.</param>
public sealed record KitReturn(KitCondition Condition, string? Note, bool Mended);

/// <summary>A loan of an item.</summary>
/// <param name="EntrantId">Who has it, or had it.</param>
/// <param name="Returned">How it came back, or null while it is out.</param>
public sealed record Loan(string EntrantId, KitReturn? Returned);

/// <summary>An item of the loan kit, with all of its loans. Personal: who borrowed what is for desk and armourer only.</summary>
/// <param name="Id">The identifier.</param>
/// <param name="Number">Its number in the tournament, from 1.</param>
/// <param name="Details">What it is.</param>
public sealed record KitItem(string Id, int Number, KitDetails Details)
{
    /// <summary>Its loans, first to last; only the last one can be open.</summary>
    public ImmutableArray<Loan> Loans { get; init; } = [];

    /// <summary>Whether it was taken out of the stock for good.</summary>
    public bool TakenOut { get; init; }

    /// <summary>Where it is.</summary>
    public KitState State => (TakenOut, LastLoan) switch
    {
        (true, _) => KitState.Gone,
        (_, null) => KitState.In,
        (_, { Returned: null }) => KitState.Out,
        (_, { Returned.Condition: KitCondition.Retired }) => KitState.Gone,
        (_, { Returned: { Condition: KitCondition.ToMend, Mended: false } }) => KitState.Mend,
        _ => KitState.In,
    };

    /// <summary>Who has it, or null when nobody does.</summary>
    public string? BorrowerId => State == KitState.Out ? LastLoan!.EntrantId : null;

    /// <summary>What was noted when it came back last, or null while it is out or once it is mended.</summary>
    public string? Note => LastLoan?.Returned is { Mended: false } returned ? returned.Note : null;

    /// <summary>Who gave it back last, as long as that can be taken back; null otherwise.</summary>
    public string? GivenBackBy => !TakenOut && LastLoan is { Returned.Mended: false } last ? last.EntrantId : null;

    /// <summary>What it is called in a sentence: its label, or # and its number.</summary>
    public string Called => Details.Label ?? string.Create(CultureInfo.InvariantCulture, $"#{Number}");

    private Loan? LastLoan => Loans.IsEmpty ? null : Loans[^1];
}
