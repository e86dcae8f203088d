using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Planning;
using BoutDesk.Domain.Seeding;

namespace BoutDesk.Domain.Forecasting;

/// <summary>What is otherwise in a course that asks why something is late.</summary>
[Flags]
internal enum Otherwise
{
    /// <summary>Nothing.</summary>
    Nothing = 0,

    /// <summary>Bouts take as long as was planned.</summary>
    PlannedLengths = 1,

    /// <summary>There is a strip for everything.</summary>
    StripsForAll = 2,

    /// <summary>Nobody is entered twice.</summary>
    NobodyTwice = 4,
}

/// <summary>
/// Works out courses that the rest of the day can take: lengths of bouts and winners by lot, everything else by the order
/// in which strips are given. Mutable; one is used for one course after another.
/// </summary>
internal sealed class CourseOfDay
{
    private readonly HallDay day;
    private readonly Otherwise otherwise;
    private readonly LengthEstimate[] pools;
    private readonly LengthEstimate[] eliminations;
    private readonly int[][] strata;
    private readonly int courses;
    private readonly ulong seed;
    private readonly (double Mean, double Spread)[] lengths;
    private readonly int[] left;
    private readonly int[] right;
    private readonly double[] busyUntil;
    private readonly double[] restedAt;
    private readonly int[] turnStrip;
    private readonly int[] turnDone;
    private readonly bool[] turnTold;
    private readonly int[] stripTaken;
    private readonly int[] stripWanted;

    // Whether no free strip serves a competition, as it was at the choice of that number.
    private readonly (int Choice, bool None)[] withoutStrip;
    private int choice;
    private readonly int[] stripUses;
    private readonly int[] stageLeft;
    private readonly bool[] stageOpen;
    private readonly int[] order;
    private readonly List<(int Turn, double Since)> ready = [];
    private readonly PriorityQueue<int, double> events = new();
    private int freeStrips;
    private int course;

    // What events are told by: a bout that ends is its number; a turn that may begin or go on, a stage that opens.
    private const int TurnEvent = -1;
    private const int StageEvent = int.MinValue;
    private const int NoStrip = -1;
    private const int NotHeld = -2;

    /// <summary>Prepares.</summary>
    /// <param name="day">The day.</param>
    /// <param name="seed">The seed.</param>
    /// <param name="courses">How many courses there will be; 0 for the single one in which everything is as expected.</param>
    /// <param name="otherwise">What is otherwise than it is.</param>
    public CourseOfDay(HallDay day, DrawSeed seed, int courses, Otherwise otherwise = Otherwise.Nothing)
    {
        this.day = day;
        this.otherwise = otherwise;
        this.courses = courses;
        this.seed = unchecked((ulong)seed.Value);
        var planned = otherwise.HasFlag(Otherwise.PlannedLengths);
        pools = [.. day.Competitions.Select(c => planned ? c.PlannedPool : c.Pool)];
        eliminations = [.. day.Competitions.Select(c => planned ? c.PlannedElimination : c.Elimination)];
        lengths = new (double, double)[2 * day.Competitions.Length];

        // Means and spreads are drawn one from each share of what they can be, so that few courses tell much.
        var lots = seed.Lots();
        strata = new int[4 * day.Competitions.Length][];
        for (var i = 0; i < strata.Length; i++)
        {
            strata[i] = [.. Enumerable.Range(0, courses)];
            lots.Shuffle<int>(strata[i]);
        }

        var strips = otherwise.HasFlag(Otherwise.StripsForAll) ? Math.Max(1, day.Turns.Length) : day.Strips;
        left = new int[day.Bouts.Length];
        right = new int[day.Bouts.Length];
        var persons = otherwise.HasFlag(Otherwise.NobodyTwice) ? day.Contenders.Length : day.Persons;
        busyUntil = new double[persons];
        restedAt = new double[persons];
        turnStrip = new int[day.Turns.Length];
        turnDone = new int[day.Turns.Length];
        turnTold = new bool[day.Turns.Length];
        stripTaken = new int[strips];
        stripWanted = new int[strips];
        withoutStrip = new (int, bool)[day.Competitions.Length];
        stripUses = otherwise.HasFlag(Otherwise.StripsForAll) ? new int[strips] : day.Uses;
        stageLeft = new int[day.Stages.Length];
        stageOpen = new bool[day.Stages.Length];
        order = new int[day.Contenders.Length];
        Begins = new double[day.Bouts.Length];
        Ends = new double[day.Bouts.Length];
        NextOf = new double[day.Contenders.Length];
        StageBegins = new double[day.Stages.Length];
        StageEnds = new double[day.Stages.Length];
    }

