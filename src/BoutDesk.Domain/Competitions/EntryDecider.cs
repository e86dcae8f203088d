using System.Collections.Immutable;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Elimination;
using BoutDesk.Domain.Entries;

namespace BoutDesk.Domain.Competitions;

/// <summary>How an entrant leaves.</summary>
public enum Leaving
{
    /// <summary>Does not appear.</summary>
    Absent,

    /// <summary>Withdraws or cannot go on.</summary>
    Withdrawn,

    /// <summary>Is excluded; gets no place.</summary>
    Excluded,
}

/// <summary>What makes an entrant withdraw. The consequences are the same for each.</summary>
public enum WithdrawalCause
{
    /// <summary>His own wish.</summary>
    Withdrawal,

    /// <summary>He is hurt or ill.</summary>
    Injury,

    /// <summary>He did not appear when he was called.</summary>
    NoShow,
}

/// <summary>Decides on entries, check-in, and on fencers who leave or come back. Pure.</summary>
public static class EntryDecider
{
    /// <summary>The most entrants that a competition takes.</summary>
    public const int MostEntrants = TableauShape.MostFencers;

    /// <summary>Changes the formula, as far as the part that changes was not drawn yet.</summary>
    public static Decision ChangeFormula(Competition competition, Formula formula)
    {
        if (formula.Problems() is [var problem, ..])
        {
            return problem;
        }

        // Rounds still to come can be added or dropped, for instance when too few are left for another one; and what
        // seeds the tableau is a matter of its draw.
        var comparable = competition.Tableau is null && formula.Pools.Rounds >= competition.Rounds.Length
            ? formula.Pools with { Rounds = competition.Formula.Pools.Rounds, SeedingBy = competition.Formula.Pools.SeedingBy }
            : formula.Pools;
        if (competition.Stage != Stage.Entries && !Same(comparable, competition.Formula.Pools))
        {
            return new Refusal(RefusalReason.EntriesClosed, $"Pools were drawn by the formula as it is. Only the number of rounds still to come and what seeds the tableau can be changed; else scrap the draw first.");
        }

        return competition.Tableau is not null && formula.Elimination != competition.Formula.Elimination
            ? new Refusal(RefusalReason.EntriesClosed, $"The tableau was drawn by the formula as it is. Scrap the tableau to change how it is fenced.")
            : Decision.Accept(competition.Id, new FormulaChanged(formula));
    }

    /// <summary>Says why a list of entries cannot be taken as it is, row by row; empty when it can.</summary>
    /// <param name="competition">The competition.</param>
    /// <param name="rows">The rows, tidied.</param>
    /// <returns>The index of the row, from 0, and what is wrong with it.</returns>
    public static ImmutableArray<(int Row, Refusal Problem)> CheckEntries(Competition competition, IReadOnlyList<EntrantDetails> rows)
    {
        var problems = ImmutableArray.CreateBuilder<(int, Refusal)>();
        var known = competition.Entrants.Select(e => (Row: -1, e.Details)).ToLookup(KeyOf);
        var earlier = new Dictionary<(string, string), List<(int Row, EntrantDetails Details)>>();
        for (var i = 0; i < rows.Count; i++)
        {
            problems.AddRange(rows[i].Problems().Select(problem => (i, problem)));
            var key = KeyOf((i, rows[i]));
            var twins = earlier.TryGetValue(key, out var list) ? list : earlier[key] = [];
            foreach (var twin in known[key].Concat(twins).Where(other => other.Details.LooksLike(rows[i])).Take(1))
            {
                problems.Add((i, new Refusal(
                    RefusalReason.DuplicateEntrant,
                    twin.Row < 0
                        ? (FormattableString)$"{rows[i].Name} is entered already. If these are two people, tell them apart by year of birth or club."
                        : $"{rows[i].Name} stands twice in this list. Leave one out, or tell them apart by year of birth or club.")
                    { Field = "familyName" }));
            }

            twins.Add((i, rows[i]));
        }

        return problems.ToImmutable();

        static (string, string) KeyOf((int Row, EntrantDetails Details) row) =>
            (row.Details.FamilyName.ToUpperInvariant(), row.Details.GivenName.ToUpperInvariant());
    }

    /// <summary>Enters people who were checked with <see cref="CheckEntries"/>.</summary>
    public static Decision Enter(Competition competition, IReadOnlyList<EntrantDetails> entries)
    {
        if (competition.Stage != Stage.Entries)
        {
            return EntriesClosed();
        }

        if (competition.Entrants.Length + entries.Count > MostEntrants)
        {
            return new Refusal(RefusalReason.InvalidValue, $"A competition takes {MostEntrants} entrants; these would make {competition.Entrants.Length + entries.Count}. Split the list into two competitions.");
        }

        return Decision.Accept(entries.Select((entry, i) => new Fact(
            competition.Id,
            new EntrantEntered(Identifiers.Entrant(competition.Id, competition.Entrants.Length + i + 1), entry))));
    }

