using System.Collections.Immutable;
using BoutDesk.Domain.Elimination;

namespace BoutDesk.Domain.Bouts;

/// <summary>How far a bout is.</summary>
public enum BoutStatus
{
    /// <summary>A fencer is not known yet.</summary>
    Waiting,

    /// <summary>It can be fenced; nothing was recorded yet.</summary>
    Open,

    /// <summary>It has begun.</summary>
    Fencing,

    /// <summary>It has a result, or nobody who could win it.</summary>
    Decided,

    /// <summary>It does not count.</summary>
    Annulled,
}

/// <summary>Something recorded during a bout that can be taken back.</summary>
/// <param name="Kind">What it was.</param>
/// <param name="Side">Who for, or to whom; for a double touch and for time it has no meaning.</param>
/// <param name="Card">The card, for a card.</param>
/// <param name="Group">The group of the offence, 1 to 4, for a card that followed from it.</param>
/// <param name="At">When it began, for a break.</param>
public readonly record struct BoutAction(
    BoutActionKind Kind, Side Side, Card Card = default, int? Group = null, DateTimeOffset? At = null);

/// <summary>The kinds of <see cref="BoutAction"/>.</summary>
public enum BoutActionKind
{
    /// <summary>A touch for one side.</summary>
    Touch,

    /// <summary>An épée double touch.</summary>
    DoubleTouch,

    /// <summary>A card.</summary>
    Card,

    /// <summary>Time ran out.</summary>
    Time,

    /// <summary>Priority was drawn.</summary>
    Priority,

    /// <summary>A medical break.</summary>
    Break,
}

/// <summary>A result as it was confirmed.</summary>
/// <param name="Score">The touches.</param>
/// <param name="Winner">The winner.</param>
public sealed record DeclaredResult(Score Score, Side Winner);

/// <summary>What the recorded actions amount to.</summary>
/// <param name="Score">The touches.</param>
/// <param name="Winner">The winner, or null while the bout goes on.</param>
/// <param name="Period">The period being fenced, from 1.</param>
/// <param name="Priority">Who has priority, or null.</param>
/// <param name="PriorityDue">True when time has run out at a level score and priority must be drawn.</param>
/// <param name="Interval">The interruption that was recorded last, if no touch, time or priority was recorded since.</param>
public readonly record struct BoutCourse(
    Score Score, Side? Winner, int Period, Side? Priority, bool PriorityDue, BoutInterval? Interval);

/// <summary>
/// A bout between two fencers, in a pool or in the elimination, folded from its events. Immutable.
/// </summary>
/// <remarks>
/// Rules: Organisation book, o.17 (end of a bout, priority, double touches at a level score one short of the
/// target). Cards, medical breaks and the periods of sabre: Technical book, from memory.
/// </remarks>
public sealed record Bout
{
    /// <summary>The identifier, see <see cref="Identifiers"/>.</summary>
    public required string Id { get; init; }

    /// <summary>The competition it belongs to.</summary>
    public required string CompetitionId { get; init; }

    /// <summary>The pool, or null in the elimination.</summary>
    public string? PoolId { get; init; }

    /// <summary>The pool round from 1, or null in the elimination.</summary>
    public int? Round { get; init; }

    /// <summary>The table (2 for the final, 4 for the semi-finals, …), or null in a pool.</summary>
    public int? TableOf { get; init; }

    /// <summary>What it is for in the elimination, or null in a pool.</summary>
    public TableauStage? Stage { get; init; }

    /// <summary>Its place in the order of bouts of its pool or table, from 1.</summary>
    public int Order { get; init; }

    /// <summary>The rules it is fenced by.</summary>
    public required BoutRules Rules { get; init; }

    /// <summary>The strip it is fenced on, or null.</summary>
    public string? StripId { get; init; }

    /// <summary>Who is on the left.</summary>
    public required Seat Left { get; init; }

