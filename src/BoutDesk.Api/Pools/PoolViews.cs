using System.Collections.Immutable;
using BoutDesk.Api.Bouts;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Standings;

namespace BoutDesk.Api.Pools;

/// <summary>A pool round to draw.</summary>
/// <param name="PoolSize">The largest pool wanted, 3 to 12; the formula's when left out.</param>
/// <param name="PoolCount">The number of pools wanted instead.</param>
/// <param name="DrawSeed">The seed of the lots; left out, one is made and recorded.</param>
internal sealed record DrawPoolRound(int? PoolSize = null, int? PoolCount = null, long? DrawSeed = null);

/// <summary>A round to close.</summary>
/// <param name="DrawSeed">The seed of the lots among those tied; left out, one is made and recorded.</param>
internal sealed record CloseRound(long? DrawSeed = null);

/// <summary>Two fencers of different pools to exchange.</summary>
/// <param name="First">The one entrant.</param>
/// <param name="Second">The other.</param>
internal sealed record ExchangeFencers(string First, string Second);

/// <summary>An exchange of two fencers, and what it does to the draw.</summary>
/// <param name="Round">The round, from 1.</param>
/// <param name="First">The one fencer.</param>
/// <param name="Second">The other.</param>
/// <param name="SameTier">True when both are of one tier of seeds, so that the pools stay equally strong.</param>
/// <param name="Separation">How well clubs or countries are spread over all pools, without it and with it.</param>
internal sealed record ExchangeView(
    int Round, ExchangedFencerView First, ExchangedFencerView Second, bool SameTier, ImmutableArray<ExchangedSeparation> Separation)
{
    public static ExchangeView Of(Competition competition, int round, PoolExchange exchange) => new(
        round,
        ExchangedFencerView.Of(competition, exchange.First),
        ExchangedFencerView.Of(competition, exchange.Second),
        exchange.SameTier,
        [.. exchange.Before.Zip(exchange.After, (before, after) => new ExchangedSeparation(before.Kind, before.Conflicts, after.Conflicts, after.LowerBound))]);
}

/// <summary>A fencer who is exchanged.</summary>
/// <param name="EntrantId">The entrant.</param>
/// <param name="Name">Family name and given name.</param>
/// <param name="Seed">The seed among those drawn, from 1.</param>
/// <param name="From">The number of the pool that he leaves.</param>
/// <param name="To">The number of the pool that he comes into.</param>
/// <param name="Meets">Whom of his own club or country he meets there.</param>
internal sealed record ExchangedFencerView(string EntrantId, string Name, int Seed, int From, int To, ImmutableArray<PoolMateView> Meets)
{
    public static ExchangedFencerView Of(Competition competition, ExchangedFencer fencer) => new(
        fencer.EntrantId,
        competition.Entrant(fencer.EntrantId)!.Details.Name,
        fencer.Seed,
        fencer.From,
        fencer.To,
        [.. fencer.Meets.Select(m => new PoolMateView(m.EntrantId, competition.Entrant(m.EntrantId)!.Details.Name, m.Kind))]);
}

/// <summary>Somebody of the same club or country in a pool.</summary>
/// <param name="EntrantId">The entrant.</param>
/// <param name="Name">Family name and given name.</param>
/// <param name="Kind">What they share.</param>
internal sealed record PoolMateView(string EntrantId, string Name, AffiliationKind Kind);

/// <summary>How well one kind of affiliation is spread over the pools, without an exchange and with it.</summary>
/// <param name="Kind">What is spread.</param>
/// <param name="Before">The pairs of one affiliation that share a pool without it.</param>
/// <param name="After">The same with it.</param>
/// <param name="LowerBound">The number of such pairs that no draw can go below.</param>
internal sealed record ExchangedSeparation(AffiliationKind Kind, int Before, int After, int LowerBound);

