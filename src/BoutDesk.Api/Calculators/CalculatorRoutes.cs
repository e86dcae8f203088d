using System.Collections.Immutable;
using System.Text.Json.Serialization;
using BoutDesk.Api.Bouts;
using BoutDesk.Api.Elimination;
using BoutDesk.Api.Http;
using BoutDesk.Domain;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Elimination;
using BoutDesk.Domain.Pools;
using BoutDesk.Domain.Seeding;
using BoutDesk.Domain.Standings;

namespace BoutDesk.Api.Calculators;

/// <summary>The results of a pool.</summary>
/// <param name="Fencers">How many fencers there are, 2 to 20.</param>
/// <param name="Bouts">The bouts fenced so far; positions from 1.</param>
/// <param name="Withdrawn">Positions of those who left: their bouts do not count.</param>
internal sealed record PoolResults(int Fencers, ImmutableArray<PoolResult> Bouts, ImmutableArray<int>? Withdrawn = null);

/// <summary>A result of a pool.</summary>
/// <param name="Left">A position.</param>
/// <param name="Right">The opponent's position.</param>
/// <param name="LeftTouches">Touches of the first, 0 to 45.</param>
/// <param name="RightTouches">Touches of the second, 0 to 45.</param>
/// <param name="Winner">Who won; needed at a level score only.</param>
[method: JsonConstructor]
internal readonly record struct PoolResult(int Left, int Right, int LeftTouches, int RightTouches, Side? Winner = null);

/// <summary>Standings by position.</summary>
/// <param name="Standings">The lines, best first; those who left have none.</param>
internal sealed record PositionStandings(ImmutableArray<PositionStanding> Standings);

/// <summary>A line of standings by position.</summary>
/// <param name="Position">The position on the sheet, from 1.</param>
/// <param name="Place">The place, from 1; tied fencers share the best of their places.</param>
/// <param name="Victories">Bouts won.</param>
/// <param name="Bouts">Bouts fenced.</param>
/// <param name="VictoryRatio">Victories by bouts, to four digits.</param>
/// <param name="TouchesScored">Touches scored.</param>
/// <param name="TouchesReceived">Touches received.</param>
/// <param name="Indicator">Touches scored less touches received.</param>
/// <param name="Tied">Whether the place is shared.</param>
internal sealed record PositionStanding(
    int Position,
    int Place,
    int Victories,
    int Bouts,
    decimal VictoryRatio,
    int TouchesScored,
    int TouchesReceived,
    int Indicator,
    bool Tied);

/// <summary>A pool round, or a single pool, as far as it is fenced.</summary>
/// <param name="Pools">The pools, 1 to 100, each of 2 to 12 fencers. A pair without a result has its bout before it.</param>
/// <param name="Touches">The touches that win a bout, 1 to 45.</param>
/// <param name="Promote">How many go on; all when left out.</param>
internal sealed record RoundSoFar(ImmutableArray<PoolResults> Pools, int Touches = 5, int? Promote = null);

/// <summary>The places that are still possible.</summary>
/// <param name="Promoted">How many go on of those who have not left.</param>
/// <param name="Places">The fencers, pool by pool, by position; those who left have no line.</param>
internal sealed record PlacesSoFar(int Promoted, ImmutableArray<PositionPlaces> Places);

/// <summary>The places that a fencer can still take over all pools.</summary>
/// <param name="Pool">The pool, from 1.</param>
/// <param name="Position">The position on its sheet, from 1.</param>
/// <param name="BestPlace">The best place, with every lot for the fencer.</param>
/// <param name="WorstPlace">The worst place, with every lot against the fencer.</param>
/// <param name="PlacesExact">False, which is rare, when the search for these two was cut short: they may be too far apart, never too close.</param>
/// <param name="Fate">Whether the fencer goes on, as far as it is certain.</param>
internal sealed record PositionPlaces(int Pool, int Position, int BestPlace, int WorstPlace, bool PlacesExact, Fate Fate);

/// <summary>A pool whose bouts are to be put in order.</summary>
/// <param name="Fencers">How many fencers there are, 3 to 12.</param>
/// <param name="Groups">The positions of the members of one club, club by club.</param>
/// <param name="Strips">1 or 2.</param>
internal sealed record PoolOfPositions(int Fencers, ImmutableArray<ImmutableArray<int>>? Groups = null, int Strips = 1);

