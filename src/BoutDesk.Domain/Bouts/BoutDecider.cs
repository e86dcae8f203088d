using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Seeding;

namespace BoutDesk.Domain.Bouts;

/// <summary>Who asks for something that only the desk may do.</summary>
public enum Authority
{
    /// <summary>A referee at the strip: everything up to the confirmed result.</summary>
    Referee,

    /// <summary>The desk: corrections too.</summary>
    Desk,
}

/// <summary>Decides what becomes of a bout. Pure: the same bout and command give the same decision.</summary>
public static class BoutDecider
{
    /// <summary>Scores a touch for one fencer, or in épée for both.</summary>
    /// <param name="bout">The bout.</param>
    /// <param name="side">Who for.</param>
    /// <param name="at">When, by the recording device's clock, or null.</param>
    public static Decision ScoreTouch(Bout bout, TouchSide side, DateTimeOffset? at)
    {
        if (side == TouchSide.Both && bout.Rules.Weapon != Weapon.Epee)
        {
            return new Refusal(
                RefusalReason.NoDoubleTouch,
                $"Only épée knows double touches. Decide by right of way, or give no touch.") { Field = "side" };
        }

        if (WhyNotScored(bout) is { } refusal)
        {
            return refusal;
        }

        if (bout.Course.PriorityDue)
        {
            return PriorityMissing();
        }

        var action = side == TouchSide.Both
            ? new BoutAction(BoutActionKind.DoubleTouch, default)
            : new BoutAction(BoutActionKind.Touch, side == TouchSide.Left ? Side.Left : Side.Right);
        return Accept(bout, new TouchScored(side, bout.Add(action).Course.Score, at));
    }

    /// <summary>Takes the last touch back. Time, priority and cards recorded after it stay.</summary>
    public static Decision TakeBackTouch(Bout bout) => TakeBack(
        bout,
        Bout.IsTouch,
        () => new TouchTakenBack(bout.WithoutLast(Bout.IsTouch).Course.Score),
        $"No touch was scored in this bout, so there is none to take back.");

    /// <summary>
    /// Shows a card. A red card gives the opponent a touch, which can end the bout. A black card ends it; the
    /// exclusion from the competition is decided with the competition.
    /// </summary>
    /// <param name="bout">The bout.</param>
    /// <param name="side">To whom.</param>
    /// <param name="card">Which.</param>
    /// <param name="reason">The offence; not blank.</param>
    /// <param name="group">The group of the offence, when the card follows from it by <see cref="Penalties.CardFor"/>; else null.</param>
    public static Decision ShowCard(Bout bout, Side side, Card card, string reason, int? group = null)
    {
        if (WhyNotScored(bout) is { } refusal)
        {
            return refusal;
        }

        if (card == Card.Yellow && bout.Actions.Any(a => a.Kind == BoutActionKind.Card && a.Side == side))
        {
            return new Refusal(
                RefusalReason.AlreadyWarned,
                $"This fencer has a card in this bout already. A further offence of the first group gets a red card.") { Field = "card" };
        }

        var after = bout.Add(new BoutAction(BoutActionKind.Card, side, card, group));
        return Accept(bout, new CardShown(side, card, reason, after.Course.Score, group));
    }

    /// <summary>Takes the last card back. A black card is lifted by bringing the fencer back at the desk.</summary>
    public static Decision TakeBackCard(Bout bout) => bout.Actions.Any(Bout.IsCard) && bout.Actions.Last(Bout.IsCard).Card == Card.Black
        ? WhyNotTakenBack(bout) ?? new Refusal(RefusalReason.DeskOnly, $"A black card excluded the fencer. The desk lifts it by reinstating him.")
        : TakeBack(
            bout,
            Bout.IsCard,
            () => new CardTakenBack(bout.WithoutLast(Bout.IsCard).Course.Score),
            $"No card was shown in this bout, so there is none to take back.");

    /// <summary>
    /// Says that time has run out. Before the last period it begins the next; in the last it ends the bout for the
    /// leader; at a level score priority becomes due; in the minute after priority the fencer with priority wins.
    /// </summary>
    public static Decision RunOutOfTime(Bout bout)
    {
        if (WhyNotScored(bout) is { } refusal)
        {
            return refusal;
        }

        return bout.Course.PriorityDue ? PriorityMissing() : Accept(bout, new TimeRanOut());
    }