/// <summary>A pool round.</summary>
/// <param name="Round">The round, from 1.</param>
/// <param name="Closed">Whether it was closed.</param>
/// <param name="DrawSeed">The seed of its lots: whoever has it can repeat the draw.</param>
/// <param name="Separation">How well clubs or countries were spread.</param>
/// <param name="Exempt">Who skips the pools.</param>
/// <param name="Pools">The pools.</param>
/// <param name="Standings">Everybody by the results so far; once closed, the ranking.</param>
internal sealed record PoolRoundView(
    int Round,
    bool Closed,
    long DrawSeed,
    ImmutableArray<Separation> Separation,
    ImmutableArray<string> Exempt,
    ImmutableArray<PoolSummary> Pools,
    ImmutableArray<StandingView> Standings);

/// <summary>A pool in short.</summary>
/// <param name="Id">The identifier.</param>
/// <param name="Number">The number, from 1.</param>
/// <param name="StripId">The strip, or null.</param>
/// <param name="Fencers">The fencers by position.</param>
/// <param name="Bouts">How many bouts it has, annulled ones not counted.</param>
/// <param name="BoutsOpen">How many of them have no result yet.</param>
internal sealed record PoolSummary(
    string Id, int Number, string? StripId, ImmutableArray<PoolFencerView> Fencers, int Bouts, int BoutsOpen);

/// <summary>A pool.</summary>
/// <param name="Id">The identifier.</param>
/// <param name="CompetitionId">The competition.</param>
/// <param name="Round">The round, from 1.</param>
/// <param name="Number">The number, from 1.</param>
/// <param name="Closed">Whether the round was closed.</param>
/// <param name="StripId">The strip, or null.</param>
/// <param name="Fencers">The fencers by position.</param>
/// <param name="Bouts">The bouts in the order in which they are fenced.</param>
/// <param name="Standings">The standings so far; who left has none.</param>
internal sealed record PoolView(
    string Id,
    string CompetitionId,
    int Round,
    int Number,
    bool Closed,
    string? StripId,
    ImmutableArray<PoolFencerView> Fencers,
    ImmutableArray<PoolBoutView> Bouts,
    ImmutableArray<StandingView> Standings);

/// <summary>A fencer of a pool.</summary>
/// <param name="Position">The position on the sheet, from 1.</param>
/// <param name="EntrantId">The entrant.</param>
/// <param name="Name">Family name and given name.</param>
/// <param name="Club">The club.</param>
/// <param name="Country">The country.</param>
/// <param name="Status">Where the entrant stands; who withdrew or was excluded stays on the sheet.</param>
internal sealed record PoolFencerView(int Position, string EntrantId, string Name, string? Club, string? Country, EntrantStatus Status);

/// <summary>A bout of a pool; left and right are positions.</summary>
/// <param name="Id">The identifier.</param>
/// <param name="Order">Its place in the order of bouts, from 1.</param>
/// <param name="Left">The position of the fencer on the left.</param>
/// <param name="Right">The position of the fencer on the right.</param>
/// <param name="Status">How far it is.</param>
/// <param name="Score">The touches; null until something was recorded.</param>
/// <param name="Winner">The winner, or null.</param>
/// <param name="Version">The version of the bout, to be named in If-Match when it is changed.</param>
internal sealed record PoolBoutView(string Id, int Order, int Left, int Right, BoutStatus Status, ScoreView? Score, Side? Winner, int Version);

/// <summary>A fencer of a pool, as a line of a list over all pools of a round.</summary>
/// <param name="PoolId">The pool.</param>
/// <param name="Pool">The number of the pool, from 1.</param>
/// <param name="StripId">The strip of the pool, or null.</param>
/// <param name="Position">The position on the sheet, from 1.</param>
/// <param name="EntrantId">The entrant.</param>
/// <param name="Name">Family name and given name.</param>
/// <param name="Club">The club.</param>
/// <param name="Country">The country.</param>
/// <param name="Status">Where the entrant stands.</param>
internal sealed record PoolFencerLine(
    string PoolId, int Pool, string? StripId, int Position, string EntrantId, string Name, string? Club, string? Country, EntrantStatus Status)
{
    public static PoolFencerLine Of(DrawnPool pool, string? stripId, PoolFencerView fencer) => new(
        pool.Id, pool.Number, stripId, fencer.Position, fencer.EntrantId, fencer.Name, fencer.Club, fencer.Country, fencer.Status);
}

