using System.Collections.Immutable;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Planning;
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

    public static CompetitionToPlan Competition(string id, int fencers, Weapon weapon, int capacity, int notBefore = 0, bool young = false, Formula? formula = null)
    {
        formula ??= new Formula();
        return new CompetitionToPlan(id, StageToPlan.Of(fencers, formula, BoutDurations.Usual(weapon, formula), capacity), notBefore, young);
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
