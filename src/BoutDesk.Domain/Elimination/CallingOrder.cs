using System.Collections.Immutable;
using BoutDesk.Domain.Bouts;

namespace BoutDesk.Domain.Elimination;

/// <summary>What the order of calling goes by.</summary>
/// <param name="Rest">The rest that everybody has between two elimination bouts; not negative.</param>
/// <param name="BoutLength">How long a bout holds its strip, for the plan; more than nothing.</param>
/// <param name="Strips">How many strips there are, those of bouts under way included, at least 1; null for as many as wanted.</param>
public sealed record CallingRules(TimeSpan Rest, TimeSpan BoutLength, int? Strips)
{
    /// <summary>The rest of the rule book: ten minutes (Organisation book, from memory).</summary>
    public static TimeSpan UsualRest { get; } = TimeSpan.FromMinutes(10);
}

/// <summary>A bout to be called.</summary>
/// <param name="BoutId">The bout.</param>
/// <param name="CanBeCalled">True when both fencers are there and have had their rest.</param>
/// <param name="RestedAt">
/// From when both have had their rest; null while one of them is not known, or when nothing keeps them from fencing.
/// </param>
/// <param name="PlannedAt">When it would begin if every bout took as long as planned.</param>
public sealed record BoutCall(string BoutId, bool CanBeCalled, DateTimeOffset? RestedAt, DateTimeOffset PlannedAt);

/// <summary>
/// The order in which the bouts of a tableau are called, so that everybody has his rest and the last bout is over as
/// early as can be.
/// </summary>
/// <remarks>
/// First the bout with the longest chain of bouts behind it, so earlier tables first: on equal terms this ends a tree
/// of bouts earliest (T. C. Hu, "Parallel sequencing and assembly line problems", Operations Research 9, 1961, from
/// memory; with the rest between bouts it is compared in the tests with every other order for small tableaux). Then the
/// bout whose winner is waited for by an opponent, then the one whose fencers have rested longest, then from the top of
/// the tableau. A bout whose end is not known keeps nobody waiting. A bout under way is taken to end one bout's length
/// from now at the latest.
/// </remarks>
public static class CallingOrder
{
    /// <summary>The bouts still to be called, first to last as planned; those under way are not among them.</summary>
    /// <param name="bouts">All bouts of the tableau, from the top.</param>
    /// <param name="now">The moment from which is planned.</param>
    /// <param name="rules">Rest, length of a bout and strips.</param>
    public static ImmutableArray<BoutCall> Of(IReadOnlyList<SeededBout> bouts, DateTimeOffset now, CallingRules rules) =>
        new Planning(bouts, now, rules).Plan();

    private sealed class Planning
    {
        private readonly DateTimeOffset now;
        private readonly CallingRules rules;
        private readonly Dictionary<string, Node> nodes;
        private readonly List<Node> ready = [];
        private readonly PriorityQueue<Node, DateTimeOffset> resting = new();
        private readonly PriorityQueue<Node, DateTimeOffset> fencing = new();
        private readonly ImmutableArray<BoutCall>.Builder calls = ImmutableArray.CreateBuilder<BoutCall>();

        public Planning(IReadOnlyList<SeededBout> bouts, DateTimeOffset now, CallingRules rules)
        {
            this.now = now;
            this.rules = rules;
            nodes = bouts.Select((bout, i) => new Node(bout, i)).ToDictionary(n => n.Bout.Id);
            foreach (var node in nodes.Values)
            {
                SetLevel(node);
            }
        }

        public ImmutableArray<BoutCall> Plan()
        {
            var lastEnds = LastEnds();
            foreach (var node in nodes.Values.Where(n => n.Bout.Status is BoutStatus.Waiting or BoutStatus.Open))
            {
                foreach (var seat in new[] { node.Bout.Left, node.Bout.Right })
                {
                    node.Awaited += seat.IsKnown ? 0 : 1;
                    node.Empty += seat.IsKnown && !seat.CanWin ? 1 : 0;
                    if (seat.Seed is { } seed && lastEnds.TryGetValue(seed, out var end))
                    {
                        node.RestUntil(end + rules.Rest);
                    }
                }

                node.KnownAtFirst = node.Awaited == 0;
                if (node.Awaited == 0)
                {
                    resting.Enqueue(node, node.RestedAt ?? now);
                }
            }

            foreach (var node in nodes.Values.Where(n => n.Bout.Status == BoutStatus.Fencing))
            {
                fencing.Enqueue(node, now + rules.BoutLength);
            }

            for (var time = now; ; time = Next(time))
            {
                while (fencing.TryPeek(out var over, out var end) && end <= time)
                {
                    fencing.Dequeue();
                    Send(over.Bout.WinnerTo, end + rules.Rest);
                    Send(over.Bout.LoserTo, end + rules.Rest);
                }

                while (resting.TryPeek(out _, out var at) && at <= time)
                {
                    ready.Add(resting.Dequeue());
                }

                while (ready.Count > 0 && fencing.Count < (rules.Strips ?? int.MaxValue))
                {
                    Begin(First(), time);
                }

                if (fencing.Count == 0 && resting.Count == 0)
                {
                    return calls.ToImmutable();
                }
            }
        }

