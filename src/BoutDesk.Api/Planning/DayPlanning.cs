using System.Collections.Immutable;
using System.Globalization;
using BoutDesk.Api.Board;
using BoutDesk.Api.Http;
using BoutDesk.Domain;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Planning;
using BoutDesk.Domain.Refereeing;
using BoutDesk.Domain.Seeding;
using BoutDesk.Domain.Tournaments;

namespace BoutDesk.Api.Planning;

/// <summary>Plans the day of a tournament from its entries and what the organiser says of the hall.</summary>
internal sealed class DayPlanning
{
    // Several of them are searched for each plan, and an organiser waits for them.
    private const int MostStepsOfWhatIf = 25_000;

    private const int MostDays = 30;

    private readonly Tournament tournament;
    private readonly PlanDay wanted;
    private readonly ImmutableArray<Expected> competitions;
    private readonly ImmutableArray<string> notPlanned;
    private readonly ImmutableArray<(int First, int Second, int Fencers)> shared;
    private readonly int opensAt;
    private readonly int closesAt;
    private readonly ImmutableArray<Closure> closures;
    private readonly int strips;
    // The weapons of each strip of the list; none when the request says how many there are, which then serve all.
    private readonly ImmutableArray<ImmutableArray<Weapon>> kinds;
    private readonly Crew referees;

    private DayPlanning(Tournament tournament, IReadOnlyList<Competition> competitions, PlanDay wanted)
    {
        this.tournament = tournament;
        this.wanted = wanted;
        opensAt = Minute(wanted.OpensAt)!.Value;
        closesAt = Minute(wanted.ClosesAt)!.Value;
        closures = [.. (wanted.Closures ?? []).Select(c => new Closure(Minute(c.From)!.Value, Minute(c.To)!.Value))];
        strips = wanted.Strips ?? tournament.Strips.Length;
        kinds = wanted.Strips is null ? [.. tournament.Strips.Select(s => s.Weapons ?? [])] : [];
        ImmutableArray<RefereeDetails> listed = [.. tournament.Referees.Where(r => !r.Away).Select(r => r.Details)];
        referees = wanted.Referees is { } number ? new Crew(number, []) : listed.IsEmpty ? new Crew(strips, []) : new Crew(listed.Length, listed);
        Expected[] all = [.. competitions.Select(c => Expect(c, (wanted.Competitions ?? []).FirstOrDefault(e => e.Id == c.Id)))];
        this.competitions = [.. all.Where(e => e.Fencers >= 2)];
        notPlanned = [.. all.Where(e => e.Fencers < 2).Select(e => e.Competition.Id)];
        shared = Shared(this.competitions);
    }

    /// <summary>What it takes to plan a day, or what is wrong with what was asked.</summary>
    public static (DayPlanning? Planning, Problem? Problem) Of(Tournament tournament, IReadOnlyList<Competition> competitions, PlanDay wanted)
    {
        var errors = new FieldErrors();
        errors.Items("closures", wanted.Closures ?? []);
        errors.Items("competitions", wanted.Competitions ?? []);
        if (errors.ToProblem() is { } holes)
        {
            return (null, holes);
        }

        Check(tournament, competitions, wanted, errors);
        if (errors.ToProblem() is { } problem)
        {
            return (null, problem);
        }

        var planning = new DayPlanning(tournament, competitions, wanted);
        if (planning.competitions.IsEmpty)
        {
            return (null, Problem.Invalid("competitions", $"There is nobody to plan for. Enter fencers, or say in fencers how many are expected."));
        }

        if (planning.competitions.FirstOrDefault(e => !planning.Served(planning.strips, e.Competition.Weapon)) is { } nowhere)
        {
            return (null, Problem.Invalid("strips", $"No strip serves the weapon of {nowhere.Competition.Name}. Correct the weapons of one, or say how many strips there will be."));
        }

        if (planning.competitions.FirstOrDefault(e => !planning.referees.Has(e.Competition.Weapon)) is { } alone)
        {
            return (null, Problem.Invalid("referees", $"No referee on the list is for the weapon of {alone.Competition.Name}. List one, or say how many referees there will be."));
        }

        foreach (var (expected, i) in planning.competitions.Select((e, i) => (e, i)))
        {
            if (planning.WhyNotFenced(expected) is { } why)
            {
                errors.Add($"competitions[{i}].fencers", $"{expected.Competition.Name}: {why}");
            }
        }

        return errors.ToProblem() is { } unfit ? (null, unfit) : (planning, null);
    }

