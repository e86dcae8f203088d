using System.Collections.Immutable;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Equipment;
using BoutDesk.Domain.Erasing;
using BoutDesk.Domain.Refereeing;

namespace BoutDesk.Domain.Competitions;

/// <summary>The stage a competition has reached.</summary>
public enum Stage
{
    /// <summary>Entries and check-in.</summary>
    Entries,

    /// <summary>Pools are drawn.</summary>
    Pools,

    /// <summary>The tableau is drawn.</summary>
    Elimination,

    /// <summary>Every bout of the tableau is decided.</summary>
    Finished,
}

/// <summary>A pool round as drawn, and as closed if it was.</summary>
/// <param name="Drawn">The draw, exchanges by hand included.</param>
/// <param name="Closed">The closing with the ranking in force, or null while the round is open.</param>
public sealed record PoolRound(PoolRoundDrawn Drawn, PoolRoundClosed? Closed)
{
    /// <summary>The round, from 1.</summary>
    public int Number => Drawn.Round;

    /// <summary>Those who go on, best first, exempt fencers ahead; empty while the round is open.</summary>
    public ImmutableArray<string> GoOn => Closed is null
        ? []
        : [.. Drawn.Exempt, .. Closed.Ranking.Take(Closed.Promoted).Select(r => r.EntrantId)];

    /// <summary>The round after two fencers changed places.</summary>
    internal PoolRound With(FencersExchanged exchanged) => this with
    {
        Drawn = Drawn with
        {
            Pools = [.. Drawn.Pools.Select(pool => exchanged.Pools.FirstOrDefault(changed => changed.Id == pool.Id) ?? pool)],
            Separation = exchanged.Separation,
        },
    };
}

/// <summary>A competition, folded from its events. Immutable.</summary>
public sealed record Competition
{
    /// <summary>The identifier, see <see cref="Identifiers"/>.</summary>
    public required string Id { get; init; }

    /// <summary>The tournament it belongs to.</summary>
    public required string TournamentId { get; init; }

    /// <summary>Its name.</summary>
    public required string Name { get; init; }

    /// <summary>The weapon.</summary>
    public required Weapon Weapon { get; init; }

    /// <summary>Who it is open to.</summary>
    public required Category Category { get; init; }

    /// <summary>The age group, as the organiser names it.</summary>
    public required string AgeGroup { get; init; }

    /// <summary>How it is fenced.</summary>
    public required Formula Formula { get; init; }

    /// <summary>What happens when a fencer is called whose equipment has not passed.</summary>
    public EquipmentGate EquipmentGate { get; init; }

    /// <summary>Everybody who was ever entered, in the order of entry.</summary>
    public ImmutableArray<Entrant> Entrants { get; init; } = [];

    /// <summary>The pool rounds that were drawn and not scrapped, first to last.</summary>
    public ImmutableArray<PoolRound> Rounds { get; init; } = [];

    /// <summary>The tableau, or null.</summary>
    public TableauDrawn? Tableau { get; init; }

    /// <summary>Who referees which pool or bout of the draws that stand, in the order of appointing; each has one at most.</summary>
    public ImmutableArray<Appointment> Appointments { get; init; } = [];

    /// <summary>How many draws there were, scrapped ones included.</summary>
    public int Draws { get; init; }

    /// <summary>How many events it was folded from, from 1.</summary>
    public int Version { get; init; }

    /// <summary>The stage as far as the draws tell; <see cref="Stage.Finished"/> depends on the bouts.</summary>
    public Stage Stage => Tableau is not null ? Stage.Elimination : Rounds.IsEmpty ? Stage.Entries : Stage.Pools;

    /// <summary>The pool round being fenced, or null.</summary>
    public PoolRound? OpenRound => Rounds.LastOrDefault() is { Closed: null } open ? open : null;

    /// <summary>The entrants who will not fence any more.</summary>
    public ImmutableHashSet<string> Gone => [.. Entrants.Where(e => e.Gone).Select(e => e.Id)];

    /// <summary>An entrant, or null when there is none of that identifier.</summary>
    public Entrant? Entrant(string entrantId) => Entrants.FirstOrDefault(e => e.Id == entrantId);

    /// <summary>Who referees a pool or a bout of the elimination, or null.</summary>
    public string? RefereeOf(string at) => Appointments.FirstOrDefault(a => a.At == at)?.RefereeId;

    /// <summary>A pool round, or null.</summary>
    public PoolRound? Round(int number) => number >= 1 && number <= Rounds.Length ? Rounds[number - 1] : null;

    /// <summary>The pool of that identifier with its round, or null.</summary>
    public (PoolRound Round, DrawnPool Pool)? Pool(string poolId)
    {
        foreach (var round in Rounds)
        {
            if (round.Drawn.Pools.FirstOrDefault(p => p.Id == poolId) is { } pool)
            {
                return (round, pool);
            }
        }

        return null;
    }

