using System.Collections.Immutable;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;

namespace BoutDesk.Domain.Elimination;

/// <summary>A side of a bout by seed: somebody not known yet, which is the default, nobody, or a fencer.</summary>
/// <param name="IsKnown">True when it is known who comes, or that nobody does.</param>
/// <param name="Seed">The seed from 1, or null.</param>
/// <param name="Out">True when the fencer does not fence the bout.</param>
public readonly record struct SeedSeat(bool IsKnown, int? Seed, bool Out = false)
{
    /// <summary>Somebody not known yet.</summary>
    public static SeedSeat Awaited => default;

    /// <summary>Nobody: a bye.</summary>
    public static SeedSeat Nobody => new(true, null);

    /// <summary>True when a fencer is there who can win the bout.</summary>
    public bool CanWin => Seed is not null && !Out;

    /// <summary>A fencer.</summary>
    public static SeedSeat Of(int seed) => new(true, seed);
}

/// <summary>A bout of a tableau with its fencers by seed, as far as they are known.</summary>
/// <param name="Id">The identifier, or the key of a tableau that is not drawn.</param>
/// <param name="Stage">What it is for.</param>
/// <param name="TableOf">How many fencers there are in its table: 2 in a final.</param>
/// <param name="Left">Who is on the left.</param>
/// <param name="Right">Who is on the right.</param>
/// <param name="Status">How far it is.</param>
/// <param name="Winner">Who won; awaited while it is undecided, nobody when neither could win.</param>
/// <param name="WinnerTo">Where the winner goes, or null.</param>
/// <param name="LoserTo">Where the loser goes, or null.</param>
/// <param name="EndedAt">When it ended, or null: it was not fenced, has not ended, or nobody knows.</param>
public sealed record SeededBout(
    string Id,
    TableauStage Stage,
    int TableOf,
    SeedSeat Left,
    SeedSeat Right,
    BoutStatus Status,
    SeedSeat Winner,
    SeatLink? WinnerTo,
    SeatLink? LoserTo,
    DateTimeOffset? EndedAt = null)
{
    /// <summary>One of the two seats.</summary>
    public SeedSeat SeatOf(Side side) => side == Side.Left ? Left : Right;
}

/// <summary>A tableau by seed: the bouts of each table from its top, earlier tables first.</summary>
public static class SeededTableau
{
    /// <summary>The tableau as it was drawn and fenced so far.</summary>
    /// <param name="drawn">The draw.</param>
    /// <param name="bouts">All of its bouts.</param>
    public static ImmutableArray<SeededBout> Of(TableauDrawn drawn, IEnumerable<Bout> bouts)
    {
        var seeds = drawn.Seeds.Select((id, i) => (id, Seed: i + 1)).ToDictionary(s => s.id, s => s.Seed);
        return
        [
            .. bouts.OrderByDescending(b => b.TableOf).ThenByDescending(b => b.Stage!.LoserWorst).ThenBy(b => b.Order).Select(b => new SeededBout(
                b.Id,
                b.Stage!,
                b.TableOf!.Value,
                SeatOf(b.Left),
                SeatOf(b.Right),
                b.Status,
                b.Winner is { } winner ? SeatOf(b.SeatOf(winner)) : b.Status == BoutStatus.Decided ? SeedSeat.Nobody : SeedSeat.Awaited,
                b.WinnerTo,
                b.LoserTo,
                b.EndedAt)),
        ];

        SeedSeat SeatOf(Seat seat) => new(seat.IsKnown, seat.EntrantId is { } id ? seeds[id] : null, seat.Out);
    }

    /// <summary>The tableau of so many fencers after the results given.</summary>
    /// <param name="fencers">How many fencers it has, 2 to 1,024.</param>
    /// <param name="formula">How the elimination is fenced.</param>
    /// <param name="results">
    /// Who met and who won, each fencer's in the order in which they were fenced; later bouts may be missing.
    /// </param>
    /// <returns>The bouts, or the refusal that names the result which cannot be.</returns>
    public static (ImmutableArray<SeededBout> Bouts, Refusal? Refusal) Of(
        int fencers, EliminationFormula formula, IReadOnlyList<SeedResult> results)
    {
        var open = new Dictionary<(int, int), Queue<(int Index, int Winner)>>();
        for (var i = 0; i < results.Count; i++)
        {
            var (left, right, winner) = results[i];
            if (winner != left && winner != right)
            {
                return ([], Refusal.Invalid($"results[{i}].winner", $"The winner must be one of the two fencers, {left} or {right}."));
            }

            (open.TryGetValue(Pair(left, right), out var queue) ? queue : open[Pair(left, right)] = new()).Enqueue((i, winner));
        }

        var bouts = ImmutableArray.CreateBuilder<SeededBout>();
        var seats = new Dictionary<(string, Side), SeedSeat>();
        foreach (var planned in TableauPlan.For(fencers, formula))
        {
            var (left, right) = planned.First is { } first
                ? (SeedSeat.Of(first.Left), first.Right is { } other ? SeedSeat.Of(other) : SeedSeat.Nobody)
                : (seats.GetValueOrDefault((planned.Key, Side.Left)), seats.GetValueOrDefault((planned.Key, Side.Right)));
            var winner = Winner(left, right);
            var status = winner.IsKnown ? BoutStatus.Decided : left.IsKnown && right.IsKnown ? BoutStatus.Open : BoutStatus.Waiting;
            bouts.Add(new SeededBout(planned.Key, planned.Stage, planned.TableOf, left, right, status, winner, planned.WinnerTo, planned.LoserTo));
            Send(planned.WinnerTo, winner);
            Send(planned.LoserTo, !winner.IsKnown ? SeedSeat.Awaited : winner == left ? right : left);
        }

        var unused = open.Values.Where(q => q.Count > 0).Select(q => q.Peek().Index).ToArray();
        return unused.Length > 0
            ? ([], Refusal.Invalid($"results[{unused.Min()}]", $"These two cannot meet in this tableau, or not again, or an earlier result is missing."))
            : (bouts.ToImmutable(), null);

        SeedSeat Winner(SeedSeat left, SeedSeat right) => (left, right) switch
        {
            ({ IsKnown: false }, _) or (_, { IsKnown: false }) => SeedSeat.Awaited,
            ({ Seed: null }, _) => right,
            (_, { Seed: null }) => left,
            ({ Seed: { } one }, { Seed: { } other }) when open.TryGetValue(Pair(one, other), out var queue) && queue.TryDequeue(out var result) => SeedSeat.Of(result.Winner),
            _ => SeedSeat.Awaited,
        };

        void Send(SeatLink? link, SeedSeat who)
        {
            if (link is not null)
            {
                seats[(link.BoutId, link.Side)] = who;
            }
        }

        static (int, int) Pair(int one, int other) => (Math.Min(one, other), Math.Max(one, other));
    }
}

/// <summary>A result by seed.</summary>
/// <param name="Left">A seed.</param>
/// <param name="Right">The opponent's seed.</param>
/// <param name="Winner">The seed that won.</param>
public readonly record struct SeedResult(int Left, int Right, int Winner);
