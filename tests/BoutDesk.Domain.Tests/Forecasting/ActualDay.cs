using System.Collections.Immutable;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Elimination;
using BoutDesk.Domain.Forecasting;
using BoutDesk.Domain.Planning;
using BoutDesk.Domain.Pools;
using BoutDesk.Domain.Seeding;

namespace BoutDesk.Domain.Tests.Forecasting;

/// <summary>
/// A day as it really goes, bout by bout, in steps of a tenth of a minute: written apart from the forecaster, slow and
/// plain. Bouts take times of a gamma distribution whose mean and spread belong to the competition and are told to nobody;
/// the mean differs from the planned one by a fifth or so. At any minute it says what would be known by then.
/// </summary>
internal sealed class ActualDay
{
    public const double Lunch = 240;
    public const double AfterLunch = 285;
    private const double Step = 0.1;

    /// <summary>Strips are given in steps of so long.</summary>
    public static readonly TimeSpan StepLength = TimeSpan.FromMinutes(Step);

    public static readonly DateTimeOffset Morning = new(2026, 3, 7, 8, 0, 0, TimeSpan.Zero);

    private readonly LotSequence lots;
    private readonly bool lunch;
    private readonly int strips;
    private readonly List<Contest> contests = [];
    private readonly int people;

    /// <summary>Lets a day go by.</summary>
    /// <param name="seed">The seed of everything.</param>
    /// <param name="competitions">How many competitions.</param>
    /// <param name="strips">How many strips.</param>
    /// <param name="fewest">The fewest entrants of a competition.</param>
    /// <param name="most">The most.</param>
    public ActualDay(long seed, int competitions, int strips, int fewest, int most)
    {
        lots = new DrawSeed(seed).Lots();
        lunch = lots.Below(2) == 0;
        this.strips = strips;
        for (var c = 0; c < competitions; c++)
        {
            var weapon = (Weapon)lots.Below(3);
            var usual = BoutDurations.Usual(weapon, new Formula());
            var fencers = fewest + lots.Below(most - fewest + 1);
            var contest = new Contest($"c{c}", usual, (double)usual.PoolBout * Off(), (double)usual.EliminationBout * Off(), 0.25 + (0.25 * Chance()), 0.25 + (0.2 * Chance()), 30 * lots.Below(6));
            for (var i = 0; i < fencers; i++)
            {
                // One in fifteen is entered in the competition before as well.
                contest.People.Add(c > 0 && lots.Below(15) == 0 && i < contests[^1].People.Count && !contest.People.Contains(contests[^1].People[i]) ? contests[^1].People[i] : people++);
            }

            DrawPools(contest);
            contests.Add(contest);
        }

        GoBy();
    }

    /// <summary>The minute in which the last bout ended.</summary>
    public double End => contests.Max(c => c.Fights.Max(f => f.End));

    /// <summary>What is known at a minute from the morning.</summary>
    public DayToForecast At(double minute) => new(
        Moment(minute),
        [.. Enumerable.Range(1, strips).Select(i => $"s{i}")],
        [.. contests.Where(c => c.Fights.Max(f => f.End) > minute).Select(c => Known(c, minute))],
        lunch ? [new ClosedTime(Moment(Lunch), Moment(AfterLunch))] : [],
        null);

    /// <summary>When things really came that a forecast can tell: bouts by their names, and the ends of stages and competitions.</summary>
    public DateTimeOffset BeginOf(string boutId) => Moment(contests.SelectMany(c => c.Fights).Single(f => f.Id == boutId).Begin);

    public DateTimeOffset EndOf(string competitionId) => Moment(contests.Single(c => c.Id == competitionId).Fights.Max(f => f.End));

    public DateTimeOffset EndOf(string competitionId, StageKind kind) =>
        Moment(contests.Single(c => c.Id == competitionId).Fights.Where(f => f.Kind == kind).Max(f => f.End));

    public DateTimeOffset? NextOf(string entrantId, double minute)
    {
        var contest = contests.Single(c => entrantId.StartsWith(c.Id + "e", StringComparison.Ordinal));
        var place = contest.Place(entrantId);
        var next = contest.Fights.Where(f => f.Begin > minute && (f.Left == place || f.Right == place)).ToArray();
        return next.Length == 0 ? null : Moment(next.Min(f => f.Begin));
    }

    public static DateTimeOffset Moment(double minute) => Morning.AddSeconds(Math.Round(minute * 60));