    private static void Check(Tournament tournament, IReadOnlyList<Competition> competitions, PlanDay wanted, FieldErrors errors)
    {
        Time("opensAt", wanted.OpensAt);
        Time("closesAt", wanted.ClosesAt);
        if (Minute(wanted.OpensAt) >= Minute(wanted.ClosesAt))
        {
            errors.Add("closesAt", $"Must lie after opensAt, on the same day.");
        }

        if (wanted.On < tournament.StartsOn || wanted.On > tournament.StartsOn.AddDays(MostDays - 1))
        {
            errors.Add("on", $"Must be one of the {MostDays} days from {tournament.StartsOn:yyyy-MM-dd} on.");
        }

        if (wanted.Strips is null && tournament.Strips.IsEmpty)
        {
            errors.Add("strips", $"The tournament has no strips yet. Say how many there will be.");
        }

        errors.Range("strips", wanted.Strips, 1, 100);
        errors.Range("referees", wanted.Referees, 1, 200);
        errors.Range("whatIf.stripsFewer", wanted.WhatIf?.StripsFewer, 0, 50);
        errors.Range("whatIf.refereesMissing", wanted.WhatIf?.RefereesMissing, 0, 100);
        errors.Range("whatIf.lateEntries", wanted.WhatIf?.LateEntries, 0, 200);
        errors.Range("steps", wanted.Steps, 0, 1_000_000);
        errors.Range("stopAfter", wanted.StopAfter, 0, Math.Max(0, wanted.Steps));
        if (wanted.Prove && wanted.StopAfter is not null)
        {
            errors.Add("prove", $"Goes on to its end. Leave stopAfter out, or prove.");
        }
        else if (wanted.Prove && ExactPlanner.Installed is null)
        {
            errors.Add("prove", $"The exact solver is not installed here. Leave prove out: the plan then comes from the search alone.");
        }

        if (wanted.Seed is < 0 or > DrawSeed.MaxValue)
        {
            errors.Add("seed", $"Must be from {0} to {DrawSeed.MaxValue}.");
        }

        errors.Range("closures", wanted.Closures?.Length ?? 0, 0, 10);
        foreach (var (closure, i) in (wanted.Closures ?? []).Select((c, i) => (c, i)))
        {
            Time($"closures[{i}].from", closure.From);
            Time($"closures[{i}].to", closure.To);
            if (Minute(closure.From) >= Minute(closure.To))
            {
                errors.Add($"closures[{i}].to", $"Must lie after from.");
            }
        }

        foreach (var (expected, i) in (wanted.Competitions ?? []).Select((c, i) => (c, i)))
        {
            var at = $"competitions[{i}]";
            if (competitions.All(c => c.Id != expected.Id) || wanted.Competitions!.Value.Take(i).Any(e => e.Id == expected.Id))
            {
                errors.Add($"{at}.id", $"Must be a competition of this tournament, each at most once.");
            }

            errors.Range($"{at}.fencers", expected.Fencers, 0, 1024);
            Minutes($"{at}.poolBoutMinutes", expected.PoolBoutMinutes, 60);
            Minutes($"{at}.eliminationBoutMinutes", expected.EliminationBoutMinutes, 120);
            if (expected.NotBefore is { } notBefore)
            {
                Time($"{at}.notBefore", notBefore);
            }
        }

        void Time(string field, string text)
        {
            if (Minute(text) is null)
            {
                errors.Add(field, $"Must be a time of the day, such as 09:00.");
            }
        }

        void Minutes(string field, decimal? value, int most)
        {
            if (value <= 0 || value > most)
            {
                errors.Add(field, $"Must be more than 0 and at most {most} minutes.");
            }
        }
    }

    private static int? Minute(string? text) =>
        TimeOnly.TryParseExact(text, ["H:mm", "HH:mm", "HH:mm:ss"], CultureInfo.InvariantCulture, DateTimeStyles.None, out var time)
            ? (int)time.ToTimeSpan().TotalMinutes
            : null;

    private IDayPlanner Planner => wanted.Prove ? ExactPlanner.Installed! : new DayPlanner();

    private PlanWhatIf Otherwise => wanted.WhatIf ?? new PlanWhatIf();

    private DayToPlan Wished => DayOf(strips, referees, closures, opensAt);

    private DayPlan Best(DayToPlan day) => Planner.Best(day, new DrawSeed(wanted.Seed), wanted.Steps, wanted.StopAfter ?? int.MaxValue);

