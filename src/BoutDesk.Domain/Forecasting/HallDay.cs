using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Elimination;
using BoutDesk.Domain.Planning;

namespace BoutDesk.Domain.Forecasting;

/// <summary>A day to forecast in the form that a course of it is worked out from: numbers for names, minutes from now for moments.</summary>
internal sealed class HallDay
{
    /// <summary>A seat that waits for a winner or loser.</summary>
    public const int Awaited = -1;

    /// <summary>A seat that nobody comes to.</summary>
    public const int Nobody = -2;

    /// <summary>A seat for whoever is drawn; further slots lie below it.</summary>
    public const int FirstSlot = -10;

    private readonly DayToForecast day;
    private readonly (double From, double To)[] closures;

    public HallDay(DayToForecast day)
    {
        this.day = day;
        closures = Merged(day);
        var strips = day.Strips.Select((id, i) => (id, i)).ToDictionary(s => s.id, s => s.i);
        var persons = new Dictionary<string, int>();
        var contenders = new List<HallContender>();
        var bouts = new List<HallBout>();
        var turns = new List<HallTurn>();
        var stages = new List<HallStage>();
        Competitions = new HallCompetition[day.Competitions.Length];
        for (var c = 0; c < Competitions.Length; c++)
        {
            var competition = day.Competitions[c];
            var known = new Dictionary<string, int>();
            var firstContender = contenders.Count;
            foreach (var contender in competition.Contenders)
            {
                known[contender.EntrantId] = contenders.Count;
                persons.TryAdd(contender.Person, persons.Count);
                contenders.Add(new HallContender(contender.EntrantId, persons[contender.Person], c, Minutes(contender.RestedAt) ?? double.NegativeInfinity));
            }

            var firstStage = stages.Count;
            var byId = new Dictionary<string, int>();
            var firstBout = bouts.Count;
            foreach (var stage in competition.Stages)
            {
                var firstTurn = turns.Count;
                var bout = bouts.Count;
                foreach (var turn in stage.Turns.Where(t => !t.Bouts.IsEmpty))
                {
                    turns.Add(new HallTurn(stages.Count, bouts.Count, turn.Bouts.Length, turn.StripId is { } id && strips.TryGetValue(id, out var strip) ? strip : -1, turn.UnderWay));
                    foreach (var one in turn.Bouts)
                    {
                        byId[one.Id] = bouts.Count;
                        bouts.Add(new HallBout(one, turns.Count - 1, Seat(one.Left), Seat(one.Right), Elapsed(one.Since), Key(one.Id)));
                    }
                }

                stages.Add(new HallStage(c, stage, firstTurn, turns.Count - firstTurn, bouts.Count - bout, Minutes(stage.PlannedFrom) ?? double.NegativeInfinity));

                int Seat(ForecastSeat seat) => seat switch
                {
                    { Empty: true } => Nobody,
                    { EntrantId: { } entrant } => known[entrant],
                    { Slot: { } slot } => FirstSlot - slot,
                    _ => Awaited,
                };
            }

            foreach (var bout in bouts.Skip(firstBout))
            {
                bout.WinnerTo = bout.Given.WinnerTo is { } win && byId.TryGetValue(win.BoutId, out var next) ? next : -1;
                bout.LoserTo = bout.Given.LoserTo is { } lose && byId.TryGetValue(lose.BoutId, out var other) ? other : -1;
            }

            var underWay = bouts.Skip(firstBout).Where(b => !double.IsNaN(b.Elapsed)).ToLookup(b => stages[turns[b.Turn].Stage].InPools, b => b.Elapsed);
            Competitions[c] = new HallCompetition(
                firstStage,
                stages.Count - firstStage,
                firstContender,
                contenders.Count - firstContender,
                Minutes(competition.FreeFrom) ?? 0,
                LengthEstimate.Of(competition.PoolBouts, [.. underWay[true]]),
                LengthEstimate.Of(competition.EliminationBouts, [.. underWay[false]]),
                LengthEstimate.Planned(competition.PoolBouts),
                LengthEstimate.Planned(competition.EliminationBouts),
                competition.Strips.IsDefaultOrEmpty ? null : [.. day.Strips.Select(competition.Strips.Contains)]);
        }

        Contenders = [.. contenders];
        Bouts = [.. bouts];
        Turns = [.. turns];
        Stages = [.. stages];
        Persons = persons.Count;
        Strips = day.Strips.IsEmpty ? Math.Max(1, Turns.Length) : day.Strips.Length;
        Uses = [.. Enumerable.Range(0, Strips).Select(i => Competitions.Count(c => c.Serves?[i] != false))];
        SetChains();
    }

    public HallCompetition[] Competitions { get; }

    public HallContender[] Contenders { get; }

    public HallBout[] Bouts { get; }

    public HallTurn[] Turns { get; }

    public HallStage[] Stages { get; }

    /// <summary>How many people there are.</summary>
    public int Persons { get; }

    /// <summary>How many strips there are.</summary>
    public int Strips { get; }

    /// <summary>How many competitions each strip serves.</summary>
    public int[] Uses { get; }

    /// <summary>The minute at or after another in which can be fenced.</summary>
    public double Open(double minute)
    {
        foreach (var (from, to) in closures)
        {
            if (minute >= from && minute < to)
            {
                minute = to;
            }
        }

        return minute;
    }

