using System.Collections.Immutable;
using System.Globalization;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Elimination;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.Planning;
using BoutDesk.Domain.Pools;

namespace BoutDesk.Domain.Forecasting;

/// <summary>When a stage was planned for.</summary>
/// <param name="CompetitionId">The competition.</param>
/// <param name="Kind">What is fenced.</param>
/// <param name="Round">The pool round, from 1; 0 in the elimination.</param>
/// <param name="From">When it begins; not before.</param>
/// <param name="To">When it ends, or null where only its beginning is known.</param>
public sealed record StagePlan(string CompetitionId, StageKind Kind, int Round, DateTimeOffset From, DateTimeOffset? To = null);

/// <summary>Reads from a competition and its bouts what is left of it, and how long bouts have taken.</summary>
/// <remarks>
/// A pool bout with its change-over is measured from the end of the one before it on the same strip; the first of a pool,
/// and elimination bouts, from the first thing recorded of them, with what is usual before that added. Where only results
/// are typed in, ends are the moments of typing: a whole sheet at once gives lengths of seconds, and a sheet left lying
/// gives hours. What is not between a fifth and five times the usual length is left out.
/// </remarks>
public static class LeftToFence
{
    private const decimal Shortest = 0.2m;
    private const decimal Longest = 5;

    // From the call to the first thing that is recorded. From memory of practice.
    private static readonly TimeSpan BeforePoolBout = TimeSpan.FromSeconds(30);
    private static readonly TimeSpan BeforeEliminationBout = TimeSpan.FromMinutes(2);

    /// <summary>What is left of a competition, or null when nothing is: it is finished, or too few are in it.</summary>
    /// <param name="competition">The competition.</param>
    /// <param name="bouts">The bouts of its draws in force.</param>
    /// <param name="person">Tells who an entrant is over several competitions.</param>
    /// <param name="plans">When its stages were planned for; may be empty.</param>
    /// <param name="startsAt">When its first stage begins at the earliest while it is neither drawn nor planned.</param>
    public static CompetitionToForecast? Of(
        Competition competition, IReadOnlyCollection<Bout> bouts, Func<Entrant, string> person, IEnumerable<StagePlan> plans, DateTimeOffset startsAt)
    {
        var reading = new Reading(competition, bouts, plans, startsAt);
        return reading.Stages() is { Length: > 0 } stages
            ? new CompetitionToForecast(
                competition.Id,
                new BoutLengths(reading.Usual.PoolBout, BoutLengths.UsualPoolSpread, reading.PoolLengths()),
                new BoutLengths(reading.Usual.EliminationBout, BoutLengths.UsualEliminationSpread, reading.EliminationLengths()),
                [.. reading.Contenders(stages).Select(id => new Contender(id, person(competition.Entrant(id)!), reading.RestedAt(id)))],
                stages,
                reading.FreeFrom)
            : null;
    }

    private sealed class Reading
    {
        private readonly Competition competition;
        private readonly ILookup<string?, Bout> byPool;
        private readonly Bout[] tableau;
        private readonly Dictionary<string, Bout> tableauById;
        private readonly StagePlan[] plans;
        private readonly Dictionary<string, DateTimeOffset> lastEnds = [];

        public Reading(Competition competition, IReadOnlyCollection<Bout> bouts, IEnumerable<StagePlan> plans, DateTimeOffset startsAt)
        {
            this.competition = competition;
            this.plans = [.. plans.Where(p => p.CompetitionId == competition.Id)];
            Usual = BoutDurations.Usual(competition.Weapon, competition.Formula);
            byPool = bouts.Where(b => b.InPool).OrderBy(b => b.Order).ToLookup(b => b.PoolId);
            tableau = competition.Tableau is null ? [] : [.. bouts.Where(b => !b.InPool)];
            tableauById = tableau.ToDictionary(b => b.Id);
            foreach (var bout in tableau.Where(b => b.EndedAt is not null))
            {
                foreach (var id in new[] { bout.Left.EntrantId, bout.Right.EntrantId }.OfType<string>())
                {
                    lastEnds[id] = lastEnds.TryGetValue(id, out var known) && known > bout.EndedAt ? known : bout.EndedAt!.Value;
                }
            }

            FreeFrom = competition.Tableau is not null || (competition.OpenRound is { } open && ToCome(open).Any()) ? null
                : competition.Rounds.LastOrDefault() is { } last ? LastEnd(last)?.AddMinutes(StageToPlan.DrawingPause)
                : startsAt;
        }

        public BoutDurations Usual { get; }

        public DateTimeOffset? FreeFrom { get; }

        public DateTimeOffset? RestedAt(string entrantId) =>
            lastEnds.TryGetValue(entrantId, out var end) ? end + CallingRules.UsualRest : null;

