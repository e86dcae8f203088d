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
                "Only épée knows double touches. Decide by right of way, or give no touch.") { Field = "side" };
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
    public static Decision TakeBackTouch(Bout bout)
    {
        if (WhyNotTakenBack(bout) is { } refusal)
        {
            return refusal;
        }

        return bout.Actions.Any(Bout.IsTouch)
            ? Accept(bout, new TouchTakenBack(bout.WithoutLast(Bout.IsTouch).Course.Score))
            : new Refusal(RefusalReason.NothingToTakeBack, "No touch was scored in this bout, so there is none to take back.");
    }

    /// <summary>
    /// Shows a card. A red card gives the opponent a touch, which can end the bout. A black card ends it; the
    /// exclusion from the competition is decided with the competition.
    /// </summary>
    /// <param name="bout">The bout.</param>
    /// <param name="side">To whom.</param>
    /// <param name="card">Which.</param>
    /// <param name="reason">The offence; not blank.</param>
    public static Decision ShowCard(Bout bout, Side side, Card card, string reason)
    {
        if (WhyNotScored(bout) is { } refusal)
        {
            return refusal;
        }

        if (card == Card.Yellow && bout.Actions.Any(a => a.Kind == BoutActionKind.Card && a.Side == side))
        {
            return new Refusal(
                RefusalReason.AlreadyWarned,
                "This fencer has a card in this bout already. A further offence of the first group gets a red card.") { Field = "card" };
        }

        var after = bout.Add(new BoutAction(BoutActionKind.Card, side, card));
        return Accept(bout, new CardShown(side, card, reason, after.Course.Score));
    }

    /// <summary>Takes the last card back. A black card is lifted by bringing the fencer back at the desk.</summary>
    public static Decision TakeBackCard(Bout bout)
    {
        if (WhyNotTakenBack(bout) is { } refusal)
        {
            return refusal;
        }

        if (!bout.Actions.Any(Bout.IsCard))
        {
            return new Refusal(RefusalReason.NothingToTakeBack, "No card was shown in this bout, so there is none to take back.");
        }

        return bout.Actions.Last(Bout.IsCard).Card == Card.Black
            ? new Refusal(RefusalReason.DeskOnly, "A black card excluded the fencer. The desk lifts it by reinstating him.")
            : Accept(bout, new CardTakenBack(bout.WithoutLast(Bout.IsCard).Course.Score));
    }

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
                "Priority is drawn once, when the fencing time of the last period has run out at a level score. Record that time has run out first.");
        }

        return drawnByHand is { } side
            ? Accept(bout, new PriorityDrawn(side, null))
            : Accept(bout, new PriorityDrawn(seed.Lots().Below(2) == 0 ? Side.Left : Side.Right, seed.Value));
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
                "This bout is decided without fencing, because a fencer is out. Reinstate the fencer first.");
        }

        if (bout.Declared == new DeclaredResult(score, winner))
        {
            return Decision.Nothing;
        }

        if (bout.BlackCard(winner))
        {
            return Refusal.Invalid("winner", "The winner was excluded by a black card in this bout. Reinstate the fencer first.");
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
            : new Refusal(RefusalReason.DeskOnly, "The result was confirmed. Ask the desk to correct it.");
    }

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
            ? Refusal.Invalid("winner", "The winner has fewer touches than the opponent. Exchange the touches or name the other fencer.")
            : null;
    }

    /// <summary>A fencer is not known yet.</summary>
    internal static Refusal NotReady() =>
        new(RefusalReason.BoutNotReady, "The fencers of this bout are not both known yet. Finish the bouts before it first.");

    private static Refusal Annulled(Bout bout) => new(
        RefusalReason.BoutAnnulled,
        bout.Struck
            ? "This bout is off the programme, because its draw was scrapped. Open the new draw."
            : "This bout does not count, because one of its fencers left the pool. Reinstate the fencer to fence it.");

    private static Refusal Closed() =>
        new(RefusalReason.RoundClosed, "The round was closed. The desk can still correct a result, saying why and what shall happen to later draws.");

    private static Refusal PriorityMissing() =>
        new(RefusalReason.PriorityMissing, "Time has run out at a level score. Draw priority first.");

    private static Refusal? WhyNotScored(Bout bout) => bout.Status switch
    {
        BoutStatus.Annulled => Annulled(bout),
        BoutStatus.Waiting => NotReady(),
        _ when bout.Sealed => Closed(),
        BoutStatus.Decided when bout.Declared is null && !bout.Walkover =>
            new Refusal(RefusalReason.BoutDecided, "The bout is over. Confirm the result, or take the last touch back."),
        BoutStatus.Decided => new Refusal(RefusalReason.BoutDecided, "The bout has its result. Only the desk can change it now."),
        _ => null,
    };

    private static Refusal? WhyNotTakenBack(Bout bout) => bout.Status switch
    {
        BoutStatus.Annulled => Annulled(bout),
        BoutStatus.Waiting => NotReady(),
        _ when bout.Sealed => Closed(),
        _ when bout.Declared is not null =>
            new Refusal(RefusalReason.DeskOnly, "The result was confirmed. Ask the desk to correct it."),
        _ when bout.Walkover =>
            new Refusal(RefusalReason.BoutDecided, "This bout is decided without fencing, because a fencer is out."),
        _ => null,
    };

    private static Decision Accept(Bout bout, IBoutEvent happened) => Decision.Accept(bout.Id, happened);
}
