using System.Collections.Immutable;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Refereeing;
using BoutDesk.Domain.Seeding;

namespace BoutDesk.Domain.Tests.Refereeing;

/// <summary>Pools and referees that are drawn by lot: clubs, countries, weapons, levels, hours, loads, and who is not to be had.</summary>
internal sealed record GeneratedDuties(ImmutableArray<Duty> Duties, ImmutableArray<Candidate> Candidates, AssignmentRules Rules)
{
    private static readonly string[] Countries = ["AAA", "BBB", "CCC", "DDD", "EEE"];

    /// <summary>A case of the size that is asked for.</summary>
    /// <param name="seed">The seed of all lots.</param>
    /// <param name="pools">How many pools.</param>
    /// <param name="referees">How many referees.</param>
    /// <param name="flights">In how many turns they are fenced.</param>
    /// <param name="clubs">How many clubs there are: the fewer, the more often a referee meets his own.</param>
    public static GeneratedDuties Of(long seed, int pools, int referees, int flights, int clubs)
    {
        var lots = new DrawSeed(seed).Lots();
        var atOnce = (pools + flights - 1) / flights;
        var weapon = (Weapon)lots.Below(3);
        return new GeneratedDuties(
            [.. Enumerable.Range(0, pools).Select(i => DutyOf(i, weapon, i / atOnce, lots, clubs))],
            [.. Enumerable.Range(0, referees).Select(i => CandidateOf(i, flights, lots, clubs))],
            new AssignmentRules((RefereeLevel)Math.Max(0, lots.Below(4) - 2), CountriesApart: lots.Below(4) == 0));
    }

    private static Duty DutyOf(int number, Weapon weapon, int flight, LotSequence lots, int clubs)
    {
        var size = 6 + lots.Below(2);
        return new Duty(
            $"t-1-d1p{number + 1}",
            weapon,
            [.. Enumerable.Range(0, size).Select(_ => $"Club {lots.Below(clubs)}")],
            [.. Enumerable.Range(0, 1 + lots.Below(2)).Select(_ => Countries[lots.Below(Countries.Length)])],
            size * (size - 1) / 2,
            flight,
            (RefereeLevel)lots.Below(3),
            lots.Below(2) == 0 ? null : new HallSpan((9 + flight) * 60, (10 + flight) * 60));
    }

    private static Candidate CandidateOf(int number, int flights, LotSequence lots, int clubs)
    {
        var weapons = Enum.GetValues<Weapon>().Where(_ => lots.Below(5) > 0).ToImmutableArray();
        var details = new RefereeDetails(
            $"Referee {number + 1}",
            "",
            lots.Below(8) == 0 ? null : $"CLUB {lots.Below(clubs)}",
            lots.Below(8) == 0 ? null : Countries[lots.Below(Countries.Length)],
            weapons.IsEmpty ? [Weapon.Foil] : weapons,
            (RefereeLevel)lots.Below(4),
            lots.Below(8) == 0 ? 10 * 60 : null,
            lots.Below(8) == 0 ? 11 * 60 : null,
            lots.Below(10) == 0 ? [new HallSpan(9 * 60, (9 * 60) + 30)] : []);
        return new Candidate(
            new Referee($"t-r{number + 1}", details, Away: lots.Below(20) == 0),
            21 * lots.Below(4),
            lots.Below(4),
            Fencing: lots.Below(20) == 0,
            Elsewhere: lots.Below(20) == 0,
            lots.Below(10) == 0 ? [lots.Below(flights)] : []);
    }
}