/// <summary>The bouts of a pool in order: bouts on one strip, or strips on two.</summary>
/// <param name="Bouts">On one strip: the bouts, each by the two positions.</param>
/// <param name="Strips">On two strips: the bouts of each; those at one place in the lists are fenced at the same time.</param>
internal sealed record PoolOrder(
    [property: JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)] ImmutableArray<ImmutableArray<int>>? Bouts = null,
    [property: JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)] ImmutableArray<ImmutableArray<ImmutableArray<int>>>? Strips = null);

/// <summary>Fencers to be dealt into pools.</summary>
/// <param name="Fencers">The fencers in seed order, at most 2,000.</param>
/// <param name="PoolCount">The number of pools; give this or poolSize.</param>
/// <param name="PoolSize">The largest pool wanted, 3 to 12.</param>
/// <param name="SeparateBy">What is spread, most important first; clubs when left out.</param>
/// <param name="DrawSeed">The seed of the draw; 0 when left out.</param>
internal sealed record FencersToDeal(
    ImmutableArray<FencerToDeal> Fencers,
    int? PoolCount = null,
    int? PoolSize = null,
    ImmutableArray<AffiliationKind>? SeparateBy = null,
    long DrawSeed = 0);

/// <summary>A fencer to be dealt into a pool.</summary>
/// <param name="Id">What the answer calls the fencer, to 80 characters.</param>
/// <param name="Club">The club.</param>
/// <param name="Country">The country.</param>
[method: JsonConstructor]
internal readonly record struct FencerToDeal(string Id, string? Club = null, string? Country = null);

/// <summary>Pools as dealt.</summary>
/// <param name="Pools">The pools, each in seed order.</param>
/// <param name="Conflicts">Pairs of the most important affiliation that share a pool.</param>
/// <param name="LowerBound">The number of such pairs that no composition can go below.</param>
/// <param name="Displacement">How far fencers were moved from the plain serpentine, in pools, all together.</param>
/// <param name="DisplacementProvenLeast">Whether no composition as good could move them less.</param>
/// <param name="Separation">Conflicts and lower bound of each affiliation.</param>
internal sealed record DealtPools(
    ImmutableArray<ImmutableArray<string>> Pools,
    int Conflicts,
    int LowerBound,
    int Displacement,
    bool DisplacementProvenLeast,
    ImmutableArray<Separation> Separation);

/// <summary>How many fencers a tableau has.</summary>
/// <param name="Fencers">How many, 2 to 1,024.</param>
internal sealed record TableauOfSeeds(int Fencers);

/// <summary>The first bouts of a tableau, in tree order.</summary>
/// <param name="Size">The number of places, a power of two.</param>
/// <param name="First">The bouts from the top of the tree, each by the two seeds; null stands for a bye.</param>
internal sealed record FirstTable(int Size, ImmutableArray<ImmutableArray<int?>> First);

/// <summary>The results of a tableau.</summary>
/// <param name="Fencers">How many fencers there are, 2 to 1,024.</param>
/// <param name="Results">Who met and who won, by seed.</param>
/// <param name="ThirdPlace">Whether third place is shared or fenced for.</param>
/// <param name="FencedPlaces">Down to which place losers fence on.</param>
/// <param name="RepechageFrom">The table from which losers fence on in a repechage.</param>
/// <param name="RepechageInto">The last table after a repechage.</param>
internal sealed record TableauResults(
    int Fencers,
    ImmutableArray<SeedResult> Results,
    ThirdPlace ThirdPlace = ThirdPlace.Shared,
    int? FencedPlaces = null,
    int? RepechageFrom = null,
    int? RepechageInto = null);

/// <summary>Places by seed.</summary>
/// <param name="Places">The places, best first.</param>
internal sealed record SeedPlaces(ImmutableArray<SeedPlace> Places);

/// <summary>A place by seed.</summary>
/// <param name="Seed">The seed.</param>
/// <param name="Place">The place, from 1; those who share one have the same.</param>
internal sealed record SeedPlace(int Seed, int Place);