    /// <summary>Who is on the right.</summary>
    public required Seat Right { get; init; }

    /// <summary>Where the winner goes.</summary>
    public SeatLink? WinnerTo { get; init; }

    /// <summary>Where the loser goes.</summary>
    public SeatLink? LoserTo { get; init; }

    /// <summary>What was recorded, in order, less what was taken back.</summary>
    public ImmutableArray<BoutAction> Actions { get; init; } = [];

    /// <summary>What the clock showed last, one reading for each period in which somebody touched it.</summary>
    public ImmutableArray<ClockReading> ClockReadings { get; init; } = [];

    /// <summary>The confirmed result, or null.</summary>
    public DeclaredResult? Declared { get; init; }

    /// <summary>The fencers whose leaving annuls it.</summary>
    public ImmutableArray<string> AnnulledBy { get; init; } = [];

    /// <summary>True when its round was closed.</summary>
    public bool Sealed { get; init; }

    /// <summary>True when its draw was scrapped.</summary>
    public bool Struck { get; init; }

    /// <summary>When the first of its fencing was recorded, or null; known to the store, as its end is.</summary>
    public DateTimeOffset? BegunAt { get; init; }

    /// <summary>When it was fenced to its end, or null; known to the store, which notes when each event was kept.</summary>
    public DateTimeOffset? EndedAt { get; init; }

    /// <summary>How many events it was folded from, from 1.</summary>
    public int Version { get; init; }

    /// <summary>True in a pool.</summary>
    public bool InPool => PoolId is not null;

    /// <summary>True when no touch, card or result was recorded and the clock stands at the full time.</summary>
    public bool Untouched => Actions.IsEmpty && Declared is null && !ClockMoved;

    /// <summary>True when it is decided without fencing: a bye, or somebody is out.</summary>
    public bool Walkover => Left.IsKnown && Right.IsKnown && !(Left.CanWin && Right.CanWin);

    /// <summary>How far it is.</summary>
    public BoutStatus Status
    {
        get
        {
            if (Struck || !AnnulledBy.IsEmpty)
            {
                return BoutStatus.Annulled;
            }

            if (!Left.IsKnown || !Right.IsKnown)
            {
                return BoutStatus.Waiting;
            }

            if (Walkover || Declared is not null || Course.Winner is not null)
            {
                return BoutStatus.Decided;
            }

            return Untouched ? BoutStatus.Open : BoutStatus.Fencing;
        }
    }

    /// <summary>The touches: those confirmed, else those recorded so far.</summary>
    public Score Score => Declared?.Score ?? Course.Score;

    /// <summary>The winner, or null while undecided, when annulled, or when neither fencer could win.</summary>
    public Side? Winner
    {
        get
        {
            if (Status != BoutStatus.Decided)
            {
                return null;
            }

            if (Walkover)
            {
                return Left.CanWin ? Side.Left : Right.CanWin ? Side.Right : null;
            }

            return Declared?.Winner ?? Course.Winner;
        }
    }

    /// <summary>What the recorded actions amount to, without regard to a confirmed result.</summary>
    public BoutCourse Course => Follow(Rules, Actions);

    /// <summary>What the clock of the period being fenced showed last; the full time when nobody has touched it.</summary>
    public ClockReading Clock
    {
        get
        {
            var period = ClockPeriod;
            var reading = Reading(period) ?? new ClockReading(period, Rules.PeriodMs(period), null, Running: false, 0);
            return Status is BoutStatus.Decided or BoutStatus.Annulled ? reading with { Running = false } : reading;
        }
    }

    /// <summary>The break that is going on, or null. The start of the clock ends it, and so does the next touch.</summary>
    public BoutInterval? Interval
    {
        get
        {
            var course = Course;
            if (Status != BoutStatus.Fencing || course.Interval is not { } interval || Clock.StartedAfter > interval.Action)
            {
                return null;
            }

            // The halt that ended a period is told by its clock.
            return interval.Phase == BoutPhase.MedicalBreak ? interval : interval with { Since = Reading(course.Period - 1)?.At };
        }
    }

