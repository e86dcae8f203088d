using System.Collections.Immutable;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Planning;
using BoutDesk.Domain.Refereeing;
using BoutDesk.Domain.Seeding;
using Xunit;
using static BoutDesk.Domain.Tests.Planning.GeneratedDay;

namespace BoutDesk.Domain.Tests.Planning;

public class DayPlannerTests
{
    [Theory]
    [MemberData(nameof(Seeds))]
    public void Every_plan_keeps_all_rules_of_the_day(int seed)
    {
        var day = Of(seed, 2 + (seed % 11), 4 + (seed % 13), referees: seed % 3 == 0 ? 3 + (seed % 13) : null, lunch: seed % 4 != 0);
        Assert.All(new DayPlanner().Plans(day, new DrawSeed(seed), 600), plan => AssertKept(day, plan));
    }

    [Theory]
    [MemberData(nameof(Seeds))]
    public void No_plan_uses_more_referees_of_a_weapon_than_are_on_duty(int seed)
    {
        var day = WithList(seed, 2 + (seed % 7), 3 + (seed % 9));
        DayPlan[] plans = [.. new DayPlanner().Plans(day, new DrawSeed(seed), 600)];
        Assert.All(plans.Distinct(), plan => AssertKept(day, plan));
        Assert.All(plans, plan => Assert.True(plan.EndsAt >= plan.LowerBound, $"{plan.EndsAt} before {plan.Bound}"));
        Assert.Equal(plans, plans.OrderByDescending(p => p.EndsAt).ThenByDescending(p => p.YoungWait));
    }

    [Fact]
    public void A_stage_waits_for_the_referees_of_its_weapon()
    {
        // Two competitions at nine on four strips; of the sabre one referee comes at eleven, and nobody else referees it.
        var competitions = new[] { Competition("foil", 7, Weapon.Foil, 1), Competition("sabre", 7, Weapon.Sabre, 1) };
        var day = new DayToPlan([.. competitions], 4, 3, 9 * 60, 20 * 60, [], [], [Referee([Weapon.Foil, Weapon.Epee]), Referee([Weapon.Foil]), Referee([Weapon.Sabre], from: 11 * 60)]);
        var plan = new DayPlanner().Best(day, new DrawSeed(1), 500);
        Assert.Equal([9 * 60, 11 * 60], plan.Stages.Where(s => s.Stage == 0).OrderBy(s => s.Competition).Select(s => s.From));

        // He has his break from half past eleven to twelve: a stage has its referees from beginning to end.
        var withBreak = day with { Listed = [.. day.Listed[..2], Referee([Weapon.Sabre], 11 * 60, null, new HallSpan((11 * 60) + 30, 12 * 60))] };
        Assert.Equal(12 * 60, new DayPlanner().Best(withBreak, new DrawSeed(1), 500).Stages.Single(s => s is { Competition: 1, Stage: 0 }).From);
    }

    [Fact]
    public void What_cannot_be_refereed_on_the_day_ends_on_the_next_one_and_the_bound_says_who_is_missing()
    {
        var foil = Competition("foil", 20, Weapon.Foil, 2);
        var day = new DayToPlan([foil, Competition("sabre", 8, Weapon.Sabre, 1)], 6, 3, 9 * 60, 20 * 60, [], [], [Referee([Weapon.Foil], to: 11 * 60), Referee([Weapon.Foil], to: 11 * 60), Referee([Weapon.Sabre])]);
        var plan = new DayPlanner().Best(day, new DrawSeed(1), 500);
        AssertKept(day, plan);
        Assert.True(plan.EndsAt > 24 * 60);
        Assert.Equal((DayLimit.Referees, 0), (plan.Bound.Limit, plan.Bound.Competitions.Single()));
        Assert.InRange(plan.LowerBound, 24 * 60, plan.EndsAt);
    }