/// <summary>A bout to be followed.</summary>
/// <param name="Weapon">The weapon.</param>
/// <param name="Actions">What was recorded, in order; at most 500.</param>
/// <param name="Touches">The touches that win, 1 to 45.</param>
/// <param name="Periods">The periods, 1 to 9.</param>
/// <param name="Minutes">Minutes of a period, 1 to 15.</param>
internal sealed record BoutToFollow(Weapon Weapon, ImmutableArray<ActionToFollow> Actions, int Touches = 5, int Periods = 1, int Minutes = 3);

/// <summary>Something recorded in a bout.</summary>
/// <param name="Kind">What.</param>
/// <param name="Side">Who for, or to whom; left out for a double touch and for time.</param>
/// <param name="Card">The card, for a card.</param>
/// <param name="Group">The group of the offence, 1 to 4, for a card that follows from it.</param>
[method: JsonConstructor]
internal readonly record struct ActionToFollow(BoutActionKind Kind, Side? Side = null, Card? Card = null, int? Group = null);

/// <summary>The whole state of a bout.</summary>
/// <param name="Score">The touches.</param>
/// <param name="Winner">The winner, or null.</param>
/// <param name="Period">The period being fenced, from 1.</param>
/// <param name="Priority">Who has priority, or null.</param>
/// <param name="PriorityDue">Whether priority must be drawn.</param>
/// <param name="Phase">What is going on.</param>
/// <param name="Interval">The break that is going on, or null.</param>
/// <param name="Cards">The cards shown, in order.</param>
/// <param name="NextCards">The cards that further offences would get.</param>
/// <param name="Breaks">The medical breaks taken, in order.</param>
/// <param name="Next">What is to be done next.</param>
internal sealed record FollowedBout(
    ScoreView Score,
    Side? Winner,
    int Period,
    Side? Priority,
    bool PriorityDue,
    BoutPhase Phase,
    IntervalView? Interval,
    ImmutableArray<ShownCard> Cards,
    NextCards NextCards,
    ImmutableArray<BreakView> Breaks,
    BoutStep Next)
{
    public static FollowedBout Of(Bout bout)
    {
        var course = bout.Course;
        return new FollowedBout(
            ScoreView.Of(course.Score),
            course.Winner,
            course.Period,
            course.Priority,
            course.PriorityDue,
            bout.Phase,
            IntervalView.Of(bout),
            ShownCard.AllOf(bout),
            NextCards.Of(bout),
            BreakView.AllOf(bout),
            bout.Next);
    }
}

/// <summary>A tableau to be planned.</summary>
/// <param name="Fencers">How many fencers there are, 2 to 1,024.</param>
/// <param name="Results">Who met and who won, by seed: bouts that need not be called any more.</param>
/// <param name="Strips">How many strips there are, 1 to 100; left out, as many as wanted.</param>
/// <param name="RestMinutes">The rest between two bouts, 0 to 120.</param>
/// <param name="BoutMinutes">How long a bout holds its strip, 1 to 120.</param>
/// <param name="ThirdPlace">Whether third place is shared or fenced for.</param>
/// <param name="FencedPlaces">Down to which place losers fence on.</param>
/// <param name="RepechageFrom">The table from which losers fence on in a repechage.</param>
/// <param name="RepechageInto">The last table after a repechage.</param>
internal sealed record TableauToPlan(
    int Fencers,
    ImmutableArray<SeedResult>? Results = null,
    int? Strips = null,
    int RestMinutes = 10,
    int BoutMinutes = 20,
    ThirdPlace ThirdPlace = ThirdPlace.Shared,
    int? FencedPlaces = null,
    int? RepechageFrom = null,
    int? RepechageInto = null);

/// <summary>A plan of a tableau.</summary>
/// <param name="Minutes">How long it takes from the first bout called to the end of the last, in minutes.</param>
/// <param name="Bouts">The bouts in the order in which they are called.</param>
internal sealed record TableauTimetable(int Minutes, ImmutableArray<PlannedCall> Bouts);

/// <summary>A bout as planned.</summary>
/// <param name="Bout">A name of the bout within this answer.</param>
/// <param name="TableOf">How many fencers there are in its table: 2 in a final.</param>
/// <param name="Part">The part of the tableau.</param>
/// <param name="Left">The seed on the left, or null while not known.</param>
/// <param name="Right">The seed on the right, or null while not known.</param>
/// <param name="Minute">The minute in which it begins, from 0.</param>
internal sealed record PlannedCall(string Bout, int TableOf, TableauPart Part, int? Left, int? Right, int Minute);