    /// <summary>When each bout began in the course, in minutes from now; not a number where it was not fenced, or had begun before.</summary>
    public double[] Begins { get; }

    /// <summary>When each bout ended.</summary>
    public double[] Ends { get; }

    /// <summary>When each contender fenced next; not a number where he did not.</summary>
    public double[] NextOf { get; }

    /// <summary>When the first bout of each stage began that had not begun before.</summary>
    public double[] StageBegins { get; }

    /// <summary>When each stage ended; not a number where it did not.</summary>
    public double[] StageEnds { get; }

    /// <summary>Who was on the sides of a bout, by contender.</summary>
    public (int Left, int Right) FencersOf(int bout) => (left[bout], right[bout]);

    /// <summary>The strip of a bout.</summary>
    public int StripOf(int bout) => turnStrip[day.Bouts[bout].Turn];

    /// <summary>When a competition ended: its last stage.</summary>
    public double EndOf(int competition)
    {
        var (first, count) = (day.Competitions[competition].FirstStage, day.Competitions[competition].Stages);
        var end = double.NaN;
        for (var s = first; s < first + count; s++)
        {
            end = double.IsNaN(end) || StageEnds[s] > end ? StageEnds[s] : end;
        }

        return end;
    }

    /// <summary>Works out a course.</summary>
    /// <param name="number">Which, from 0.</param>
    public void Run(int number)
    {
        course = number;
        Prepare();
        for (var c = 0; c < day.Competitions.Length; c++)
        {
            if (day.Competitions[c].Stages > 0)
            {
                events.Enqueue(StageEvent + day.Competitions[c].FirstStage, Math.Max(0, day.Competitions[c].FreeFrom));
            }
        }

        while (events.TryPeek(out _, out var time))
        {
            while (events.TryPeek(out var happens, out var at) && at <= time)
            {
                events.Dequeue();
                if (happens >= 0)
                {
                    End(happens, time);
                }
                else if (happens < StageEvent / 2)
                {
                    OpenStage(happens - StageEvent, time);
                }
                else
                {
                    ComeReady(TurnEvent - happens, time);
                }
            }

            GiveStrips(time);
        }
    }

    private void Prepare()
    {
        ready.Clear();
        Array.Fill(busyUntil, double.NegativeInfinity);
        Array.Fill(restedAt, double.NegativeInfinity);
        Array.Fill(turnStrip, NotHeld);
        Array.Clear(turnDone);
        Array.Clear(turnTold);
        Array.Clear(stripTaken);
        Array.Clear(stripWanted);
        Array.Clear(stageOpen);
        Array.Fill(Begins, double.NaN);
        Array.Fill(Ends, double.NaN);
        Array.Fill(NextOf, double.NaN);
        Array.Fill(StageBegins, double.NaN);
        Array.Fill(StageEnds, double.NaN);
        freeStrips = stripTaken.Length;
        for (var i = 0; i < day.Contenders.Length; i++)
        {
            var person = Person(i);
            restedAt[person] = Math.Max(restedAt[person], day.Contenders[i].RestedAt);
        }

        for (var s = 0; s < day.Stages.Length; s++)
        {
            stageLeft[s] = day.Stages[s].Bouts;
        }

        for (var c = 0; c < day.Competitions.Length; c++)
        {
            lengths[2 * c] = Lengths(pools[c], 4 * c);
            lengths[(2 * c) + 1] = Lengths(eliminations[c], (4 * c) + 2);
            Draw(day.Competitions[c]);
        }

        for (var b = 0; b < day.Bouts.Length; b++)
        {
            left[b] = day.Bouts[b].Left;
            right[b] = day.Bouts[b].Right;
        }

        for (var t = 0; t < day.Turns.Length; t++)
        {
            if (!day.Turns[t].UnderWay && StripWanted(t) is >= 0 and var wanted)
            {
                stripWanted[wanted]++;
            }
        }

        // What is under way has its strip, the ones that are known first.
        foreach (var known in new[] { true, false })
        {
            for (var t = 0; t < day.Turns.Length; t++)
            {
                if (day.Turns[t].UnderWay && StripWanted(t) >= 0 == known)
                {
                    Hold(t, known && stripTaken[StripWanted(t)] == 0 ? StripWanted(t) : AnyFreeStrip(t));
                }
            }
        }

        // Before anything else can begin, so that its fencers are known to be busy.
        for (var t = 0; t < day.Turns.Length; t++)
        {
            if (day.Turns[t].UnderWay && !double.IsNaN(day.Bouts[day.Turns[t].FirstBout].Elapsed))
            {
                turnTold[t] = true;
                Begin(day.Turns[t].FirstBout, 0);
            }
        }
    }

