using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Seeding;
using FsCheck;
using FsCheck.Fluent;

namespace BoutDesk.Domain.Tests.Competitions;

/// <summary>All that decides how a random competition goes; the same plan gives the same competition.</summary>
/// <param name="Entrants">How many are entered.</param>
/// <param name="Formula">How it is fenced.</param>
/// <param name="Weapon">The weapon.</param>
/// <param name="CheckIn">Whether check-in is used.</param>
/// <param name="Mishaps">How much at most goes wrong: fencers leave and return, results are corrected, draws scrapped.</param>
/// <param name="Chance">The start value of everything drawn by chance.</param>
internal sealed record CompetitionPlan(int Entrants, Formula Formula, Weapon Weapon, bool CheckIn, int Mishaps, int Chance)
{
    private static readonly Gen<Promotion> AnyPromotion = Gen.OneOf(
        Gen.Constant(new Promotion()),
        Gen.Choose(1, 100).Select(percent => new Promotion { Percent = percent }),
        Gen.Choose(2, 40).Select(count => new Promotion { Count = count }));

    private static readonly Gen<Formula> AnyFormula =
        from rounds in Gen.Choose(0, 3)
        from size in Gen.Choose(4, 9)
        from promotion in AnyPromotion
        from exempt in Gen.Elements(0, 0, 1, 4)
        from tiesAtCut in Gen.Elements(TiesAtCut.Lot, TiesAtCut.PromoteAll)
        from seedingBy in Gen.Elements(SeedingBy.LastRound, SeedingBy.AllRounds)
        from touches in Gen.Choose(1, 6)
        from eliminationTouches in Gen.Choose(1, 15)
        from thirdPlace in Gen.Elements(ThirdPlace.Shared, ThirdPlace.Bout)
        from fencedPlaces in Gen.Elements<int?>(null, null, 8, 1024)
        from repechage in Gen.Elements<(int? From, int? Into)>((null, null), (null, null), (8, 4), (16, 8), (16, 4), (32, null), (8, 2))
        select new Formula
        {
            Pools = new PoolFormula
            {
                Rounds = rounds,
                Size = size,
                Promote = promotion,
                TiesAtCut = tiesAtCut,
                SeedingBy = seedingBy,
                Exempt = rounds == 0 ? 0 : exempt,
                Touches = touches,
            },
            Elimination = new EliminationFormula { Touches = eliminationTouches, ThirdPlace = thirdPlace, FencedPlaces = fencedPlaces, RepechageFrom = repechage.From, RepechageInto = repechage.Into },
        };

    /// <summary>Competitions of 3 to 80 entrants. A failure is tried again with fewer entrants and mishaps.</summary>
    public static Arbitrary<CompetitionPlan> Any { get; } = Arb.From(
        from entrants in Gen.Choose(3, 80)
        from formula in AnyFormula
        from weapon in Gen.Elements(Weapon.Foil, Weapon.Epee, Weapon.Sabre)
        from checkIn in Gen.Elements(true, false)
        from mishaps in Gen.Choose(0, 40)
        from chance in Gen.Choose(0, int.MaxValue - 1)
        select new CompetitionPlan(entrants, formula, weapon, checkIn, mishaps, chance),
        plan => Less(plan.Entrants, 3).Select(n => plan with { Entrants = n }).Concat(Less(plan.Mishaps, 0).Select(n => plan with { Mishaps = n })));

    private static IEnumerable<int> Less(int value, int least) => new[] { least, (least + value) / 2, value - 1 }.Where(n => n >= least && n < value).Distinct();
}

/// <summary>Holds a random competition from entry to the last bout, driven through the deciders only.</summary>
internal sealed class RandomCompetition
{
    private readonly CompetitionPlan plan;
    private readonly Random chance;
    private readonly CompetitionDay day;
    private int mishaps;

    private RandomCompetition(CompetitionPlan plan)
    {
        this.plan = plan;
        chance = new Random(plan.Chance);
        mishaps = plan.Mishaps;
        int?[] rankings = [.. Enumerable.Range(0, plan.Entrants).Select(_ => OneIn(3) ? (int?)null : chance.Next(1, plan.Entrants))];
        day = CompetitionDay.Ranked(rankings, plan.Formula, plan.Weapon);
    }