    /// <summary>What is going on.</summary>
    public BoutPhase Phase => Status switch
    {
        BoutStatus.Decided or BoutStatus.Annulled => BoutPhase.Over,
        BoutStatus.Waiting or BoutStatus.Open => BoutPhase.Ready,
        _ when Interval is { } interval => interval.Phase,
        _ when Course.Priority is not null => BoutPhase.ExtraMinute,
        _ => Clock.Running ? BoutPhase.Fencing : BoutPhase.Halted,
    };

    /// <summary>What is to be done next.</summary>
    public BoutStep Next => Status switch
    {
        BoutStatus.Annulled => BoutStep.Nothing,
        BoutStatus.Waiting => BoutStep.Await,
        BoutStatus.Decided => Walkover || Declared is not null ? BoutStep.Nothing : BoutStep.ConfirmResult,
        _ when Course.PriorityDue => BoutStep.DrawPriority,
        _ => Interval is null ? BoutStep.Fence : BoutStep.EndBreak,
    };

    /// <summary>One of the two seats.</summary>
    public Seat SeatOf(Side side) => side == Side.Left ? Left : Right;

    /// <summary>The side of an entrant, or null when he is not in this bout.</summary>
    public Side? SideOf(string entrantId) =>
        Left.EntrantId == entrantId ? Side.Left : Right.EntrantId == entrantId ? Side.Right : null;

    /// <summary>True when the fencer was excluded by a black card in this bout.</summary>
    public bool BlackCard(Side side) =>
        Actions.Any(a => a.Kind == BoutActionKind.Card && a.Card == Card.Black && a.Side == side);

    /// <summary>
    /// Follows a bout through its recorded actions: a touch that reaches the target ends it; when time runs out
    /// the leader wins with the touches there are; at a level score priority is drawn and one more minute is
    /// fenced, in which the first touch wins, and at whose end the fencer with priority wins at the level score.
    /// </summary>
    /// <remarks>
    /// An épée double touch counts for both, but not at a level score one short of the target (Organisation book,
    /// o.17), and not in the minute after priority was drawn (common practice). In sabre the first of several periods
    /// also ends when a fencer has half of the target (<see cref="BoutRules.IsSabreHalf"/>).
    /// </remarks>
    public static BoutCourse Follow(BoutRules rules, ImmutableArray<BoutAction> actions)
    {
        var score = new Score(0, 0);
        var period = 1;
        Side? priority = null;
        Side? winner = null;
        var priorityDue = false;
        BoutInterval? interval = null;

        for (var i = 0; i < actions.Length; i++)
        {
            var action = actions[i];

            // What stands after the end was recorded before something earlier was taken back. It does not count.
            if (winner is not null)
            {
                break;
            }

            switch (action.Kind)
            {
                case BoutActionKind.Touch:
                    interval = null;
                    Touch(action.Side, i);
                    break;
                case BoutActionKind.DoubleTouch:
                    interval = null;
                    if (DoubleCounts(rules, score, priority))
                    {
                        score = new Score(score.Left + 1, score.Right + 1);
                        if (Math.Max(score.Left, score.Right) >= rules.Target)
                        {
                            winner = score.Leader;
                        }
                    }

                    break;
                case BoutActionKind.Card when action.Card == Card.Red:
                    Touch(action.Side.Other(), i);
                    break;
                case BoutActionKind.Card when action.Card == Card.Black:
                    winner = action.Side.Other();
                    break;
                case BoutActionKind.Time when priority is not null:
                    winner = priority;
                    break;
                case BoutActionKind.Time when period < rules.Periods:
                    period++;
                    interval = new BoutInterval(BoutPhase.Pause, i);
                    break;
                case BoutActionKind.Time:
                    interval = null;
                    winner = score.Leader;
                    priorityDue = winner is null;
                    break;
                case BoutActionKind.Priority when priorityDue:
                    interval = null;
                    priority = action.Side;
                    priorityDue = false;
                    break;
                case BoutActionKind.Break:
                    interval = new BoutInterval(BoutPhase.MedicalBreak, i, action.Side, action.At);
                    break;
                default:
                    break;
            }
        }

        return new BoutCourse(score, winner, period, priority, priorityDue && winner is null, winner is null ? interval : null);

        void Touch(Side side, int index)
        {
            score = score.Plus(side);
            // Between time and the draw of priority only a red card gives a touch; the score is no longer level then.
            if (priority is not null || priorityDue || score.Of(side) >= rules.Target)
            {
                winner = side;
            }
            else if (period == 1 && rules.IsSabreHalf(score.Of(side)))
            {
                period++;
                interval = new BoutInterval(BoutPhase.SabreBreak, index);
            }
        }
    }