    /// <summary>How the search comes on, from its first plan to its last.</summary>
    public IEnumerable<PlanProgress> Progress()
    {
        var (tried, last) = (0, default(DayPlan));
        foreach (var plan in Planner.Plans(Wished, new DrawSeed(wanted.Seed), wanted.Steps))
        {
            yield return Come(plan, done: false);
            tried = Math.Min(wanted.Steps, tried + DayPlanner.Batch);
            last = plan;
        }

        tried = wanted.Steps;
        yield return Come(last!, done: true);

        PlanProgress Come(DayPlan plan, bool done) => new(tried, wanted.Steps, At(plan.EndsAt), At(plan.LowerBound), plan.YoungWait, done);
    }

    /// <summary>The plan as it is kept.</summary>
    public KeptPlan ToKeep()
    {
        var (day, best, _) = Found();
        return new KeptPlan(
            At(opensAt),
            At(closesAt),
            strips,
            referees.Count,
            [.. closures.Select(c => new ClosedTime(At(c.From), At(c.To)))],
            At(best.EndsAt),
            At(best.LowerBound),
            [
                .. best.Stages.Select(s =>
                {
                    var (of, stage) = (competitions[s.Competition], day.Competitions[s.Competition].Stages[s.Stage]);
                    return new KeptStage(of.Competition.Id, stage.Kind, stage.Round, s.Width.Flights, At(s.From), At(s.To), s.Strips);
                }),
            ],
            new PlannedFor(
                [.. competitions.Select(e => new PlannedField(e.Competition.Id, e.Fencers, e.Known?.Fencers is not null, e.Known?.NotBefore is null ? null : At(e.NotBefore)))],
                Otherwise.StripsFewer,
                Otherwise.RefereesMissing,
                Otherwise.LateEntries,
                !referees.Listed.IsEmpty,
                [.. (wanted.Competitions ?? []).Where(c => c.Fencers == 0).Select(c => c.Id)],
                StripsByList: wanted.Strips is null));
    }

    /// <summary>The plan with all that is said of it.</summary>
    public PlanView Plan()
    {
        var (day, best, less) = Found();
        ImmutableArray<WhatIf> others =
        [
            .. less.Concat(More().Select(variant => (Variant: variant, Plan: Search(variant.Day))))
                .Select(other => View(other.Variant, Better(other.Plan, DayPlanner.CarriedOver(best, day, other.Variant.Day)), best)),
        ];
        return new PlanView(
            At(best.EndsAt),
            At(closesAt),
            best.EndsAt <= closesAt,
            At(best.LowerBound),
            decimal.Round(100m * (best.EndsAt - best.LowerBound) / Math.Max(1, best.LowerBound - opensAt), 1),
            new BoundBy(best.Bound.Limit, [.. best.Bound.Competitions.Select(c => competitions[c].Competition.Id)]),
            best.EndIsLeast,
            best.Waits.Sum(),
            best.YoungWait,
            strips,
            referees.Count,
            !referees.Listed.IsEmpty,
            wanted.Strips is null ? [.. tournament.Strips.Index().Where(s => s.Item.Weapons is not null).Select(s => new StripOfKind(s.Index + 1, s.Item.Name, s.Item.Weapons!.Value))] : [],
            Competitions(day, best, best),
            [.. shared.Select(s => new EnteredTwice(competitions[s.First].Competition.Id, competitions[s.Second].Competition.Id, s.Fencers))],
            notPlanned,
            others,
            best.EndsAt <= closesAt ? [] : [.. Relax(best, others)],
            $"A plan by usual times: bouts differ, children tire, and things break. Leave room before the hall closes, and put the organiser's medical and safety plan first.");
    }

    /// <summary>The competitions of a plan, compared with the plan that it is laid beside.</summary>
    private ImmutableArray<PlannedCompetition> Competitions(DayToPlan day, DayPlan plan, DayPlan beside, int late = 0)
    {
        return [.. competitions.Select((expected, i) => Of(expected, i, Stages(plan, i), End(plan, i) - End(beside, i)))];

        static PlannedStage[] Stages(DayPlan plan, int i) => [.. plan.Stages.Where(s => s.Competition == i).OrderBy(s => s.Stage)];

        static int End(DayPlan plan, int i) => Stages(plan, i)[^1].To;

        PlannedCompetition Of(Expected expected, int i, PlannedStage[] planned, int later) => new(
            expected.Competition.Id,
            expected.Competition.Name,
            expected.Fencers + (i == Largest ? late : 0),
            At(planned[0].From),
            At(planned[^1].To),
            decimal.Round(expected.Durations.PoolBout, 2),
            decimal.Round(expected.Durations.EliminationBout, 2),
            expected.Young,
            later,
            planned[^1].To <= closesAt,
            plan.Waits[i],
            [
                .. planned.Zip(day.Competitions[i].Stages, (s, stage) =>
                    new PlannedStageView(stage.Kind, stage.Round, stage.Bouts, s.Width.Flights, At(s.From), At(s.To), s.Strips)),
            ]);
    }