    /// <summary>Takes back that time has run out, and priority drawn since then. Touches and cards recorded after it stay.</summary>
    public static Decision TakeBackTime(Bout bout) => TakeBack(
        bout, Bout.IsTime, () => new TimeTakenBack(), $"Time did not run out in this bout, so there is none to take back.");

    /// <summary>Gives priority, drawn by hand at the strip or by lot from a seed.</summary>
    /// <param name="bout">The bout.</param>
    /// <param name="drawnByHand">Who drew it, or null to draw by lot.</param>
    /// <param name="seed">The seed of the lot.</param>
    public static Decision DrawPriority(Bout bout, Side? drawnByHand, DrawSeed seed)
    {
        if (WhyNotScored(bout) is { } refusal)
        {
            return refusal;
        }

        if (!bout.Course.PriorityDue)
        {
            return new Refusal(
                RefusalReason.PriorityNotDue,
                $"Priority is drawn once, when the fencing time of the last period has run out at a level score. Record that time has run out first.");
        }

        return drawnByHand is { } side
            ? Accept(bout, new PriorityDrawn(side, null))
            : Accept(bout, new PriorityDrawn(seed.Lots().Below(2) == 0 ? Side.Left : Side.Right, seed.Value));
    }

    /// <summary>Takes priority back, to be drawn again. What was recorded after it stays.</summary>
    public static Decision TakeBackPriority(Bout bout) => TakeBack(
        bout, Bout.IsPriority, () => new PriorityTakenBack(), $"Priority was not drawn in this bout, so there is none to take back.");

    /// <summary>Notes that a fencer takes a break. Whether he is allowed it is for the referee.</summary>
    /// <param name="bout">The bout.</param>
    /// <param name="side">Who.</param>
    /// <param name="kind">What for.</param>
    /// <param name="at">When it began, or null.</param>
    public static Decision TakeBreak(Bout bout, Side side, BreakKind kind, DateTimeOffset? at) =>
        WhyNotScored(bout) is { } refusal ? refusal : Accept(bout, new BreakTaken(side, kind, at));

    /// <summary>Takes the last break back.</summary>
    public static Decision TakeBackBreak(Bout bout) => TakeBack(
        bout, Bout.IsBreak, () => new BreakTakenBack(), $"No break was taken in this bout, so there is none to take back.");

    /// <summary>
    /// Takes back what was recorded last, whatever it was: a touch, a card, time, priority or a break. The clock stays
    /// as it is, unless the bout returns to an earlier period. A black card is lifted by bringing the fencer back at the desk.
    /// </summary>
    public static Decision TakeBackLast(Bout bout) => bout.Actions.IsEmpty
        ? WhyNotTakenBack(bout) ?? new Refusal(RefusalReason.NothingToTakeBack, $"Nothing was recorded in this bout, so there is nothing to take back.")
        : bout.Actions[^1].Kind switch
        {
            BoutActionKind.Card => TakeBackCard(bout),
            BoutActionKind.Time => TakeBackTime(bout),
            BoutActionKind.Priority => TakeBackPriority(bout),
            BoutActionKind.Break => TakeBackBreak(bout),
            _ => TakeBackTouch(bout),
        };

    /// <summary>Starts the clock. Running already, it goes on, unless another time is told.</summary>
    /// <param name="bout">The bout.</param>
    /// <param name="remainingMs">The time it shows in milliseconds, 0 to an hour; null for what it showed last.</param>
    /// <param name="at">When.</param>
    public static Decision StartClock(Bout bout, int? remainingMs, DateTimeOffset at)
    {
        if ((WhyNoTime(remainingMs) ?? WhyNotScored(bout)) is { } refusal)
        {
            return refusal;
        }

        if (bout.Course.PriorityDue)
        {
            return PriorityMissing();
        }

        return bout.Clock.Running && remainingMs is null
            ? Decision.Nothing
            : Accept(bout, new ClockStarted(remainingMs ?? bout.Clock.RemainingMs, at));
    }

