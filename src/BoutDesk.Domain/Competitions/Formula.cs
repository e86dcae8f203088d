using System.Collections.Immutable;
using BoutDesk.Domain.Bouts;

namespace BoutDesk.Domain.Competitions;

/// <summary>How a competition is fenced: its pool rounds and its elimination. Every part has a default.</summary>
public sealed record Formula
{
    /// <summary>The pool rounds.</summary>
    public PoolFormula Pools { get; init; } = new();

    /// <summary>The elimination.</summary>
    public EliminationFormula Elimination { get; init; } = new();

    /// <summary>Says what is wrong with the formula, field by field; empty when it can be fenced.</summary>
    public ImmutableArray<Refusal> Problems()
    {
        var problems = ImmutableArray.CreateBuilder<Refusal>();
        Range("formula.pools.size", Pools.Size, 3, 12);
        Range("formula.pools.touches", Pools.Touches, 1, 45);
        Range("formula.pools.minutes", Pools.Minutes, 1, 15);
        Range("formula.pools.rounds", Pools.Rounds, 0, 5);
        Range("formula.pools.exempt", Pools.Exempt, 0, 512);
        Range("formula.elimination.touches", Elimination.Touches, 1, 45);
        Range("formula.elimination.periods", Elimination.Periods, 1, 9);
        Range("formula.elimination.minutes", Elimination.Minutes, 1, 15);
        if (Pools.Promote is { Percent: not null, Count: not null })
        {
            problems.Add(Refusal.Invalid("formula.pools.promote", $"Give either percent or count, not both."));
        }

        Range("formula.pools.promote.percent", Pools.Promote.Percent ?? 100, 1, 100);
        Range("formula.pools.promote.count", Pools.Promote.Count ?? 2, 2, 1024);
        if (Pools.SeparateBy.Distinct().Count() != Pools.SeparateBy.Length)
        {
            problems.Add(Refusal.Invalid("formula.pools.separateBy", $"Name each affiliation once."));
        }

        if (Pools.Rounds == 0 && Pools.Exempt > 0)
        {
            problems.Add(Refusal.Invalid("formula.pools.exempt", $"Without a pool round nobody can be exempt from it."));
        }

        PowerOfTwo("formula.elimination.fencedPlaces", Elimination.FencedPlaces, 4);
        PowerOfTwo("formula.elimination.repechageFrom", Elimination.RepechageFrom, 4);
        PowerOfTwo("formula.elimination.repechageInto", Elimination.RepechageInto, 2);
        if (Elimination.RepechageInto is { } into && into > (Elimination.RepechageFrom ?? 0) / 2)
        {
            problems.Add(Refusal.Invalid("formula.elimination.repechageInto", $"Must be at most half of repechageFrom."));
        }

        return problems.ToImmutable();

        void PowerOfTwo(string field, int? value, int least)
        {
            if (value is { } table && (table < least || table > 1024 || !int.IsPow2(table)))
            {
                problems.Add(Refusal.Invalid(field, $"Must be a power of two from {least} to 1024, but is {table}."));
            }
        }

        void Range(string field, int value, int least, int most)
        {
            if (value < least || value > most)
            {
                problems.Add(Refusal.Invalid(field, $"Must be from {least} to {most}, but is {value}."));
            }
        }
    }
}

/// <summary>How pools are drawn and fenced.</summary>
public sealed record PoolFormula
{
    /// <summary>The largest pool wanted, 3 to 12 fencers; default 7. Sizes differ by at most one.</summary>
    public int Size { get; init; } = 7;

    /// <summary>The touches that win a bout, 1 to 45; default 5.</summary>
    public int Touches { get; init; } = 5;

    /// <summary>Fencing time of a bout in minutes, 1 to 15; default 3.</summary>
    public int Minutes { get; init; } = 3;

    /// <summary>How many pool rounds are fenced, 0 to 5; default 1. With 0 the tableau is drawn from the initial seeding.</summary>
    public int Rounds { get; init; } = 1;

    /// <summary>Who goes on from each round; default all.</summary>
    public Promotion Promote { get; init; } = new();

    /// <summary>Who goes on of those tied at the cut; default as many as there is room for, by lot.</summary>
    public TiesAtCut TiesAtCut { get; init; } = TiesAtCut.Lot;

    /// <summary>
    /// Which rounds seed the tableau; default the last one. The cut and the next pool round always go by the ranking of
    /// the round just closed.
    /// </summary>
    public SeedingBy SeedingBy { get; init; } = SeedingBy.LastRound;