/// <summary>A bout of a pool, as a line of a list.</summary>
/// <param name="Id">The identifier.</param>
/// <param name="Pool">The number of the pool, from 1.</param>
/// <param name="Order">Its place in the order of bouts of the pool, from 1.</param>
/// <param name="StripId">The strip, or null.</param>
/// <param name="Left">The position of the fencer on the left.</param>
/// <param name="LeftEntrantId">The entrant on the left.</param>
/// <param name="LeftName">Family name and given name.</param>
/// <param name="LeftClub">The club.</param>
/// <param name="Right">The position of the fencer on the right.</param>
/// <param name="RightEntrantId">The entrant on the right.</param>
/// <param name="RightName">Family name and given name.</param>
/// <param name="RightClub">The club.</param>
/// <param name="Status">How far it is.</param>
/// <param name="LeftTouches">Touches of the fencer on the left; null until something was recorded.</param>
/// <param name="RightTouches">Touches of the fencer on the right; null until something was recorded.</param>
/// <param name="Winner">The winner, or null.</param>
internal sealed record PoolBoutLine(
    string Id,
    int Pool,
    int Order,
    string? StripId,
    int Left,
    string LeftEntrantId,
    string LeftName,
    string? LeftClub,
    int Right,
    string RightEntrantId,
    string RightName,
    string? RightClub,
    BoutStatus Status,
    int? LeftTouches,
    int? RightTouches,
    Side? Winner)
{
    public static PoolBoutLine Of(Competition competition, DrawnPool pool, Bout bout)
    {
        var (left, right) = (competition.Entrant(bout.Left.EntrantId!)!, competition.Entrant(bout.Right.EntrantId!)!);
        var score = ScoreView.Of(bout);
        return new PoolBoutLine(
            bout.Id,
            pool.Number,
            bout.Order,
            bout.StripId,
            pool.Fencers.IndexOf(left.Id) + 1,
            left.Id,
            left.Details.Name,
            left.Details.Club,
            pool.Fencers.IndexOf(right.Id) + 1,
            right.Id,
            right.Details.Name,
            right.Details.Club,
            bout.Status,
            score?.Left,
            score?.Right,
            bout.Winner);
    }
}

/// <summary>A line of standings.</summary>
/// <param name="Place">The place, from 1; tied fencers share the best of their places.</param>
/// <param name="EntrantId">The entrant.</param>
/// <param name="Name">Family name and given name.</param>
/// <param name="Club">The club.</param>
/// <param name="Country">The country.</param>
/// <param name="Victories">Bouts won.</param>
/// <param name="Bouts">Bouts fenced.</param>
/// <param name="VictoryRatio">Victories by bouts, to four digits.</param>
/// <param name="TouchesScored">Touches scored.</param>
/// <param name="TouchesReceived">Touches received.</param>
/// <param name="Indicator">Touches scored less touches received.</param>
/// <param name="Tied">Whether the place is shared; after closing, the order within it was drawn by lot.</param>
/// <param name="BestPlace">The best place still possible, with every lot for the fencer; once the round is closed, the place.</param>
/// <param name="WorstPlace">The worst place still possible, with every lot against the fencer; once the round is closed, the place.</param>
/// <param name="PlacesExact">False, which is rare, when the search for these two was cut short: they may be too far apart, never too close.</param>
/// <param name="Fate">Whether the fencer goes on from the round, as far as it is certain while nobody else leaves; null in the standings of a pool.</param>
internal sealed record StandingView(
    int Place,
    string EntrantId,
    string Name,
    string? Club,
    string? Country,
    int Victories,
    int Bouts,
    decimal VictoryRatio,
    int TouchesScored,
    int TouchesReceived,
    int Indicator,
    bool Tied,
    int BestPlace,
    int WorstPlace,
    bool PlacesExact,
    Fate? Fate)
{
    /// <summary>Standings so far.</summary>
    /// <param name="competition">The competition.</param>
    /// <param name="tallies">What there is to rank.</param>
    /// <param name="places">The places still possible, or null when there is no other than the place.</param>
    /// <param name="promoted">How many go on of those ranked; null in a pool.</param>
    public static ImmutableArray<StandingView> Of(
        Competition competition, IEnumerable<(string EntrantId, Tally Tally)> tallies, IReadOnlyDictionary<string, PlaceRange>? places, int? promoted) =>
    [
        .. StandingsTable.Rank(tallies).Select(s =>
        {
            var range = places?[s.Fencer] ?? PlaceRange.Only(s.Place);
            return Of(s.Fencer, s.Place, s.Tally, s.Tied, range, promoted is { } number ? range.FateFor(number) : null, competition);
        }),
    ];

    /// <summary>The ranking of a closed round.</summary>
    public static ImmutableArray<StandingView> Of(Competition competition, PoolRoundClosed closed) =>
    [
        .. closed.Ranking.Select((r, i) => Of(
            r.EntrantId, r.Place, r.Tally, r.Tied, PlaceRange.Only(r.Place), i < closed.Promoted ? Domain.Standings.Fate.Promoted : Domain.Standings.Fate.Out, competition)),
    ];

    private static StandingView Of(string entrantId, int place, Tally tally, bool tied, PlaceRange places, Fate? fate, Competition competition)
    {
        var details = competition.Entrant(entrantId)!.Details;
        return new StandingView(
            place,
            entrantId,
            details.Name,
            details.Club,
            details.Country,
            tally.Victories,
            tally.Bouts,
            tally.VictoryRatio,
            tally.TouchesScored,
            tally.TouchesReceived,
            tally.Indicator,
            tied,
            places.Best,
            places.Worst,
            places.Exact,
            fate);
    }
}