    private void DrawPools(Contest contest)
    {
        var order = Enumerable.Range(0, contest.People.Count).ToArray();
        lots.Shuffle<int>(order);
        var from = 0;
        foreach (var size in PoolPlan.ForSize(order.Length, 7).Sizes)
        {
            var pool = order[from..(from + size)];
            from += size;
            contest.Pools.Add([.. BoutOrder.For(size).Select((pair, i) =>
                new Fight($"{contest.Id}p{from}b{i}", StageKind.Pools) { Left = pool[pair.Left - 1], Right = pool[pair.Right - 1] })]);
        }

        foreach (var bouts in contest.Pools)
        {
            contest.Fights.AddRange(bouts);
        }

        contest.Tree = TableauPlan.For(contest.People.Count, new EliminationFormula());
        contest.Depth = contest.Tree.Select(b => (int)Math.Log2(b.TableOf)).Max();
    }

    private void GoBy()
    {
        var busy = new double[people];
        var rested = new double[people];
        var holding = new HashSet<object>();
        for (var tick = 0; contests.Any(c => !c.Over); tick++)
        {
            var now = tick * Step;
            foreach (var contest in contests)
            {
                foreach (var fight in contest.Fights.Where(f => f.Running && f.End <= now).OrderBy(f => f.End).ToArray())
                {
                    (fight.Running, fight.Done) = (false, true);
                    if (fight.Kind != StageKind.Pools)
                    {
                        holding.Remove(fight);
                        fight.Winner = lots.Below(2) == 0 ? fight.Left : fight.Right;
                        Seat(contest, fight);
                    }
                }

                foreach (var pool in contest.Pools)
                {
                    if (pool.All(f => f.Done))
                    {
                        holding.Remove(pool);
                    }
                    else if (holding.Contains(pool) && pool.First(f => !f.Done) is { Running: false } next)
                    {
                        var before = Array.IndexOf(pool, next) is > 0 and var i ? pool[i - 1].End : now;
                        TryBegin(next, contest, before);
                    }
                }

                if (contest.DrawnAt is null && contest.Pools.All(p => p.All(f => f.Done)) && now >= contest.Fights.Max(f => f.End) + 20)
                {
                    DrawTableau(contest, now);
                }
            }

            if (lunch && now >= Lunch && now < AfterLunch)
            {
                continue;
            }

            while (holding.Count < strips && Ready(now) is { } chosen)
            {
                if (chosen.Pool is { } pool)
                {
                    holding.Add(pool);
                    TryBegin(pool[0], chosen.Contest, now);
                }
                else
                {
                    holding.Add(chosen.Fight);
                    TryBegin(chosen.Fight, chosen.Contest, now);
                }
            }

            void TryBegin(Fight fight, Contest contest, double at)
            {
                var (one, other) = (contest.People[fight.Left], contest.People[fight.Right]);
                if (busy[one] > now || busy[other] > now)
                {
                    return;
                }

                var begin = Math.Max(at, Math.Max(busy[one], busy[other]));
                if (lunch && begin >= Lunch && begin < AfterLunch)
                {
                    begin = AfterLunch;
                }

                var (mean, spread) = fight.Kind == StageKind.Pools ? (contest.PoolMean, contest.PoolSpread) : (contest.EliminationMean, contest.EliminationSpread);
                fight.Begin = begin;
                fight.End = begin + Gamma(mean, spread);
                fight.End += lunch && begin < Lunch && fight.End > Lunch ? AfterLunch - Lunch : 0;
                fight.Running = true;
                busy[one] = busy[other] = fight.End;
                if (fight.Kind != StageKind.Pools)
                {
                    rested[one] = rested[other] = fight.End + 10;
                }
            }
        }

        (Contest Contest, Fight[]? Pool, Fight Fight)? Ready(double now)
        {
            var found = new List<(Contest Contest, Fight[]? Pool, Fight Fight, double Way, bool Waits, double Since)>();
            foreach (var contest in contests)
            {
                if (now >= contest.StartsAt)
                {
                    foreach (var pool in contest.Pools.Where(p => !holding.Contains(p) && !p.Any(f => f.Done || f.Running)))
                    {
                        if (Free(contest, pool[0], now, false))
                        {
                            found.Add((contest, pool, pool[0], (pool.Length * contest.PoolPlanned) + 20 + contest.WayOf(contest.Depth), false, contest.StartsAt));
                        }
                    }
                }

                foreach (var fight in contest.Fights.Where(f => f.Kind != StageKind.Pools && !f.Running && !f.Done && f.Left >= 0 && f.Right >= 0))
                {
                    if (Free(contest, fight, now, true))
                    {
                        var next = fight.Next is { } link ? contest.Fights.Single(f => f.Id == link) : null;
                        found.Add((contest, null, fight, contest.WayOf((int)Math.Log2(fight.TableOf)), next is not null && (next.Left < 0) != (next.Right < 0), Math.Max(rested[contest.People[fight.Left]], rested[contest.People[fight.Right]])));
                    }
                }
            }

            return found.Count == 0 ? null : found.OrderByDescending(f => f.Way).ThenByDescending(f => f.Waits).ThenBy(f => f.Since).Select(f => (f.Contest, f.Pool, f.Fight)).First();
        }

        bool Free(Contest contest, Fight fight, double now, bool elimination) =>
            new[] { contest.People[fight.Left], contest.People[fight.Right] }.All(p => busy[p] <= now && (!elimination || rested[p] <= now));
    }

