using System.Collections.Immutable;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Seeding;

namespace BoutDesk.Domain.Tests.Competitions;

/// <summary>
/// A competition on the day, held in memory: whatever is decided is folded into the competition and its bouts.
/// Entrants are spoken of by their number, which by default is their ranking too.
/// </summary>
internal sealed class CompetitionDay
{
    public const string Id = "t-1";

    private readonly Dictionary<string, Bout> bouts = [];
    private readonly List<Fact> facts = [];

    private CompetitionDay(Formula? formula, Weapon weapon) => Competition = Competition.Evolve(
        null, Id, new CompetitionOpened("t", "Spring cup", weapon, Category.Mixed, "senior", formula ?? new Formula()));

    public Competition Competition { get; private set; }

    /// <summary>Everything kept so far, in order, without the opening.</summary>
    public IReadOnlyList<Fact> Facts => facts;

    /// <summary>Every bout there ever was, struck ones included.</summary>
    public IReadOnlyDictionary<string, Bout> Bouts => bouts;

    /// <summary>The bouts of the tableau; empty while there is none.</summary>
    public IReadOnlyDictionary<string, Bout> Tableau => Where(b => !b.InPool);

    /// <summary>The bouts of the open pool round or of the tableau.</summary>
    public IReadOnlyDictionary<string, Bout> InPlay =>
        Competition.OpenRound is { } open ? Where(b => b.Round == open.Number) : Tableau;

    public ImmutableArray<ClassifiedFencer> Classification => Domain.Competitions.Classification.Of(Competition, [.. Tableau.Values]);

    /// <summary>Entrants ranked from 1 by their number.</summary>
    public static CompetitionDay Of(int entrants, Formula? formula = null, Weapon weapon = Weapon.Foil) =>
        Ranked([.. Enumerable.Range(1, entrants).Select(n => (int?)n)], formula, weapon);

    /// <summary>Entrants with the given rankings, in order of entry.</summary>
    public static CompetitionDay Ranked(int?[] rankings, Formula? formula = null, Weapon weapon = Weapon.Foil)
    {
        var day = new CompetitionDay(formula, weapon);
        return day.Keep(EntryDecider.Enter(
            day.Competition,
            [.. rankings.Select((ranking, i) => new EntrantDetails($"Fencer {i + 1}", "", $"Club {i % 3}", null, ranking, null, null))]));
    }

    /// <summary>The identifier of an entrant by number.</summary>
    public static string E(int number) => Identifiers.Entrant(Id, number);

    /// <summary>The number of an entrant.</summary>
    public static int N(string entrantId) =>
        int.Parse(entrantId[(entrantId.LastIndexOf('e') + 1)..], System.Globalization.CultureInfo.InvariantCulture);

    /// <summary>Keeps what was decided. It must not be a refusal.</summary>
    public CompetitionDay Keep(Decision decision)
    {
        foreach (var fact in Expect.Accepted(decision).Facts)
        {
            facts.Add(fact);
            switch (fact.Event)
            {
                case ICompetitionEvent happened when fact.StreamId == Id:
                    Competition = Competition.Evolve(Competition, Id, happened);
                    break;
                case IBoutEvent happened:
                    bouts[fact.StreamId] = Bout.Evolve(bouts.GetValueOrDefault(fact.StreamId), fact.StreamId, happened);
                    break;
                default:
                    throw new InvalidOperationException($"A fact for nobody: {fact}.");
            }
        }

        return this;
    }

    public Entrant Entrant(int number) => Competition.Entrant(E(number))!;

    public IReadOnlyDictionary<string, Bout> RoundBouts(int round) => Where(b => b.Round == round);

    /// <summary>The bout between two entrants in the open round or the tableau.</summary>
    public Bout Between(int one, int other) => Between(InPlay.Values, one, other);

    public Decision PoolDraw(long seed = 1, int? size = null, int? count = null) =>
        PoolRoundDecider.Draw(Competition, new PoolRoundRequest(size, count, new DrawSeed(seed)));

    public CompetitionDay DrawPools(long seed = 1, int? size = null, int? count = null) => Keep(PoolDraw(seed, size, count));

    /// <summary>The desk exchanges two fencers of the last draw.</summary>
    public Decision Exchanging(int first, int second)
    {
        var round = Competition.Rounds[^1];
        var (exchange, refusal) = PoolExchange.Of(Competition, round, E(first), E(second));
        return exchange?.Decide(Competition, [.. RoundBouts(round.Number).Values]) ?? refusal!;
    }