    [Fact]
    public void Referees_of_every_weapon_there_all_day_are_as_good_as_their_number()
    {
        foreach (var seed in Enumerable.Range(1, 10))
        {
            var number = Of(seed, 6, 9, referees: 5);
            var list = number with { Listed = [.. Enumerable.Range(0, 5).Select(_ => Referee([Weapon.Foil, Weapon.Epee, Weapon.Sabre]))] };
            var (one, other) = (new DayPlanner().Best(number, new DrawSeed(seed), 500), new DayPlanner().Best(list, new DrawSeed(seed), 500));
            Assert.Equal((one.EndsAt, one.LowerBound, one.YoungWait), (other.EndsAt, other.LowerBound, other.YoungWait));
            Assert.Equal(one.Stages.Select(s => (s.Competition, s.Stage, s.From, s.To)), other.Stages.Select(s => (s.Competition, s.Stage, s.From, s.To)));
        }
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void No_order_and_no_widths_end_a_small_day_with_a_list_earlier(int seed) => AssertNothingEndsEarlier(SmallWithList(seed), seed);

    [Theory]
    [MemberData(nameof(Seeds))]
    public void Every_strip_of_a_plan_serves_the_weapon_that_is_fenced_on_it(int seed)
    {
        var day = WithKinds(seed, 2 + (seed % 9), 3 + (seed % 11), list: seed % 4 == 0);
        DayPlan[] plans = [.. new DayPlanner().Plans(day, new DrawSeed(seed), 600)];
        Assert.All(plans.Distinct(), plan => AssertKept(day, plan));
        Assert.All(plans, plan => Assert.True(plan.EndsAt >= plan.LowerBound, $"{plan.EndsAt} before {plan.Bound}"));
        Assert.Equal(plans, plans.OrderByDescending(p => p.EndsAt).ThenByDescending(p => p.YoungWait));
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    [InlineData(5)]
    [InlineData(6)]
    [InlineData(7)]
    [InlineData(8)]
    public void No_order_no_widths_and_no_choice_of_kinds_end_a_small_day_earlier(int seed) => AssertNothingEndsEarlier(SmallWithKinds(seed), seed);

    [Fact]
    public void A_stage_takes_first_the_strips_that_serve_fewest_weapons()
    {
        // Strip 2 is for foil, strip 4 for foil and épée; nobody fences sabre, so that the strip for épée and sabre is one for épée.
        var day = Kinds([], [Weapon.Foil], [Weapon.Epee, Weapon.Sabre], [Weapon.Foil, Weapon.Epee]);
        Assert.Equal(["Foil: 2", "Epee: 3", "Foil Epee: 1 4"], day.Groups.Select(g => $"{string.Join(' ', g.Weapons)}: {string.Join(' ', g.Strips)}"));
        var plan = DayPlanner.InOrder(day, [0, 0, 1, 1], [[0, 0], [1, 0]], DayBound.Of(day));
        Assert.Equal([[2], [1, 3]], plan.Stages.Where(s => s.Stage == 0).OrderBy(s => s.Competition).Select(s => s.Strips.ToArray()));
        AssertKept(day, plan);
    }

    [Fact]
    public void What_is_taken_of_each_kind_can_be_said_and_is_not_what_goes_first_of_itself()
    {
        // Foil takes one strip, of those for foil and épée or foil and sabre; which one is the other weapon's loss. Sabre comes late.
        var two = Kinds([Weapon.Foil, Weapon.Epee], [Weapon.Foil, Weapon.Sabre]);
        var day = two with { Competitions = two.Competitions.Add(Competition("sabre", 8, Weapon.Sabre, 1, 600)) };
        ImmutableArray<int> order = [0, 0, 1, 1, 2, 2];
        ImmutableArray<ImmutableArray<int>> widths = [[0, 0], [0, 0], [0, 0]];
        var own = DayPlanner.InOrder(day, order, widths, DayBound.Of(day));
        Assert.Equal((1, true), (First(own, 0).Strips.Single(), First(own, 1).From > 0));
        var said = DayPlanner.InOrder(day, order, widths, DayBound.Of(day), [[[0, 1], [0, 1]], [[1, 0], [1, 0]], [[0, 1], [0, 1]]]);
        Assert.Equal((2, 0), (First(said, 0).Strips.Single(), First(said, 1).From));
        AssertKept(day, own);
        AssertKept(day, said);
        // Not of a group that does not serve the weapon, nor more than the width.
        Assert.Throws<ArgumentException>(() => DayPlanner.InOrder(day, order, widths, DayBound.Of(day), [[[0, 1], [0, 1]], [[0, 1], [1, 0]], [[0, 1], [0, 1]]]));
        Assert.Throws<ArgumentException>(() => DayPlanner.InOrder(day, order, widths, DayBound.Of(day), [[[0, 1], [1, 1]], [[1, 0], [1, 0]], [[0, 1], [0, 1]]]));

        static PlannedStage First(DayPlan plan, int competition) => plan.Stages.Single(s => s.Competition == competition && s.Stage == 0);
    }

    [Fact]
    public void A_bound_counts_the_strips_of_a_weapon_and_says_so()
    {
        // One strip for épée, four for foil: the épée of two competitions fills its strip, whatever else there is.
        var few = Kinds([Weapon.Foil], [Weapon.Foil], [Weapon.Epee], [Weapon.Foil], [Weapon.Foil]);
        var day = few with { Competitions = [few.Competitions[0], few.Competitions[1], few.Competitions[1] with { Id = "again" }] };
        var work = day.Competitions[1].Stages.Sum(s => s.Widths[0].Minutes);
        Assert.Equal((2 * work, DayLimit.Strips), (DayBound.Of(day).Minute, DayBound.Of(day).Limit));
        Assert.Equal([1, 2], DayBound.Of(day).Competitions.AsEnumerable());
        // With four referees by their number it is the strips all the same.
        Assert.Equal(DayBound.Of(day).Minute, DayBound.Of(day with { Referees = 4 }).Minute);
    }

    [Theory]
    [MemberData(nameof(Seeds))]
    public void On_strips_that_are_all_alike_a_plan_is_what_it_is_without_their_kinds(int seed)
    {
        var plain = seed % 2 == 0 ? Of(seed, 2 + (seed % 7), 4 + (seed % 9)) : WithList(seed, 2 + (seed % 7), 4 + (seed % 9));
        ImmutableArray<Weapon> ofTheDay = [.. plain.Competitions.Select(c => c.Weapon).Distinct()];
        var kinds = plain with { Kinds = [.. Enumerable.Range(0, plain.Strips).Select(i => i % 2 == 0 ? [] : ofTheDay)] };
        var (one, other) = (new DayPlanner().Best(plain, new DrawSeed(seed), 300), new DayPlanner().Best(kinds, new DrawSeed(seed), 300));
        Assert.Equal((one.EndsAt, one.YoungWait), (other.EndsAt, other.YoungWait));
        Assert.Equal((one.Bound.Minute, one.Bound.Limit), (other.Bound.Minute, other.Bound.Limit));
        Assert.Equal(one.Stages, other.Stages, (a, b) => (a.Competition, a.Stage, a.Width, a.From, a.To) == (b.Competition, b.Stage, b.Width, b.From, b.To) && a.Strips.SequenceEqual(b.Strips));
    }

    [Theory]
    [MemberData(nameof(Seeds))]
    public void A_plan_carried_over_to_a_day_with_more_strips_of_any_kind_ends_no_later(int seed)
    {
        var day = WithKinds(seed, 2 + (seed % 7), 3 + (seed % 6), list: seed % 4 == 0);
        var plan = new DayPlanner().Best(day, new DrawSeed(seed), 300);
        var lots = new DrawSeed(seed).Lots();
        var more = day with { Strips = day.Strips + 2, Referees = day.Referees + (day.Listed.IsDefaultOrEmpty ? 2 : 0), Kinds = day.Kinds.AddRange([(Weapon)lots.Below(3)], []) };
        foreach (var other in new[] { day, more, day with { Closures = [] }, more with { Kinds = default } })
        {
            var carried = DayPlanner.CarriedOver(plan, day, other)!;
            AssertKept(other, carried);
            Assert.True(other.Kinds.IsDefault || carried.EndsAt <= plan.EndsAt, $"{carried.EndsAt} instead of {plan.EndsAt}");
        }

        // With other strips for each weapon it is a plan all the same.
        var turned = Fitting(day with { Kinds = [.. day.Kinds.Select(kind => kind.IsEmpty ? kind : [.. Enum.GetValues<Weapon>().Except(kind).DefaultIfEmpty(Weapon.Foil)]).SkipLast(1), []] });
        AssertKept(turned, DayPlanner.CarriedOver(plan, day, turned)!);
    }

    [Fact]
    public void A_weapon_without_a_strip_is_refused()
    {
        var day = Kinds([Weapon.Foil], [Weapon.Epee]);
        Assert.Throws<ArgumentException>(() => new DayPlanner().Plans(day with { Kinds = [[Weapon.Foil], [Weapon.Sabre]] }, new DrawSeed(1), 0));
        // Nor is one that asks for more strips than serve its weapon, nor a list of kinds that is too short.
        Assert.Throws<ArgumentException>(() => new DayPlanner().Plans(day with { Competitions = [Competition("c", 24, Weapon.Foil, 2)] }, new DrawSeed(1), 0));
        Assert.Throws<ArgumentException>(() => new DayPlanner().Plans(day with { Strips = 3 }, new DrawSeed(1), 0));
    }

    /// <summary>A foil and an épée of eight, two stages each, on strips of these kinds.</summary>
    private static DayToPlan Kinds(params ImmutableArray<ImmutableArray<Weapon>> kinds) => Fitting(new DayToPlan(
        [Competition("foil", 8, Weapon.Foil, kinds.Length), Competition("epee", 8, Weapon.Epee, kinds.Length)], kinds.Length, kinds.Length, 0, 1440, [], [], default, kinds));

    [Fact]
    public void A_weapon_without_a_referee_is_refused() => Assert.Throws<ArgumentException>(() =>
        new DayPlanner().Plans(new DayToPlan([Competition("c", 8, Weapon.Foil, 1)], 8, 1, 0, 1440, [], [], [Referee([Weapon.Sabre])]), new DrawSeed(1), 0));

    [Theory]
    [MemberData(nameof(Seeds))]
    public void A_plan_never_gets_worse_and_never_ends_before_its_bound(int seed)
    {
        DayPlan[] plans = [.. new DayPlanner().Plans(Of(seed, 2 + (seed % 9), 4 + (seed % 9)), new DrawSeed(seed), 1000)];
        Assert.All(plans, p => Assert.True(p.EndsAt >= p.LowerBound));
        Assert.Equal(plans, plans.OrderByDescending(p => p.EndsAt).ThenByDescending(p => p.YoungWait));
    }

    [Fact]
    public void The_same_day_and_seed_give_the_same_plan()
    {
        var plans = Enumerable.Range(0, 2).Select(_ =>
        {
            var plan = new DayPlanner().Best(Of(7, 8, 10), new DrawSeed(3), 500);
            return string.Join('|', plan.Stages.Select(s => $"{s.Competition} {s.Stage} {s.From} {s.To} {string.Join(',', s.Strips)}"));
        }).ToArray();
        Assert.Equal(plans[0], plans[1]);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    [InlineData(5)]
    public void No_order_and_no_widths_end_a_small_day_earlier(int seed) => AssertNothingEndsEarlier(Small(seed), seed);

    [Fact]
    public void One_competition_ends_when_it_must()
    {
        var plan = new DayPlanner().Best(new DayToPlan([Competition("c", 24, Weapon.Foil, 8, 9 * 60)], 8, 8, 8 * 60, 20 * 60, [], []), new DrawSeed(1), 500);
        Assert.True(plan.EndIsLeast);
        Assert.Equal(9 * 60, plan.Stages[0].From);
    }

    [Fact]
    public void Referees_limit_a_day_as_strips_do()
    {
        int EndWith(int strips, int referees)
        {
            var capacity = Math.Min(strips, referees);
            var day = new DayToPlan([Competition("a", 40, Weapon.Epee, capacity), Competition("b", 40, Weapon.Epee, capacity)], strips, referees, 0, 1440, [], []);
            return new DayPlanner().Best(day, new DrawSeed(1), 2000).EndsAt;
        }

        Assert.Equal(EndWith(5, 5), EndWith(9, 5));
        Assert.True(EndWith(9, 9) < EndWith(9, 5));
    }

    [Fact]
    public void Nothing_begins_at_lunch_and_what_is_under_way_goes_on_after_it()
    {
        var day = new DayToPlan([Competition("c", 8, Weapon.Foil, 1, 0, formula: new Formula { Pools = new PoolFormula { Size = 8 } })], 1, 1, 11 * 60, 20 * 60, [new Closure(12 * 60, 13 * 60)], []);
        var stage = new DayPlanner().Best(day, new DrawSeed(1), 0).Stages[0];
        // 28 bouts of 4 minutes, 1 h 55 on the grid, with an hour of lunch after the first.
        Assert.Equal((11 * 60, (11 * 60) + 115 + 60), (stage.From, stage.To));
    }

    [Fact]
    public void The_young_are_kept_waiting_least_where_the_end_is_the_same()
    {
        // Two alike on strips for one: the young go first, and the day ends no later.
        var day = new DayToPlan([Competition("old", 12, Weapon.Foil, 2), Competition("young", 12, Weapon.Foil, 2, young: true)], 2, 2, 0, 1440, [], []);
        var ends = new DayPlanner().Best(day, new DrawSeed(5), 5000).Stages.GroupBy(s => s.Competition).ToDictionary(g => g.Key, g => g.Max(s => s.To));
        Assert.True(ends[1] <= ends[0]);
    }

    [Theory]
    [MemberData(nameof(Seeds))]
    public void A_plan_carried_over_to_a_day_with_more_or_with_less_to_fence_ends_no_later(int seed)
    {
        var day = Of(seed, 2 + (seed % 7), 4 + (seed % 5), lunch: seed % 2 == 0);
        var plan = new DayPlanner().Best(day, new DrawSeed(seed), 300);
        // The same widths stay possible on more strips; without a lunch and an hour earlier all the more.
        var more = day with { Strips = day.Strips + 2, Referees = day.Referees + 2 };
        DayToPlan[] easier =
        [
            day,
            more,
            day with { Closures = [] },
            day with { OpensAt = day.OpensAt - 60, Competitions = [.. day.Competitions.Select(c => c with { NotBefore = c.NotBefore - 60 })] },
            day with { Competitions = [.. day.Competitions.Select(c => c with { Stages = [.. c.Stages.Select(s => s with { Widths = [.. s.Widths.Select(w => w with { Minutes = Math.Max(5, w.Minutes - 10) })] })] })] },
        ];
        foreach (var other in easier)
        {
            var carried = DayPlanner.CarriedOver(plan, day, other)!;
            AssertKept(other, carried);
            Assert.True(carried.EndsAt <= plan.EndsAt, $"{carried.EndsAt} instead of {plan.EndsAt}");
        }

        // On fewer strips it is a plan all the same, and where a stage is missing there is none.
        var fewer = day with { Strips = 1, Competitions = [.. day.Competitions.Select(c => c with { Stages = [.. c.Stages.Select(s => s with { Widths = s.Widths[..1] })] })] };
        AssertKept(fewer, DayPlanner.CarriedOver(plan, day, fewer)!);
        Assert.Null(DayPlanner.CarriedOver(plan, day, day with { Competitions = [day.Competitions[0] with { Stages = day.Competitions[0].Stages[1..] }, .. day.Competitions[1..]] }));
    }

    [Fact]
    public void Waiting_is_what_a_competition_takes_beyond_its_stages_and_pauses()
    {
        // Two alike on one strip, over lunch: the one waits for its first bout as long as the other fences before it, lunch not counted.
        var day = new DayToPlan([Competition("a", 6, Weapon.Foil, 1), Competition("b", 6, Weapon.Foil, 1, young: true)], 1, 1, 0, 1440, [new Closure(90, 150)], []);
        var plan = DayPlanner.InOrder(day, [0, 0, 1, 1], [[0, 0], [0, 0]], DayBound.Of(day));
        var alone = day.Competitions[0].LeastMinutes;
        Assert.Equal([0, alone], plan.Waits.AsEnumerable());
        Assert.Equal(alone, plan.YoungWait);
    }

    [Fact]
    public void A_search_that_was_stopped_has_the_plan_that_there_was()
    {
        var (planner, day) = (new DayPlanner(), Of(11, 9, 8));
        DayPlan[] plans = [.. planner.Plans(day, new DrawSeed(4), 2000)];
        Assert.True(plans[0].EndsAt > plans[^1].EndsAt);
        foreach (var (stopAfter, i) in new[] { (0, 0), (1, 1), (DayPlanner.Batch, 1), (250, 3), (2000, plans.Length - 1), (int.MaxValue, plans.Length - 1) })
        {
            Assert.Equal(plans[i].EndsAt, planner.Best(day, new DrawSeed(4), 2000, stopAfter).EndsAt);
            Assert.Equal(plans[i].Stages, planner.Best(day, new DrawSeed(4), 2000, stopAfter).Stages, (a, b) => (a.Competition, a.Stage, a.From, a.To) == (b.Competition, b.Stage, b.From, b.To));
        }
    }

    [Fact]
    public void A_bound_says_what_sets_it()
    {
        // One long competition beside a short one, on more strips than they can use.
        var longest = new DayToPlan([Competition("a", 7, Weapon.Sabre, 20), Competition("b", 60, Weapon.Epee, 20)], 20, 20, 0, 1440, [], []);
        Assert.Equal(DayLimit.LongestCompetition, DayBound.Of(longest).Limit);
        Assert.Equal([1], DayBound.Of(longest).Competitions.AsEnumerable());
        // All bouts of four competitions on two strips, but for a late one that has the rest of the day to itself.
        var strips = new DayToPlan([.. Enumerable.Range(0, 4).Select(i => Competition($"c{i}", 30, Weapon.Foil, 2)), Competition("late", 7, Weapon.Foil, 2, 60)], 2, 2, 0, 1440, [], []);
        Assert.Equal(DayLimit.Strips, DayBound.Of(strips).Limit);
        Assert.Equal([0, 1, 2, 3, 4], DayBound.Of(strips).Competitions.AsEnumerable());
        // Two that share a fencer, with strips for both at once: neither alone takes so long.
        var shared = new DayToPlan([Competition("a", 30, Weapon.Foil, 30), Competition("b", 30, Weapon.Foil, 30)], 30, 30, 0, 1440, [], [new SharedFencers(0, 1)]);
        Assert.Equal(DayLimit.SharedFencers, DayBound.Of(shared).Limit);
        Assert.Equal([0, 1], DayBound.Of(shared).Competitions.AsEnumerable());
        // Of three any two share one; the fourth shares with one of them only.
        var three = new DayToPlan(
            [.. Enumerable.Range(0, 4).Select(i => Competition($"c{i}", 30, Weapon.Foil, 30))], 30, 30, 0, 1440, [], [new SharedFencers(0, 1), new SharedFencers(2, 1), new SharedFencers(2, 0), new SharedFencers(3, 2)]);
        var fenced = three.Competitions[0].Stages.Sum(s => s.Widths[^1].Minutes);
        Assert.Equal([0, 1, 2], DayBound.Of(three).Competitions.AsEnumerable());
        Assert.Equal((3 * fenced) + (2 * DayToPlan.TurnRound), DayBound.Of(three).Minute);
    }

    [Fact]
    public void A_stage_for_more_strips_than_there_are_is_refused()
    {
        Assert.Throws<ArgumentException>(() => new DayPlanner().Plans(new DayToPlan([Competition("c", 24, Weapon.Foil, 8)], 8, 3, 0, 1440, [], []), new DrawSeed(1), 0));
        Assert.Throws<ArgumentException>(() => new DayPlanner().Plans(new DayToPlan([], 8, 3, 0, 1440, [], []), new DrawSeed(1), 0));
    }

    public static TheoryData<int> Seeds => [.. Enumerable.Range(1, 40)];

    internal static void AssertKept(DayToPlan day, DayPlan plan)
    {
        Assert.Equal(day.Competitions.Sum(c => c.Stages.Length), plan.Stages.Length);
        foreach (var stage in plan.Stages)
        {
            var competition = day.Competitions[stage.Competition];
            Assert.Contains(stage.Width, competition.Stages[stage.Stage].Widths);
            Assert.True(stage.From >= Math.Max(day.OpensAt, competition.NotBefore));
            Assert.Equal(stage.Width.Minutes, Open(day, stage.From, stage.To));
            Assert.DoesNotContain(day.Closures, c => stage.From >= c.From && stage.From < c.To);
            Assert.Equal(stage.Width.Strips, stage.Strips.Distinct().Count());
            Assert.All(stage.Strips, s => Assert.InRange(s, 1, day.Kinds.IsDefaultOrEmpty ? day.Capacity : day.Strips));
            Assert.All(stage.Strips, s => Assert.True(Serves(day, s, competition.Weapon), $"Strip {s} does not serve {competition.Weapon}."));
            Assert.InRange(plan.Stages.Where(other => other.From <= stage.From && stage.From < other.To).Sum(other => other.Width.Strips), 1, day.Capacity);
            Assert.DoesNotContain(plan.Stages, other => other != stage && Overlap(stage, other, 0) && stage.Strips.Intersect(other.Strips).Any());
            if (plan.Stages.SingleOrDefault(s => s.Competition == stage.Competition && s.Stage == stage.Stage - 1) is { } before)
            {
                Assert.True(Open(day, before.To, stage.From) >= competition.Stages[stage.Stage].PauseBefore);
            }
        }

        if (!day.Listed.IsDefaultOrEmpty)
        {
            for (var minute = day.OpensAt; minute < plan.EndsAt; minute += StageToPlan.Grid)
            {
                if (!day.Closures.Any(c => minute >= c.From && minute < c.To))
                {
                    var inUse = plan.Stages.Where(s => s.From <= minute && minute < s.To).SelectMany(s => Enumerable.Repeat(day.Competitions[s.Competition].Weapon, s.Width.Strips));
                    Assert.True(AllRefereed(day, minute, inUse), $"Too few referees at {minute}.");
                }
            }
        }

        foreach (var (first, second) in day.Shared)
        {
            Assert.DoesNotContain(
                plan.Stages.Where(s => s.Competition == first),
                one => plan.Stages.Any(other => other.Competition == second && Overlap(one, other, DayToPlan.TurnRound)));
        }

        Assert.Equal(plan.Stages.Max(s => s.To), plan.EndsAt);
    }

    private static bool Serves(DayToPlan day, int strip, Weapon weapon) => day.Kinds.IsDefaultOrEmpty || day.Kinds[strip - 1].IsEmpty || day.Kinds[strip - 1].Contains(weapon);

    /// <summary>Three competitions of three weapons and two stages each on three strips of several kinds.</summary>
    internal static DayToPlan SmallWithKinds(int seed)
    {
        var lots = new DrawSeed(seed).Lots();
        ImmutableArray<Weapon>[] kinds = (seed % 3) switch
        {
            0 => [[Weapon.Foil, Weapon.Epee], [Weapon.Epee, Weapon.Sabre], [Weapon.Foil, Weapon.Sabre]],
            1 => [[Weapon.Foil], [Weapon.Epee, Weapon.Sabre], []],
            _ => [[Weapon.Epee], [Weapon.Epee, Weapon.Foil], []],
        };
        lots.Shuffle<ImmutableArray<Weapon>>(kinds);
        return Fitting(new DayToPlan(
            [.. Enum.GetValues<Weapon>().Select((weapon, i) => Competition($"c{i}", 6 + lots.Below(3), weapon, 3, 30 * lots.Below(3)))],
            3,
            3,
            0,
            1440,
            [],
            seed % 4 == 0 ? [new SharedFencers(0, 1)] : [],
            default,
            [.. kinds]));
    }

    /// <summary>Every order of stages and every choice of widths and kinds, each stage at its earliest place: all list schedules there are.</summary>
    private static void AssertNothingEndsEarlier(DayToPlan day, int seed)
    {
        var plan = new DayPlanner().Best(day, new DrawSeed(seed), 20_000);
        AssertKept(day, plan);
        Assert.Equal(Exhaustive.EarliestEnd(day), plan.EndsAt);
    }

    /// <summary>A day that is small enough to look at every plan of it.</summary>
    internal static DayToPlan Small(int seed)
    {
        var lots = new DrawSeed(seed).Lots();
        return new DayToPlan(
            [.. Enumerable.Range(0, 3).Select(i => Competition($"c{i}", 6 + lots.Below(5), (Weapon)lots.Below(3), 3, 30 * lots.Below(3)))],
            3,
            3,
            0,
            1440,
            [],
            seed % 2 == 0 ? [new SharedFencers(0, 1)] : []);
    }

    /// <summary>Three competitions of three weapons on three strips, with four referees of whom one comes late and one leaves early.</summary>
    internal static DayToPlan SmallWithList(int seed)
    {
        var lots = new DrawSeed(seed).Lots();
        ImmutableArray<RefereeDetails> listed =
        [
            Referee([Weapon.Foil, Weapon.Epee]),
            Referee([Weapon.Sabre], from: 30 * lots.Below(6)),
            Referee([Weapon.Epee, Weapon.Sabre], 5 * lots.Below(20), null, new HallSpan(200, 200 + (5 * (1 + lots.Below(6))))),
            Referee([Weapon.Foil, Weapon.Sabre], to: 120 + (30 * lots.Below(6))),
        ];
        var most = StripLimit.Of(new TimeAxis(0, []), 3, 4, listed, Enum.GetValues<Weapon>());
        return new DayToPlan(
            [.. Enum.GetValues<Weapon>().Select((weapon, i) => Competition($"c{i}", 6 + lots.Below(5), weapon, StripLimit.Most(most, weapon), 30 * lots.Below(3)))],
            3,
            4,
            0,
            1440,
            [],
            seed % 2 == 0 ? [new SharedFencers(0, 1)] : [],
            listed);
    }

    /// <summary>Whether each strip in use can be given a referee of its weapon who is on duty: found by looking for one, strip by strip.</summary>
    internal static bool AllRefereed(DayToPlan day, int minute, IEnumerable<Weapon> inUse)
    {
        RefereeDetails[] there = [.. day.Listed.Where(r => minute >= 24 * 60 || r.IsThere(new HallSpan(minute, minute + StageToPlan.Grid)))];
        Weapon[] strips = [.. inUse];
        var at = Enumerable.Repeat(-1, there.Length).ToArray();
        return Enumerable.Range(0, strips.Length).All(strip => Found(strip, []));

        bool Found(int strip, HashSet<int> asked) => Enumerable.Range(0, there.Length)
            .Where(r => there[r].Weapons.Contains(strips[strip]) && asked.Add(r))
            .Any(r =>
            {
                if (at[r] >= 0 && !Found(at[r], asked))
                {
                    return false;
                }

                at[r] = strip;
                return true;
            });
    }

    private static bool Overlap(PlannedStage one, PlannedStage other, int turn) => one.From < other.To + turn && other.From < one.To + turn;

    /// <summary>Minutes of a span in which can be fenced.</summary>
    private static int Open(DayToPlan day, int from, int to) =>
        Enumerable.Range(from, Math.Max(0, to - from)).Count(m => !day.Closures.Any(c => m >= c.From && m < c.To));
}