        public IEnumerable<string> Contenders(ImmutableArray<StageToForecast> stages)
        {
            var gone = competition.Gone;
            var still = competition.Tableau is { } drawn ? [.. drawn.Seeds]
                : competition.Rounds.LastOrDefault() is { } round
                    ? round.Closed is null ? [.. round.Drawn.Exempt, .. round.Drawn.Pools.SelectMany(p => p.Fencers)] : round.GoOn
                    : competition.Entrants.Select(e => e.Id);
            var named = stages.SelectMany(s => s.Turns).SelectMany(t => t.Bouts).SelectMany(b => new[] { b.Left.EntrantId, b.Right.EntrantId }).OfType<string>();
            return still.Where(id => !gone.Contains(id)).Concat(named).Distinct();
        }

        public ImmutableArray<StageToForecast> Stages()
        {
            var stages = ImmutableArray.CreateBuilder<StageToForecast>();
            if (competition.Tableau is { } drawn)
            {
                stages.AddRange(Tableau(SeededTableau.Of(drawn, tableau), Drawn));
                return stages.ToImmutable();
            }

            var left = competition.Entrants.Count(e => !e.Gone);
            var exempt = competition.Formula.Pools.Rounds > 0 ? Math.Min(competition.Formula.Pools.Exempt, left) : 0;
            left -= exempt;
            for (var round = 1; round <= competition.Formula.Pools.Rounds; round++)
            {
                if (competition.Round(round) is { } known)
                {
                    exempt = known.Drawn.Exempt.Length;
                    if (known.Closed is not null)
                    {
                        left = known.GoOn.Count(id => !competition.Gone.Contains(id)) - exempt;
                        continue;
                    }

                    var turns = ToCome(known).ToImmutableArray();
                    if (!turns.IsEmpty)
                    {
                        stages.Add(Planned(new StageToForecast(StageKind.Pools, round, Drawn: true, turns, Begun(known.Drawn.Pools.SelectMany(p => byPool[p.Id])))));
                    }

                    left = competition.Formula.Pools.Promote.Of(known.Drawn.Pools.Sum(p => p.Fencers.Count(id => !competition.Gone.Contains(id))));
                    continue;
                }

                if (left < PoolPlan.SmallestPool)
                {
                    return [];
                }

                stages.Add(Planned(new StageToForecast(StageKind.Pools, round, Drawn: false, UndrawnPools(round, left, round == 1 ? exempt : 0))));
                left = competition.Formula.Pools.Promote.Of(left);
            }

            if (left + exempt < 2 || left + exempt > TableauShape.MostFencers)
            {
                return [];
            }

            stages.AddRange(Tableau(SeededTableau.Of(left + exempt, competition.Formula.Elimination, []).Bouts, Undrawn));
            return stages.ToImmutable();
        }

        public ImmutableArray<decimal> PoolLengths()
        {
            var lengths = ImmutableArray.CreateBuilder<decimal>();
            foreach (var strip in competition.Rounds.SelectMany(r => r.Drawn.Pools).SelectMany(p => byPool[p.Id].Where(b => b.EndedAt is not null).GroupBy(b => (p.Id, b.StripId))))
            {
                DateTimeOffset? before = null;
                foreach (var bout in strip.OrderBy(b => b.EndedAt))
                {
                    Add(lengths, before ?? bout.BegunAt - BeforePoolBout, bout.EndedAt!.Value, Usual.PoolBout);
                    before = bout.EndedAt;
                }
            }

            return lengths.ToImmutable();
        }

        public ImmutableArray<decimal> EliminationLengths()
        {
            var lengths = ImmutableArray.CreateBuilder<decimal>();
            foreach (var bout in tableau.Where(b => b.EndedAt is not null).OrderBy(b => b.EndedAt))
            {
                Add(lengths, bout.BegunAt - BeforeEliminationBout, bout.EndedAt!.Value, Usual.EliminationBout);
            }

            return lengths.ToImmutable();
        }

        private static void Add(ImmutableArray<decimal>.Builder lengths, DateTimeOffset? from, DateTimeOffset to, decimal usual)
        {
            if (from is { } since && (decimal)(to - since).TotalMinutes is var minutes && minutes >= Shortest * usual && minutes <= Longest * usual)
            {
                lengths.Add(minutes);
            }
        }

