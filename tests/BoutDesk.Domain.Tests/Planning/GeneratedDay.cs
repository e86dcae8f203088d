using System.Collections.Immutable;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Planning;
using BoutDesk.Domain.Refereeing;
using BoutDesk.Domain.Seeding;

namespace BoutDesk.Domain.Tests.Planning;

/// <summary>Days that are drawn by lot: competitions of all weapons and sizes, late check-ins, lunch, fencers entered twice.</summary>
internal static class GeneratedDay
{
    public static DayToPlan Of(long seed, int competitions, int strips, int? referees = null, bool lunch = true)
    {
        var lots = new DrawSeed(seed).Lots();
        var capacity = Math.Min(strips, referees ?? strips);
        var day = new DayToPlan(
            [.. Enumerable.Range(0, competitions).Select(i => Competition(i, lots, capacity))],
            strips,
            referees ?? strips,
            8 * 60,
            20 * 60,
            lunch ? [new Closure(12 * 60, (12 * 60) + 45)] : [],
            []);
        var shared = ImmutableArray.CreateBuilder<SharedFencers>();
        for (var i = 0; i < competitions / 3; i++)
        {
            var (one, other) = (lots.Below(competitions), lots.Below(competitions));
            if (one != other)
            {
                shared.Add(new SharedFencers(one, other));
            }
        }

        return day with { Shared = shared.ToImmutable() };
    }

    /// <summary>The same with referees by their list: some for one weapon only, some for the morning or the afternoon, with breaks; for each weapon somebody the whole day.</summary>
    public static DayToPlan WithList(long seed, int competitions, int strips)
    {
        var lots = new DrawSeed(seed + 1_000_000).Lots();
        var day = Of(seed, competitions, strips, lunch: seed % 2 == 0);
        ImmutableArray<RefereeDetails> listed =
        [
            .. Enum.GetValues<Weapon>().Select(weapon => Referee([weapon])),
            .. Enumerable.Range(0, lots.Below(2 * strips)).Select(_ => Referee(
                [.. Enum.GetValues<Weapon>().Where(_ => lots.Below(2) == 0).DefaultIfEmpty((Weapon)lots.Below(3))],
                lots.Below(3) == 0 ? (8 * 60) + (5 * lots.Below(60)) : null,
                lots.Below(3) == 0 ? (14 * 60) + (7 * lots.Below(60)) : null,
                lots.Below(3) == 0 ? [new HallSpan((11 * 60) + (5 * lots.Below(12)), (12 * 60) + (5 * lots.Below(12)) + 1)] : [])),
        ];
        return Fitting(day with { Referees = listed.Length, Listed = listed });
    }

    /// <summary>The same on strips of several kinds: for each weapon of the day at least one strip, the others for one, two or all three of them.</summary>
    public static DayToPlan WithKinds(long seed, int competitions, int strips, bool list = false)
    {
        var lots = new DrawSeed(seed + 2_000_000).Lots();
        var day = list ? WithList(seed, competitions, strips) : Of(seed, competitions, strips, referees: seed % 3 == 0 ? Math.Max(2, strips - 2) : null, lunch: seed % 2 == 0);
        var kinds = new List<ImmutableArray<Weapon>>();
        for (var i = 0; i < strips; i++)
        {
            kinds.Add(i < 3 && lots.Below(3) > 0 ? [(Weapon)i] : lots.Below(3) == 0 ? [] : [.. Enum.GetValues<Weapon>().Where(_ => lots.Below(2) == 0)]);
        }

        foreach (var weapon in day.Competitions.Select(c => c.Weapon).Distinct().Where(weapon => !kinds.Any(kind => kind.IsEmpty || kind.Contains(weapon))))
        {
            kinds[^1] = [];
        }

        ImmutableArray<Weapon>[] shuffled = [.. kinds];
        lots.Shuffle<ImmutableArray<Weapon>>(shuffled);
        return Fitting(day with { Kinds = [.. shuffled] });
    }

    /// <summary>The same day with the widths alone that can be had with its strips and referees.</summary>
    public static DayToPlan Fitting(DayToPlan day)
    {
        var limits = StripLimit.Of(day);
        return day with
        {
            Competitions =
            [
                .. day.Competitions.Select(c => c with
                {
                    Stages = [.. c.Stages.Select(s => s with { Widths = [.. s.Widths.Where(w => w.Strips <= StripLimit.Most(limits, c.Weapon))] })],
                }),
            ],
        };
    }

    public static RefereeDetails Referee(ImmutableArray<Weapon> weapons, int? from = null, int? to = null, params ImmutableArray<HallSpan> breaks) =>
        new("Lind", "", null, null, weapons, RefereeLevel.Club, from, to, breaks);

    public static CompetitionToPlan Competition(string id, int fencers, Weapon weapon, int capacity, int notBefore = 0, bool young = false, Formula? formula = null)
    {
        formula ??= new Formula();
        return new CompetitionToPlan(id, weapon, StageToPlan.Of(fencers, formula, BoutDurations.Usual(weapon, formula), capacity), notBefore, young);
    }

    private static CompetitionToPlan Competition(int number, LotSequence lots, int capacity)
    {
        var young = lots.Below(3) == 0;
        var formula = new Formula
        {
            Pools = new PoolFormula { Size = 6 + lots.Below(2), Rounds = 1 + (lots.Below(6) == 0 ? 1 : 0), Promote = new Promotion { Percent = lots.Below(2) == 0 ? 100 : 80 } },
            Elimination = new EliminationFormula { Touches = young ? 10 : 15, ThirdPlace = lots.Below(3) == 0 ? ThirdPlace.Bout : ThirdPlace.Shared },
        };
        return Competition($"c{number}", 8 + lots.Below(60), (Weapon)lots.Below(3), capacity, (8 * 60) + (30 * lots.Below(6)), young, formula);
    }
}