    private (double Mean, double Spread) Lengths(LengthEstimate estimate, int lot) => courses == 0
        ? (Math.Log(estimate.Mean), 0)
        : estimate.Draw(Stratified(lot), Stratified(lot + 1));

    private double Stratified(int lot) => Normal.Quantile((strata[lot][course] + 0.5) / courses);

    /// <summary>Who takes which slot of what is not drawn yet.</summary>
    private void Draw(HallCompetition competition)
    {
        for (var i = 0; i < competition.Contenders; i++)
        {
            order[competition.FirstContender + i] = competition.FirstContender + i;
        }

        for (var last = competition.Contenders - 1; last > 0 && courses > 0; last--)
        {
            var chosen = (int)(Lot(unchecked((ulong)(competition.FirstContender + last) * 7919)) * (last + 1));
            var (one, other) = (competition.FirstContender + last, competition.FirstContender + chosen);
            (order[one], order[other]) = (order[other], order[one]);
        }
    }

    private void OpenStage(int s, double time)
    {
        if (stageOpen[s])
        {
            return;
        }

        stageOpen[s] = true;
        var stage = day.Stages[s];
        for (var t = stage.FirstTurn; t < stage.FirstTurn + stage.Turns; t++)
        {
            var turn = day.Turns[t];
            for (var b = turn.FirstBout; b < turn.FirstBout + turn.Bouts; b++)
            {
                left[b] = Drawn(left[b], stage.Competition);
                right[b] = Drawn(right[b], stage.Competition);
            }
        }

        // The last eight belong to the same tableau; only a plan can keep them waiting.
        if (SameTableauFollows(s))
        {
            OpenStage(s + 1, time);
        }

        for (var t = stage.FirstTurn; t < stage.FirstTurn + stage.Turns; t++)
        {
            if (stage.InPools || (left[day.Turns[t].FirstBout] != HallDay.Awaited && right[day.Turns[t].FirstBout] != HallDay.Awaited))
            {
                Seated(t, time);
            }
        }

        if (stage.Bouts == 0)
        {
            StageOver(s, time);
        }
    }

    private int Drawn(int seat, int competition)
    {
        if (seat > HallDay.FirstSlot)
        {
            return seat;
        }

        var slot = HallDay.FirstSlot - seat;
        var (first, count) = (day.Competitions[competition].FirstContender, day.Competitions[competition].Contenders);
        return slot < count ? order[first + slot] : HallDay.Nobody;
    }

    private bool SameTableauFollows(int s) => IsLast(s) is false && !day.Stages[s].InPools && !day.Stages[s + 1].InPools;

    private bool IsLast(int s) => s + 1 == day.Stages.Length || day.Stages[s + 1].Competition != day.Stages[s].Competition;

    /// <summary>All fencers of a turn are known: it can be fenced from when they are rested, or it is over at once.</summary>
    private void Seated(int t, double time)
    {
        var turn = day.Turns[t];
        var stage = day.Stages[turn.Stage];
        if (!stageOpen[turn.Stage] || turnTold[t])
        {
            return;
        }

        turnTold[t] = true;

        if (!stage.InPools && (left[turn.FirstBout] < 0 || right[turn.FirstBout] < 0))
        {
            var b = turn.FirstBout;
            turnDone[t] = 1;
            Send(b, Math.Max(left[b], right[b]), HallDay.Nobody, time);
            BoutOver(turn.Stage, time);
            return;
        }

        events.Enqueue(TurnEvent - t, turn.UnderWay ? time : Math.Max(time, Math.Max(stage.PlannedFrom, RestedAt(turn.FirstBout, stage))));
    }

    private double RestedAt(int bout, HallStage stage)
    {
        var (one, other) = (Person(left[bout]), Person(right[bout]));
        var free = Math.Max(busyUntil[one], busyUntil[other]);
        return stage.InPools ? free : Math.Max(free, Math.Max(restedAt[one], restedAt[other]));
    }

    private void ComeReady(int t, double time)
    {
        if (turnStrip[t] == NotHeld)
        {
            ready.Add((t, ReadySince(t)));
            return;
        }

        var bout = day.Turns[t].FirstBout + turnDone[t];
        if (!Waits(t, bout, time))
        {
            Begin(bout, time);
        }
    }