/// <summary>A fencer whose way through a tableau is asked for.</summary>
/// <param name="Fencers">How many fencers there are, 2 to 1,024.</param>
/// <param name="Seed">His seed.</param>
/// <param name="Results">Who met and who won so far, by seed.</param>
/// <param name="ThirdPlace">Whether third place is shared or fenced for.</param>
/// <param name="FencedPlaces">Down to which place losers fence on.</param>
/// <param name="RepechageFrom">The table from which losers fence on in a repechage.</param>
/// <param name="RepechageInto">The last table after a repechage.</param>
internal sealed record PathOfSeed(
    int Fencers,
    int Seed,
    ImmutableArray<SeedResult>? Results = null,
    ThirdPlace ThirdPlace = ThirdPlace.Shared,
    int? FencedPlaces = null,
    int? RepechageFrom = null,
    int? RepechageInto = null);

/// <summary>The way of a seed through a tableau, if he wins.</summary>
/// <param name="Bouts">His next bout and those that follow; empty when he has none left.</param>
internal sealed record SeedPath(ImmutableArray<SeedPathBout> Bouts);

/// <summary>A bout on the way of a seed.</summary>
/// <param name="Bout">A name of the bout within this answer.</param>
/// <param name="TableOf">How many fencers there are in its table: 2 in a final.</param>
/// <param name="Part">The part of the tableau.</param>
/// <param name="Opponents">The seeds whom he can meet in it.</param>
/// <param name="IfLost">What becomes of him if he loses it.</param>
internal sealed record SeedPathBout(string Bout, int TableOf, TableauPart Part, ImmutableArray<int> Opponents, IfLostView IfLost);

/// <summary>The arithmetic of the sport for a coach who checks a sheet by hand. Nothing is kept.</summary>
internal static class CalculatorRoutes
{
    public static void MapCalculators(this IEndpointRouteBuilder app)
    {
        var group = app.MapGroup("/api/calculators").WithTags("Calculators").RequireRateLimiting(Limits.Computing);
        group.MapPost("/pool-standings", PoolStandings)
            .Does("calculatePoolStandings", "Standings of a pool from its results").Produces<PositionStandings>(200).Refuses(400, 413, 415);
        group.MapPost("/possible-places", Places)
            .Does(
                "calculatePossiblePlaces",
                "The best and worst place that each fencer of a round can still take",
                "Each pair without a result is taken to fence yet. Pools have at most 12 fencers. The search is limited; where that made a range too wide, placesExact is false.")
            .Produces<PlacesSoFar>(200).Refuses(400, 413, 415);
        group.MapPost("/pool-order", PoolOrder)
            .Does("calculatePoolOrder", "The order of the bouts of a pool", "On one strip the answer has bouts, on two it has strips.")
            .Produces<PoolOrder>(200).Refuses(400, 413, 415);
        group.MapPost("/pools", Pools)
            .Does("calculatePools", "Fencers dealt into pools").Produces<DealtPools>(200).Refuses(400, 413, 415);
        group.MapPost("/tableau", Tableau)
            .Does("calculateTableau", "The first bouts of a tableau").Produces<FirstTable>(200).Refuses(400, 413, 415);
        group.MapPost("/bout", FollowBout)
            .Does("calculateBout", "The state of a bout from what was recorded in it").Produces<FollowedBout>(200).Refuses(400, 413, 415);
        group.MapPost("/classification", Classify)
            .Does("calculateClassification", "The places that follow from the results of a tableau").Produces<SeedPlaces>(200).Refuses(400, 413, 415);
        group.MapPost("/calling-order", Plan)
            .Does("calculateCallingOrder", "When each bout of a tableau can begin, with the rest between bouts").Produces<TableauTimetable>(200).Refuses(400, 413, 415);
        group.MapPost("/path", Path)
            .Does("calculatePath", "Whom a seed can meet, bout by bout, if he wins").Produces<SeedPath>(200).Refuses(400, 413, 415);
    }

