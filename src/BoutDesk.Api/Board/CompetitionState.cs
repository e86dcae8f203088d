using System.Collections.Frozen;
using System.Collections.Immutable;
using BoutDesk.Api.Bouts;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Elimination;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Standings;
using BoutDesk.Domain.Tournaments;

namespace BoutDesk.Api.Board;

/// <summary>A competition at one moment, with what its pages look up. Immutable, so that many pages can be made of it.</summary>
public sealed class CompetitionState
{
    private readonly ILookup<string?, Bout> byPool;
    private readonly Dictionary<string, Bout> byId;
    private readonly FrozenDictionary<string, string> strips;
    private readonly FrozenDictionary<string, int> seeds;
    private readonly Lazy<ImmutableArray<ClassifiedFencer>> classification;
    private readonly Lazy<FrozenDictionary<(string BoutId, Side Side), Bout>> feeders;
    private readonly Lazy<ImmutableArray<SeededBout>> seeded;

    public CompetitionState(Tournament tournament, Competition competition, IReadOnlyCollection<Bout> bouts)
    {
        Tournament = tournament;
        Competition = competition;
        // These are made anew with every touch, for which frozen ones take too long.
        Entrants = competition.Entrants.ToDictionary(e => e.Id);
        Tableau = competition.Tableau is null ? [] : [.. bouts.Where(b => !b.InPool)];
        AllBouts = [.. bouts];
        byId = bouts.ToDictionary(b => b.Id);
        Bouts = Tableau.ToDictionary(b => b.Id);
        byPool = bouts.Where(b => b.InPool).OrderBy(b => b.Order).ToLookup(b => b.PoolId);
        strips = tournament.Strips.ToFrozenDictionary(s => s.Id, s => s.Name);
        seeds = (competition.Tableau?.Seeds ?? []).Select((id, i) => (id, i)).ToFrozenDictionary(s => s.id, s => s.i + 1);
        Stage = Classification.IsFinal(competition, Tableau) ? Stage.Finished : competition.Stage;
        classification = new(() => Classification.Of(competition, Tableau));
        feeders = new(Feeders);
        seeded = new(() => SeededTableau.Of(competition.Tableau!, Tableau));
    }

    public Tournament Tournament { get; }

    public Competition Competition { get; }

    public string Id => Competition.Id;

    /// <summary>Everybody who was ever entered.</summary>
    public IReadOnlyDictionary<string, Entrant> Entrants { get; }

    /// <summary>The bouts of the tableau.</summary>
    public ImmutableArray<Bout> Tableau { get; }

    /// <summary>The bouts of the tableau by identifier.</summary>
    public IReadOnlyDictionary<string, Bout> Bouts { get; }

    /// <summary>The bouts of all draws in force.</summary>
    public ImmutableArray<Bout> AllBouts { get; }

    /// <summary>The stage reached.</summary>
    public Stage Stage { get; }

    /// <summary>The places, provisional until the competition is finished.</summary>
    public ImmutableArray<ClassifiedFencer> Places => classification.Value;

    /// <summary>The tableau by seed; there must be one.</summary>
    public ImmutableArray<SeededBout> Seeded => seeded.Value;

    /// <summary>The pool round shown first: the last one drawn.</summary>
    public PoolRound? LastRound => Competition.Rounds.LastOrDefault();

    /// <summary>A bout of a draw in force, or null.</summary>
    public Bout? Bout(string boutId) => byId.GetValueOrDefault(boutId);

    /// <summary>The bouts of a pool in their order.</summary>
    public IEnumerable<Bout> PoolBouts(string poolId) => byPool[poolId];

    /// <summary>The strip of a pool, or null when it is on none, or on several.</summary>
    public string? StripOf(string poolId) => Strips.Of(PoolBouts(poolId));

    /// <summary>The bouts of a round.</summary>
    public IEnumerable<Bout> RoundBouts(PoolRound round) => round.Drawn.Pools.SelectMany(p => byPool[p.Id]);

    /// <summary>The standings of a round so far, over all of its pools.</summary>
    public ImmutableArray<Standing<string>> Standings(PoolRound round) => round.Closed is { } closed
        ? [.. closed.Ranking.Select(r => new Standing<string>(r.EntrantId, r.Place, r.Tally, r.Tied))]
        : StandingsTable.Rank(PoolRoundDecider.Tallies(Competition, round, RoundBouts(round)));

    /// <summary>The bouts of the stage being fenced that can still be fenced, in the order in which they are to be.</summary>
    public IEnumerable<Bout> Programme => Competition.Tableau is not null
        ? Tableau.Where(IsToCome).OrderByDescending(b => b.TableOf).ThenBy(b => b.Stage!.FromPlace).ThenBy(b => b.Order)
        : Competition.OpenRound is { } round
            ? RoundBouts(round).Where(IsToCome).OrderBy(b => b.Order)
            : [];

    /// <summary>The name of an entrant.</summary>
    public string Name(string entrantId) => Entrants[entrantId].Details.Name;

    /// <summary>The name of a strip, or null.</summary>
    public string? Strip(string? stripId) => stripId is null ? null : strips.GetValueOrDefault(stripId);

    /// <summary>The name of who referees a pool or a bout of the tableau, or null.</summary>
    public string? Referee(string at) => Competition.RefereeOf(at) is { } id ? Tournament.Referee(id)?.Details.Name : null;

    /// <summary>The seed in the tableau.</summary>
    public int Seed(string entrantId) => seeds[entrantId];

    /// <summary>The pool of a round that an entrant fences in, or null.</summary>
    public static DrawnPool? PoolOf(PoolRound round, string entrantId) => round.Drawn.Pools.FirstOrDefault(p => p.Fencers.Contains(entrantId));

    /// <summary>The bout whose winner or loser comes to a side that is not known yet, or null.</summary>
    public Bout? Feeder(Bout bout, Side side) => feeders.Value.GetValueOrDefault((bout.Id, side));

    private static bool IsToCome(Bout bout) => bout.Status is BoutStatus.Waiting or BoutStatus.Open or BoutStatus.Fencing;

    /// <summary>The bout whose winner or loser takes each side of another.</summary>
    private FrozenDictionary<(string BoutId, Side Side), Bout> Feeders() =>
        Tableau.SelectMany(b => new[] { (Link: b.WinnerTo, Bout: b), (Link: b.LoserTo, Bout: b) })
            .Where(f => f.Link is not null)
            .ToFrozenDictionary(f => (f.Link!.BoutId, f.Link.Side), f => f.Bout);
}
