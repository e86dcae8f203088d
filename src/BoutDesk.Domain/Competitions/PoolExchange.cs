using System.Collections.Immutable;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Pools;

namespace BoutDesk.Domain.Competitions;

/// <summary>Two fencers of different pools who change places by hand, and what that does to the draw.</summary>
/// <remarks>
/// The draw itself exchanges within a tier only, see <see cref="PoolDraw"/>. By hand any two can be exchanged: the committee
/// may know what no rule does, such as two sisters of different clubs. What it costs is said here, by the entries as they
/// are now. Exchanging the same two again brings back what was.
/// </remarks>
public sealed class PoolExchange
{
    private readonly PoolRound round;

    private PoolExchange(PoolRound round, ExchangedFencer first, ExchangedFencer second, ImmutableArray<DrawnPool> pools, ImmutableArray<Separation> before, ImmutableArray<Separation> after)
    {
        this.round = round;
        First = first;
        Second = second;
        Pools = pools;
        Before = before;
        After = after;
    }

    /// <summary>The one fencer.</summary>
    public ExchangedFencer First { get; }

    /// <summary>The other.</summary>
    public ExchangedFencer Second { get; }

    /// <summary>The two pools as they become, their fencers in the order of the seeding, as in every draw.</summary>
    public ImmutableArray<DrawnPool> Pools { get; }

    /// <summary>How well clubs and countries are spread over all pools without the exchange.</summary>
    public ImmutableArray<Separation> Before { get; }

    /// <summary>The same with it.</summary>
    public ImmutableArray<Separation> After { get; }

    /// <summary>
    /// True when both are of one tier, so that the pools stay equally strong. Tiers are as many seeds one after the other as
    /// there are pools.
    /// </summary>
    public bool SameTier => First.Tier == Second.Tier;

    /// <summary>Looks at an exchange without making it.</summary>
    /// <param name="competition">The competition.</param>
    /// <param name="round">The round.</param>
    /// <param name="first">The one fencer.</param>
    /// <param name="second">The other.</param>
    /// <returns>The exchange, or why these two cannot be exchanged, whatever was fenced.</returns>
    public static (PoolExchange? Exchange, Refusal? Refusal) Of(Competition competition, PoolRound round, string first, string second)
    {
        if (PoolOf(round, first) is not { } one)
        {
            return (null, NotDrawn("first", round));
        }

        if (PoolOf(round, second) is not { } other)
        {
            return (null, NotDrawn("second", round));
        }

        if (one.Id == other.Id)
        {
            return (null, Refusal.Invalid("second", $"Both are in pool {one.Number}. Name two fencers of different pools."));
        }

        var drawn = round.Drawn;
        var places = drawn.Seeding.Select((id, place) => (id, place)).ToDictionary(s => s.id, s => s.place);
        ImmutableArray<AffiliationKind> kinds = [.. drawn.Separation.Select(s => s.Kind)];
        var field = PoolFieldReader.Read(
            [.. drawn.Seeding.Select(id => new PoolFencer(id, PoolRoundDecider.Affiliations(competition.Entrant(id)!.Details, kinds)))],
            drawn.Pools.Length,
            placements: null);
        ImmutableArray<DrawnPool> pools = [With(one, first, second), With(other, second, first)];
        var exchange = new PoolExchange(
            round,
            Exchanged(first, one, other),
            Exchanged(second, other, one),
            pools,
            Spread(drawn.Pools),
            Spread(drawn.Pools.Select(p => pools.FirstOrDefault(changed => changed.Id == p.Id) ?? p)));
        return (exchange, null);

        DrawnPool With(DrawnPool pool, string leaves, string comes) =>
            pool with { Fencers = [.. pool.Fencers.Remove(leaves).Add(comes).OrderBy(id => places[id])] };

        ExchangedFencer Exchanged(string id, DrawnPool from, DrawnPool to) => new(
            id,
            places[id] + 1,
            places[id] / drawn.Pools.Length,
            from.Number,
            to.Number,
            [
                .. from level in Enumerable.Range(0, kinds.Length)
                   from mate in to.Fencers
                   where mate != first && mate != second && GroupOf(mate, level) != PoolField.None && GroupOf(mate, level) == GroupOf(id, level)
                   select new PoolMate(mate, kinds[level]),
            ]);

        ImmutableArray<Separation> Spread(IEnumerable<DrawnPool> all) =>
            [.. kinds.Select((kind, level) => new Separation(kind, all.Sum(pool => Pairs(pool, level)), field.LeastPairs(level)))];

        int Pairs(DrawnPool pool, int level) => pool.Fencers.Select(id => GroupOf(id, level)).Where(group => group != PoolField.None)
            .CountBy(group => group).Sum(mates => mates.Value * (mates.Value - 1) / 2);

        int GroupOf(string id, int level) => field.Groups(level)[places[id]];
    }