    /// <summary>The minute in which something is over that is begun at another and takes so long; closures do not count.</summary>
    public double After(double begin, double length)
    {
        var end = begin + length;
        foreach (var (from, to) in closures)
        {
            if (from >= begin && from < end)
            {
                end += to - from;
            }
        }

        return end;
    }

    /// <summary>The moment of a minute, to the second.</summary>
    public DateTimeOffset Moment(double minute) => day.Now.AddSeconds(Math.Round(minute * 60));

    private double? Minutes(DateTimeOffset? moment) => moment is { } at ? (at - day.Now).TotalMinutes : null;

    /// <summary>How long something has lasted, closures not counted; not a number when it has not begun.</summary>
    private double Elapsed(DateTimeOffset? since)
    {
        if (Minutes(since) is not { } begin)
        {
            return double.NaN;
        }

        var closed = closures.Sum(c => Math.Max(0, Math.Min(0, c.To) - Math.Max(begin, c.From)));
        return Math.Max(0, -begin - closed);
    }

    private (double From, double To)[] Merged(DayToForecast of)
    {
        var merged = new List<(double From, double To)>();
        foreach (var closure in of.Closures.Where(c => c.To > c.From).OrderBy(c => c.From))
        {
            var (from, to) = (Minutes(closure.From)!.Value, Minutes(closure.To)!.Value);
            if (merged.Count > 0 && from <= merged[^1].To)
            {
                merged[^1] = (merged[^1].From, Math.Max(merged[^1].To, to));
            }
            else
            {
                merged.Add((from, to));
            }
        }

        return [.. merged];
    }

    /// <summary>
    /// How many minutes at least are fenced from the beginning of a turn to the end of its competition, by planned lengths:
    /// the longest is called first. In one tableau this is the order of <see cref="CallingOrder"/>.
    /// </summary>
    private void SetChains()
    {
        foreach (var competition in Competitions)
        {
            var behind = 0.0;
            for (var s = competition.FirstStage + competition.Stages - 1; s >= competition.FirstStage; s--)
            {
                var stage = Stages[s];
                var longest = 0.0;
                for (var t = stage.FirstTurn + stage.Turns - 1; t >= stage.FirstTurn; t--)
                {
                    var turn = Turns[t];
                    turn.Chain = stage.InPools ? (turn.Bouts * competition.PlannedPool.Mean) + behind : ChainOf(turn.FirstBout, competition.PlannedElimination.Mean);
                    longest = Math.Max(longest, turn.Chain);
                }

                // The last eight are in the chains of the tables before them already.
                behind = stage.Given.Kind == StageKind.LastEight && s > competition.FirstStage && !Stages[s - 1].InPools ? 0 : longest + StageToPlan.DrawingPause;
            }
        }
    }

    private double ChainOf(int bout, double mean)
    {
        var node = Bouts[bout];
        if (node.Chain == 0)
        {
            var behind = 0.0;
            foreach (var next in new[] { node.WinnerTo, node.LoserTo }.Where(n => n >= 0))
            {
                behind = Math.Max(behind, StageToPlan.Rest + ChainOf(next, mean));
            }

            node.Chain = mean + behind;
        }

        return node.Chain;
    }

    /// <summary>A number for a name that is the same on every machine (FNV-1a).</summary>
    private static ulong Key(string name)
    {
        var hash = 14695981039346656037UL;
        foreach (var letter in name)
        {
            hash = unchecked((hash ^ letter) * 1099511628211UL);
        }

        return hash;
    }
}

/// <summary>A competition within a <see cref="HallDay"/>; of each strip it says whether that serves it, or null when all do.</summary>
internal sealed record HallCompetition(
    int FirstStage,
    int Stages,
    int FirstContender,
    int Contenders,
    double FreeFrom,
    LengthEstimate Pool,
    LengthEstimate Elimination,
    LengthEstimate PlannedPool,
    LengthEstimate PlannedElimination,
    bool[]? Serves);

/// <summary>An entrant within a <see cref="HallDay"/>.</summary>
internal sealed record HallContender(string EntrantId, int Person, int Competition, double RestedAt);

/// <summary>A stage within a <see cref="HallDay"/>.</summary>
internal sealed record HallStage(int Competition, StageToForecast Given, int FirstTurn, int Turns, int Bouts, double PlannedFrom)
{
    public bool InPools => Given.Kind == StageKind.Pools;
}

/// <summary>A turn within a <see cref="HallDay"/>.</summary>
internal sealed class HallTurn(int stage, int firstBout, int bouts, int strip, bool underWay)
{
    public int Stage { get; } = stage;

    public int FirstBout { get; } = firstBout;

    public int Bouts { get; } = bouts;

    /// <summary>The strip that it is fenced on, or -1 for any.</summary>
    public int Strip { get; } = strip;

    public bool UnderWay { get; } = underWay;

    public double Chain { get; set; }
}

/// <summary>A bout within a <see cref="HallDay"/>.</summary>
internal sealed class HallBout(BoutToForecast given, int turn, int left, int right, double elapsed, ulong key)
{
    public BoutToForecast Given { get; } = given;

    public int Turn { get; } = turn;

    public int Left { get; } = left;

    public int Right { get; } = right;

    /// <summary>How long it has lasted, or not a number.</summary>
    public double Elapsed { get; } = elapsed;

    public ulong Key { get; } = key;

    public int WinnerTo { get; set; } = -1;

    public int LoserTo { get; set; } = -1;

    public Side WinnerSide => Given.WinnerTo?.Side ?? default;

    public Side LoserSide => Given.LoserTo?.Side ?? default;

    public double Chain { get; set; }
}
