using System.Collections.Immutable;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Planning;

namespace BoutDesk.Domain.Refereeing;

/// <summary>What the organiser asks for when referees are assigned.</summary>
/// <param name="LeastLevel">Nobody below this level is assigned.</param>
/// <param name="AtOnce">How many pools or bouts are fenced at once, at least 1; null for all of them.</param>
/// <param name="Keep">Whether those who are appointed already stay; else what has not begun is assigned anew.</param>
/// <param name="Begins">When the first turn begins, in minutes since midnight; null when it is not known, and then hours and breaks are not looked at.</param>
public sealed record AssignmentRequest(RefereeLevel LeastLevel, int? AtOnce, bool Keep, int? Begins);

/// <summary>Decides who referees what. Pure.</summary>
public static class AppointmentDecider
{
    /// <summary>
    /// Assigns referees to the pools of the open round that are not fenced to their end. Pools are fenced in the order of
    /// their numbers, so many at once as the request says.
    /// </summary>
    /// <param name="book">The referees.</param>
    /// <param name="competition">The competition.</param>
    /// <param name="round">The round.</param>
    /// <param name="request">What the organiser asks for.</param>
    /// <returns>The decision, and what it appoints; nothing to be assigned is an empty assignment.</returns>
    public static (Decision Decision, AssignedDuties Duties) AssignPools(RefereeBook book, Competition competition, int round, AssignmentRequest request)
    {
        if (competition.OpenRound is not { } open || open.Number != round)
        {
            return Refuse(new Refusal(RefusalReason.RoundClosed, $"Pool round {round} is closed, so no referees are assigned to it any more."));
        }

        string[] pools = [.. open.Drawn.Pools.Select(p => p.Id)];
        return Assign(book, competition, pools, request, BoutDurations.Usual(competition.Weapon, competition.Formula).PoolBout);
    }

    /// <summary>Assigns referees to the bouts of the tableau whose fencers are known and that are not over.</summary>
    /// <param name="book">The referees.</param>
    /// <param name="competition">The competition.</param>
    /// <param name="order">The bouts in the order in which they are fenced; those under way first.</param>
    /// <param name="request">What the organiser asks for.</param>
    /// <returns>The decision, and what it appoints; nothing to be assigned is an empty assignment.</returns>
    public static (Decision Decision, AssignedDuties Duties) AssignTableau(
        RefereeBook book, Competition competition, IReadOnlyList<string> order, AssignmentRequest request) =>
        competition.Tableau is null
            ? Refuse(new Refusal(RefusalReason.StepMissing, $"The tableau is not drawn yet. Draw it first."))
            : Assign(
                book,
                competition,
                [.. order.Where(id => book.BoutsAt(id).Any(b => b.Status is BoutStatus.Open or BoutStatus.Fencing))],
                request,
                BoutDurations.Usual(competition.Weapon, competition.Formula).EliminationBout / RefereeBook.EliminationBout);

    /// <summary>Appoints a referee by hand, or takes the appointment away. What is so already changes nothing.</summary>
    /// <param name="book">The referees.</param>
    /// <param name="competition">The competition.</param>
    /// <param name="at">A pool of an open round, or a bout of the tableau.</param>
    /// <param name="referee">The referee, or null for nobody.</param>
    /// <param name="despite">Why it is done although a rule stands against it, or null.</param>
    public static Decision Appoint(RefereeBook book, Competition competition, string at, Referee? referee, string? despite)
    {
        if (competition.Pool(at) is { } found && found.Round.Closed is not null)
        {
            return new Refusal(RefusalReason.RoundClosed, $"Pool round {found.Round.Number} is closed, so no referees are assigned to it any more.");
        }

        if (book.BoutsAt(at) is [{ InPool: false, Status: BoutStatus.Decided or BoutStatus.Annulled }])
        {
            return new Refusal(RefusalReason.BoutDecided, $"The bout is over, so no referee is appointed for it any more.");
        }

        if (competition.RefereeOf(at) == referee?.Id)
        {
            return Decision.Nothing;
        }

        if (referee is null)
        {
            return Keep(competition, [new Appointment(at, null)]);
        }

        var bars = Against(book, competition, at, referee);
        return (bars, despite) switch
        {
            (Bars.None, _) => Keep(competition, [new Appointment(at, referee.Id)]),
            (_, null) => Unsuited(referee.Details, bars),
            _ => Keep(competition, [new Appointment(at, referee.Id, despite)]),
        };
    }

    /// <summary>What stands against a referee at a pool or bout, whenever it is fenced and whatever else he has to do.</summary>
    /// <param name="book">The referees.</param>
    /// <param name="competition">The competition.</param>
    /// <param name="at">The pool or the bout.</param>
    /// <param name="referee">The referee.</param>
    public static Bars Against(RefereeBook book, Competition competition, string at, Referee referee) => RefereeAssignment.WhyNot(
        DutyOf(book, competition, at, 0, RefereeLevel.Club, null),
        new Candidate(referee, 0, 0, book.IsFencing(referee), Elsewhere: false, []),
        new AssignmentRules(RefereeLevel.Club, CountriesApart(competition)));