    private static IResult PoolStandings(PoolResults body)
    {
        var errors = new FieldErrors();
        CheckPool(body, string.Empty, mostFencers: 20, mostTouches: 45, errors);
        if (errors.ToProblem() is { } problem)
        {
            return problem;
        }

        var withdrawn = body.Withdrawn ?? [];
        var tallies = new Tally[body.Fencers + 1];
        foreach (var bout in body.Bouts.Where(b => !withdrawn.Contains(b.Left) && !withdrawn.Contains(b.Right)))
        {
            var winner = WinnerOf(bout);
            tallies[bout.Left] = tallies[bout.Left].With(winner == Side.Left, bout.LeftTouches, bout.RightTouches);
            tallies[bout.Right] = tallies[bout.Right].With(winner == Side.Right, bout.RightTouches, bout.LeftTouches);
        }

        var standings = StandingsTable.Rank(Enumerable.Range(1, body.Fencers).Where(p => !withdrawn.Contains(p)).Select(p => (p, tallies[p])));
        return Calculated(new PositionStandings(
        [
            .. standings.Select(s => new PositionStanding(
                s.Fencer,
                s.Place,
                s.Tally.Victories,
                s.Tally.Bouts,
                s.Tally.VictoryRatio,
                s.Tally.TouchesScored,
                s.Tally.TouchesReceived,
                s.Tally.Indicator,
                s.Tied)),
        ]));
    }

    private static IResult Places(RoundSoFar body)
    {
        var errors = new FieldErrors();
        errors.Range("pools", body.Pools.Length, 1, 100);
        if (body.Pools.Any(p => p is null))
        {
            errors.Add("pools", $"Each pool is an object.");
        }

        errors.Range("touches", body.Touches, 1, 45);
        errors.Range("promote", body.Promote, 1, 1200);
        if (errors.ToProblem() is { } size)
        {
            return size;
        }

        for (var i = 0; i < body.Pools.Length; i++)
        {
            CheckPool(body.Pools[i], $"pools[{i}].", PoolPlan.LargestPool, body.Touches, errors);
        }

        if (errors.ToProblem() is { } problem)
        {
            return problem;
        }

        PoolSoFar[] pools = [.. body.Pools.Select(pool => SoFar(pool, body.Touches))];
        var promoted = Math.Min(body.Promote ?? int.MaxValue, pools.Sum(p => p.Ranked));
        var places = PossiblePlaces.InRound(pools).SelectMany((pool, i) => pool.Select((range, position) => range is { } known
            ? new PositionPlaces(i + 1, position + 1, known.Best, known.Worst, known.Exact, known.FateFor(promoted))
            : null));
        return Calculated(new PlacesSoFar(promoted, [.. places.OfType<PositionPlaces>()]));
    }

    private static PoolSoFar SoFar(PoolResults pool, int touches)
    {
        DecidedBout[] decided = [.. pool.Bouts.Select(b => new DecidedBout(b.Left, b.Right, new Score(b.LeftTouches, b.RightTouches), WinnerOf(b)!.Value))];
        var met = decided.SelectMany(b => new[] { (b.Left, b.Right), (b.Right, b.Left) }).ToHashSet();
        var open = from left in Enumerable.Range(1, pool.Fencers)
                   from right in Enumerable.Range(left + 1, pool.Fencers - left)
                   where !met.Contains((left, right))
                   select new OpenBout(left, right);
        return new PoolSoFar(pool.Fencers, touches, decided, [.. open], pool.Withdrawn);
    }

    private static void CheckPool(PoolResults pool, string at, int mostFencers, int mostTouches, FieldErrors errors)
    {
        errors.Range(at + "fencers", pool.Fencers, 2, mostFencers);
        if (pool.Fencers < 2 || pool.Fencers > mostFencers)
        {
            return;
        }

        var most = pool.Fencers * (pool.Fencers - 1) / 2;
        if (pool.Bouts.Length > most)
        {
            errors.Add(at + "bouts", $"A pool of {pool.Fencers} has at most {most} bouts, but {pool.Bouts.Length} are given.");
            return;
        }

        foreach (var position in (pool.Withdrawn ?? []).Where(p => p < 1 || p > pool.Fencers))
        {
            errors.Add(at + "withdrawn", $"{position} is no position of a pool of {pool.Fencers}.");
        }

        var met = new HashSet<(int, int)>();
        for (var i = 0; i < pool.Bouts.Length; i++)
        {
            var bout = pool.Bouts[i];
            var field = $"{at}bouts[{i}]";
            errors.Range(field + ".left", bout.Left, 1, pool.Fencers);
            errors.Range(field + ".right", bout.Right, 1, pool.Fencers);
            errors.Range(field + ".leftTouches", bout.LeftTouches, 0, mostTouches);
            errors.Range(field + ".rightTouches", bout.RightTouches, 0, mostTouches);
            if (bout.Left == bout.Right)
            {
                errors.Add(field + ".right", $"Nobody fences himself.");
            }
            else if (!met.Add((Math.Min(bout.Left, bout.Right), Math.Max(bout.Left, bout.Right))))
            {
                errors.Add(field, $"{bout.Left} and {bout.Right} meet once, but have two results.");
            }

            var winner = WinnerOf(bout);
            if (winner is null)
            {
                errors.Add(field + ".winner", $"The score is level: name who won, left or right.");
            }
            else if (winner != (new Score(bout.LeftTouches, bout.RightTouches).Leader ?? winner))
            {
                errors.Add(field + ".winner", $"The winner has fewer touches than the opponent.");
            }
        }
    }