    /// <summary>Whether an épée double touch counts at this score.</summary>
    public static bool DoubleCounts(BoutRules rules, Score score, Side? priority) =>
        priority is null && !(score.Left == rules.Target - 1 && score.Right == rules.Target - 1);

    /// <summary>The bout after one more event.</summary>
    /// <param name="bout">The bout before it, or null before the first.</param>
    /// <param name="id">The identifier of the bout.</param>
    /// <param name="happened">What happened.</param>
    /// <exception cref="InvalidOperationException">The event cannot follow, which means that the store is damaged.</exception>
    public static Bout Evolve(Bout? bout, string id, IBoutEvent happened)
    {
        if (happened is BoutProgrammed programmed)
        {
            return new Bout
            {
                Id = id,
                CompetitionId = programmed.CompetitionId,
                PoolId = programmed.PoolId,
                Round = programmed.Round,
                TableOf = programmed.TableOf,
                Stage = programmed.Stage,
                Order = programmed.Order,
                Rules = programmed.Rules,
                Left = programmed.Left,
                Right = programmed.Right,
                WinnerTo = programmed.WinnerTo,
                LoserTo = programmed.LoserTo,
                Version = 1,
            };
        }

        if (bout is null)
        {
            throw new InvalidOperationException($"Bout {id} begins with {happened.GetType().Name}; it must begin with {nameof(BoutProgrammed)}.");
        }

        var next = happened switch
        {
            SeatTaken taken => bout.WithSeat(taken.Side, taken.Seat) with { ClockReadings = [] },
            StripAssigned assigned => bout with { StripId = assigned.StripId },
            TouchScored { Side: TouchSide.Both } => bout.Add(new BoutAction(BoutActionKind.DoubleTouch, default)),
            TouchScored touch => bout.Add(new BoutAction(BoutActionKind.Touch, touch.Side == TouchSide.Left ? Side.Left : Side.Right)),
            TouchTakenBack => bout.WithoutLast(IsTouch),
            CardShown card => bout.Add(new BoutAction(BoutActionKind.Card, card.Side, card.Card, card.Group)),
            CardTakenBack => bout.WithoutLast(IsCard),
            TimeRanOut => bout.Add(new BoutAction(BoutActionKind.Time, default)),
            TimeTakenBack => bout.WithoutLastTime(),
            PriorityDrawn drawn => bout.Add(new BoutAction(BoutActionKind.Priority, drawn.Side)),
            PriorityTakenBack => bout.WithoutLast(IsPriority),
            BreakTaken { Kind: BreakKind.Medical } taken => bout.Add(new BoutAction(BoutActionKind.Break, taken.Side, At: taken.At)),
            BreakTakenBack => bout.WithoutLast(IsBreak),
            ClockStarted clock => bout.WithReading(clock.RemainingMs, clock.At, running: true),
            ClockHalted clock => bout.WithReading(clock.RemainingMs, clock.At, running: false),
            ClockSet clock => bout.WithReading(clock.RemainingMs, clock.At, running: false),
            ResultRecorded result => bout with { Declared = new DeclaredResult(result.Score, result.Winner) },
            ResultCorrected result => bout with { Declared = new DeclaredResult(result.Score, result.Winner) },
            ResultTakenBack => bout with { Declared = null },
            BoutCleared => bout with { Actions = [], Declared = null, ClockReadings = [] },
            FencerOut fencer => bout.WithSeat(fencer.Side, bout.SeatOf(fencer.Side) with { Out = true }),
            FencerBack fencer => bout.WithSeat(fencer.Side, bout.SeatOf(fencer.Side) with { Out = false }),
            BoutAnnulled annulled => bout with { AnnulledBy = bout.AnnulledBy.Add(annulled.EntrantId) },
            BoutRestored restored => bout with { AnnulledBy = bout.AnnulledBy.Remove(restored.EntrantId) },
            BoutSealed => bout with { Sealed = true },
            BoutStruck => bout with { Struck = true },
            _ => throw new InvalidOperationException($"A bout knows no event {happened.GetType().Name}."),
        };
        return next with { Version = bout.Version + 1 };
    }