    /// <summary>The level that suits a table: the later, the higher. Our convention.</summary>
    /// <param name="tableOf">The size of the table: 2 for the final.</param>
    public static RefereeLevel Wanted(int tableOf) => tableOf switch
    {
        <= 4 => RefereeLevel.International,
        <= 8 => RefereeLevel.National,
        <= 16 => RefereeLevel.Regional,
        _ => RefereeLevel.Club,
    };

    private static (Decision, AssignedDuties) Assign(
        RefereeBook book, Competition competition, string[] stage, AssignmentRequest request, decimal minutesPerBout)
    {
        var turns = stage.Index().ToDictionary(d => d.Item, d => request.AtOnce is { } atOnce ? d.Index / atOnce : 0);
        string[] open = [.. stage.Where(at => !book.IsOver(competition, at))];
        string[] wanted = [.. open.Where(at => competition.RefereeOf(at) is null || (!request.Keep && book.BoutsAt(at).All(b => b.Untouched)))];
        var longest = (int)Math.Ceiling(minutesPerBout * wanted.Select(at => RefereeBook.LoadOf(competition, at)).DefaultIfEmpty(0).Max());
        var duties = wanted.Select(at => DutyOf(book, competition, at, turns[at], request.LeastLevel, WhenOf(turns[at]))).ToArray();
        var assigned = RefereeAssignment.Assign(
            duties,
            book.Candidates(competition, open.ToDictionary(at => at, at => turns[at]), wanted.ToHashSet()),
            new AssignmentRules(request.LeastLevel, CountriesApart(competition)));
        ImmutableArray<Appointment> changed =
        [
            .. assigned.Covered.Select(d => new Appointment(d.At, d.RefereeId)).Concat(assigned.Uncovered.Select(d => new Appointment(d.At, null)))
                .Where(a => competition.RefereeOf(a.At) != a.RefereeId),
        ];
        return (changed.IsEmpty ? Decision.Nothing : Keep(competition, changed), assigned);

        HallSpan? WhenOf(int turn) => request.Begins is { } begins ? new HallSpan(begins + (turn * longest), begins + ((turn + 1) * longest)) : null;
    }

    private static Duty DutyOf(RefereeBook book, Competition competition, string at, int turn, RefereeLevel leastLevel, HallSpan? when)
    {
        var bouts = book.BoutsAt(at);
        IEnumerable<string> ids = competition.Pool(at)?.Pool.Fencers
            ?? bouts.SelectMany(b => new[] { b.Left.EntrantId, b.Right.EntrantId }).OfType<string>();
        EntrantDetails[] fencers = [.. ids.Select(id => competition.Entrant(id)!).Where(e => !e.Gone).Select(e => e.Details)];
        var wanted = bouts is [{ InPool: false } bout] ? Wanted(bout.TableOf!.Value) : RefereeLevel.Club;
        return new Duty(
            at,
            competition.Weapon,
            [.. fencers.Select(f => f.Club).OfType<string>()],
            [.. fencers.Select(f => f.Country).OfType<string>()],
            RefereeBook.LoadOf(competition, at),
            turn,
            wanted > leastLevel ? wanted : leastLevel,
            when);
    }

    /// <summary>Where countries are kept apart in the pools, the tournament is international.</summary>
    private static bool CountriesApart(Competition competition) => competition.Formula.Pools.SeparateBy.Contains(AffiliationKind.Country);

    private static Decision Keep(Competition competition, ImmutableArray<Appointment> appointments) =>
        Decision.Accept(competition.Id, new RefereesAppointed(appointments));

    private static (Decision, AssignedDuties) Refuse(Refusal refusal) => (refusal, new AssignedDuties([], [], 0));

    private static Refusal Unsuited(RefereeDetails referee, Bars bars) => new(
        RefusalReason.RefereeUnsuited,
        bars switch
        {
            _ when bars.HasFlag(Bars.OwnClub) => $"{referee.Name} belongs to {referee.Club}, the club of a fencer. Choose another, or say why it is done despite that.",
            _ when bars.HasFlag(Bars.OwnCountry) => $"{referee.Name} comes from {referee.Country}, the country of a fencer. Choose another, or say why it is done despite that.",
            _ when bars.HasFlag(Bars.Weapon) => $"{referee.Name} is not listed for this weapon. Choose another, or say why it is done despite that.",
            _ when bars.HasFlag(Bars.Fencing) => $"{referee.Name} is fencing in this tournament just now. Choose another, or say why it is done despite that.",
            _ => $"{referee.Name} is away. Choose another, or say why it is done despite that.",
        }) { Field = "refereeId" };
}