    private void DrawTableau(Contest contest, double now)
    {
        contest.DrawnAt = now;
        var order = Enumerable.Range(0, contest.People.Count).ToArray();
        lots.Shuffle<int>(order);
        var drawn = contest.Tree.Select(b => new Fight($"{contest.Id}{b.Key}", b.TableOf > 8 ? StageKind.Tables : StageKind.LastEight)
        {
            TableOf = b.TableOf,
            Next = b.WinnerTo is { } link ? $"{contest.Id}{link.BoutId}" : null,
            NextSide = b.WinnerTo?.Side ?? default,
            Left = b.First is { } first ? order[first.Left - 1] : -1,
            Right = b.First is { Right: { } right } ? order[right - 1] : -1,
            Bye = b.First is { Right: null },
        }).ToArray();
        contest.Fights.AddRange(drawn.Where(f => !f.Bye));
        foreach (var bye in drawn.Where(f => f.Bye))
        {
            bye.Winner = bye.Left;
            Seat(contest, bye);
        }
    }

    private static void Seat(Contest contest, Fight fight)
    {
        if (fight.Next is null)
        {
            contest.Over = true;
            return;
        }

        var next = contest.Fights.Single(f => f.Id == fight.Next);
        next.Sit(fight.NextSide, fight.Winner, fight.Bye ? null : fight);
    }

    private static CompetitionToForecast Known(Contest contest, double minute)
    {
        var pools = contest.Fights.Where(f => f.Kind == StageKind.Pools).ToArray();
        var stages = new List<StageToForecast>();
        double? freeFrom = null;
        var drawn = contest.DrawnAt <= minute;
        if (pools.Any(f => f.End > minute))
        {
            var known = minute >= contest.StartsAt - 15;
            var slots = new Dictionary<int, int>();
            stages.Add(new StageToForecast(
                StageKind.Pools,
                1,
                known,
                [
                    .. contest.Pools.Where(p => p.Any(f => f.End > minute)).Select(pool => new TurnToForecast(
                        null,
                        pool.Any(f => f.Begin <= minute),
                        [
                            .. pool.Where(f => f.End > minute).Select(f => new BoutToForecast(
                                (known ? string.Empty : "undrawn ") + f.Id,
                                Side(f.Left),
                                Side(f.Right),
                                f.Begin <= minute ? Moment(f.Begin) : null)),
                        ])),
                ],
                pools.Any(f => f.Begin <= minute) ? Moment(pools.Min(f => f.Begin)) : null,
                Moment(contest.StartsAt)));

            ForecastSeat Side(int place)
            {
                if (known)
                {
                    return new ForecastSeat(contest.EntrantId(place));
                }

                slots.TryAdd(place, slots.Count);
                return new ForecastSeat(null, slots[place]);
            }
        }
        else if (!drawn)
        {
            freeFrom = pools.Max(f => f.End) + 20;
        }

        foreach (var kind in new[] { StageKind.Tables, StageKind.LastEight })
        {
            TurnToForecast[] turns = drawn
                ? [.. contest.Fights.Where(f => f.Kind == kind && f.End > minute).Select(f => new TurnToForecast(null, f.Begin <= minute, [f.Known(contest, minute)]))]
                :
                [
                    .. contest.Tree.Where(b => b.TableOf > 8 == (kind == StageKind.Tables)).Select(b => new TurnToForecast(
                        null,
                        false,
                        [
                            new BoutToForecast(
                                "undrawn " + contest.Id + b.Key,
                                b.First is { } first ? new ForecastSeat(null, first.Left - 1) : default,
                                b.First is { } second ? second.Right is { } right ? new ForecastSeat(null, right - 1) : ForecastSeat.Nobody : default,
                                null,
                                b.WinnerTo is { } link ? new SeatLink("undrawn " + contest.Id + link.BoutId, link.Side) : null),
                        ])),
                ];
            if (turns.Length > 0)
            {
                stages.Add(new StageToForecast(kind, 0, drawn, [.. turns]));
            }
        }

        return new CompetitionToForecast(
            contest.Id,
            new BoutLengths(contest.Usual.PoolBout, BoutLengths.UsualPoolSpread, Measured(f => f.Kind == StageKind.Pools)),
            new BoutLengths(contest.Usual.EliminationBout, BoutLengths.UsualEliminationSpread, Measured(f => f.Kind != StageKind.Pools)),
            [.. contest.People.Select((p, i) => new Contender(contest.EntrantId(i), $"p{p}", LastEnd(i) is { } end ? Moment(end + 10) : null))],
            [.. stages],
            freeFrom is { } from ? Moment(from) : null);

        ImmutableArray<decimal> Measured(Func<Fight, bool> which) =>
            [.. contest.Fights.Where(f => which(f) && f.End <= minute).Select(f => (decimal)(f.End - f.Begin - (f.Begin < Lunch && f.End > AfterLunch ? AfterLunch - Lunch : 0)))];

        double? LastEnd(int place) => contest.Fights.Where(f => f.Kind != StageKind.Pools && f.End <= minute && (f.Left == place || f.Right == place)).Select(f => (double?)f.End).Max();
    }