    internal static bool IsTouch(BoutAction action) => action.Kind is BoutActionKind.Touch or BoutActionKind.DoubleTouch;

    internal static bool IsCard(BoutAction action) => action.Kind == BoutActionKind.Card;

    internal static bool IsTime(BoutAction action) => action.Kind == BoutActionKind.Time;

    internal static bool IsPriority(BoutAction action) => action.Kind == BoutActionKind.Priority;

    internal static bool IsBreak(BoutAction action) => action.Kind == BoutActionKind.Break;

    /// <summary>The bout with one more action, which halts the clock. Clocks of later periods are left from what was taken back.</summary>
    internal Bout Add(BoutAction action)
    {
        var period = ClockPeriod;
        return this with
        {
            Actions = Actions.Add(action),
            ClockReadings = [.. ClockReadings.Where(r => r.Period <= period).Select(r => r with { Running = false })],
        };
    }

    internal Bout WithoutLast(Func<BoutAction, bool> which) => With(Actions.RemoveAt(LastOf(which)));

    private Bout WithoutLastTime()
    {
        var time = LastOf(IsTime);
        return With([.. Actions[..time], .. Actions[(time + 1)..].Where(a => !IsPriority(a))]);
    }

    private int LastOf(Func<BoutAction, bool> which)
    {
        for (var i = Actions.Length - 1; i >= 0; i--)
        {
            if (which(Actions[i]))
            {
                return i;
            }
        }

        throw new InvalidOperationException($"Bout {Id} has nothing of this kind to take back.");
    }

    private Bout With(ImmutableArray<BoutAction> fewer) => this with
    {
        Actions = fewer,
        ClockReadings = [.. ClockReadings.Select(r => r with { StartedAfter = Math.Min(r.StartedAfter, fewer.Length) })],
    };

    private int ClockPeriod => Course is { Priority: null, Period: var period } ? period : Rules.Periods + 1;

    private bool ClockMoved => Reading(1) is { } first && (first.Running || first.RemainingMs != Rules.PeriodMs(1));

    private ClockReading? Reading(int period) =>
        ClockReadings.Where(r => r.Period == period).Select(r => (ClockReading?)r).FirstOrDefault();

    private Bout WithReading(int remainingMs, DateTimeOffset at, bool running)
    {
        var period = ClockPeriod;
        var startedAfter = running ? Actions.Length : Reading(period)?.StartedAfter ?? 0;
        return this with
        {
            ClockReadings = [.. ClockReadings.Where(r => r.Period != period), new ClockReading(period, remainingMs, at, running, startedAfter)],
        };
    }

    private Bout WithSeat(Side side, Seat seat) => side == Side.Left ? this with { Left = seat } : this with { Right = seat };
}