        /// <summary>The pools of a round with bouts to come; one fenced on several strips has a turn on each.</summary>
        private IEnumerable<TurnToForecast> ToCome(PoolRound round)
        {
            foreach (var pool in round.Drawn.Pools)
            {
                foreach (var strip in byPool[pool.Id].Where(IsToCome).GroupBy(b => b.StripId))
                {
                    var fenced = byPool[pool.Id].Where(b => b.StripId == strip.Key && b.EndedAt is not null).Max(b => b.EndedAt);
                    Bout[] left = [.. strip.OrderByDescending(b => b.Status == BoutStatus.Fencing).ThenBy(b => b.Order)];
                    var underWay = fenced is not null || left[0].Status == BoutStatus.Fencing;
                    var since = fenced ?? (underWay ? left[0].BegunAt - BeforePoolBout : null);
                    yield return new TurnToForecast(
                        strip.Key,
                        underWay,
                        [.. left.Select((b, i) => new BoutToForecast(b.Id, Seat(b.Left), Seat(b.Right), i == 0 ? since : null, Unseen: b.Status == BoutStatus.Open))]);
                }
            }
        }

        private ImmutableArray<TurnToForecast> UndrawnPools(int round, int fencers, int firstSlot)
        {
            try
            {
                var turns = ImmutableArray.CreateBuilder<TurnToForecast>();
                var slot = firstSlot;
                foreach (var (number, size) in PoolPlan.ForSize(fencers, competition.Formula.Pools.Size).Sizes.Index())
                {
                    var first = slot - 1;
                    turns.Add(new TurnToForecast(
                        null,
                        false,
                        [
                            .. BoutOrder.For(size).Select((pair, i) => new BoutToForecast(
                                string.Create(CultureInfo.InvariantCulture, $"{competition.Id}/r{round}p{number}b{i}"),
                                new ForecastSeat(null, first + pair.Left),
                                new ForecastSeat(null, first + pair.Right))),
                        ]));
                    slot += size;
                }

                return turns.ToImmutable();
            }
            catch (ArgumentException)
            {
                // No pools of that size can be drawn of so many; the desk will be told when it draws.
                return [];
            }
        }

        private IEnumerable<StageToForecast> Tableau(ImmutableArray<SeededBout> bouts, Func<SeededBout, BoutToForecast> seated)
        {
            foreach (var stage in bouts.Where(b => b.Status is BoutStatus.Waiting or BoutStatus.Open or BoutStatus.Fencing)
                .GroupBy(b => b.TableOf > 8 ? StageKind.Tables : StageKind.LastEight).OrderBy(g => g.Key))
            {
                yield return Planned(new StageToForecast(
                    stage.Key,
                    0,
                    competition.Tableau is not null,
                    [.. stage.Select(b => new TurnToForecast(tableauById.GetValueOrDefault(b.Id)?.StripId, b.Status == BoutStatus.Fencing, [seated(b)]))],
                    Begun(tableau.Where(b => b.TableOf > 8 == (stage.Key == StageKind.Tables)))));
            }
        }

        private BoutToForecast Drawn(SeededBout seeded)
        {
            var bout = tableauById[seeded.Id];
            return new BoutToForecast(
                bout.Id,
                Seat(bout.Left),
                Seat(bout.Right),
                bout.Status == BoutStatus.Fencing ? bout.BegunAt - BeforeEliminationBout : null,
                bout.WinnerTo,
                bout.LoserTo);
        }

        private BoutToForecast Undrawn(SeededBout bout)
        {
            return new BoutToForecast(Named(bout.Id), Slot(bout.Left), Slot(bout.Right), null, Linked(bout.WinnerTo), Linked(bout.LoserTo));

            string Named(string key) => $"{competition.Id}/{key}";

            SeatLink? Linked(SeatLink? link) => link is null ? null : link with { BoutId = Named(link.BoutId) };

            static ForecastSeat Slot(SeedSeat seat) => seat switch
            {
                { Seed: { } seed } => new ForecastSeat(null, seed - 1),
                { IsKnown: true } => ForecastSeat.Nobody,
                _ => default,
            };
        }

        private StageToForecast Planned(StageToForecast stage) => plans.FirstOrDefault(p => p.Kind == stage.Kind && p.Round == stage.Round) is { } plan
            ? stage with { PlannedFrom = plan.From, PlannedTo = plan.To }
            : stage;

        private DateTimeOffset? LastEnd(PoolRound round) => round.Drawn.Pools.SelectMany(p => byPool[p.Id]).Max(b => b.EndedAt);

        private static DateTimeOffset? Begun(IEnumerable<Bout> bouts) => bouts.Min(b => b.BegunAt ?? b.EndedAt);

        private static bool IsToCome(Bout bout) => bout.Status is BoutStatus.Open or BoutStatus.Fencing;

        private static ForecastSeat Seat(Seat seat) =>
            !seat.IsKnown ? default : seat.CanWin ? new ForecastSeat(seat.EntrantId) : ForecastSeat.Nobody;
    }
}