    /// <summary>The competition after one more event.</summary>
    /// <param name="competition">The competition before it, or null before the first.</param>
    /// <param name="id">The identifier of the competition.</param>
    /// <param name="happened">What happened.</param>
    /// <exception cref="InvalidOperationException">The event cannot follow, which means that the store is damaged.</exception>
    public static Competition Evolve(Competition? competition, string id, ICompetitionEvent happened)
    {
        if (happened is CompetitionOpened opened)
        {
            return new Competition
            {
                Id = id,
                TournamentId = opened.TournamentId,
                Name = opened.Name,
                Weapon = opened.Weapon,
                Category = opened.Category,
                AgeGroup = opened.AgeGroup,
                Formula = opened.Formula,
                Version = 1,
            };
        }

        if (competition is null)
        {
            throw new InvalidOperationException($"Competition {id} begins with {happened.GetType().Name}; it must begin with {nameof(CompetitionOpened)}.");
        }

        var next = happened switch
        {
            FormulaChanged changed => competition with { Formula = changed.Formula },
            EquipmentGateSet set => competition with { EquipmentGate = set.Gate },
            EntrantEntered entered => competition with
            {
                Entrants = competition.Entrants.Add(new Entrant(entered.EntrantId, entered.Details, EntrantStatus.Entered, null)),
            },
            EntrantCorrected corrected => competition.With(corrected.EntrantId, e => e with { Details = corrected.Details }),
            EntrantCheckedIn checkedIn => competition.With(
                checkedIn.EntrantId, e => e with { Status = EntrantStatus.CheckedIn, Reason = null, Cause = null, WasCheckedIn = true }),
            CheckInTakenBack back => competition.With(back.EntrantId, e => e with { Status = EntrantStatus.Entered, WasCheckedIn = false }),
            EntrantMarkedAbsent absent => competition.With(absent.EntrantId, EntrantStatus.Absent, null),
            EntrantWithdrew withdrew => competition.With(withdrew.EntrantId, EntrantStatus.Withdrawn, withdrew.Reason, withdrew.Cause),
            EntrantExcluded excluded => competition.With(excluded.EntrantId, EntrantStatus.Excluded, excluded.Reason),
            // Coming back is no check-in: where nobody was checked in, the competition does without.
            EntrantReinstated reinstated => competition.With(
                reinstated.EntrantId,
                e => e.WasCheckedIn || competition.Entrants.Any(other => other.Status == EntrantStatus.CheckedIn)
                    ? e with { Status = EntrantStatus.CheckedIn, Reason = null, Cause = null, WasCheckedIn = true }
                    : e with { Status = EntrantStatus.Entered, Reason = null, Cause = null }),
            EntrantErased erased => competition.With(
                erased.EntrantId, e => e with { Details = PersonErasure.LeftOf(e.Id), Reason = e.Reason is null ? null : PersonErasure.Struck, Cause = null }),
            PoolRoundDrawn drawn => competition with
            {
                Rounds = competition.Rounds.Add(new PoolRound(drawn, null)),
                Draws = drawn.Draw,
            },
            FencersExchanged exchanged => competition with
            {
                Rounds = competition.Rounds.SetItem(exchanged.Round - 1, competition.Rounds[exchanged.Round - 1].With(exchanged)),
            },
            PoolRoundScrapped => competition with
            {
                Rounds = competition.Rounds.RemoveAt(competition.Rounds.Length - 1),
                Appointments = competition.Appointments.RemoveAll(a => competition.Rounds[^1].Drawn.Pools.Any(p => p.Id == a.At)),
            },
            PoolRoundClosed closed => competition.With(closed.Round, closed),
            RankingRevised revised => competition.With(
                revised.Round,
                competition.Rounds[revised.Round - 1].Closed! with { Ranking = revised.Ranking, Promoted = revised.Promoted }),
            TableauDrawn drawn => competition with { Tableau = drawn, Draws = drawn.Draw },
            TableauScrapped => competition with
            {
                Tableau = null,
                Appointments = competition.Appointments.RemoveAll(a => competition.Pool(a.At) is null),
            },
            RefereesAppointed appointed => competition with
            {
                Appointments =
                [
                    .. competition.Appointments.Where(a => appointed.Appointments.All(changed => changed.At != a.At)),
                    .. appointed.Appointments.Where(a => a.RefereeId is not null),
                ],
            },
            _ => throw new InvalidOperationException($"A competition knows no event {happened.GetType().Name}."),
        };
        return next with { Version = competition.Version + 1 };
    }

    private Competition With(int round, PoolRoundClosed closed) =>
        this with { Rounds = Rounds.SetItem(round - 1, Rounds[round - 1] with { Closed = closed }) };

    private Competition With(string entrantId, EntrantStatus status, string? reason, WithdrawalCause? cause = null) =>
        With(entrantId, e => e with { Status = status, Reason = reason, Cause = cause });

    private Competition With(string entrantId, Func<Entrant, Entrant> change)
    {
        for (var i = 0; i < Entrants.Length; i++)
        {
            if (Entrants[i].Id == entrantId)
            {
                return this with { Entrants = Entrants.SetItem(i, change(Entrants[i])) };
            }
        }

        throw new InvalidOperationException($"Competition {Id} has no entrant {entrantId}.");
    }
}