    /// <summary>Holds it to the end.</summary>
    /// <param name="plan">How it goes.</param>
    /// <param name="watch">Called after every step: a bout, a draw, a closing, a mishap.</param>
    public static CompetitionDay Hold(CompetitionPlan plan, Action<CompetitionDay>? watch = null)
    {
        var competition = new RandomCompetition(plan);
        competition.CheckEverybodyIn();
        while (competition.GoOn())
        {
            watch?.Invoke(competition.day);
        }

        return competition.day;
    }

    private void CheckEverybodyIn()
    {
        for (var number = 1; plan.CheckIn && number <= plan.Entrants; number++)
        {
            Keep(OneIn(12) && number > 3 ? day.Leaving(number, Leaving.Absent) : EntryDecider.CheckIn(day.Competition, day.Entrant(number)));
        }
    }

    /// <summary>Takes one step; false when there is none left.</summary>
    private bool GoOn()
    {
        // There are far fewer bouts in the elimination, and more can go wrong with each.
        if (mishaps > 0 && OneIn(day.Competition.Tableau is null ? 12 : 3))
        {
            return Mishap();
        }

        Bout[] open = [.. day.InPlay.Values.Where(b => b.Status is BoutStatus.Open or BoutStatus.Fencing)];
        if (open.Length > 0)
        {
            Fence(open[chance.Next(open.Length)]);
            return true;
        }

        if (day.Competition.OpenRound is not null)
        {
            Keep(day.Closing(chance.Next()));
            return true;
        }

        var goesOn = day.Competition.Tableau is null
            && (day.Competition.Rounds.Length < day.Competition.Formula.Pools.Rounds ? DrawPools() : DrawTableau());
        return goesOn || (mishaps > 0 && Mishap());
    }

    private bool DrawPools()
    {
        var decision = day.PoolDraw(chance.Next());
        if (decision.Refusal?.Reason == RefusalReason.InvalidValue)
        {
            // No pools of that size can be made of so few.
            decision = day.PoolDraw(chance.Next(), count: 1);
        }

        if (decision.Refusal?.Reason == RefusalReason.TooFewFencers)
        {
            var (formula, drawn) = (day.Competition.Formula, day.Competition.Rounds.Length);
            decision = EntryDecider.ChangeFormula(
                day.Competition,
                formula with { Pools = formula.Pools with { Rounds = drawn, Exempt = drawn == 0 ? 0 : formula.Pools.Exempt } });
        }

        return WithCheckInSettled(decision);
    }

    private bool DrawTableau()
    {
        var decision = day.TableauDraw(chance.Next());
        return decision.Refusal?.Reason != RefusalReason.TooFewFencers && WithCheckInSettled(decision);
    }

    private bool WithCheckInSettled(Decision decision)
    {
        if (decision.Refusal is { Reason: RefusalReason.CheckInOpen } refusal)
        {
            day.ChecksIn(CompetitionDay.Numbers(refusal.Concerns));
        }
        else
        {
            Keep(decision);
        }

        return true;
    }

    private void Fence(Bout bout)
    {
        if (bout.Status == BoutStatus.Open && !OneIn(4))
        {
            var (score, winner) = AnyResult(bout.Rules);
            Keep(day.After(BoutDecider.RecordResult(bout, score, winner, Authority.Referee, null)));
            return;
        }

        while (bout.Status is BoutStatus.Open or BoutStatus.Fencing)
        {
            Keep(day.After(AnyCall(bout)));
            bout = day.Bouts[bout.Id];
        }

        if (OneIn(2))
        {
            Keep(day.After(BoutDecider.RecordResult(bout, bout.Score, bout.Winner!.Value, Authority.Referee, null)));
        }
    }

    private Decision AnyCall(Bout bout)
    {
        if (bout.Course.PriorityDue)
        {
            return BoutDecider.DrawPriority(bout, null, new DrawSeed(chance.Next()));
        }

        return chance.Next(20) switch
        {
            0 => BoutDecider.RunOutOfTime(bout),
            1 => BoutDecider.ShowCard(bout, AnySide(), Card.Red, "turns the back"),
            2 when bout.Actions.Any(a => a.Kind == BoutActionKind.Touch) => BoutDecider.TakeBackTouch(bout),
            < 6 when plan.Weapon == Weapon.Epee => BoutDecider.ScoreTouch(bout, TouchSide.Both, null),
            _ => BoutDecider.ScoreTouch(bout, (TouchSide)AnySide(), null),
        };
    }