    /// <summary>Corrects the details of an entry, at any time. The ranking counts for draws still to come.</summary>
    public static Decision Correct(Competition competition, Entrant entrant, EntrantDetails details)
    {
        if (details.Problems() is [var problem, ..])
        {
            return problem;
        }

        if (competition.Entrants.Any(e => e.Id != entrant.Id && e.Details.LooksLike(details)))
        {
            return new Refusal(RefusalReason.DuplicateEntrant, $"{details.Name} is entered already. If these are two people, tell them apart by year of birth or club.");
        }

        return details == entrant.Details ? Decision.Nothing : Decision.Accept(competition.Id, new EntrantCorrected(entrant.Id, details));
    }

    /// <summary>Checks an entrant in. Once more changes nothing.</summary>
    public static Decision CheckIn(Competition competition, Entrant entrant)
    {
        if (entrant.Status == EntrantStatus.CheckedIn)
        {
            return Decision.Nothing;
        }

        if (entrant.Status is EntrantStatus.Withdrawn or EntrantStatus.Excluded)
        {
            return new Refusal(RefusalReason.EntrantState, $"{entrant.Details.Name} has left the competition. Reinstate the fencer first.");
        }

        return competition.Stage == Stage.Entries
            ? Decision.Accept(competition.Id, new EntrantCheckedIn(entrant.Id))
            : new Refusal(RefusalReason.EntriesClosed, $"The draw is made, so check-in is closed. If no bout has begun, scrap the draw, check in and draw again.");
    }

    /// <summary>Takes a check-in back that was a mistake, until the draw. Once more changes nothing.</summary>
    public static Decision TakeCheckInBack(Competition competition, Entrant entrant)
    {
        if (entrant.Status == EntrantStatus.Entered)
        {
            return Decision.Nothing;
        }

        if (entrant.Status != EntrantStatus.CheckedIn)
        {
            return new Refusal(RefusalReason.EntrantState, $"{entrant.Details.Name} is not checked in.");
        }

        return competition.Stage == Stage.Entries
            ? Decision.Accept(competition.Id, new CheckInTakenBack(entrant.Id))
            : new Refusal(RefusalReason.EntriesClosed, $"The draw is made, so check-in is closed. Mark the fencer absent, or scrap the draw if no bout has begun.");
    }

    /// <summary>
    /// Lets an entrant leave. In an open pool all of his bouts are annulled, for his opponents too, as if he had not
    /// been there. In the elimination the opponent of his next bout goes on, and he keeps his place; excluded, he
    /// has none (Organisation book, from memory).
    /// </summary>
    /// <param name="competition">The competition.</param>
    /// <param name="entrant">Who leaves.</param>
    /// <param name="leaving">How.</param>
    /// <param name="reason">Why.</param>
    /// <param name="bouts">The bouts of the open pool round or of the tableau.</param>
    /// <param name="cause">What makes him withdraw, if that was said; the consequences are the same for each.</param>
    public static Decision Leave(
        Competition competition, Entrant entrant, Leaving leaving, string reason, IReadOnlyDictionary<string, Bout> bouts, WithdrawalCause? cause = null)
    {
        ICompetitionEvent left = leaving switch
        {
            Leaving.Absent => new EntrantMarkedAbsent(entrant.Id),
            Leaving.Withdrawn => new EntrantWithdrew(entrant.Id, reason, cause),
            _ => new EntrantExcluded(entrant.Id, reason),
        };
        var status = leaving switch
        {
            Leaving.Absent => EntrantStatus.Absent,
            Leaving.Withdrawn => EntrantStatus.Withdrawn,
            _ => EntrantStatus.Excluded,
        };
        if (entrant.Status == status)
        {
            return Decision.Nothing;
        }

        // Who has left can still be excluded, and who was absent from check-in can withdraw; every other change of mind
        // goes through reinstating.
        var canWithdraw = entrant.Status == EntrantStatus.Absent && competition.Stage == Stage.Entries;
        if (entrant.Gone && leaving != Leaving.Excluded && !canWithdraw)
        {
            return new Refusal(RefusalReason.EntrantState, $"{entrant.Details.Name} has left the competition already. Reinstate the fencer first.");
        }

        var facts = new List<Fact> { new(competition.Id, left) };
        if (entrant.Gone)
        {
            return Decision.Accept(facts);
        }

        var his = bouts.Values.Where(b => b.SideOf(entrant.Id) is not null && !b.Struck && !b.Sealed);
        if (competition.OpenRound is not null)
        {
            facts.AddRange(his.Where(b => b.InPool).Select(b => new Fact(b.Id, new BoutAnnulled(entrant.Id, reason))));
        }

        if (competition.Tableau is null)
        {
            return Decision.Accept(facts);
        }

        facts.AddRange(his
            .Where(b => !b.InPool && b.Status != BoutStatus.Decided)
            .Select(b => new Fact(b.Id, new FencerOut(b.SideOf(entrant.Id)!.Value, reason))));
        return Progression.Follow(bouts, facts, competition.Gone.Add(entrant.Id), later: null);
    }

