using BoutDesk.Domain.Bouts;
using static BoutDesk.Api.Pages.Texts;

namespace BoutDesk.Api.Board;

/// <summary>A bout with the competition it belongs to, as the pages show it.</summary>
/// <param name="State">The competition.</param>
/// <param name="Bout">The bout.</param>
public sealed record BoutCard(CompetitionState State, Bout Bout)
{
    /// <summary>What is fenced: a bout of a pool, or a table.</summary>
    public string What => Bout.PoolId is { } poolId && State.Competition.Pool(poolId) is { } found
        ? T("Pool {0}, bout {1}", found.Pool.Number, Bout.Order)
        : Wording.Bout(Bout);

    /// <summary>The name of the strip, or null.</summary>
    public string? Strip => State.Strip(Bout.StripId);

    /// <summary>The name of the referee, or null.</summary>
    public string? Referee => State.Referee(Bout.PoolId ?? Bout.Id);

    /// <summary>Who stands on a side, or what is to be said instead.</summary>
    public string Who(Side side)
    {
        var seat = Bout.SeatOf(side);
        return seat switch
        {
            { EntrantId: { } id } => State.Name(id),
            { Vacant: true } => T("nobody"),
            _ when State.Feeder(Bout, side) is { Left.EntrantId: { } one, Right.EntrantId: { } other } => $"{State.Name(one)} {T("or")} {State.Name(other)}",
            _ => T("not known yet"),
        };
    }

    /// <summary>The touches of a side as the sheet shows them; empty before the bout has begun.</summary>
    public string Touches(Side side) => ScoreText(Bout, side);

    /// <summary>The touches of a side; empty before the bout has begun, and for who came no further without fencing.</summary>
    public static string ScoreText(Bout bout, Side side) =>
        bout.Untouched ? string.Empty : bout.Score.Of(side).ToString(System.Globalization.CultureInfo.InvariantCulture);
}

/// <summary>What is fenced on a strip.</summary>
/// <param name="Strip">The strip.</param>
/// <param name="Now">What is being fenced, or null.</param>
/// <param name="Next">What comes after it, at most two.</param>
public sealed record StripCard(Domain.Tournaments.Strip Strip, BoutCard? Now, IReadOnlyList<BoutCard> Next)
{
    /// <summary>The strips of a tournament on which something is or will be fenced.</summary>
    public static IReadOnlyList<StripCard> Of(TournamentState tournament)
    {
        var programme = tournament.Competitions.SelectMany(c => c.Programme.Select(b => new BoutCard(c, b))).ToLookup(c => c.Bout.StripId);
        var cards = new List<StripCard>();
        foreach (var strip in tournament.Tournament.Strips)
        {
            var now = programme[strip.Id].FirstOrDefault(c => c.Bout.Status == BoutStatus.Fencing);
            BoutCard[] next = [.. programme[strip.Id].Where(c => c.Bout.Status != BoutStatus.Fencing).Take(2)];
            if (now is not null || next.Length > 0)
            {
                cards.Add(new StripCard(strip, now, next));
            }
        }

        return cards;
    }

    /// <summary>What is being fenced on no strip that is known.</summary>
    public static IReadOnlyList<BoutCard> Elsewhere(TournamentState tournament) =>
    [
        .. tournament.Competitions.SelectMany(c => c.Programme.Where(b => b.Status == BoutStatus.Fencing && c.Strip(b.StripId) is null).Select(b => new BoutCard(c, b))),
    ];
}
