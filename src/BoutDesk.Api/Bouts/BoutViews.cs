using System.Collections.Immutable;
using System.Text.Json.Nodes;
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
internal sealed record BoutView(
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
    int Minutes)
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
            [.. bout.Actions.Where(a => a.Kind == BoutActionKind.Card).Select(a => new ShownCard(a.Side, a.Card))],
            bout.Rules.Weapon,
            bout.Rules.Target,
            bout.Rules.Periods,
            bout.Rules.Minutes);
    }
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
internal sealed record ShownCard(Side Side, Card Card);

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
internal sealed record ScoreTouch(TouchSide Side, DateTimeOffset? At = null);

/// <summary>A card.</summary>
/// <param name="Side">To whom.</param>
/// <param name="Card">Which.</param>
/// <param name="Reason">The offence, to 200 characters.</param>
internal sealed record ShowCard(Side Side, Card Card, string Reason);

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
/// <param name="Details">The particulars; reasons are shown with a desk pass only.</param>
internal sealed record HistoryLine(long Version, DateTimeOffset At, string? By, string What, JsonObject Details);