    /// <summary>Since when nothing but a strip is missing to a turn, as the order of calling has it: no rest is long ago.</summary>
    private double ReadySince(int t)
    {
        var (bout, stage) = (day.Turns[t].FirstBout, day.Stages[day.Turns[t].Stage]);
        return stage.InPools ? stage.PlannedFrom : Math.Max(restedAt[Person(left[bout])], restedAt[Person(right[bout])]);
    }

    /// <summary>Whether a fencer of a bout is busy or rests; then its turn comes up again when he does not.</summary>
    private bool Waits(int t, int bout, double time)
    {
        if (RestedAt(bout, day.Stages[day.Turns[t].Stage]) is var free && free > time)
        {
            events.Enqueue(TurnEvent - t, free);
            return true;
        }

        return false;
    }

    private void GiveStrips(double time)
    {
        while (freeStrips > 0 && ready.Count > 0)
        {
            choice++;
            var first = -1;
            for (var i = ready.Count - 1; i >= 0; i--)
            {
                var turn = ready[i].Turn;
                if (StripWanted(turn) is >= 0 and var wanted ? stripTaken[wanted] > 0 : IsWithoutStrip(turn))
                {
                    continue;
                }

                if (first < 0 || Before(ready[i], ready[first]))
                {
                    first = i;
                }
            }

            if (first < 0)
            {
                return;
            }

            var t = ready[first].Turn;
            ready.RemoveAt(first);
            if (Waits(t, day.Turns[t].FirstBout, time))
            {
                continue;
            }

            var strip = StripWanted(t);
            if (strip >= 0)
            {
                stripWanted[strip]--;
            }

            Hold(t, strip >= 0 ? strip : AnyFreeStrip(t));
            Begin(day.Turns[t].FirstBout, time);
        }
    }

    /// <summary>As <see cref="Elimination.CallingOrder"/>: the longest chain, then whose opponent waits, then who is ready longest, then from the top.</summary>
    private bool Before((int Turn, double Since) one, (int Turn, double Since) other)
    {
        var longer = day.Turns[one.Turn].Chain - day.Turns[other.Turn].Chain;
        if (Math.Abs(longer) > 1e-6)
        {
            return longer > 0;
        }

        var (awaited, otherAwaited) = (OpponentWaits(one.Turn), OpponentWaits(other.Turn));
        return awaited != otherAwaited ? awaited : one.Since != other.Since ? one.Since < other.Since : one.Turn < other.Turn;
    }

    private bool OpponentWaits(int t)
    {
        var next = day.Bouts[day.Turns[t].FirstBout].WinnerTo;
        return next >= 0 && (left[next] == HallDay.Awaited) != (right[next] == HallDay.Awaited);
    }

    private int StripWanted(int t) => otherwise.HasFlag(Otherwise.StripsForAll) ? -1 : day.Turns[t].Strip;

    private bool[]? Serves(int t) => otherwise.HasFlag(Otherwise.StripsForAll) ? null : day.Competitions[CompetitionOf(t)].Serves;

    private int CompetitionOf(int t) => day.Stages[day.Turns[t].Stage].Competition;

    /// <summary>Whether no free strip serves the competition of a turn: asked once for all of its turns that are ready.</summary>
    private bool IsWithoutStrip(int t)
    {
        if (Serves(t) is null)
        {
            return false;
        }

        ref var known = ref withoutStrip[CompetitionOf(t)];
        if (known.Choice != choice)
        {
            known = (choice, AnyFreeStrip(t) == NoStrip);
        }

        return known.None;
    }

    /// <summary>The free strip that fewest turns want and, of those, that serves fewest competitions; none when no free one serves that of the turn.</summary>
    private int AnyFreeStrip(int t)
    {
        var serves = Serves(t);
        var best = NoStrip;
        for (var i = 0; i < stripTaken.Length; i++)
        {
            if (stripTaken[i] == 0 && serves?[i] != false && (best == NoStrip || stripWanted[i] < stripWanted[best]
                || (stripWanted[i] == stripWanted[best] && stripUses[i] < stripUses[best])))
            {
                best = i;
            }
        }

        return best;
    }

    private void Hold(int t, int strip)
    {
        turnStrip[t] = strip;
        if (strip != NoStrip)
        {
            stripTaken[strip]++;
            freeStrips--;
        }
    }

