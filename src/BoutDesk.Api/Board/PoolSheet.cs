using System.Collections.Immutable;
using System.Globalization;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Standings;

namespace BoutDesk.Api.Board;

/// <summary>A pool as the sheet shows it: fencers down, opponents across.</summary>
/// <param name="Id">The pool.</param>
/// <param name="Number">Its number.</param>
/// <param name="Strip">The name of its strip, or null.</param>
/// <param name="Target">The touches that win.</param>
/// <param name="Rows">The fencers.</param>
/// <param name="Bouts">The bouts in their order.</param>
public sealed record PoolSheet(
    string Id, int Number, string? Strip, int Target, ImmutableArray<PoolRow> Rows, ImmutableArray<BoutCard> Bouts)
{
    /// <summary>The name of the referee, or null.</summary>
    public string? Referee { get; init; }

    /// <summary>How many bouts are decided.</summary>
    public int Fenced => Bouts.Count(b => b.Bout.Status == BoutStatus.Decided);

    /// <summary>How many bouts count.</summary>
    public int Counting => Bouts.Count(b => b.Bout.Status != BoutStatus.Annulled);

    public static PoolSheet Of(CompetitionState state, PoolRound round, DrawnPool pool)
    {
        ImmutableArray<Bout> bouts = [.. state.PoolBouts(pool.Id)];
        var standings = StandingsTable.Rank(PoolRoundDecider.Tallies(state.Competition, round, bouts).Where(t => pool.Fencers.Contains(t.EntrantId)))
            .ToDictionary(s => s.Fencer);
        var meetings = bouts.SelectMany(b => new[] { (Key: (b.Left.EntrantId!, b.Right.EntrantId!), Cell: PoolCell.Of(b, Side.Left)), (Key: (b.Right.EntrantId!, b.Left.EntrantId!), Cell: PoolCell.Of(b, Side.Right)) })
            .ToDictionary(m => m.Key, m => m.Cell);
        return new PoolSheet(
            pool.Id,
            pool.Number,
            state.Strip(state.StripOf(pool.Id)),
            state.Competition.Formula.Pools.Touches,
            [
                .. pool.Fencers.Select((id, i) => new PoolRow(
                    i + 1,
                    state.Entrants[id],
                    [.. pool.Fencers.Select(opponent => opponent == id ? null : meetings.GetValueOrDefault((id, opponent)))],
                    standings.GetValueOrDefault(id))),
            ],
            [.. bouts.Select(b => new BoutCard(state, b))])
        {
            Referee = state.Referee(pool.Id),
        };
    }
}

/// <summary>A fencer of a pool.</summary>
/// <param name="Position">The position on the sheet.</param>
/// <param name="Entrant">The fencer.</param>
/// <param name="Cells">The bouts against each position; null against himself.</param>
/// <param name="Standing">How he stands, or null when he left.</param>
public sealed record PoolRow(int Position, Entrant Entrant, ImmutableArray<PoolCell?> Cells, Standing<string>? Standing);

/// <summary>A bout as one of its fencers sees it.</summary>
/// <param name="Order">The place in the order of bouts.</param>
/// <param name="Side">The side of the fencer.</param>
/// <param name="Text">What stands in the cell.</param>
/// <param name="Kind">Its class: won, lost, now, off, or empty.</param>
public sealed record PoolCell(int Order, Side Side, string Text, string Kind)
{
    /// <summary>The end of the bout's identifier and the side, by which a script finds the cell.</summary>
    public string Key => string.Create(CultureInfo.InvariantCulture, $"{Order}{(Side == Side.Left ? 'l' : 'r')}");

    public static PoolCell Of(Bout bout, Side side)
    {
        var touches = bout.Score.Of(side).ToString(CultureInfo.InvariantCulture);
        return bout switch
        {
            { Status: BoutStatus.Annulled } => new PoolCell(bout.Order, side, "–", "off"),
            { Winner: { } winner } when winner == side => new PoolCell(bout.Order, side, "V" + touches, "won"),
            { Winner: not null } => new PoolCell(bout.Order, side, touches, "lost"),
            { Status: BoutStatus.Fencing } => new PoolCell(bout.Order, side, touches, "now"),
            _ => new PoolCell(bout.Order, side, string.Empty, string.Empty),
        };
    }
}