        private DateTimeOffset Next(DateTimeOffset time)
        {
            var end = fencing.TryPeek(out _, out var over) ? over : DateTimeOffset.MaxValue;
            var rested = resting.TryPeek(out _, out var at) ? at : DateTimeOffset.MaxValue;
            var next = end < rested ? end : rested;
            return next > time ? next : time;
        }

        private Node First()
        {
            var first = ready.MinBy(n => (-n.Level, OpponentWaits(n) ? 0 : 1, n.RestedAt ?? DateTimeOffset.MinValue, n.Index))!;
            ready.Remove(first);
            return first;
        }

        private void Begin(Node node, DateTimeOffset time)
        {
            var restedAt = node.KnownAtFirst ? node.RestedAt : null;
            calls.Add(new BoutCall(node.Bout.Id, node.KnownAtFirst && (restedAt ?? now) <= now, restedAt, time));
            fencing.Enqueue(node, time + rules.BoutLength);
        }

        /// <summary>
        /// Seats whoever comes, or leaves the seat empty. A bout that nobody has to fence sends on who is there, with the
        /// rest he has.
        /// </summary>
        private void Send(SeatLink? link, DateTimeOffset? restedAt, bool nobody = false)
        {
            if (link is null)
            {
                return;
            }

            var node = nodes[link.BoutId];
            node.Awaited--;
            node.Empty += nobody ? 1 : 0;
            if (restedAt is { } until)
            {
                node.RestUntil(until);
            }

            if (node.Awaited > 0)
            {
                return;
            }

            if (node.Empty == 0)
            {
                resting.Enqueue(node, node.RestedAt ?? now);
                return;
            }

            Send(node.Bout.WinnerTo, node.RestedAt, nobody: node.Empty == 2);
            Send(node.Bout.LoserTo, null, nobody: true);
        }

        private bool OpponentWaits(Node node) => node.Bout.WinnerTo is { } link && nodes[link.BoutId].Awaited == 1;

        private Dictionary<int, DateTimeOffset> LastEnds()
        {
            var ends = new Dictionary<int, DateTimeOffset>();
            foreach (var bout in nodes.Values.Select(n => n.Bout).Where(b => b.EndedAt is not null))
            {
                foreach (var seed in new[] { bout.Left.Seed, bout.Right.Seed }.OfType<int>())
                {
                    var known = ends.GetValueOrDefault(seed, DateTimeOffset.MinValue);
                    ends[seed] = bout.EndedAt > known ? bout.EndedAt.Value : known;
                }
            }

            return ends;
        }

        /// <summary>How many bouts at most follow one another behind a bout.</summary>
        private int SetLevel(Node node)
        {
            if (node.Level < 0)
            {
                node.Level = 0;
                foreach (var link in new[] { node.Bout.WinnerTo, node.Bout.LoserTo }.OfType<SeatLink>())
                {
                    node.Level = Math.Max(node.Level, 1 + SetLevel(nodes[link.BoutId]));
                }
            }

            return node.Level;
        }
    }

    private sealed class Node(SeededBout bout, int index)
    {
        public SeededBout Bout { get; } = bout;

        public int Index { get; } = index;

        public int Level { get; set; } = -1;

        public int Awaited { get; set; }

        /// <summary>How many of its seats nobody comes to who could win.</summary>
        public int Empty { get; set; }

        public bool KnownAtFirst { get; set; }

        public DateTimeOffset? RestedAt { get; private set; }

        public void RestUntil(DateTimeOffset moment) => RestedAt = RestedAt is { } known && known > moment ? known : moment;
    }
}
