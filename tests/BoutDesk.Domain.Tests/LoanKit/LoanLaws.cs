using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Equipment;
using BoutDesk.Domain.LoanKit;
using FsCheck;
using FsCheck.Fluent;
using FsCheck.Xunit;

namespace BoutDesk.Domain.Tests.LoanKit;

/// <summary>What holds for every loan kit, whatever is done at the counter in whatever order.</summary>
public class LoanLaws
{
    private const int Entrants = 3;

    // A letter for what is done, then the item and, for an issue, the entrant.
    private static readonly string[] Calls =
    [
        "A", .. from item in Enumerable.Range(1, 4)
                from call in new[] { "I1", "I2", "I3", "-I", "G", "M", "R", "-G", "m", "X" }
                select call + "@" + item,
    ];

    private static readonly Arbitrary<string[]> AnyCalls = Arb.From(
        Gen.Elements(Calls).ArrayOf().Resize(60),
        calls => Enumerable.Range(0, calls.Length).Select(left => (string[])[.. calls[..left], .. calls[(left + 1)..]]));

    [Property(MaxTest = 1000)]
    public Property Nobody_has_what_somebody_else_has() => Always((_, _, after) =>
        Enumerable.Range(1, Entrants).Sum(e => after.With(Entrant(e).Id).Count()) == after.Items.Count(i => i.State == KitState.Out)
        && after.Items.All(i => i.Loans.Count(loan => loan.Returned is null) <= 1 && i.Loans.SkipLast(1).All(loan => loan.Returned is not null)));

    [Property(MaxTest = 1000)]
    public Property What_is_out_in_to_be_mended_and_gone_is_everything_that_was_added() => Always((calls, _, after) =>
        Enum.GetValues<KitState>().Sum(state => after.Items.Count(i => i.State == state)) == after.Items.Length
        && after.Stock.Length == after.Items.Count(i => i.State is KitState.In or KitState.Out or KitState.Mend)
        && after.Items.Select(i => i.Number).SequenceEqual(Enumerable.Range(1, calls.Count(c => c == "A") + 1)));

    [Property(MaxTest = 1000)]
    public Property An_item_is_where_the_book_of_the_counter_says() => Prop.ForAll(AnyCalls, calls =>
    {
        // Beside the loan kit a book is kept that knows no more than who has what and what lies where.
        var store = Empty;
        var book = new Dictionary<string, string> { ["t-k1"] = "in" };
        foreach (var call in calls)
        {
            var decision = Done(store, call);
            foreach (var happened in decision.Facts.Select(f => f.Event))
            {
                switch (happened)
                {
                    case KitAdded e: book[e.ItemId] = "in"; break;
                    case KitIssued e: book[e.ItemId] = e.EntrantId; break;
                    case KitIssueTakenBack e: book[e.ItemId] = "in"; break;
                    case KitReturned e: book[e.ItemId] = e.Condition switch { KitCondition.Good => "in", KitCondition.ToMend => "mend", _ => "gone" }; break;
                    case KitMended e: book[e.ItemId] = "in"; break;
                    case KitTakenOut e: book[e.ItemId] = "gone"; break;
                    case KitReturnTakenBack e: book[e.ItemId] = store.Item(e.ItemId)!.Loans[^1].EntrantId; break;
                }
            }

            store = After(store, decision);
        }

        return store.Items.All(i => book[i.Id] == (i.BorrowerId ?? i.State.ToString().ToLowerInvariant()));
    });

    [Property(MaxTest = 1000)]
    public Property A_mistake_taken_back_leaves_everything_as_it_was() => Always((calls, before, after) =>
    {
        if (after.Version != before.Version + 1 || calls[^1].Split('@') is not [var call, var number])
        {
            return true;
        }

        var item = after.Items[int.Parse(number, System.Globalization.CultureInfo.InvariantCulture) - 1];
        var undone = call[0] switch
        {
            'I' => After(after, LoanDecider.TakeBackIssue(after, item)),
            'G' or 'M' or 'R' => After(after, LoanDecider.TakeBackReturn(after, item)),
            _ => null,
        };
        return undone is null || undone.Items.Zip(before.Items, Same).All(same => same);
    });

    [Property(MaxTest = 1000)]
    public Property What_was_done_once_changes_nothing_when_it_is_done_again() => Always((calls, before, after) =>
        calls.Length == 0 || calls[^1] is "A" || calls[^1].StartsWith('-') || after.Version == before.Version
        || Done(after, calls[^1]) is { Refusal: null, Facts.IsEmpty: true });

    /// <summary>The law holds after every call of every sequence, given the calls so far and the loan kit before and after the last of them.</summary>
    private static Property Always(Func<string[], LoanStore, LoanStore, bool> law) => Prop.ForAll(AnyCalls, calls =>
    {
        var store = Empty;
        for (var done = 1; done <= calls.Length; done++)
        {
            var after = After(store, Done(store, calls[done - 1]));
            if (!law(calls[..done], store, after))
            {
                return false;
            }

            store = after;
        }

        return true;
    });

    private static LoanStore Empty { get; } = LoanStore.Evolve(null, "t-loans", new KitAdded("t-k1", Details));

    private static KitDetails Details => new(EquipmentItem.Glove, null, null, null, KitHand.Either, null);

    private static Decision Done(LoanStore store, string call)
    {
        if (call == "A")
        {
            return LoanDecider.Add("t", store, [Details]);
        }

        var (what, number) = (call.Split('@')[0], call.Split('@')[1]);
        if (store.Item("t-k" + number) is not { } item)
        {
            return Decision.Nothing;
        }

        return what switch
        {
            "-I" => LoanDecider.TakeBackIssue(store, item),
            "G" => LoanDecider.Return(store, item, KitCondition.Good, null),
            "M" => LoanDecider.Return(store, item, KitCondition.ToMend, "torn"),
            "R" => LoanDecider.Return(store, item, KitCondition.Retired, null),
            "-G" => LoanDecider.TakeBackReturn(store, item),
            "m" => LoanDecider.Mend(store, item, null),
            "X" => LoanDecider.TakeOut(store, item, null),
            _ => LoanDecider.Issue(store, item, Entrant(what[1] - '0'), null),
        };
    }

    private static Entrant Entrant(int number) =>
        new($"t-1-e{number}", new EntrantDetails("Vidal", $"{number}", null, null, null, null, null), EntrantStatus.CheckedIn, null);

    private static bool Same(KitItem one, KitItem other) =>
        (one.Id, one.Number, one.Details, one.TakenOut) == (other.Id, other.Number, other.Details, other.TakenOut) && one.Loans.SequenceEqual(other.Loans);

    private static LoanStore After(LoanStore store, Decision decision) =>
        decision.Facts.Aggregate(store, (s, fact) => LoanStore.Evolve(s, fact.StreamId, (ILoanEvent)fact.Event));
}
