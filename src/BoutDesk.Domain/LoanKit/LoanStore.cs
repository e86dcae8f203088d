using System.Collections.Immutable;

namespace BoutDesk.Domain.LoanKit;

/// <summary>The loan kit of a tournament, folded from its events. Immutable.</summary>
public sealed record LoanStore
{
    /// <summary>The identifier, see <see cref="Identifiers"/>.</summary>
    public required string Id { get; init; }

    /// <summary>All items that ever were, by number; those that are gone stay in the list.</summary>
    public ImmutableArray<KitItem> Items { get; init; } = [];

    /// <summary>How many events it was folded from, from 1.</summary>
    public int Version { get; init; }

    /// <summary>What is in, out or to be mended, by number.</summary>
    public ImmutableArray<KitItem> Stock => [.. Items.Where(i => i.State != KitState.Gone)];

    /// <summary>An item, or null when there is none of this identifier.</summary>
    public KitItem? Item(string itemId) => Items.FirstOrDefault(i => i.Id == itemId);

    /// <summary>What an entrant has.</summary>
    public IEnumerable<KitItem> With(string entrantId) => Items.Where(i => i.BorrowerId == entrantId);

    /// <summary>The loan kit after one more event.</summary>
    /// <param name="store">The loan kit before it, or null before the first.</param>
    /// <param name="id">The identifier of the loan kit.</param>
    /// <param name="happened">What happened.</param>
    /// <exception cref="InvalidOperationException">The event cannot follow, which means that the store is damaged.</exception>
    public static LoanStore Evolve(LoanStore? store, string id, ILoanEvent happened)
    {
        store ??= new LoanStore { Id = id };
        var items = happened switch
        {
            KitAdded e => store.Items.Add(new KitItem(e.ItemId, store.Items.Length + 1, e.Details)),
            KitCorrected e => Change(e.ItemId, item => item with { Details = e.Details }),
            KitIssued e => Change(e.ItemId, item => item with { Loans = item.Loans.Add(new Loan(e.EntrantId, null)) }),
            KitIssueTakenBack e => Change(e.ItemId, item => item with { Loans = LoansOf(item, lastOpen: true)[..^1] }),
            KitReturned e => ChangeLast(e.ItemId, open: true, loan => loan with { Returned = new KitReturn(e.Condition, e.Note, false) }),
            KitReturnTakenBack e => ChangeLast(e.ItemId, open: false, loan => loan with { Returned = null }),
            KitMended e => ChangeLast(e.ItemId, open: false, loan => loan with { Returned = loan.Returned! with { Mended = true } }),
            KitTakenOut e => Change(e.ItemId, item => item with { TakenOut = true }),
            _ => throw new InvalidOperationException($"Loan kit knows no event {happened.GetType().Name}."),
        };
        return store with { Items = items, Version = store.Version + 1 };

        ImmutableArray<KitItem> Change(string itemId, Func<KitItem, KitItem> change) => store.Item(itemId) is { } item
            ? store.Items.SetItem(item.Number - 1, change(item))
            : throw new InvalidOperationException($"{happened.GetType().Name} is about {itemId}, which {id} does not have.");

        ImmutableArray<KitItem> ChangeLast(string itemId, bool open, Func<Loan, Loan> change) => Change(itemId, item =>
        {
            var loans = LoansOf(item, open);
            return item with { Loans = loans.SetItem(loans.Length - 1, change(loans[^1])) };
        });
    }

    private static ImmutableArray<Loan> LoansOf(KitItem item, bool lastOpen) => item.Loans is [.., var last] && last.Returned is null == lastOpen
        ? item.Loans
        : throw new InvalidOperationException($"{item.Id} has no loan that is {(lastOpen ? "open" : "over")}.");
}
