using System.Collections.Immutable;
using System.Text;
using BoutDesk.Domain.Pools;

namespace BoutDesk.BoutOrders;

/// <summary>The source file with all orders that no printed table serves.</summary>
internal static class ComputedOrdersFile
{
    /// <summary>For proofs that nothing is better, which are tried for up to 8 fencers.</summary>
    private const int WidthOfProof = 100_000;

    private const int LargestProven = 8;

    private static readonly string Head =
        $$"""
        namespace BoutDesk.Domain.Pools;

        /// <summary>
        /// Orders of bouts that no printed table serves, by size of the pool and of its clubs ("8:4+3": 8 fencers, among them
        /// clubs of 4 and of 3). Fencers are numbered club by club, then those without club-mates. Written slot by slot; in a
        /// slot each pair of digits is a bout, the first digit is called first.
        /// </summary>
        /// <remarks>
        /// This file is written by a command and not to be edited:
        /// <code>dotnet run -c Release --project tests/BoutDesk.BoutOrders -- src/BoutDesk.Domain/Pools/ComputedBoutOrders.cs</code>
        /// The comment after an order counts how often somebody rests for 0, 1, 2 and 3 slots between two bouts. "least": no
        /// order in as few slots has fewer rests of 0 nor, on one strip, with as many of those fewer of 1 (proven by a search
        /// that left nothing out, or there are none). "slots": it is not proven that so many slots are necessary.
        /// </remarks>
        internal static class ComputedBoutOrders
        {
            /// <summary>The digits for numbers 1 to {{BoutOrder.MaxFencers}}.</summary>
            public const string Digits = "{{ComputedBoutOrders.Digits}}";


        """;

    /// <summary>Computes everything and returns the text of the file.</summary>
    /// <param name="progress">Is told about each order.</param>
    public static string Write(TextWriter progress)
    {
        var text = new StringBuilder(Head);
        Write(text, "OneStrip", "Orders for one strip.", OnOneStrip(progress));
        text.Append('\n');
        Write(text, "TwoStrips", "Orders for two strips, also for pools without club-mates.", OnTwoStrips(progress));
        return text.Append("}\n").ToString();
    }

    private static void Write(StringBuilder text, string name, string summary, IEnumerable<string> lines)
    {
        text.Append($"    /// <summary>{summary}</summary>\n");
        text.Append($"    public static readonly IReadOnlyDictionary<string, string> {name} = new Dictionary<string, string>\n    {{\n");
        foreach (var line in lines)
        {
            text.Append($"        {line}\n");
        }
        text.Append("    };\n");
    }

    private static IEnumerable<string> OnOneStrip(TextWriter progress)
    {
        for (var fencers = BoutOrder.MinFencers; fencers <= BoutOrder.MaxFencers; fencers++)
        {
            ImmutableArray<BoutSlot> printed = [.. BoutOrder.For(fencers).Select(bout => new BoutSlot(bout, null))];
            foreach (var clubs in ClubSizes(fencers, fencers).Where(clubs => !Serves(printed, fencers, clubs)))
            {
                yield return Entry(fencers, clubs, strips: 1, progress).Line;
            }
        }
    }

    private static IEnumerable<string> OnTwoStrips(TextWriter progress)
    {
        for (var fencers = BoutOrder.MinFencers; fencers <= BoutOrder.MaxFencers; fencers++)
        {
            var clubless = Entry(fencers, [], strips: 2, progress);
            yield return clubless.Line;
            foreach (var clubs in ClubSizes(fencers, fencers).Where(clubs => !Serves(clubless.Order, fencers, clubs)))
            {
                yield return Entry(fencers, clubs, strips: 2, progress).Line;
            }
        }
    }

    /// <summary>All sizes that the clubs of a pool can have, but for clubs of one; the largest first.</summary>
    private static IEnumerable<ImmutableArray<int>> ClubSizes(int fencers, int largest)
    {
        yield return [];
        for (var size = 2; size <= Math.Min(fencers, largest); size++)
        {
            foreach (var others in ClubSizes(fencers - size, size))
            {
                yield return [size, .. others];
            }
        }
    }

    private static bool Serves(ImmutableArray<BoutSlot> order, int fencers, ImmutableArray<int> clubs)
    {
        var firstOf = 1;
        var groups = new List<IReadOnlyList<int>>();
        foreach (var size in clubs)
        {
            groups.Add([.. Enumerable.Range(firstOf, size)]);
            firstOf += size;
        }
        return ClubNumbering.Find(order, new PoolClubs(fencers, groups)) is not null;
    }

    private static (ImmutableArray<BoutSlot> Order, string Line) Entry(int fencers, ImmutableArray<int> clubs, int strips, TextWriter progress)
    {
        var search = new OrderSearch(fencers, clubs, strips);
        var (order, leastSlots) = search.Best();
        var rests = RestCounts.Of(order);
        // On two strips a rest of 1 is the normal thing in a small pool, so only rests of 0 count for the proof.
        var depth = strips == 1 ? 1 : 0;
        var isLeast = (rests.Zero == 0 && (depth == 0 || rests.One == 0))
            || (fencers <= LargestProven && search.ProvesLeast(order.Length, rests, depth, WidthOfProof));
        var comment = $"{rests.Zero} {rests.One} {rests.Two} {rests.Three}{(isLeast ? " least" : "")}{(leastSlots ? "" : " slots")}";
        var shape = PoolClubs.Shape(fencers, clubs);
        progress.WriteLine($"{shape} on {strips}: {order.Length} slots, {comment}");
        return (order, $"[\"{shape}\"] = \"{string.Join(' ', order.Select(Digits))}\", // {comment}");
    }

    private static string Digits(BoutSlot slot) =>
        Digits(slot.StripOne) + (slot.StripTwo is { } other ? Digits(other) : "");

    private static string Digits(BoutPairing bout) =>
        $"{ComputedBoutOrders.Digits[bout.Left - 1]}{ComputedBoutOrders.Digits[bout.Right - 1]}";
}
