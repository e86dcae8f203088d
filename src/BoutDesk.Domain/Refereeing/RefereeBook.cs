using System.Collections.Immutable;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Tournaments;

namespace BoutDesk.Domain.Refereeing;

/// <summary>What the referees of a tournament have done, have to do, and whether they fence themselves.</summary>
/// <remarks>
/// Load is counted in pool bouts: a pool of n has n (n - 1) / 2, whoever left; a bout of the elimination counts as
/// <see cref="EliminationBout"/>, since it goes to three times as many touches. Our convention.
/// </remarks>
public sealed class RefereeBook
{
    /// <summary>How many pool bouts a bout of the elimination counts as.</summary>
    public const int EliminationBout = 3;

    /// <summary>Who has refereed nothing for this long has rested.</summary>
    private static readonly TimeSpan Rested = TimeSpan.FromMinutes(20);

    // Bouts have an end and no beginning, so these stand in; they only tell a rest from a change-over.
    private static readonly TimeSpan FirstPoolBout = TimeSpan.FromMinutes(5);
    private static readonly TimeSpan OneEliminationBout = TimeSpan.FromMinutes(15);

    private readonly Tournament tournament;
    private readonly IReadOnlyList<Competition> competitions;
    private readonly ILookup<string, Bout> bouts;
    private readonly DateTimeOffset now;
    private readonly HashSet<string> fencing;

    /// <summary>Opens the book.</summary>
    /// <param name="tournament">The tournament.</param>
    /// <param name="competitions">All of its competitions.</param>
    /// <param name="bouts">The bouts of the last pool round and of the tableau of each; what was struck counts nothing.</param>
    /// <param name="now">The moment.</param>
    public RefereeBook(Tournament tournament, IReadOnlyList<Competition> competitions, IEnumerable<Bout> bouts, DateTimeOffset now)
    {
        this.tournament = tournament;
        this.competitions = competitions;
        this.now = now;
        Bout[] standing = [.. bouts.Where(b => !b.Struck)];
        this.bouts = standing.ToLookup(b => b.PoolId ?? b.Id);
        fencing = [.. competitions.SelectMany(c => Fencing(c, standing)).Distinct()];
    }

    /// <summary>The load of a pool or bout, in pool bouts.</summary>
    /// <param name="competition">The competition.</param>
    /// <param name="at">The pool or the bout.</param>
    public static int LoadOf(Competition competition, string at) =>
        competition.Pool(at) is { Pool.Fencers.Length: var n } ? n * (n - 1) / 2 : EliminationBout;

    /// <summary>What a referee has refereed and is appointed for, in the order of the programme, with whether it is over.</summary>
    /// <param name="refereeId">The referee.</param>
    public IEnumerable<(Competition Competition, string At, bool Over)> Of(string refereeId) =>
        from competition in competitions
        from appointment in competition.Appointments
        where appointment.RefereeId == refereeId
        select (competition, appointment.At, IsOver(competition, appointment.At));

    /// <summary>What a referee has refereed and is appointed for, in pool bouts.</summary>
    /// <param name="refereeId">The referee.</param>
    public int LoadOf(string refereeId) => Of(refereeId).Sum(duty => LoadOf(duty.Competition, duty.At));

    /// <summary>Whether a referee is a fencer, by names and club, of a competition that is being fenced, and in it still.</summary>
    /// <param name="referee">The referee.</param>
    public bool IsFencing(Referee referee) => fencing.Contains(referee.Details.Person());

    /// <summary>
    /// The referees as they stand before duties of a competition are assigned: what they are appointed for in its open
    /// stage fills their turns, what is open elsewhere keeps them there.
    /// </summary>
    /// <param name="competition">The competition.</param>
    /// <param name="turns">In which turn each pool or bout of its open stage is fenced.</param>
    /// <param name="released">What is assigned anew, and so counts for nobody.</param>
    public ImmutableArray<Candidate> Candidates(Competition competition, IReadOnlyDictionary<string, int> turns, IReadOnlySet<string> released) =>
    [
        .. tournament.Referees.Select(referee =>
        {
            var duties = Of(referee.Id).Where(duty => !released.Contains(duty.At)).ToArray();
            var open = duties.Where(duty => !duty.Over).ToArray();
            return new Candidate(
                referee,
                duties.Sum(duty => LoadOf(duty.Competition, duty.At)),
                InARow(duties.Select(duty => duty.At)),
                IsFencing(referee),
                open.Any(duty => duty.Competition.Id != competition.Id || !turns.ContainsKey(duty.At)),
                [.. open.Where(duty => duty.Competition.Id == competition.Id && turns.ContainsKey(duty.At)).Select(duty => turns[duty.At]).Distinct()]);
        }),
    ];

    /// <summary>The bouts of a pool of a last round, or the bout of the elimination alone; empty when there is none.</summary>
    /// <param name="at">The pool or the bout.</param>
    public ImmutableArray<Bout> BoutsAt(string at) => [.. bouts[at]];

    /// <summary>The bouts of the tableau of a competition, from the first table on.</summary>
    /// <param name="competition">The competition.</param>
    public IEnumerable<Bout> TableauOf(Competition competition) => bouts.SelectMany(b => b)
        .Where(b => b.CompetitionId == competition.Id && !b.InPool)
        .OrderByDescending(b => b.TableOf).ThenBy(b => b.Order).ThenBy(b => b.Id, StringComparer.Ordinal);

    /// <summary>Whether nothing of a pool or bout is left to be fenced.</summary>
    /// <param name="competition">The competition.</param>
    /// <param name="at">The pool or the bout.</param>
    public bool IsOver(Competition competition, string at) =>
        // Bouts of rounds before the last are not read; those rounds are closed.
        (competition.Pool(at) is { } found && found.Round.Closed is not null) || bouts[at].All(b => b.Status is BoutStatus.Decided or BoutStatus.Annulled);

    /// <summary>How many duties follow one another without a rest up to now.</summary>
    private int InARow(IEnumerable<string> duties)
    {
        var spans = duties.Select(at => bouts[at].Where(b => b.EndedAt is not null).ToArray()).Where(ended => ended.Length > 0)
            .Select(ended => (
                From: ended.Min(b => b.EndedAt!.Value) - (ended[0].InPool ? FirstPoolBout : OneEliminationBout),
                To: ended.Max(b => b.EndedAt!.Value)))
            .OrderByDescending(span => span.To);
        var (count, before) = (0, now);
        foreach (var span in spans)
        {
            if (before - span.To >= Rested)
            {
                break;
            }

            (count, before) = (count + 1, span.From);
        }

        return count;
    }

    private static IEnumerable<string> Fencing(Competition competition, IEnumerable<Bout> bouts)
    {
        var gone = competition.Gone;
        IEnumerable<string> ids = competition switch
        {
            { OpenRound: { } round } => round.Drawn.Seeding,
            { Tableau: not null } => bouts
                .Where(b => b.CompetitionId == competition.Id && !b.InPool && b.Status is not (BoutStatus.Decided or BoutStatus.Annulled))
                .SelectMany(b => new[] { b.Left, b.Right })
                .Where(seat => seat.CanWin).Select(seat => seat.EntrantId).OfType<string>(),
            _ => [],
        };
        return ids.Where(id => !gone.Contains(id)).Select(id => competition.Entrant(id)!.Details.Person());
    }
}