    /// <summary>Halts the clock. When it stands, or the bout is over, nothing changes.</summary>
    /// <param name="bout">The bout.</param>
    /// <param name="remainingMs">The time it shows in milliseconds, 0 to an hour; null to reckon it from the start.</param>
    /// <param name="at">When.</param>
    public static Decision HaltClock(Bout bout, int? remainingMs, DateTimeOffset at)
    {
        if (WhyNoTime(remainingMs) is { } invalid)
        {
            return invalid;
        }

        // The last touch has halted it, and the phone says so too.
        if (bout.Status == BoutStatus.Decided)
        {
            return Decision.Nothing;
        }

        var remaining = remainingMs ?? bout.Clock.RemainingAt(at);
        return WhyNotScored(bout) is { } refusal
            ? refusal
            : !bout.Clock.Running && remaining == bout.Clock.RemainingMs ? Decision.Nothing : Accept(bout, new ClockHalted(remaining, at));
    }

    /// <summary>Sets the clock to a time. It stands then.</summary>
    /// <param name="bout">The bout.</param>
    /// <param name="remainingMs">The time in milliseconds, 0 to an hour.</param>
    /// <param name="at">When.</param>
    public static Decision SetClock(Bout bout, int remainingMs, DateTimeOffset at)
    {
        if ((WhyNoTime(remainingMs) ?? WhyNotScored(bout)) is { } refusal)
        {
            return refusal;
        }

        return !bout.Clock.Running && bout.Clock.RemainingMs == remainingMs ? Decision.Nothing : Accept(bout, new ClockSet(remainingMs, at));
    }

    /// <summary>
    /// Decides on something that happens at a halt, such as a touch: a clock that runs is halted first. A refusal leaves
    /// it running, and no state of the clock is a reason to refuse.
    /// </summary>
    /// <param name="bout">The bout.</param>
    /// <param name="remainingMs">The time that the clock shows in milliseconds, 0 to an hour; null to reckon it from the start.</param>
    /// <param name="at">When.</param>
    /// <param name="decide">Decides on the bout with its clock halted.</param>
    public static Decision AtHalt(Bout bout, int? remainingMs, DateTimeOffset at, Func<Bout, Decision> decide)
    {
        if (WhyNoTime(remainingMs) is { } invalid)
        {
            return invalid;
        }

        if (!bout.Clock.Running)
        {
            return decide(bout);
        }

        var halted = new ClockHalted(remainingMs ?? bout.Clock.RemainingAt(at), at);
        var decision = decide(Bout.Evolve(bout, bout.Id, halted));
        return decision.Facts.IsEmpty ? decision : Decision.Accept([new Fact(bout.Id, halted), .. decision.Facts]);
    }

    /// <summary>
    /// Confirms a result. The same result again changes nothing. Until it is confirmed, whoever scores the bout can
    /// confirm another one than the touches say; afterwards only the desk corrects it.
    /// </summary>
    /// <param name="bout">The bout; a bout of a closed round is corrected with its competition instead.</param>
    /// <param name="score">The touches of both.</param>
    /// <param name="winner">The winner; he can win below the target when time ran out, and at a level score by priority.</param>
    /// <param name="authority">Who confirms.</param>
    /// <param name="reason">Why the desk corrects; may be null when nothing is corrected.</param>
    public static Decision RecordResult(Bout bout, Score score, Side winner, Authority authority, string? reason)
    {
        if (WhyInvalid(bout.Rules, score, winner) is { } invalid)
        {
            return invalid;
        }

        if (bout.Status == BoutStatus.Annulled)
        {
            return Annulled(bout);
        }

        if (bout.Status == BoutStatus.Waiting)
        {
            return NotReady();
        }

        if (bout.Walkover)
        {
            return new Refusal(
                RefusalReason.BoutDecided,
                $"This bout is decided without fencing, because a fencer is out. Reinstate the fencer first.");
        }

        if (bout.Declared == new DeclaredResult(score, winner))
        {
            return Decision.Nothing;
        }

        if (bout.BlackCard(winner))
        {
            return Refusal.Invalid("winner", $"The winner was excluded by a black card in this bout. Reinstate the fencer first.");
        }

        if (bout.Sealed)
        {
            return Closed();
        }

        if (bout.Declared is null)
        {
            return Accept(bout, new ResultRecorded(score, winner));
        }

        return authority == Authority.Desk
            ? Accept(bout, new ResultCorrected(score, winner, reason ?? "corrected at the desk"))
            : new Refusal(RefusalReason.DeskOnly, $"The result was confirmed. Ask the desk to correct it.");
    }