/// <summary>A round as closed.</summary>
/// <param name="Round">The round.</param>
/// <param name="DrawSeed">The seed of the lots among those tied.</param>
/// <param name="Ranking">Everybody who finished the round, lots applied.</param>
/// <param name="Promoted">Who goes on, exempt fencers not counted.</param>
/// <param name="Cut">Who does not.</param>
internal sealed record ClosedRoundView(
    int Round,
    long DrawSeed,
    ImmutableArray<StandingView> Ranking,
    ImmutableArray<StandingView> Promoted,
    ImmutableArray<StandingView> Cut)
{
    public static ClosedRoundView Of(Competition competition, PoolRoundClosed closed)
    {
        var ranking = StandingView.Of(competition, closed);
        return new ClosedRoundView(closed.Round, closed.DrawSeed, ranking, ranking[..closed.Promoted], ranking[closed.Promoted..]);
    }
}

/// <summary>A line of the seeding; the figures are null before pools were fenced.</summary>
/// <param name="Seed">The seed, from 1. Before the lots are drawn, equals share the best of their seeds.</param>
/// <param name="EntrantId">The entrant.</param>
/// <param name="Name">Family name and given name.</param>
/// <param name="Club">The club.</param>
/// <param name="Country">The country.</param>
/// <param name="Victories">Bouts won.</param>
/// <param name="Bouts">Bouts fenced.</param>
/// <param name="VictoryRatio">Victories by bouts.</param>
/// <param name="Indicator">Touches scored less touches received.</param>
/// <param name="TouchesScored">Touches scored.</param>
/// <param name="TouchesReceived">Touches received.</param>
/// <param name="Tied">Before the lots: whether the seed is shared. After them: whether lots decided.</param>
internal sealed record SeedView(
    int Seed,
    string EntrantId,
    string Name,
    string? Club,
    string? Country,
    int? Victories,
    int? Bouts,
    decimal? VictoryRatio,
    int? Indicator,
    int? TouchesScored,
    int? TouchesReceived,
    bool Tied)
{
    public static SeedView Of(int seed, Entrant entrant, Tally? tally, bool tied) => new(
        seed,
        entrant.Id,
        entrant.Details.Name,
        entrant.Details.Club,
        entrant.Details.Country,
        tally?.Victories,
        tally?.Bouts,
        tally?.VictoryRatio,
        tally?.Indicator,
        tally?.TouchesScored,
        tally?.TouchesReceived,
        tied);
}