    /// <summary>
    /// Shows a black card in a bout: the fencer is excluded from the competition, with everything that follows.
    /// </summary>
    /// <param name="competition">The competition.</param>
    /// <param name="bout">The bout.</param>
    /// <param name="side">To whom.</param>
    /// <param name="reason">The offence.</param>
    /// <param name="bouts">The bouts of the open pool round or of the tableau, this one included.</param>
    /// <param name="group">The group of the offence, when the card follows from it.</param>
    public static Decision ShowBlackCard(
        Competition competition, Bout bout, Side side, string reason, IReadOnlyDictionary<string, Bout> bouts, int? group = null)
    {
        var shown = BoutDecider.ShowCard(bout, side, Card.Black, reason, group);
        if (shown.Refusal is not null)
        {
            return shown;
        }

        var after = bouts.ToDictionary();
        after[bout.Id] = Bout.Evolve(bout, bout.Id, (IBoutEvent)shown.Facts[0].Event);
        var entrant = competition.Entrant(bout.SeatOf(side).EntrantId!)!;
        var left = Leave(competition, entrant, Leaving.Excluded, reason, after);
        if (left.Refusal is not null)
        {
            return left;
        }

        if (bout.InPool)
        {
            return Decision.Accept([.. shown.Facts, .. left.Facts]);
        }

        return Progression.Follow(bouts, [.. shown.Facts, .. left.Facts], competition.Gone.Add(entrant.Id), later: null);
    }

    /// <summary>
    /// Brings back an entrant who was marked absent, withdrawn or excluded by mistake: annulled pool bouts of an open
    /// round count again with what was fenced, and elimination bouts lost by leaving are open again, if no bout that
    /// followed has begun. A result that was confirmed after a black card stays: what was confirmed is changed by a
    /// correction only. The ranking of a round closed meanwhile stays too.
    /// </summary>
    /// <param name="competition">The competition.</param>
    /// <param name="entrant">Who comes back.</param>
    /// <param name="reason">Why.</param>
    /// <param name="bouts">The bouts of the open pool round or of the tableau.</param>
    /// <param name="later"><see cref="LaterDraws.Scrap"/> clears bouts that followed and have begun.</param>
    public static Decision Reinstate(
        Competition competition, Entrant entrant, string reason, IReadOnlyDictionary<string, Bout> bouts, LaterDraws? later)
    {
        if (!entrant.Gone)
        {
            return Decision.Nothing;
        }

        var facts = new List<Fact> { new(competition.Id, new EntrantReinstated(entrant.Id, reason)) };
        foreach (var bout in bouts.Values.Where(b => !b.Struck && !b.Sealed).OrderBy(b => b.Id, StringComparer.Ordinal))
        {
            if (bout.SideOf(entrant.Id) is not { } side)
            {
                continue;
            }

            if (bout.BlackCard(side))
            {
                facts.Add(new Fact(bout.Id, new CardTakenBack(bout.WithoutLast(Bout.IsCard).Course.Score)));
            }

            if (bout.AnnulledBy.Contains(entrant.Id))
            {
                facts.Add(new Fact(bout.Id, new BoutRestored(entrant.Id)));
            }

            if (bout.SeatOf(side).Out)
            {
                facts.Add(new Fact(bout.Id, new FencerBack(side)));
            }
        }

        return competition.Tableau is null
            ? Decision.Accept(facts)
            : Progression.Follow(bouts, facts, competition.Gone.Remove(entrant.Id), later);
    }

    private static Refusal EntriesClosed() => new(
        RefusalReason.EntriesClosed,
        $"The draw is made, so entries are closed. If no bout has begun, scrap the draw, enter the fencer and draw again.");

    private static bool Same(PoolFormula left, PoolFormula right) =>
        left with { SeparateBy = [] } == right with { SeparateBy = [] } && left.SeparateBy.SequenceEqual(right.SeparateBy);
}