    private double Off() => Math.Exp(0.2 * Gauss());

    private double Chance() => (lots.Below(1 << 30) + 0.5) / (1 << 30);

    private double Gauss() => Math.Sqrt(-2 * Math.Log(Chance())) * Math.Cos(2 * Math.PI * Chance());

    /// <summary>A gamma variable (Marsaglia and Tsang 2000, from memory).</summary>
    private double Gamma(double mean, double spread)
    {
        var shape = 1 / (spread * spread);
        var (d, c) = (shape - (1.0 / 3), 1 / Math.Sqrt(9 * (shape - (1.0 / 3))));
        while (true)
        {
            var x = Gauss();
            var v = Math.Pow(1 + (c * x), 3);
            if (v > 0 && Math.Log(Chance()) < (0.5 * x * x) + d - (d * v) + (d * Math.Log(v)))
            {
                return d * v * mean / shape;
            }
        }
    }

    private sealed class Contest(string id, BoutDurations usual, double poolMean, double eliminationMean, double poolSpread, double eliminationSpread, double startsAt)
    {
        public string Id { get; } = id;

        public BoutDurations Usual { get; } = usual;

        public double PoolMean { get; } = poolMean;

        public double EliminationMean { get; } = eliminationMean;

        public double PoolSpread { get; } = poolSpread;

        public double EliminationSpread { get; } = eliminationSpread;

        public double StartsAt { get; } = startsAt;

        public double PoolPlanned => (double)Usual.PoolBout;

        public List<int> People { get; } = [];

        public List<Fight[]> Pools { get; } = [];

        public List<Fight> Fights { get; } = [];

        public ImmutableArray<PlannedBout> Tree { get; set; }

        public int Depth { get; set; }

        public double? DrawnAt { get; set; }

        public bool Over { get; set; }

        public string EntrantId(int place) => $"{Id}e{place}";

        public int Place(string entrantId) => int.Parse(entrantId[(Id.Length + 1)..], System.Globalization.CultureInfo.InvariantCulture);

        /// <summary>Minutes from the beginning of a table to the end as planned.</summary>
        public double WayOf(int depth) => (depth * (double)Usual.EliminationBout) + ((depth - 1) * 10);
    }

    private sealed class Fight(string id, StageKind kind)
    {
        private readonly Dictionary<Side, Fight?> from = [];

        public string Id { get; } = id;

        public StageKind Kind { get; } = kind;

        public int TableOf { get; init; }

        public int Left { get; set; } = -1;

        public int Right { get; set; } = -1;

        public string? Next { get; init; }

        public Side NextSide { get; init; }

        public bool Bye { get; init; }

        public int Winner { get; set; }

        public double Begin { get; set; } = double.PositiveInfinity;

        public double End { get; set; } = double.PositiveInfinity;

        public bool Running { get; set; }

        public bool Done { get; set; }

        public void Sit(Side side, int who, Fight? feeder)
        {
            from[side] = feeder;
            _ = side == Side.Left ? Left = who : Right = who;
        }

        public BoutToForecast Known(Contest of, double minute) => new(
            Id, Seat(of, Side.Left, Left, minute), Seat(of, Side.Right, Right, minute), Begin <= minute ? Moment(Begin) : null, Next is null ? null : new SeatLink(Next, NextSide));

        private ForecastSeat Seat(Contest of, Side side, int who, double minute) =>
            from.GetValueOrDefault(side) is { } feeder && feeder.End > minute ? default : new ForecastSeat(of.EntrantId(who));
    }
}