    private static Side? WinnerOf(PoolResult bout) => bout.Winner ?? new Score(bout.LeftTouches, bout.RightTouches).Leader;

    private static IResult PoolOrder(PoolOfPositions body)
    {
        var errors = new FieldErrors();
        errors.Range("fencers", body.Fencers, 3, 12);
        errors.Range("strips", body.Strips, 1, 2);
        var groups = body.Groups ?? [];
        if (groups.Any(g => g.IsDefault))
        {
            errors.Add("groups", $"Each group is a list of positions.");
        }
        else
        {
            var positions = groups.SelectMany(g => g).ToArray();
            foreach (var position in positions.Where(p => p < 1 || p > body.Fencers))
            {
                errors.Add("groups", $"{position} is no position of a pool of {body.Fencers}.");
            }

            if (positions.Distinct().Count() != positions.Length)
            {
                errors.Add("groups", $"A position belongs to one group at most.");
            }
        }

        if (errors.ToProblem() is { } problem)
        {
            return problem;
        }

        IReadOnlyList<int>[] clubs = [.. groups.Select(g => (IReadOnlyList<int>)g)];
        if (body.Strips == 1)
        {
            return Calculated(new PoolOrder(Bouts: Pairs(BoutOrder.For(body.Fencers, clubs))));
        }

        var slots = BoutOrder.OnTwoStrips(body.Fencers, clubs);
        return Calculated(new PoolOrder(Strips: [Pairs(slots.Select(s => s.StripOne)), Pairs(slots.Select(s => s.StripTwo).OfType<BoutPairing>())]));
    }

    private static IResult Pools(FencersToDeal body)
    {
        var errors = new FieldErrors();
        errors.Range("fencers", body.Fencers.Length, 3, 2000);
        errors.Range("poolCount", body.PoolCount, 1, 700);
        errors.Range("poolSize", body.PoolSize, 3, 12);
        if (body.PoolCount is null == body.PoolSize is null)
        {
            errors.Add("poolCount", $"Give either poolCount or poolSize.");
        }

        for (var i = 0; i < body.Fencers.Length; i++)
        {
            errors.Text($"fencers[{i}].id", body.Fencers[i].Id, 80);
        }

        if (body.SeparateBy is { } kinds && kinds.Distinct().Count() != kinds.Length)
        {
            errors.Add("separateBy", $"Name each affiliation once.");
        }

        foreach (var twice in body.Fencers.GroupBy(f => f.Id).Where(g => g.Count() > 1))
        {
            errors.Add("fencers", $"The id {twice.Key} stands twice.");
        }

        if ((errors.ToProblem() ?? Lots.Problem(body.DrawSeed)) is { } problem)
        {
            return problem;
        }

        PoolPlan plan;
        try
        {
            plan = body.PoolCount is { } count ? PoolPlan.ForCount(body.Fencers.Length, count) : PoolPlan.ForSize(body.Fencers.Length, body.PoolSize!.Value);
        }
        catch (ArgumentException unplannable)
        {
            return Problem.Invalid(body.PoolCount is null ? "poolSize" : "poolCount", unplannable);
        }

        var separateBy = body.SeparateBy ?? [AffiliationKind.Club];
        var composition = PoolDraw.Compose(
            [.. body.Fencers.Select(f => new PoolFencer(f.Id, [.. separateBy.Select(kind => kind == AffiliationKind.Club ? f.Club : f.Country)]))],
            plan.PoolCount,
            new DrawSeed(body.DrawSeed));
        return Calculated(new DealtPools(
            composition.Pools,
            separateBy.IsEmpty ? 0 : composition.Conflicts[0],
            separateBy.IsEmpty ? 0 : composition.LowerBound[0],
            composition.Displacement,
            composition.DisplacementProvenLeast,
            [.. separateBy.Select((kind, i) => new Separation(kind, composition.Conflicts[i], composition.LowerBound[i]))]));
    }