    /// <summary>
    /// Takes a confirmed result back, so that the bout is as it was before: open, or with the touches scored at the strip.
    /// For the desk, in a round that is not closed.
    /// </summary>
    /// <param name="bout">The bout.</param>
    /// <param name="reason">Why.</param>
    public static Decision TakeBackResult(Bout bout, string reason) => bout switch
    {
        { Status: BoutStatus.Annulled } => Annulled(bout),
        { Sealed: true } => Closed(),
        { Declared: null } => new Refusal(RefusalReason.NothingToTakeBack, $"No result was confirmed for this bout. What was scored at the strip is taken back there, touch by touch."),
        _ => Accept(bout, new ResultTakenBack(reason)),
    };

    /// <summary>Says what is wrong with a result by the rules of the bout, or null.</summary>
    public static Refusal? WhyInvalid(BoutRules rules, Score score, Side winner)
    {
        foreach (var side in new[] { Side.Left, Side.Right })
        {
            if (score.Of(side) < 0 || score.Of(side) > rules.Target)
            {
                return Refusal.Invalid(
                    side == Side.Left ? "left" : "right",
                    $"Touches go from 0 to {rules.Target} in this bout, but {score.Of(side)} was given.");
            }
        }

        if (score.Left == rules.Target && score.Right == rules.Target)
        {
            return Refusal.Invalid("left", $"The bout ends at {rules.Target} touches, so only one fencer can have them.");
        }

        return score.Of(winner) < score.Of(winner.Other())
            ? Refusal.Invalid("winner", $"The winner has fewer touches than the opponent. Exchange the touches or name the other fencer.")
            : null;
    }

    /// <summary>A fencer is not known yet.</summary>
    internal static Refusal NotReady() =>
        new(RefusalReason.BoutNotReady, $"The fencers of this bout are not both known yet. Finish the bouts before it first.");

    private static Refusal Annulled(Bout bout) => new(
        RefusalReason.BoutAnnulled,
        bout switch
        {
            { Struck: true } => $"This bout is off the programme, because its draw was scrapped. Open the new draw.",
            { Sealed: true } => $"This bout does not count, because one of its fencers left the pool before the round was closed. That stands, even if the fencer comes back.",
            _ => $"This bout does not count, because one of its fencers left the pool. Reinstate the fencer to fence it.",
        });

    private static Refusal Closed() =>
        new(RefusalReason.RoundClosed, $"The round was closed. The desk can still correct a result, saying why and what shall happen to later draws.");

    private static Refusal PriorityMissing() =>
        new(RefusalReason.PriorityMissing, $"Time has run out at a level score. Draw priority first.");

    private static Refusal? WhyNotScored(Bout bout) => bout.Status switch
    {
        BoutStatus.Annulled => Annulled(bout),
        BoutStatus.Waiting => NotReady(),
        _ when bout.Sealed => Closed(),
        BoutStatus.Decided when bout.Declared is null && !bout.Walkover =>
            new Refusal(RefusalReason.BoutDecided, $"The bout is over. Confirm the result, or take the last touch back."),
        BoutStatus.Decided => new Refusal(RefusalReason.BoutDecided, $"The bout has its result. Only the desk can change it now."),
        _ => null,
    };

    private static Refusal? WhyNotTakenBack(Bout bout) => bout.Status switch
    {
        BoutStatus.Annulled => Annulled(bout),
        BoutStatus.Waiting => NotReady(),
        _ when bout.Sealed => Closed(),
        _ when bout.Declared is not null =>
            new Refusal(RefusalReason.DeskOnly, $"The result was confirmed. Ask the desk to correct it."),
        _ when bout.Walkover =>
            new Refusal(RefusalReason.BoutDecided, $"This bout is decided without fencing, because a fencer is out."),
        _ => null,
    };

    private static Decision TakeBack(Bout bout, Func<BoutAction, bool> which, Func<IBoutEvent> takenBack, FormattableString nothing)
    {
        if (WhyNotTakenBack(bout) is { } refusal)
        {
            return refusal;
        }

        return bout.Actions.Any(which) ? Accept(bout, takenBack()) : new Refusal(RefusalReason.NothingToTakeBack, nothing);
    }

    private static Refusal? WhyNoTime(int? remainingMs) => remainingMs is < 0 or > ClockReading.MostMs
        ? Refusal.Invalid("remainingMs", $"Must be from 0 to {ClockReading.MostMs}, but is {remainingMs}.")
        : null;

    private static Decision Accept(Bout bout, IBoutEvent happened) => Decision.Accept(bout.Id, happened);
}
