using System.Collections.Immutable;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Elimination;
using FsCheck;
using FsCheck.Fluent;
using FsCheck.Xunit;
using Xunit;

namespace BoutDesk.Domain.Tests.Elimination;

/// <summary>What holds of the order of calling, whatever the tableau and however far it is fenced.</summary>
public class CallingOrderLaws
{
    private static readonly DateTimeOffset Now = new(2026, 11, 28, 12, 0, 0, TimeSpan.Zero);

    /// <summary>A tableau fenced so far by chance, with ends in the last hour and some bouts under way.</summary>
    /// <param name="Bouts">The bouts.</param>
    /// <param name="Rules">What is called by.</param>
    public sealed record Hall(ImmutableArray<SeededBout> Bouts, CallingRules Rules);

    private static readonly Arbitrary<Hall> AnyHall = (
        from fencers in Gen.Choose(2, 70)
        from third in Gen.Elements(ThirdPlace.Shared, ThirdPlace.Bout)
        from places in Gen.Elements<int?>(null, 8, 1024)
        from repechage in Gen.Elements<(int? From, int? Into)>((null, null), (null, null), (8, 4), (16, 8), (32, 4))
        from chance in Gen.Choose(0, int.MaxValue - 1)
        from fenced in Gen.Choose(0, 100)
        from strips in Gen.Elements<int?>(null, 1, 2, 3, 8)
        from rest in Gen.Choose(0, 30)
        from length in Gen.Choose(1, 40)
        select new Hall(
            FencedByChance(fencers, new EliminationFormula { ThirdPlace = third, FencedPlaces = places, RepechageFrom = repechage.From, RepechageInto = repechage.Into }, new Random(chance), fenced),
            new CallingRules(TimeSpan.FromMinutes(rest), TimeSpan.FromMinutes(length), strips))).ToArbitrary();

    [Property(MaxTest = 200)]
    public Property Every_bout_still_to_be_fenced_is_called_once_and_no_other() => ForAll((hall, calls) =>
    {
        Assert.Equal(calls.Length, calls.Select(c => c.BoutId).Distinct().Count());
        Assert.Equal(ToBeFenced(hall), calls.Select(c => c.BoutId).Order());
    });

    [Property(MaxTest = 200)]
    public Property Everybody_has_his_rest() => ForAll((hall, calls) =>
    {
        var begins = calls.ToDictionary(c => c.BoutId, c => c.PlannedAt);
        foreach (var bout in hall.Bouts.Where(b => begins.ContainsKey(b.Id)))
        {
            var seeds = new[] { bout.Left.Seed, bout.Right.Seed }.OfType<int>().ToArray();
            Assert.All(
                hall.Bouts.Where(b => b.EndedAt is not null && (seeds.Contains(b.Left.Seed ?? 0) || seeds.Contains(b.Right.Seed ?? 0))),
                before => Assert.True(begins[bout.Id] >= before.EndedAt + hall.Rules.Rest));
            foreach (var next in new[] { bout.WinnerTo, bout.LoserTo }.OfType<SeatLink>().Where(l => begins.ContainsKey(l.BoutId)))
            {
                Assert.True(begins[next.BoutId] >= begins[bout.Id] + hall.Rules.BoutLength + hall.Rules.Rest);
            }
        }
    });

    [Property(MaxTest = 200)]
    public Property There_are_never_more_bouts_at_a_time_than_strips() => ForAll((hall, calls) =>
    {
        var underWay = hall.Bouts.Count(b => b.Status == BoutStatus.Fencing);
        Assert.All(calls, call => Assert.True(
            hall.Rules.Strips is null
            || calls.Count(c => c.PlannedAt <= call.PlannedAt && c.PlannedAt + hall.Rules.BoutLength > call.PlannedAt)
                + (call.PlannedAt < Now + hall.Rules.BoutLength ? underWay : 0) <= hall.Rules.Strips));
    });

    [Property(MaxTest = 200)]
    public Property What_can_be_called_has_both_fencers_rested_and_begins_at_once_if_there_are_strips() => ForAll((hall, calls) =>
    {
        foreach (var call in calls)
        {
            var bout = hall.Bouts.Single(b => b.Id == call.BoutId);
            Assert.Equal(bout.Status == BoutStatus.Open && (call.RestedAt ?? Now) <= Now, call.CanBeCalled);
            Assert.True(call.PlannedAt >= (call.RestedAt ?? Now) || call.PlannedAt == Now);
            if (hall.Rules.Strips is null && call.CanBeCalled)
            {
                Assert.Equal(Now, call.PlannedAt);
            }
        }

        Assert.Equal(calls.Select(c => c.PlannedAt).Order(), calls.Select(c => c.PlannedAt));
    });

    private static Property ForAll(Action<Hall, ImmutableArray<BoutCall>> law) =>
        Prop.ForAll(AnyHall, hall => law(hall, CallingOrder.Of(hall.Bouts, Now, hall.Rules)));

    /// <summary>The bouts in which two can meet: not decided, not under way, and with no side that stays empty.</summary>
    private static IEnumerable<string> ToBeFenced(Hall hall)
    {
        var seated = hall.Bouts.SelectMany(b => new[] { (Link: b.WinnerTo, b), (Link: b.LoserTo, b) })
            .Where(f => f.Link is not null)
            .ToDictionary(f => f.Link!, f => f.b);
        return hall.Bouts.Where(b => b.Status != BoutStatus.Fencing && Meet(b)).Select(b => b.Id).Order();

        bool Meet(SeededBout bout) => bout.Status != BoutStatus.Decided && Comes(bout, Side.Left) && Comes(bout, Side.Right);

        bool Comes(SeededBout bout, Side side)
        {
            if (bout.SeatOf(side).IsKnown)
            {
                return bout.SeatOf(side).CanWin;
            }

            var link = new SeatLink(bout.Id, side);
            var from = seated[link];
            return from.LoserTo == link ? Meet(from) : Comes(from, Side.Left) || Comes(from, Side.Right);
        }
    }

    private static ImmutableArray<SeededBout> FencedByChance(int fencers, EliminationFormula formula, Random chance, int percent)
    {
        var results = new List<SeedResult>();
        while (true)
        {
            var (bouts, refusal) = SeededTableau.Of(fencers, formula, results);
            Assert.Null(refusal);
            var open = bouts.Where(b => b.Status == BoutStatus.Open).ToArray();
            if (open.Length == 0 || chance.Next(100) >= percent)
            {
                return
                [
                    .. bouts.Select(b => b switch
                    {
                        { Status: BoutStatus.Decided, Left.Seed: not null, Right.Seed: not null } => b with { EndedAt = Now.AddMinutes(-chance.Next(60)) },
                        { Status: BoutStatus.Open } when chance.Next(4) == 0 => b with { Status = BoutStatus.Fencing },
                        _ => b,
                    }),
                ];
            }

            var fenced = open[chance.Next(open.Length)];
            var (left, right) = (fenced.Left.Seed!.Value, fenced.Right.Seed!.Value);
            results.Add(new SeedResult(left, right, chance.Next(2) == 0 ? left : right));
        }
    }
}