    private static IResult Tableau(TableauOfSeeds body)
    {
        var errors = new FieldErrors();
        errors.Range("fencers", body.Fencers, 2, TableauShape.MostFencers);
        if (errors.ToProblem() is { } problem)
        {
            return problem;
        }

        var shape = TableauShape.For(body.Fencers);
        return Calculated(new FirstTable(shape.Size, [.. shape.First.Select(p => ImmutableArray.Create<int?>(p.Left, p.Right))]));
    }

    private static IResult Classify(TableauResults body)
    {
        var formula = Elimination(body.ThirdPlace, body.FencedPlaces, body.RepechageFrom, body.RepechageInto);
        if (TableauErrors(body.Fencers, body.Results, formula).ToProblem() is { } problem)
        {
            return problem;
        }

        var (places, refusal) = TableauPlaces.FromResults(body.Fencers, body.Results, formula);
        return refusal is not null
            ? Problem.Of(refusal)
            : Calculated(new SeedPlaces([.. places.Select(p => new SeedPlace(p.Run.Seed, p.Place))]));
    }

    private static IResult FollowBout(BoutToFollow body)
    {
        const int MostActions = 500;
        var errors = new FieldErrors();
        errors.Range("touches", body.Touches, 1, 45);
        errors.Range("periods", body.Periods, 1, 9);
        errors.Range("minutes", body.Minutes, 1, 15);
        errors.Range("actions", body.Actions.Length, 0, MostActions);
        if (errors.ToProblem() is { } size)
        {
            return size;
        }

        var rules = new BoutRules(body.Weapon, body.Touches, body.Periods, body.Minutes);
        var bout = Bout.Evolve(null, "bout", new BoutProgrammed("competition", null, null, null, null, 1, rules, new Seat("left"), new Seat("right"), null, null));
        for (var i = 0; i < body.Actions.Length; i++)
        {
            CheckForm($"actions[{i}]", body.Actions[i], errors);
            if (errors.ToProblem() is { } malformed)
            {
                return malformed;
            }

            var decision = Decide(bout, body.Actions[i]);
            if (decision.Refusal is { } refusal)
            {
                return Problem.Invalid($"actions[{i}]", refusal.Sentence);
            }

            bout = decision.Facts.Aggregate(bout, (before, fact) => Bout.Evolve(before, before.Id, (IBoutEvent)fact.Event));
        }

        return Calculated(FollowedBout.Of(bout));
    }

    private static void CheckForm(string field, ActionToFollow action, FieldErrors errors)
    {
        var concernsBoth = action.Kind is BoutActionKind.DoubleTouch or BoutActionKind.Time;
        if (concernsBoth != action.Side is null)
        {
            errors.Add(field + ".side", concernsBoth ? (FormattableString)$"Leave it out: this concerns both." : $"Is needed: left or right.");
        }

        errors.Range(field + ".group", action.Group, 1, Penalties.Groups);
        if (action.Kind == BoutActionKind.Card ? action.Card is null == action.Group is null : action.Card is not null || action.Group is not null)
        {
            errors.Add(field + ".card", action.Kind == BoutActionKind.Card ? (FormattableString)$"Give either card or group." : $"Only for a card.");
        }
    }

    private static Decision Decide(Bout bout, ActionToFollow action)
    {
        var side = action.Side.GetValueOrDefault();
        return action.Kind switch
        {
            BoutActionKind.Touch => BoutDecider.ScoreTouch(bout, side == Side.Left ? TouchSide.Left : TouchSide.Right, null),
            BoutActionKind.DoubleTouch => BoutDecider.ScoreTouch(bout, TouchSide.Both, null),
            BoutActionKind.Card => BoutDecider.ShowCard(
                bout, side, action.Card ?? Penalties.CardFor(bout.Actions, side, action.Group!.Value), "offence", action.Group),
            BoutActionKind.Time => BoutDecider.RunOutOfTime(bout),
            BoutActionKind.Priority => BoutDecider.DrawPriority(bout, side, default),
            _ => BoutDecider.TakeBreak(bout, side, BreakKind.Medical, null),
        };
    }