    private bool Mishap()
    {
        mishaps--;
        var decision = chance.Next(15) switch
        {
            0 => Leaves(Leaving.Excluded),
            1 => Leaves(Leaving.Absent),
            2 or 3 => Leaves(Leaving.Withdrawn),
            4 or 5 => OnAny(day.Competition.Entrants.Where(e => e.Gone), e => day.Reinstating(CompetitionDay.N(e.Id), AnyLater())),
            6 => ScrapDraw(),
            7 => OnAny(
                day.InPlay.Values.Where(b => b.Status is BoutStatus.Open or BoutStatus.Fencing),
                b => EntryDecider.ShowBlackCard(day.Competition, b, AnySide(), "brutality", day.InPlay)),
            8 => OnAny(
                day.InPlay.Values.Where(b => b.Declared is null && b.Actions.Any(a => a.Kind == BoutActionKind.Touch)),
                b => day.After(BoutDecider.TakeBackTouch(b), AnyLater())),
            14 => ExchangeFencers(),
            9 or 10 => OnAny(day.Bouts.Values.Where(b => b is { Sealed: true, Struck: false }), CorrectClosed),
            _ => OnAny(day.InPlay.Values.Where(b => b.Declared is not null), Correct),
        };
        // What the deciders refuse does not happen.
        if (decision.Refusal is null)
        {
            Keep(decision);
        }

        return true;
    }

    private Decision Leaves(Leaving leaving) =>
        OnAny(day.Competition.Entrants, e => day.Leaving(CompetitionDay.N(e.Id), leaving));

    private Decision ScrapDraw() => day.Competition.OpenRound is { } open
        ? PoolRoundDecider.Scrap(day.Competition, open.Number, "wrong list", [.. day.InPlay.Values])
        : TableauDecider.Scrap(day.Competition, "wrong list", [.. day.InPlay.Values]);

    private Decision ExchangeFencers() => day.Competition.OpenRound is { } open
        ? OnAny(open.Drawn.Seeding, first => OnAny(open.Drawn.Seeding, second => day.Exchanging(CompetitionDay.N(first), CompetitionDay.N(second))))
        : Decision.Nothing;

    private Decision OnAny<T>(IEnumerable<T> among, Func<T, Decision> decide) =>
        among.ToArray() is { Length: > 0 } some ? decide(some[chance.Next(some.Length)]) : Decision.Nothing;

    private Decision Correct(Bout bout)
    {
        var (score, winner) = AnyResult(bout.Rules);
        return day.After(BoutDecider.RecordResult(bout, score, winner, Authority.Desk, "misread"), AnyLater());
    }

    private Decision CorrectClosed(Bout bout)
    {
        var (score, winner) = AnyResult(bout.Rules);
        return PoolRoundDecider.CorrectClosed(
            day.Competition,
            bout,
            score,
            winner,
            "misread",
            AnyLater(),
            [.. day.RoundBouts(bout.Round!.Value).Values],
            [.. day.Bouts.Values.Where(b => !b.Struck && (!b.InPool || b.Round > bout.Round))],
            new DrawSeed(chance.Next()));
    }

    private (Score Score, Side Winner) AnyResult(BoutRules rules)
    {
        var winner = AnySide();
        var (most, least) = chance.Next(5) switch
        {
            0 => (chance.Next(rules.Target), 0),
            1 => (chance.Next(rules.Target), -1),
            _ => (rules.Target, 0),
        };
        // The loser has fewer, or as many where priority decided.
        var other = least < 0 ? most : chance.Next(Math.Max(most, 1));
        return (winner == Side.Left ? new Score(most, other) : new Score(other, most), winner);
    }

    private void Keep(Decision decision) => day.Keep(decision);

    private LaterDraws? AnyLater() => chance.Next(3) switch { 0 => null, 1 => LaterDraws.Keep, _ => LaterDraws.Scrap };

    private Side AnySide() => OneIn(2) ? Side.Left : Side.Right;

    private bool OneIn(int outcomes) => chance.Next(outcomes) == 0;
}