    public Decision Closing(long seed = 1) => PoolRoundDecider.Close(
        Competition, Competition.Rounds.Length, [.. RoundBouts(Competition.Rounds.Length).Values], new DrawSeed(seed));

    public CompetitionDay ClosePools(long seed = 1) => Keep(Closing(seed));

    public Decision TableauDraw(long seed = 1) => TableauDecider.Draw(Competition, new DrawSeed(seed));

    public CompetitionDay DrawTableau(long seed = 1) => Keep(TableauDraw(seed));

    /// <summary>The desk enters or corrects a result in the open round or the tableau.</summary>
    public Decision Result(int winner, int loser, int touches, int against, LaterDraws? later = null)
    {
        var bout = Between(winner, loser);
        var (side, score) = AsSeen(bout, winner, touches, against);
        return After(BoutDecider.RecordResult(bout, score, side, Authority.Desk, "misread"), later);
    }

    public CompetitionDay Wins(int winner, int loser, int touches, int against) => Keep(Result(winner, loser, touches, against));

    /// <summary>The desk corrects a result of a closed round.</summary>
    public Decision Correction(int winner, int loser, int touches, int against, LaterDraws? later, int round = 1, long seed = 1)
    {
        var bout = Between(RoundBouts(round).Values, winner, loser);
        var (side, score) = AsSeen(bout, winner, touches, against);
        return PoolRoundDecider.CorrectClosed(
            Competition,
            bout,
            score,
            side,
            "misread",
            later,
            [.. RoundBouts(round).Values],
            [.. Where(b => !b.InPool || b.Round > round).Values],
            new DrawSeed(seed));
    }

    /// <summary>Completes a decision on one bout with what follows from it in the tableau.</summary>
    public Decision After(Decision decision, LaterDraws? later = null) => Competition.Tableau is null
        ? decision
        : TableauDecider.Complete(Competition, decision, Tableau, later);

    public Decision Leaving(int number, Leaving leaving = Domain.Competitions.Leaving.Withdrawn) =>
        EntryDecider.Leave(Competition, Entrant(number), leaving, "as announced", InPlay);

    public CompetitionDay Leaves(int number, Leaving leaving = Domain.Competitions.Leaving.Withdrawn) => Keep(Leaving(number, leaving));

    public Decision Reinstating(int number, LaterDraws? later = null) =>
        EntryDecider.Reinstate(Competition, Entrant(number), "a mistake", InPlay, later);

    public CompetitionDay Returns(int number) => Keep(Reinstating(number));

    public Decision BlackCard(int number, int opponent)
    {
        var bout = Between(number, opponent);
        return EntryDecider.ShowBlackCard(Competition, bout, bout.SideOf(E(number))!.Value, "brutality", InPlay);
    }

    public CompetitionDay ChecksIn(params int[] numbers) =>
        numbers.Aggregate(this, (day, n) => day.Keep(EntryDecider.CheckIn(day.Competition, day.Entrant(n))));

    /// <summary>Fences whatever can be fenced until nothing can: the lower number wins, to the target.</summary>
    public CompetitionDay FenceAll()
    {
        while (InPlay.Values.Where(b => b.Status is BoutStatus.Open or BoutStatus.Fencing).ToArray() is [_, ..] open)
        {
            foreach (var bout in open)
            {
                var (left, right) = (N(bout.Left.EntrantId!), N(bout.Right.EntrantId!));
                // Two can meet twice in a repechage, so the bout is not looked up by its fencers.
                var (side, score) = AsSeen(bout, Math.Min(left, right), bout.Rules.Target, (left + right) % bout.Rules.Target);
                Keep(After(BoutDecider.RecordResult(bouts[bout.Id], score, side, Authority.Desk, null)));
            }
        }

        return this;
    }

    /// <summary>The entrants in the order of a list of identifiers.</summary>
    public static int[] Numbers(IEnumerable<string> entrantIds) => [.. entrantIds.Select(N)];

    private static Bout Between(IEnumerable<Bout> among, int one, int other) =>
        among.Single(b => b.SideOf(E(one)) is not null && b.SideOf(E(other)) is not null);

    private static (Side Side, Score Score) AsSeen(Bout bout, int winner, int touches, int against)
    {
        var side = bout.SideOf(E(winner))!.Value;
        return (side, side == Side.Left ? new Score(touches, against) : new Score(against, touches));
    }

    private Dictionary<string, Bout> Where(Func<Bout, bool> which) =>
        bouts.Where(b => !b.Value.Struck && which(b.Value)).ToDictionary();
}