    /// <summary>
    /// Decides on the exchange. It is possible until a bout of the two pools has begun; the bouts keep their identifiers,
    /// strips and referees, and their fencers and order become those that a draw of these pools would have given.
    /// </summary>
    /// <param name="competition">The competition.</param>
    /// <param name="bouts">The bouts of the round.</param>
    public Decision Decide(Competition competition, IReadOnlyCollection<Bout> bouts)
    {
        if (round.Closed is not null)
        {
            return new Refusal(RefusalReason.RoundClosed, $"Pool round {round.Number} is closed, so its draw stands.");
        }

        Bout[] theirs = [.. bouts.Where(b => Pools.Any(p => p.Id == b.PoolId))];
        if (PoolRoundDecider.WhyBegun(theirs) is { } begun)
        {
            return begun with { Sentence = $"Bouts of pool {First.From} or {Second.From} have begun, so these two pools stand." };
        }

        return Decision.Accept(
        [
            new Fact(competition.Id, new FencersExchanged(round.Number, First.EntrantId, Second.EntrantId, Pools, After)),
            .. Pools.SelectMany(pool => Reseated(competition, pool, theirs)),
        ]);
    }

    private static IEnumerable<Fact> Reseated(Competition competition, DrawnPool pool, IEnumerable<Bout> bouts)
    {
        var order = PoolRoundDecider.OrderOfBouts(competition, pool);
        foreach (var bout in bouts.Where(b => b.PoolId == pool.Id).OrderBy(b => b.Order))
        {
            var (left, right) = order[bout.Order - 1];
            foreach (var (side, id) in new[] { (Side.Left, left), (Side.Right, right) })
            {
                if (bout.SeatOf(side).EntrantId != id)
                {
                    yield return new Fact(bout.Id, new SeatTaken(side, new Seat(id)));
                }
            }

            // Who left the pool takes what annuls a bout along to the bouts that are his now.
            foreach (var gone in bout.AnnulledBy.Where(id => id != left && id != right))
            {
                yield return new Fact(bout.Id, new BoutRestored(gone));
            }

            foreach (var id in new[] { left, right })
            {
                if (competition.Entrant(id) is { Gone: true } gone && !bout.AnnulledBy.Contains(id))
                {
                    yield return new Fact(bout.Id, new BoutAnnulled(id, gone.Reason ?? "absent"));
                }
            }
        }
    }

    private static DrawnPool? PoolOf(PoolRound round, string entrantId) => round.Drawn.Pools.FirstOrDefault(p => p.Fencers.Contains(entrantId));

    private static Refusal NotDrawn(string field, PoolRound round) =>
        Refusal.Invalid(field, $"This fencer is in no pool of round {round.Number}. Name an entrant who was drawn.");
}

/// <summary>A fencer who is exchanged.</summary>
/// <param name="EntrantId">The entrant.</param>
/// <param name="Seed">The seed in the round, from 1, exempt fencers not counted.</param>
/// <param name="Tier">The tier of the draw, from 0.</param>
/// <param name="From">The number of the pool that he leaves.</param>
/// <param name="To">The number of the pool that he comes into.</param>
/// <param name="Meets">Whom of his own club or country he meets there.</param>
public sealed record ExchangedFencer(string EntrantId, int Seed, int Tier, int From, int To, ImmutableArray<PoolMate> Meets);

/// <summary>Somebody of the same club or country in a pool.</summary>
/// <param name="EntrantId">The entrant.</param>
/// <param name="Kind">What they share.</param>
public sealed record PoolMate(string EntrantId, AffiliationKind Kind);