    /// <summary>What a day that is too long can give way in: what sets its bound, and which changes alone are enough.</summary>
    private IEnumerable<FormattableString> Relax(DayPlan best, ImmutableArray<WhatIf> others)
    {
        var (bound, closes) = (best.LowerBound, Clock(closesAt));
        var names = best.Bound.Competitions.Select(c => competitions[c].Competition.Name).ToArray();
        var serving = kinds.IsEmpty ? strips : kinds.Count(kind => kind.IsEmpty || best.Bound.Competitions.Any(c => kind.Contains(competitions[c].Competition.Weapon)));
        if (bound <= closesAt)
        {
            yield return $"A plan that ends before {closes} is not ruled out: let the search go on for longer.";
        }
        else if (best.Bound.Limit == DayLimit.LongestCompetition)
        {
            yield return $"{names[0]} alone lasts until {Clock(bound)}: begin it earlier, let fewer go on to the tableau, or move it to another day.";
        }
        else if (best.Bound.Limit == DayLimit.Referees)
        {
            yield return bound < 24 * 60
                ? $"All referees on duty for {string.Join(", ", names)} are busy until {Clock(bound)} at best: find more, or ask them to stay for longer."
                : (FormattableString)$"The referees on the list are not there for long enough for {string.Join(", ", names)}: find more, or ask them to stay for longer.";
        }
        else if (best.Bound.Limit == DayLimit.SharedFencers)
        {
            yield return $"{string.Join(", ", names)} have fencers in common and last until {Clock(bound)} one after the other: put one of them on another day, or let those fencers choose.";
        }
        else if (best.Bound.Limit == DayLimit.Strips && referees.Count < serving)
        {
            yield return $"All {referees.Count} strips that have a referee are busy until {Clock(bound)} at best: find more referees.";
        }
        else if (best.Bound.Limit == DayLimit.Strips && serving < strips)
        {
            yield return $"All {serving} strips that serve {string.Join(", ", names)} are busy until {Clock(bound)} at best: lay out more of them, open earlier, or take fewer entries.";
        }
        else if (best.Bound.Limit == DayLimit.Strips)
        {
            yield return $"All {strips} strips are busy until {Clock(bound)} at best: lay out more, open earlier, or take fewer entries.";
        }
        else
        {
            yield return $"No plan ends before {Clock(bound)}: lay out more strips, open earlier, or take fewer entries.";
        }

        foreach (var other in others.Where(o => o.Fits))
        {
            if (Enough(other) is { } sentence)
            {
                yield return sentence;
            }
        }
    }

    private static FormattableString? Enough(WhatIf other) => other switch
    {
        { Change: PlanChange.StripsMore, Number: 1 } => $"One strip with a referee more is enough.",
        { Change: PlanChange.StripsMore } => $"Two strips with referees more are enough.",
        { Change: PlanChange.NoClosures } => $"To fence on through the break is enough, if everybody is relieved in turn.",
        { Change: PlanChange.OpenEarlier } => $"To open an hour earlier is enough.",
        _ => null,
    };

    private static string Clock(int minute) => TimeSpan.FromMinutes(minute).ToString(@"hh\:mm", CultureInfo.InvariantCulture);

    /// <summary>
    /// The day, its plan, and the plans of the days with less of something. A plan for less holds for the day too, so where
    /// the search was luckier there its plan is taken over: no day with less is told to end earlier.
    /// </summary>
    private (DayToPlan Day, DayPlan Best, ImmutableArray<(Variant Variant, DayPlan Plan)> Less) Found()
    {
        var day = Wished;
        var best = Best(day);
        ImmutableArray<(Variant, DayPlan)> less = [.. Less().Select(variant => (variant, Search(variant.Day)))];
        foreach (var (variant, plan) in less)
        {
            best = Better(best, DayPlanner.CarriedOver(plan, variant.Day, day));
        }

        return (day, best, less);
    }

