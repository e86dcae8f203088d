using System.Collections.Immutable;
using System.Text.Json.Nodes;
using BoutDesk.Api.Equipment;
using BoutDesk.Api.Http;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;

namespace BoutDesk.Api.Bouts;

/// <summary>A bout, with all a pad needs.</summary>
/// <param name="Id">The identifier.</param>
/// <param name="CompetitionId">The competition.</param>
/// <param name="PoolId">The pool, or null in the elimination.</param>
/// <param name="TableOf">The table in the elimination, 2 for the final; null in a pool.</param>
/// <param name="Order">Its place in the order of bouts.</param>
/// <param name="StripId">The strip, or null.</param>
/// <param name="Status">How far it is.</param>
/// <param name="Left">Who is on the left; null while not known, or for nobody.</param>
/// <param name="Right">Who is on the right; null while not known, or for nobody.</param>
/// <param name="Score">The touches; null until something was recorded.</param>
/// <param name="Winner">The winner, or null.</param>
/// <param name="Confirmed">Whether the result was confirmed; from then on only the desk changes it.</param>
/// <param name="Period">The period being fenced, from 1.</param>
/// <param name="Priority">Who has priority, or null.</param>
/// <param name="PriorityDue">Whether time has run out at a level score, so that priority must be drawn.</param>
/// <param name="Cards">The cards shown, in order.</param>
/// <param name="Weapon">The weapon.</param>
/// <param name="Touches">The touches that win.</param>
/// <param name="Periods">The periods.</param>
/// <param name="Minutes">Minutes of a period.</param>
/// <param name="Phase">What is going on.</param>
/// <param name="Interval">The break that is going on, or null.</param>
/// <param name="Clock">The clock of the period being fenced.</param>
/// <param name="NextCards">The cards that further offences would get.</param>
/// <param name="Breaks">The medical breaks taken, in order.</param>
/// <param name="Actions">What was recorded and not taken back, in order; the course of the bout follows from it.</param>
/// <param name="LastAction">What the next undoing would take back, or null when there is nothing that can be.</param>
/// <param name="Next">What is to be done next.</param>
internal record BoutView(
    string Id,
    string CompetitionId,
    string? PoolId,
    int? TableOf,
    int Order,
    string? StripId,
    BoutStatus Status,
    BoutFencerView? Left,
    BoutFencerView? Right,
    ScoreView? Score,
    Side? Winner,
    bool Confirmed,
    int Period,
    Side? Priority,
    bool PriorityDue,
    ImmutableArray<ShownCard> Cards,
    Weapon Weapon,
    int Touches,
    int Periods,
    int Minutes,
    BoutPhase Phase,
    IntervalView? Interval,
    ClockView Clock,
    NextCards NextCards,
    ImmutableArray<BreakView> Breaks,
    ImmutableArray<BoutActionView> Actions,
    BoutActionView? LastAction,
    BoutStep Next)
{
    public static BoutView Of(Bout bout, Competition competition)
    {
        var course = bout.Course;
        return new BoutView(
            bout.Id,
            bout.CompetitionId,
            bout.PoolId,
            bout.TableOf,
            bout.Order,
            bout.StripId,
            bout.Status,
            BoutFencerView.Of(bout.Left, competition),
            BoutFencerView.Of(bout.Right, competition),
            ScoreView.Of(bout),
            bout.Winner,
            bout.Declared is not null,
            course.Period,
            course.Priority,
            course.PriorityDue && bout.Winner is null,
            ShownCard.AllOf(bout),
            bout.Rules.Weapon,
            bout.Rules.Target,
            bout.Rules.Periods,
            bout.Rules.Minutes,
            bout.Phase,
            IntervalView.Of(bout),
            ClockView.Of(bout),
            NextCards.Of(bout),
            BreakView.AllOf(bout),
            [.. bout.Actions.Select(BoutActionView.Of)],
            BoutActionView.LastOf(bout),
            bout.Next);
    }
}

/// <summary>A bout after a card, with what follows from a black one.</summary>
internal sealed record PenaltyView : BoutView
{
    public PenaltyView(BoutView bout, ImmutableArray<Consequence> consequences)
        : base(bout) => Consequences = consequences;

    /// <summary>What follows from the exclusion, each by its rule; empty for other cards.</summary>
    public ImmutableArray<Consequence> Consequences { get; init; }
}

/// <summary>A bout put on a strip, with what there is to say of its fencers' equipment.</summary>
internal sealed record CalledView : BoutView
{
    public CalledView(BoutView bout, BoutEquipment equipment)
        : base(bout) => Equipment = equipment;

    /// <summary>Those whose equipment has not passed, where the competition asks for it.</summary>
    public BoutEquipment Equipment { get; init; }
}

