using System.Collections.Immutable;
using BoutDesk.Domain.Bouts;

namespace BoutDesk.Domain.Competitions;

/// <summary>The rules by which something follows when a fencer leaves. Sources: Organisation book, from memory, but where said.</summary>
public enum LeavingRule
{
    /// <summary>Who leaves before the draw is not drawn.</summary>
    NotDrawn,

    /// <summary>Who leaves a pool before its end is taken out of it with all of his bouts, for the opponents too.</summary>
    PoolBoutsAnnulled,

    /// <summary>Who left the first pool round he fenced has no rank, and so no place.</summary>
    NoRankWithoutARound,

    /// <summary>Who leaves a later pool round keeps the rank of the round before, behind all who finish it (our convention).</summary>
    RankOfTheRoundBefore,

    /// <summary>Who leaves between a round and the next draw keeps his rank, behind all who are drawn.</summary>
    RankKept,

    /// <summary>Who was exempt and is not drawn comes ahead of those cut (our convention).</summary>
    ExemptAheadOfTheCut,

    /// <summary>Who does not fence an elimination bout to its end loses it, and the opponent goes on.</summary>
    OpponentGoesOn,

    /// <summary>Who leaves the elimination keeps the place of the table that he lost in.</summary>
    PlaceKept,

    /// <summary>Who is excluded has no place, and those behind him move up.</summary>
    ExcludedHasNoPlace,
}

/// <summary>Something that follows when a fencer leaves.</summary>
/// <param name="What">What follows, in a sentence.</param>
/// <param name="Rule">By which rule.</param>
public sealed record Consequence(FormattableString What, LeavingRule Rule);

/// <summary>Names what follows when a fencer leaves, each by its rule.</summary>
public static class LeavingConsequences
{
    /// <summary>What follows from a decision by which an entrant leaves; empty when he had left already.</summary>
    /// <param name="competition">The competition before it.</param>
    /// <param name="entrantId">Who leaves.</param>
    /// <param name="decision">The decision; accepted.</param>
    public static ImmutableArray<Consequence> Of(Competition competition, string entrantId, Decision decision)
    {
        if (!decision.Facts.Any(f => f.Event is EntrantMarkedAbsent or EntrantWithdrew or EntrantExcluded))
        {
            return [];
        }

        var consequences = ImmutableArray.CreateBuilder<Consequence>();
        var annulled = decision.Facts.Count(f => f.Event is BoutAnnulled);
        if (annulled > 0)
        {
            consequences.Add(new Consequence($"{annulled} bout(s) of the pool do not count, for the opponents either.", LeavingRule.PoolBoutsAnnulled));
        }

        consequences.AddRange(decision.Facts.Where(f => EndsTableauBout(f, competition)).Select(f => new Consequence(
            $"Bout {f.StreamId} is lost. The opponent goes on.", LeavingRule.OpponentGoesOn)));
        consequences.Add(decision.Facts.Any(f => f.Event is EntrantExcluded)
            ? new Consequence($"No place is given. Those behind move up.", LeavingRule.ExcludedHasNoPlace)
            : Place(competition, entrantId));
        return consequences.ToImmutable();
    }

    /// <summary>The rule by which an event annuls or decides a bout because a fencer left, or null for all other events.</summary>
    /// <param name="happened">The event.</param>
    /// <param name="inPool">Whether the bout is one of a pool, which a black card does not decide but annul.</param>
    public static LeavingRule? RuleOf(IBoutEvent happened, bool inPool) => happened switch
    {
        BoutAnnulled => LeavingRule.PoolBoutsAnnulled,
        FencerOut or SeatTaken { Seat.Out: true } => LeavingRule.OpponentGoesOn,
        CardShown { Card: Card.Black } when !inPool => LeavingRule.OpponentGoesOn,
        _ => null,
    };

    private static bool EndsTableauBout(Fact fact, Competition competition) =>
        fact.Event is FencerOut || (fact.Event is CardShown { Card: Card.Black } && competition.Tableau is not null);

    private static Consequence Place(Competition competition, string entrantId)
    {
        if (competition.Tableau?.Seeds.Contains(entrantId) == true)
        {
            return new Consequence($"The place is that of the table in which the last bout was lost.", LeavingRule.PlaceKept);
        }

        if (competition.Rounds.LastOrDefault()?.Drawn.Exempt.Contains(entrantId) == true)
        {
            return new Consequence($"The place is behind all who are in the tableau, ahead of those cut.", LeavingRule.ExemptAheadOfTheCut);
        }

        var ranked = competition.Rounds.LastOrDefault(r => r.Closed?.Ranking.Any(line => line.EntrantId == entrantId) == true);
        var fences = competition.OpenRound?.Drawn.Seeding.Contains(entrantId) == true;
        return (ranked, fences) switch
        {
            (null, true) => new Consequence($"No place is given, because no pool round was finished.", LeavingRule.NoRankWithoutARound),
            (null, false) => new Consequence($"The fencer is not drawn.", LeavingRule.NotDrawn),
            ({ Number: var number }, true) => new Consequence($"The place is by the rank of pool round {number}, behind all who finish this one.", LeavingRule.RankOfTheRoundBefore),
            ({ Number: var number }, false) => new Consequence($"The place is by the rank of pool round {number}, behind all who are drawn.", LeavingRule.RankKept),
        };
    }
}
