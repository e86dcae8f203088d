using System.Collections.Immutable;
using BoutDesk.Domain.Bouts;

namespace BoutDesk.Domain.Elimination;

/// <summary>A bout that a fencer has before him as long as he wins.</summary>
/// <param name="Bout">The bout.</param>
/// <param name="Opponents">The seeds of all whom he can meet in it, best first; empty when nobody can come.</param>
public sealed record PathStep(SeededBout Bout, ImmutableArray<int> Opponents);

/// <summary>The way of one fencer through the tableau.</summary>
public static class FencerPath
{
    /// <summary>
    /// The bouts of a fencer from his next one to the end of the tableau, if he wins each of them. It is empty when he
    /// has none left.
    /// </summary>
    /// <param name="bouts">All bouts of the tableau.</param>
    /// <param name="seed">His seed.</param>
    public static ImmutableArray<PathStep> Of(IReadOnlyCollection<SeededBout> bouts, int seed)
    {
        var byId = bouts.ToDictionary(b => b.Id);
        var feeders = new Dictionary<(string, Side), (SeededBout From, bool AsWinner)>();
        foreach (var bout in bouts)
        {
            Feed(bout.WinnerTo, bout, asWinner: true);
            Feed(bout.LoserTo, bout, asWinner: false);
        }

        var way = new List<(SeededBout Bout, Side Side)>();
        for (var at = Seated(); at is { } seat; at = seat.Bout.WinnerTo is { } next ? (byId[next.BoutId], next.Side) : null)
        {
            way.Add(seat);
        }

        var own = way.ToDictionary(w => w.Bout.Id, w => w.Side);
        var coming = new Dictionary<(string, Side), ImmutableSortedSet<int>>();
        return [.. way.Select(w => new PathStep(w.Bout, [.. Coming(w.Bout, w.Side.Other())]))];

        (SeededBout Bout, Side Side)? Seated()
        {
            foreach (var bout in bouts.Where(b => b.Status != BoutStatus.Decided))
            {
                foreach (var side in new[] { Side.Left, Side.Right })
                {
                    if (bout.SeatOf(side) is { CanWin: true, Seed: { } seated } && seated == seed)
                    {
                        return (bout, side);
                    }
                }
            }

            return null;
        }

        // Everybody who can still come to a seat and fence there, while the fencer himself wins.
        ImmutableSortedSet<int> Coming(SeededBout bout, Side side)
        {
            var seat = bout.SeatOf(side);
            if (seat.IsKnown)
            {
                return seat is { CanWin: true, Seed: { } known } ? [known] : [];
            }

            if (!coming.TryGetValue((bout.Id, side), out var set))
            {
                var (from, asWinner) = feeders[(bout.Id, side)];
                set = own.TryGetValue(from.Id, out var ownSide)
                    ? asWinner ? [seed] : Coming(from, ownSide.Other())
                    : FromOthers(Coming(from, Side.Left), Coming(from, Side.Right), asWinner);
                coming[(bout.Id, side)] = set;
            }

            return set;
        }

        // Where one has no opponent, nobody loses.
        static ImmutableSortedSet<int> FromOthers(ImmutableSortedSet<int> left, ImmutableSortedSet<int> right, bool asWinner) =>
            asWinner || (left.Count > 0 && right.Count > 0) ? left.Union(right) : [];

        void Feed(SeatLink? link, SeededBout from, bool asWinner)
        {
            if (link is not null)
            {
                feeders[(link.BoutId, link.Side)] = (from, asWinner);
            }
        }
    }
}