/// <summary>A break that is going on.</summary>
/// <param name="Phase">Which: pause, sabreBreak or medicalBreak.</param>
/// <param name="LengthMs">How long it may last, in milliseconds.</param>
/// <param name="Since">When it began, or null when nobody said so.</param>
/// <param name="Side">Who takes it, for a medical break.</param>
internal sealed record IntervalView(BoutPhase Phase, int LengthMs, DateTimeOffset? Since, Side? Side)
{
    public static IntervalView? Of(Bout bout) => bout.Interval is { } interval
        ? new IntervalView(interval.Phase, interval.LengthMs, interval.Since, interval.Side)
        : null;
}

/// <summary>What the clock of a bout shows. It is only told of; that time has run out is said by /time.</summary>
/// <param name="Period">The period that it times, from 1; the extra minute comes after the last one.</param>
/// <param name="RemainingMs">The fencing time left, in milliseconds: now when it stands, at runningSince when it runs.</param>
/// <param name="RunningSince">Since when it runs, or null when it stands.</param>
/// <param name="Used">Whether anybody has touched it in this period; if not, it shows the full time.</param>
internal sealed record ClockView(int Period, int RemainingMs, DateTimeOffset? RunningSince, bool Used)
{
    public static ClockView Of(Bout bout)
    {
        var clock = bout.Clock;
        return new ClockView(clock.Period, clock.RemainingMs, clock.Running ? clock.At : null, clock.At is not null);
    }
}

/// <summary>The cards that further offences would get, by group of the offence: first to fourth.</summary>
/// <param name="Left">For the fencer on the left.</param>
/// <param name="Right">For the fencer on the right.</param>
internal sealed record NextCards(ImmutableArray<Card> Left, ImmutableArray<Card> Right)
{
    public static NextCards Of(Bout bout) => new(For(bout, Side.Left), For(bout, Side.Right));

    private static ImmutableArray<Card> For(Bout bout, Side side) =>
        [.. Enumerable.Range(1, Penalties.Groups).Select(group => Penalties.CardFor(bout.Actions, side, group))];
}

/// <summary>A break that was taken.</summary>
/// <param name="Side">Who took it.</param>
/// <param name="Kind">What for.</param>
/// <param name="At">When it began, or null when nobody said so.</param>
internal sealed record BreakView(Side Side, BreakKind Kind, DateTimeOffset? At)
{
    public static ImmutableArray<BreakView> AllOf(Bout bout) =>
        [.. bout.Actions.Where(a => a.Kind == BoutActionKind.Break).Select(a => new BreakView(a.Side, BreakKind.Medical, a.At))];
}

/// <summary>Something that was recorded.</summary>
/// <param name="Kind">What.</param>
/// <param name="Side">Who for, or to whom; null where it concerns both.</param>
/// <param name="Card">The card, for a card.</param>
/// <param name="Group">The group of the offence, for a card that followed from it.</param>
internal sealed record BoutActionView(BoutActionKind Kind, Side? Side, Card? Card, int? Group)
{
    public static BoutActionView Of(BoutAction action) => new(
        action.Kind,
        action.Kind is BoutActionKind.DoubleTouch or BoutActionKind.Time ? null : action.Side,
        action.Kind == BoutActionKind.Card ? action.Card : null,
        action.Group);

    /// <summary>What would be taken back, or null when that would be refused.</summary>
    public static BoutActionView? LastOf(Bout bout) =>
        BoutDecider.TakeBackLast(bout).Refusal is null ? Of(bout.Actions[^1]) : null;
}

/// <summary>A fencer of a bout.</summary>
/// <param name="EntrantId">The entrant.</param>
/// <param name="Name">Family name and given name.</param>
/// <param name="Club">The club.</param>
/// <param name="Country">The country.</param>
/// <param name="Hand">The weapon hand.</param>
/// <param name="Out">True when he does not fence this bout.</param>
internal sealed record BoutFencerView(string EntrantId, string Name, string? Club, string? Country, Hand? Hand, bool Out)
{
    public static BoutFencerView? Of(Seat seat, Competition competition) =>
        seat.EntrantId is { } id && competition.Entrant(id) is { } entrant
            ? new BoutFencerView(id, entrant.Details.Name, entrant.Details.Club, entrant.Details.Country, entrant.Details.Hand, seat.Out)
            : null;
}

/// <summary>The touches of both.</summary>
/// <param name="Left">Touches of the fencer on the left.</param>
/// <param name="Right">Touches of the fencer on the right.</param>
internal sealed record ScoreView(int Left, int Right)
{
    public static ScoreView? Of(Bout bout) => bout.Untouched ? null : Of(bout.Score);

    public static ScoreView Of(Score score) => new(score.Left, score.Right);
}