    /// <summary>The better of two plans of one day; what is known of the bound from the first stays.</summary>
    private static DayPlan Better(DayPlan first, DayPlan? second) => second?.IsBetterThan(first) == true ? second with { Bound = first.Bound } : first;

    private IEnumerable<Variant> Less()
    {
        var otherwise = Otherwise;
        if (otherwise.StripsFewer > 0 && strips > otherwise.StripsFewer && competitions.All(e => Served(strips - otherwise.StripsFewer, e.Competition.Weapon)))
        {
            yield return new Variant(PlanChange.StripsFewer, otherwise.StripsFewer, DayOf(strips - otherwise.StripsFewer, referees, closures, opensAt));
        }

        if (otherwise.RefereesMissing > 0 && referees.Without(otherwise.RefereesMissing, competitions.Select(e => e.Competition.Weapon)) is { } rest)
        {
            yield return new Variant(PlanChange.RefereesMissing, otherwise.RefereesMissing, DayOf(strips, rest, closures, opensAt));
        }

        if (otherwise.LateEntries > 0)
        {
            yield return new Variant(PlanChange.LateEntries, otherwise.LateEntries, DayOf(strips, referees, closures, opensAt, otherwise.LateEntries));
        }
    }

    private IEnumerable<Variant> More()
    {
        for (var more = 1; more <= 2; more++)
        {
            yield return new Variant(PlanChange.StripsMore, more, DayOf(strips + more, referees.With(more), closures, opensAt));
        }

        if (closures.Length > 0)
        {
            yield return new Variant(PlanChange.NoClosures, null, DayOf(strips, referees, [], opensAt));
        }

        if (opensAt >= 60)
        {
            yield return new Variant(PlanChange.OpenEarlier, 60, DayOf(strips, referees, closures, opensAt - 60));
        }
    }

    private DayPlan Search(DayToPlan day) =>
        new DayPlanner().Best(day, new DrawSeed(wanted.Seed), Math.Min(wanted.StopAfter ?? wanted.Steps, MostStepsOfWhatIf));

    private WhatIf View(Variant variant, DayPlan plan, DayPlan beside) => new(
        variant.Change,
        variant.Number,
        At(plan.EndsAt),
        plan.EndsAt - beside.EndsAt,
        plan.EndsAt <= closesAt,
        plan.Waits.Sum(),
        plan.YoungWait,
        variant.Day.Strips,
        variant.Day.Referees,
        Competitions(variant.Day, plan, beside, variant.Change == PlanChange.LateEntries ? variant.Number!.Value : 0));

    private int Largest => competitions.IndexOf(competitions.MaxBy(e => e.Fencers)!);

    private DayToPlan DayOf(int withStrips, Crew with, ImmutableArray<Closure> closed, int from, int late = 0)
    {
        var (largest, most) = (Largest, Most(withStrips, with, closed, from));
        return new DayToPlan(
            [
                .. competitions.Select((expected, i) => new CompetitionToPlan(
                    expected.Competition.Id,
                    expected.Competition.Weapon,
                    StagesOf(expected, most[expected.Competition.Weapon], i == largest ? late : 0),
                    Math.Max(0, expected.NotBefore - (opensAt - from)),
                    expected.Young)),
            ],
            withStrips,
            with.Count,
            from,
            closesAt,
            closed,
            [.. shared.Select(s => new SharedFencers(s.First, s.Second))],
            with.Listed,
            Kinds(withStrips));
    }

    /// <summary>The weapons of so many strips: the first of the list, and further ones for every weapon.</summary>
    private ImmutableArray<ImmutableArray<Weapon>> Kinds(int withStrips) =>
        kinds.IsEmpty ? [] : [.. kinds.Take(withStrips), .. Enumerable.Repeat(ImmutableArray<Weapon>.Empty, Math.Max(0, withStrips - kinds.Length))];

    /// <summary>Whether one of the first strips serves a weapon.</summary>
    private bool Served(int withStrips, Weapon weapon) => kinds.IsEmpty || Kinds(withStrips).Any(kind => kind.IsEmpty || kind.Contains(weapon));

    /// <summary>On how many strips each weapon can be fenced at once at most.</summary>
    private Dictionary<Weapon, int> Most(int withStrips, Crew with, ImmutableArray<Closure> closed, int from)
    {
        Weapon[] weapons = [.. competitions.Select(e => e.Competition.Weapon).Distinct()];
        var limits = StripLimit.Of(new TimeAxis(from, closed), withStrips, with.Count, with.Listed, weapons, Kinds(withStrips));
        return weapons.ToDictionary(weapon => weapon, weapon => StripLimit.Most(limits, weapon));
    }