    private static IResult Plan(TableauToPlan body)
    {
        var formula = Elimination(body.ThirdPlace, body.FencedPlaces, body.RepechageFrom, body.RepechageInto);
        var errors = TableauErrors(body.Fencers, body.Results ?? [], formula);
        errors.Range("strips", body.Strips, 1, 100);
        errors.Range("restMinutes", body.RestMinutes, 0, 120);
        errors.Range("boutMinutes", body.BoutMinutes, 1, 120);
        if (errors.ToProblem() is { } problem)
        {
            return problem;
        }

        var (bouts, refusal) = SeededTableau.Of(body.Fencers, formula, body.Results ?? []);
        if (refusal is not null)
        {
            return Problem.Of(refusal);
        }

        var begin = DateTimeOffset.UnixEpoch;
        var byId = bouts.ToDictionary(b => b.Id);
        ImmutableArray<PlannedCall> calls =
        [
            .. CallingOrder.Of(bouts, begin, CallingRoutes.Rules(body.RestMinutes, body.BoutMinutes, body.Strips)).Select(call =>
            {
                var bout = byId[call.BoutId];
                return new PlannedCall(bout.Id, bout.TableOf, bout.Stage.Part, bout.Left.Seed, bout.Right.Seed, (int)(call.PlannedAt - begin).TotalMinutes);
            }),
        ];
        return Calculated(new TableauTimetable(calls.IsEmpty ? 0 : calls[^1].Minute + body.BoutMinutes, calls));
    }

    private static IResult Path(PathOfSeed body)
    {
        var formula = Elimination(body.ThirdPlace, body.FencedPlaces, body.RepechageFrom, body.RepechageInto);
        var errors = TableauErrors(body.Fencers, body.Results ?? [], formula);
        errors.Range("seed", body.Seed, 1, Math.Clamp(body.Fencers, 1, TableauShape.MostFencers));
        if (errors.ToProblem() is { } problem)
        {
            return problem;
        }

        var (bouts, refusal) = SeededTableau.Of(body.Fencers, formula, body.Results ?? []);
        return refusal is not null
            ? Problem.Of(refusal)
            : Calculated(new SeedPath(
            [
                .. FencerPath.Of(bouts, body.Seed).Select(step => new SeedPathBout(
                    step.Bout.Id, step.Bout.TableOf, step.Bout.Stage.Part, step.Opponents, IfLostView.Of(step.Bout))),
            ]));
    }

    private static EliminationFormula Elimination(ThirdPlace thirdPlace, int? fencedPlaces, int? repechageFrom, int? repechageInto) => new()
    {
        ThirdPlace = thirdPlace,
        FencedPlaces = fencedPlaces,
        RepechageFrom = repechageFrom,
        RepechageInto = repechageInto,
    };

    /// <summary>What is wrong with a tableau by seed, as far as the form of the fields tells.</summary>
    private static FieldErrors TableauErrors(int fencers, ImmutableArray<SeedResult> results, EliminationFormula formula)
    {
        var errors = new FieldErrors();
        errors.Range("fencers", fencers, 2, TableauShape.MostFencers);
        if (errors.ToProblem() is not null)
        {
            return errors;
        }

        for (var i = 0; i < results.Length; i++)
        {
            errors.Range($"results[{i}].left", results[i].Left, 1, fencers);
            errors.Range($"results[{i}].right", results[i].Right, 1, fencers);
        }

        foreach (var wrong in new Formula { Elimination = formula }.Problems())
        {
            errors.Add(wrong.Field!["formula.elimination.".Length..], wrong.Sentence);
        }

        return errors;
    }

    private static ImmutableArray<ImmutableArray<int>> Pairs(IEnumerable<BoutPairing> order) =>
        [.. order.Select(p => ImmutableArray.Create(p.Left, p.Right))];

    private static IResult Calculated<T>(T answer) => Results.Json(answer, JsonSetup.Options);
}