/// <summary>A card shown.</summary>
/// <param name="Side">To whom.</param>
/// <param name="Card">Which.</param>
/// <param name="Group">The group of the offence, 1 to 4, or null when the card alone was told.</param>
/// <param name="TouchTo">Who got a touch by it, or null.</param>
/// <param name="Excludes">Whether it excludes the fencer from the competition.</param>
internal sealed record ShownCard(Side Side, Card Card, int? Group, Side? TouchTo, bool Excludes)
{
    public static ImmutableArray<ShownCard> AllOf(Bout bout) =>
        [.. bout.Actions.Where(a => a.Kind == BoutActionKind.Card).Select(a => Of(a.Side, a.Card, a.Group))];

    public static ShownCard Of(Side side, Card card, int? group) =>
        new(side, card, group, card == Card.Red ? side.Other() : null, card == Card.Black);
}

/// <summary>A result to confirm or correct.</summary>
/// <param name="Left">Touches of the fencer on the left.</param>
/// <param name="Right">Touches of the fencer on the right.</param>
/// <param name="Winner">The winner: with fewer touches than the target when time ran out, at a level score by priority.</param>
/// <param name="Reason">Why the desk corrects a result, to 200 characters.</param>
/// <param name="Later">For the desk: what shall happen to later draws when a closed stage is corrected; left out, the consequences are listed instead.</param>
internal sealed record RecordResult(int Left, int Right, Side Winner, string? Reason = null, LaterDraws? Later = null);

/// <summary>A touch.</summary>
/// <param name="Side">Who for; both only in épée.</param>
/// <param name="At">When, by the clock of the recording device.</param>
/// <param name="RemainingMs">The fencing time that a running clock shows as it is halted, in milliseconds, 0 to an hour; left out, it is reckoned.</param>
internal sealed record ScoreTouch(TouchSide Side, DateTimeOffset? At = null, int? RemainingMs = null);

/// <summary>A card: give card, or group and the card follows from it.</summary>
/// <param name="Side">To whom.</param>
/// <param name="Reason">The offence, to 200 characters.</param>
/// <param name="Card">Which.</param>
/// <param name="Group">The group of the offence, 1 to 4.</param>
internal sealed record ShowCard(Side Side, string Reason, Card? Card = null, int? Group = null)
{
    public Problem? Problem()
    {
        var errors = new FieldErrors();
        errors.Text("reason", Reason, 200);
        errors.Range("group", Group, 1, Penalties.Groups);
        if (Card is null == Group is null)
        {
            errors.Add("card", $"Give either card or group.");
        }

        return errors.ToProblem();
    }
}

/// <summary>A break to note.</summary>
/// <param name="Side">Who takes it.</param>
/// <param name="Kind">What for.</param>
/// <param name="At">When it began; left out, now.</param>
internal sealed record TakeBreak(Side Side, BreakKind Kind, DateTimeOffset? At = null);

/// <summary>What was done to the clock.</summary>
/// <param name="Action">What.</param>
/// <param name="RemainingMs">The fencing time that it shows, in milliseconds, 0 to an hour; left out, it is reckoned. To set the clock it is needed.</param>
/// <param name="At">When, by the clock of the device; left out, now. For what is sent late only, since the clocks of devices differ.</param>
internal sealed record HandleClock(ClockAction Action, int? RemainingMs = null, DateTimeOffset? At = null);

/// <summary>What can be done to a clock.</summary>
internal enum ClockAction
{
    /// <summary>It was started.</summary>
    Start,

    /// <summary>It was halted.</summary>
    Halt,

    /// <summary>It was set to a time, and stands.</summary>
    Set,
}

/// <summary>Priority.</summary>
/// <param name="Side">Who drew it, when it was drawn at the strip; left out, it is drawn by lot.</param>
/// <param name="DrawSeed">The seed of the lot; left out, one is made.</param>
internal sealed record DrawPriority(Side? Side = null, long? DrawSeed = null);

/// <summary>Where a pool or bout is fenced.</summary>
/// <param name="StripId">The strip, or null to take it off.</param>
internal sealed record AssignStrip(string? StripId);

/// <summary>Something that happened to a bout.</summary>
/// <param name="Version">The version of the bout after it.</param>
/// <param name="At">When it was kept.</param>
/// <param name="By">The pass it came with.</param>
/// <param name="What">What happened.</param>
/// <param name="Rule">The rule by which the bout does not count or was lost here, because a fencer left or was excluded; null for all else.</param>
/// <param name="Details">The particulars; reasons are shown with a desk pass only.</param>
internal sealed record HistoryLine(long Version, DateTimeOffset At, string? By, string What, LeavingRule? Rule, JsonObject Details);