    private void Begin(int b, double time)
    {
        var bout = day.Bouts[b];
        var s = day.Turns[bout.Turn].Stage;
        var begin = day.Open(time);
        var lasted = double.IsNaN(bout.Elapsed) ? 0 : bout.Elapsed;
        Ends[b] = day.After(begin, Math.Max(0, Length(bout, s) - lasted));
        if (double.IsNaN(bout.Elapsed) || bout.Given.Unseen)
        {
            Begins[b] = begin;
            StageBegins[s] = double.IsNaN(StageBegins[s]) ? begin : Math.Min(StageBegins[s], begin);
            Next(left[b], begin);
            Next(right[b], begin);
        }

        busyUntil[Person(left[b])] = busyUntil[Person(right[b])] = Ends[b];
        if (!day.Stages[s].InPools)
        {
            restedAt[Person(left[b])] = restedAt[Person(right[b])] = Ends[b] + StageToPlan.Rest;
        }

        events.Enqueue(b, Ends[b]);
    }

    private void Next(int contender, double begin) =>
        NextOf[contender] = double.IsNaN(NextOf[contender]) ? begin : Math.Min(NextOf[contender], begin);

    private double Length(HallBout bout, int s)
    {
        var (mean, spread) = lengths[(2 * day.Stages[s].Competition) + (day.Stages[s].InPools ? 0 : 1)];
        if (spread == 0)
        {
            return Math.Exp(mean);
        }

        var lot = Lot(bout.Key);
        if (bout.Elapsed > 0)
        {
            // It takes longer than it has lasted. What should be over long ago is taken for one of the longest.
            var below = Math.Min(0.99, Normal.Below((Math.Log(bout.Elapsed) - mean) / spread));
            lot = below + (lot * (1 - below));
        }

        return Math.Exp(mean + (spread * Normal.Quantile(Math.Min(lot, 1 - 1e-9))));
    }

    private void End(int b, double time)
    {
        var bout = day.Bouts[b];
        var t = bout.Turn;
        var stage = day.Stages[day.Turns[t].Stage];
        turnDone[t]++;
        if (stage.InPools)
        {
            if (turnDone[t] < day.Turns[t].Bouts)
            {
                ComeReady(t, time);
            }
        }
        else
        {
            var leftWins = courses == 0 || Lot(bout.Key ^ 0x5851F42D4C957F2DUL) < 0.5;
            Send(b, leftWins ? left[b] : right[b], leftWins ? right[b] : left[b], time);
        }

        if (turnDone[t] == day.Turns[t].Bouts && turnStrip[t] != NoStrip)
        {
            stripTaken[turnStrip[t]]--;
            freeStrips++;
        }

        BoutOver(day.Turns[t].Stage, time);
    }

    private void Send(int b, int winner, int loser, double time)
    {
        var bout = day.Bouts[b];
        Place(bout.WinnerTo, bout.WinnerSide, winner, time);
        Place(bout.LoserTo, bout.LoserSide, loser, time);
    }

    private void Place(int b, Side side, int who, double time)
    {
        if (b < 0)
        {
            return;
        }

        (side == Side.Left ? left : right)[b] = who;
        if (left[b] != HallDay.Awaited && right[b] != HallDay.Awaited)
        {
            Seated(day.Bouts[b].Turn, time);
        }
    }

    private void BoutOver(int s, double time)
    {
        if (--stageLeft[s] == 0)
        {
            StageOver(s, time);
        }
    }

    private void StageOver(int s, double time)
    {
        StageEnds[s] = time;
        if (!IsLast(s) && !stageOpen[s + 1])
        {
            events.Enqueue(StageEvent + s + 1, time + (day.Stages[s + 1].Given.Drawn ? 0 : StageToPlan.DrawingPause));
        }
    }

    private int Person(int contender) => otherwise.HasFlag(Otherwise.NobodyTwice) ? contender : day.Contenders[contender].Person;

    /// <summary>
    /// A lot between 0 and 1 that belongs to a thing and a course: a bout draws the same one in each forecast, so that a
    /// forecast changes by what happened and not by chance. The mixing is that of SplitMix64, see <see cref="LotSequence"/>.
    /// </summary>
    private double Lot(ulong key)
    {
        unchecked
        {
            var z = key + (0x9E3779B97F4A7C15UL * ((ulong)course + 1)) + (seed * 0xD1B54A32D192ED03UL);
            z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9UL;
            z = (z ^ (z >> 27)) * 0x94D049BB133111EBUL;
            z ^= z >> 31;
            z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9UL;
            z = (z ^ (z >> 27)) * 0x94D049BB133111EBUL;
            z ^= z >> 31;
            return ((z >> 11) + 0.5) / (1UL << 53);
        }
    }
}