    /// <summary>How many of the best seeds skip the pools and are ranked ahead of everybody; default 0.</summary>
    public int Exempt { get; init; }

    /// <summary>What is spread over the pools, most important first; default clubs.</summary>
    public ImmutableArray<AffiliationKind> SeparateBy { get; init; } = [AffiliationKind.Club];

    /// <summary>The rules of a pool bout of the given weapon.</summary>
    public BoutRules BoutRules(Weapon weapon) => new(weapon, Touches, 1, Minutes);

    /// <summary>How many of a ranking, from the top, go on.</summary>
    /// <param name="ranking">Everybody who finished the round, best first, lots applied.</param>
    public int Promoted(ImmutableArray<RankedFencer> ranking)
    {
        var promoted = Promote.Of(ranking.Length);
        if (TiesAtCut == TiesAtCut.PromoteAll)
        {
            while (promoted > 0 && promoted < ranking.Length && ranking[promoted].Place == ranking[promoted - 1].Place)
            {
                promoted++;
            }
        }

        return promoted;
    }
}

/// <summary>Who goes on of those tied at the cut after a pool round.</summary>
public enum TiesAtCut
{
    /// <summary>As many as there is room for, by lot.</summary>
    Lot,

    /// <summary>All of them, so that nobody is cut by lot and more go on than were asked for.</summary>
    PromoteAll,
}

/// <summary>Which pool rounds seed the tableau.</summary>
public enum SeedingBy
{
    /// <summary>The last one.</summary>
    LastRound,

    /// <summary>All together: victories, bouts and touches of all rounds added up, equals by lot.</summary>
    AllRounds,
}

/// <summary>What kind of membership is spread over the pools.</summary>
public enum AffiliationKind
{
    /// <summary>The club.</summary>
    Club,

    /// <summary>The country.</summary>
    Country,
}

/// <summary>Who goes on from a pool round: a share or a number of those ranked. With neither, all go on.</summary>
public sealed record Promotion
{
    /// <summary>The share that goes on, 1 to 100 per cent; a fraction of a fencer is rounded up, and at least two go on.</summary>
    public int? Percent { get; init; }

    /// <summary>The number that goes on, at least 2.</summary>
    public int? Count { get; init; }

    /// <summary>How many of <paramref name="ranked"/> fencers go on.</summary>
    /// <remarks>
    /// Rounding up is our convention: in doubt a fencer goes on. Rule books differ. A small share of few fencers
    /// would leave one alone, and no tableau could be drawn; so two go on if there are two.
    /// </remarks>
    public int Of(int ranked) => Math.Min(ranked, Count ?? Math.Max(2, ((ranked * (Percent ?? 100)) + 99) / 100));
}

/// <summary>How the elimination is fenced.</summary>
public sealed record EliminationFormula
{
    /// <summary>The touches that win a bout, 1 to 45; default 15.</summary>
    public int Touches { get; init; } = 15;

    /// <summary>The periods of a bout, 1 to 9; default 3.</summary>
    public int Periods { get; init; } = 3;

    /// <summary>Fencing time of a period in minutes, 1 to 15; default 3.</summary>
    public int Minutes { get; init; } = 3;

    /// <summary>Whether the losers of the semi-finals share third place (default) or fence for it.</summary>
    public ThirdPlace ThirdPlace { get; init; } = ThirdPlace.Shared;

    /// <summary>
    /// The table from which losers fence on in a repechage, 4 to 1,024; null (default) for none. When there are fewer
    /// fencers, it begins with the first table.
    /// </summary>
    public int? RepechageFrom { get; init; }

    /// <summary>
    /// The last table after a repechage, half of which comes from it: 2 to half of <see cref="RepechageFrom"/>; null for
    /// a table of 8, or half of <see cref="RepechageFrom"/> when that is less.
    /// </summary>
    public int? RepechageInto { get; init; }

    /// <summary>
    /// Down to which place losers fence on, a power of two from 4 to 1,024: 8 for the places 5 to 8, 1,024 for every
    /// place; null (default) for none. Third place has its own rule, <see cref="ThirdPlace"/>.
    /// </summary>
    public int? FencedPlaces { get; init; }

    /// <summary>The rules of an elimination bout of the given weapon.</summary>
    public BoutRules BoutRules(Weapon weapon) => new(weapon, Touches, Periods, Minutes);
}

/// <summary>What the losers of the semi-finals do.</summary>
public enum ThirdPlace
{
    /// <summary>Both are third.</summary>
    Shared,

    /// <summary>They fence a bout for third place.</summary>
    Bout,
}