    private static ImmutableArray<StageToPlan> StagesOf(Expected expected, int most, int late) =>
        StageToPlan.Of(Math.Min(1024, expected.Fencers + late), expected.Competition.Formula, expected.Durations, most);

    /// <summary>Why the formula cannot be fenced with so many, or null.</summary>
    private FormattableString? WhyNotFenced(Expected expected)
    {
        try
        {
            _ = StagesOf(expected, strips, 0);
            return null;
        }
        catch (ArgumentException unusable)
        {
            return Refusal.Invalid("fencers", unusable).Sentence;
        }
    }

    private Expected Expect(Competition competition, ExpectedCompetition? known)
    {
        var usual = BoutDurations.Usual(competition.Weapon, competition.Formula);
        return new Expected(
            competition,
            known,
            known?.Fencers ?? (Day > tournament.StartsOn && competition.Stage != Stage.Entries ? 0 : competition.Entrants.Count(e => !e.Gone)),
            new BoutDurations(known?.PoolBoutMinutes ?? usual.PoolBout, known?.EliminationBoutMinutes ?? usual.EliminationBout),
            Math.Max(opensAt, Minute(known?.NotBefore) ?? opensAt),
            known?.Young ?? AgeGroupFormula.AgeLimit(competition.AgeGroup) <= 15);
    }

    /// <summary>Who stands in two entry lists with the same name and club is taken for one person.</summary>
    private static ImmutableArray<(int First, int Second, int Fencers)> Shared(ImmutableArray<Expected> competitions)
    {
        var people = competitions.Select(e => e.Competition.Entrants.Where(entrant => !entrant.Gone).Select(entrant => entrant.Details.Person()).ToHashSet()).ToArray();
        return
        [
            .. from first in Enumerable.Range(0, people.Length)
               from second in Enumerable.Range(first + 1, people.Length - first - 1)
               let both = people[first].Count(people[second].Contains)
               where both > 0
               select (first, second, both),
        ];
    }

    private DateTimeOffset At(int minute) => tournament.Moment(Day.ToDateTime(TimeOnly.MinValue).AddMinutes(minute));

    private DateOnly Day => wanted.On ?? tournament.StartsOn;

    /// <summary>A day on which something is otherwise.</summary>
    private sealed record Variant(PlanChange Change, int? Number, DayToPlan Day);

    /// <summary>The referees of a day: their number, and who they are where the day is planned by the list.</summary>
    private sealed record Crew(int Count, ImmutableArray<RefereeDetails> Listed)
    {
        private static readonly ImmutableArray<Weapon> Every = [.. Enum.GetValues<Weapon>()];

        public bool Has(Weapon weapon) => Listed.IsEmpty || Listed.Any(r => r.Weapons.Contains(weapon));

        /// <summary>So many more, each for every weapon and the whole day.</summary>
        public Crew With(int more) => new(
            Count + more,
            Listed.IsEmpty ? [] : Listed.AddRange(Enumerable.Repeat(new RefereeDetails("+", string.Empty, null, null, Every, RefereeLevel.Club, null, null, []), more)));

        /// <summary>So many fewer: of a list those who are missed most, for most weapons and longest there; null when a weapon would be left without anybody.</summary>
        public Crew? Without(int fewer, IEnumerable<Weapon> weapons)
        {
            if (Listed.IsEmpty)
            {
                return fewer < Count ? new Crew(Count - fewer, []) : null;
            }

            var rest = Listed;
            foreach (var missing in Listed.OrderByDescending(r => r.Weapons.Length).ThenByDescending(There))
            {
                var left = rest.Remove(missing);
                if (rest.Length > Count - fewer && weapons.All(weapon => left.Any(r => r.Weapons.Contains(weapon))))
                {
                    rest = left;
                }
            }

            return rest.Length == Count - fewer ? new Crew(rest.Length, rest) : null;
        }

        private static int There(RefereeDetails referee) =>
            (referee.To ?? (24 * 60)) - (referee.From ?? 0) - referee.Breaks.Sum(b => b.To - b.From);
    }

    private sealed record Expected(Competition Competition, ExpectedCompetition? Known, int Fencers, BoutDurations Durations, int NotBefore, bool Young);
}
