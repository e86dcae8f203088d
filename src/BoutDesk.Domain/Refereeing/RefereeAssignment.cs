using System.Collections.Immutable;
using BoutDesk.Domain.Competitions;

namespace BoutDesk.Domain.Refereeing;

/// <summary>A pool or bout that needs a referee.</summary>
/// <param name="At">The pool or the bout.</param>
/// <param name="Weapon">The weapon.</param>
/// <param name="Clubs">The clubs of its fencers; upper and lower case are alike.</param>
/// <param name="Countries">The countries of its fencers, likewise.</param>
/// <param name="Load">How much it is to referee, in pool bouts, at least 1; see <see cref="RefereeBook"/>.</param>
/// <param name="Flight">In which turn it is fenced, from 0. What is fenced in one turn needs different referees.</param>
/// <param name="Wanted">The level that suits it best.</param>
/// <param name="When">When it is fenced, by the clock of the hall, or null when that is not known.</param>
public sealed record Duty(
    string At,
    Weapon Weapon,
    ImmutableArray<string> Clubs,
    ImmutableArray<string> Countries,
    int Load,
    int Flight,
    RefereeLevel Wanted,
    HallSpan? When);

/// <summary>A referee as he stands when duties are assigned.</summary>
/// <param name="Referee">The referee.</param>
/// <param name="Load">What he has refereed and is appointed for, in pool bouts, 0 to 10,000.</param>
/// <param name="InARow">How many duties he has just refereed without a rest.</param>
/// <param name="Fencing">Whether he is a fencer of a competition that is being fenced, and in it still.</param>
/// <param name="Elsewhere">Whether he is appointed for something else that is not over.</param>
/// <param name="Flights">The turns in which he has a duty already.</param>
public sealed record Candidate(Referee Referee, int Load, int InARow, bool Fencing, bool Elsewhere, ImmutableArray<int> Flights);

/// <summary>What the organiser sets for an assignment.</summary>
/// <param name="LeastLevel">Nobody below this level is assigned.</param>
/// <param name="CountriesApart">Whether nobody referees fencers of his own country; else it is only avoided.</param>
public sealed record AssignmentRules(RefereeLevel LeastLevel, bool CountriesApart);

/// <summary>What stands against a referee for a duty.</summary>
[Flags]
public enum Bars
{
    /// <summary>Nothing.</summary>
    None = 0,

    /// <summary>His level is below the least one.</summary>
    Level = 1,

    /// <summary>He comes from the country of a fencer, and countries are kept apart.</summary>
    OwnCountry = 2,

    /// <summary>He is not there all the time, or has a break.</summary>
    Hours = 4,

    /// <summary>He is appointed for something else that is not over.</summary>
    Elsewhere = 8,

    /// <summary>He is away.</summary>
    Away = 16,

    /// <summary>He belongs to the club of a fencer.</summary>
    OwnClub = 32,

    /// <summary>He fences himself.</summary>
    Fencing = 64,

    /// <summary>He does not referee the weapon.</summary>
    Weapon = 128,
}

/// <summary>A referee who could take a duty if one rule were let go.</summary>
/// <param name="RefereeId">The referee, who has no duty in that turn.</param>
/// <param name="Rule">The one rule that stands against him.</param>
public sealed record Relaxation(string RefereeId, Bars Rule);

/// <summary>Why a duty has nobody.</summary>
public enum UncoveredReason
{
    /// <summary>No referee is listed.</summary>
    NobodyListed,

    /// <summary>Nobody is there and free at that time.</summary>
    NobodyFree,

    /// <summary>Nobody who is free referees the weapon.</summary>
    Weapon,

    /// <summary>Nobody who is free and referees the weapon has the level.</summary>
    Level,

    /// <summary>All others belong to clubs of its fencers.</summary>
    OwnClub,

    /// <summary>All others come from clubs or countries of its fencers.</summary>
    OwnCountry,

    /// <summary>All who could are needed for other duties of the same turn.</summary>
    NeededElsewhere,
}

/// <summary>A duty that nobody has.</summary>
/// <param name="At">The pool or the bout.</param>
/// <param name="Reason">Why.</param>
/// <param name="Why">The same in a sentence.</param>
/// <param name="Relaxations">Up to three referees who could take it if one rule were let go, the rule that matters least first.</param>
public sealed record Uncovered(string At, UncoveredReason Reason, FormattableString Why, ImmutableArray<Relaxation> Relaxations);

/// <summary>Who has which duty.</summary>
/// <param name="Covered">The duties that have somebody, in the order given.</param>
/// <param name="Uncovered">The others, in the order given.</param>
/// <param name="Cost">What it costs by the weights of <see cref="RefereeAssignment"/>; only to compare assignments of the same duties.</param>
public sealed record AssignedDuties(ImmutableArray<(string At, string RefereeId)> Covered, ImmutableArray<Uncovered> Uncovered, long Cost);

/// <summary>Assigns referees to pools or bouts: as many as can be have one, and of all ways to do that it is one that costs least.</summary>
/// <remarks>
/// <para>
/// <b>What is never broken</b>: own club, own country where countries are kept apart, the weapon, the least level, hours
/// and breaks where the time is known, who is away, fences himself or has something else to referee; one duty for each
/// referee in a turn. Own club and own country: Book 2, Organisation, from memory. The rest is practice.
/// </para>
/// <para>
/// <b>What is weighed</b>, our convention. Load: the square of what a referee has refereed, in pool bouts, so that of two
/// who have unequal loads the one with less is asked. Within one assignment every duty counts as the mean of them,
/// rounded up, since pools of one round differ by one fencer at most. Own country: <see cref="OwnCountry"/>, about what
/// an extra pool costs for someone who had four already. A level above the one wanted: <see cref="LevelAbove"/> for each step, so that
/// high levels are kept for later. A level below it: <see cref="LevelBelow"/> for each step. Who has refereed two duties
/// in a row: <see cref="NoRest"/>, and as much again for each further one.
/// </para>
/// <para>
/// <b>How.</b> Duties, referees by turn, and referees are the nodes of a flow, whose last arcs cost more the more a
/// referee has. Cheapest paths are added as long as there are any, equally cheap ones together, with prices on the
/// nodes that keep every length from being negative (Ahuja, Magnanti, Orlin, Network Flows, 1993, sections 9.7 and 9.8,
/// from memory). All costs are whole numbers,
/// and equal paths are told apart by the order given: the same duties and referees give the same assignment.
/// </para>
/// </remarks>
public static class RefereeAssignment
{
    /// <summary>The most duties at once.</summary>
    public const int MostDuties = 1000;

    /// <summary>What it costs that somebody referees fencers of his own country.</summary>
    public const int OwnCountry = 4000;

    /// <summary>What each step above the level wanted costs.</summary>
    public const int LevelAbove = 60;

    /// <summary>What each step below the level wanted costs.</summary>
    public const int LevelBelow = 400;

    /// <summary>What it costs that somebody referees on after two duties in a row, and more for each further one.</summary>
    public const int NoRest = 1500;

    private const int MostRelaxations = 3;

    /// <summary>Assigns the duties.</summary>
    /// <param name="duties">The duties, at most <see cref="MostDuties"/>.</param>
    /// <param name="candidates">The referees, at most <see cref="RefereeDecider.MostReferees"/>.</param>
    /// <param name="rules">What the organiser sets.</param>
    /// <exception cref="ArgumentException">There are more duties or referees than that.</exception>
    public static AssignedDuties Assign(IReadOnlyList<Duty> duties, IReadOnlyList<Candidate> candidates, AssignmentRules rules)
    {
        if (duties.Count > MostDuties)
        {
            throw new ArgumentException($"At most {MostDuties} duties are assigned at once.", nameof(duties));
        }

        if (candidates.Count > RefereeDecider.MostReferees)
        {
            throw new ArgumentException($"At most {RefereeDecider.MostReferees} referees can be assigned.", nameof(candidates));
        }

        var field = new Field(duties, candidates, rules);
        var (refereeOf, cost) = field.Solve();
        return new AssignedDuties(
            [.. duties.Index().Where(d => refereeOf[d.Index] >= 0).Select(d => (d.Item.At, candidates[refereeOf[d.Index]].Referee.Id))],
            [.. duties.Index().Where(d => refereeOf[d.Index] < 0).Select(d => field.Explain(d.Index, refereeOf))],
            cost);
    }

    /// <summary>Everything that stands against a referee for a duty, but for other duties of the same turn.</summary>
    /// <param name="duty">The duty.</param>
    /// <param name="candidate">The referee.</param>
    /// <param name="rules">What the organiser sets.</param>
    public static Bars WhyNot(Duty duty, Candidate candidate, AssignmentRules rules) =>
        Against(duty, candidate, rules, Has(duty.Clubs, candidate.Referee.Details.Club), Has(duty.Countries, candidate.Referee.Details.Country));

    private static bool Has(ImmutableArray<string> affiliations, string? own) =>
        own is not null && affiliations.Contains(own, StringComparer.OrdinalIgnoreCase);

    private static Bars Against(Duty duty, Candidate candidate, AssignmentRules rules, bool ownClub, bool ownCountry)
    {
        var details = candidate.Referee.Details;
        return When(details.Level < rules.LeastLevel, Bars.Level)
            | When(rules.CountriesApart && ownCountry, Bars.OwnCountry)
            | When(!details.IsThere(duty.When), Bars.Hours)
            | When(candidate.Elsewhere, Bars.Elsewhere)
            | When(candidate.Referee.Away, Bars.Away)
            | When(ownClub, Bars.OwnClub)
            | When(candidate.Fencing, Bars.Fencing)
            | When(!details.Weapons.Contains(duty.Weapon), Bars.Weapon);

        static Bars When(bool so, Bars bar) => so ? bar : Bars.None;
    }

    private sealed class Field
    {
        private readonly IReadOnlyList<Duty> duties;
        private readonly IReadOnlyList<Candidate> candidates;
        private readonly Bars[] bars;
        private readonly bool[] ownCountry;
        private readonly int[] flights;
        private readonly int[] turnOf;

        public Field(IReadOnlyList<Duty> duties, IReadOnlyList<Candidate> candidates, AssignmentRules rules)
        {
            this.duties = duties;
            this.candidates = candidates;
            flights = [.. duties.Select(d => d.Flight).Distinct().Order()];
            turnOf = [.. duties.Select(d => Array.IndexOf(flights, d.Flight))];
            bars = new Bars[duties.Count * candidates.Count];
            ownCountry = new bool[bars.Length];
            string?[] clubs = [.. candidates.Select(c => c.Referee.Details.Club)];
            string?[] countries = [.. candidates.Select(c => c.Referee.Details.Country)];
            for (var d = 0; d < duties.Count; d++)
            {
                var clubsHere = duties[d].Clubs.ToHashSet(StringComparer.OrdinalIgnoreCase);
                var countriesHere = duties[d].Countries.ToHashSet(StringComparer.OrdinalIgnoreCase);
                for (var c = 0; c < candidates.Count; c++)
                {
                    var at = (d * candidates.Count) + c;
                    ownCountry[at] = countries[c] is { } country && countriesHere.Contains(country);
                    bars[at] = Against(duties[d], candidates[c], rules, clubs[c] is { } club && clubsHere.Contains(club), ownCountry[at]);
                }
            }
        }

        /// <summary>The place of the referee of each duty, or -1, and what it costs.</summary>
        public (int[] RefereeOf, long Cost) Solve()
        {
            // Nodes: the duties, each referee in each turn, the referees, source and sink.
            var slots = duties.Count;
            var referees = slots + (candidates.Count * flights.Length);
            var source = referees + candidates.Count;
            var network = new FlowNetwork(source + 2);
            var step = duties.Count == 0 ? 0 : (duties.Sum(d => d.Load) + duties.Count - 1) / duties.Count;
            for (var d = 0; d < duties.Count; d++)
            {
                network.Add(source, d, 0);
                for (var c = 0; c < candidates.Count; c++)
                {
                    if (Can(d, c))
                    {
                        network.Add(d, slots + (c * flights.Length) + turnOf[d], CostOf(d, c));
                    }
                }
            }

            for (var c = 0; c < candidates.Count; c++)
            {
                long before = candidates[c].Load;
                for (var turn = 0; turn < flights.Length; turn++)
                {
                    network.Add(slots + (c * flights.Length) + turn, referees + c, 0);
                    var after = before + step;
                    network.Add(referees + c, source + 1, (after * after) - (before * before));
                    before = after;
                }
            }

            var cost = network.Fill(source, source + 1);
            int[] refereeOf = [.. Enumerable.Range(0, duties.Count).Select(d => network.TargetOf(d) is >= 0 and var slot ? (slot - slots) / flights.Length : -1)];
            return (refereeOf, cost);
        }

        public Uncovered Explain(int duty, int[] refereeOf)
        {
            var (reason, why) = Why(duty);
            return new Uncovered(duties[duty].At, reason, why, Relaxations(duty, refereeOf));
        }

        private bool Can(int duty, int candidate) =>
            bars[(duty * candidates.Count) + candidate] == Bars.None && !candidates[candidate].Flights.Contains(duties[duty].Flight);

        private long CostOf(int duty, int candidate)
        {
            var steps = candidates[candidate].Referee.Details.Level - duties[duty].Wanted;
            return (ownCountry[(duty * candidates.Count) + candidate] ? OwnCountry : 0)
                + (steps >= 0 ? steps * LevelAbove : -steps * LevelBelow)
                + (Math.Max(0, candidates[candidate].InARow - 1) * NoRest);
        }

        private (UncoveredReason Reason, FormattableString Why) Why(int duty)
        {
            if (candidates.Count == 0)
            {
                return (UncoveredReason.NobodyListed, $"No referee is listed.");
            }

            var left = Enumerable.Range(0, candidates.Count).ToArray();
            if (!Narrow(Bars.Away | Bars.Fencing | Bars.Elsewhere | Bars.Hours))
            {
                return (UncoveredReason.NobodyFree, $"Nobody who is listed is there and free.");
            }

            if (!Narrow(Bars.Weapon))
            {
                return (UncoveredReason.Weapon, duties[duty].Weapon switch
                {
                    Competitions.Weapon.Foil => $"Nobody who is free referees foil.",
                    Competitions.Weapon.Epee => $"Nobody who is free referees épée.",
                    _ => $"Nobody who is free referees sabre.",
                });
            }

            if (!Narrow(Bars.Level))
            {
                return (UncoveredReason.Level, $"Nobody who is free has the level that was asked for.");
            }

            var clubs = Affiliations(d => d.Club, duties[duty].Clubs);
            if (!Narrow(Bars.OwnClub))
            {
                return (UncoveredReason.OwnClub, $"All who are free belong to clubs of its fencers: {clubs}.");
            }

            var countries = Affiliations(d => d.Country, duties[duty].Countries);
            if (!Narrow(Bars.OwnCountry))
            {
                return (UncoveredReason.OwnCountry, $"All who are free come from clubs or countries of its fencers: {string.Join(", ", new[] { clubs, countries }.Where(names => names.Length > 0))}.");
            }

            return (UncoveredReason.NeededElsewhere, $"All who could take it are needed elsewhere at the same time; so many could: {left.Length}.");

            bool Narrow(Bars against)
            {
                int[] fewer = [.. left.Where(c => (bars[(duty * candidates.Count) + c] & against) == Bars.None)];
                if (fewer.Length > 0)
                {
                    left = fewer;
                }

                return fewer.Length > 0;
            }

            string Affiliations(Func<RefereeDetails, string?> of, ImmutableArray<string> here) => string.Join(
                ", ",
                left.Select(c => of(candidates[c].Referee.Details)).OfType<string>().Where(own => Has(here, own))
                    .Distinct(StringComparer.OrdinalIgnoreCase).Order(StringComparer.Ordinal));
        }

        private ImmutableArray<Relaxation> Relaxations(int duty, int[] refereeOf)
        {
            var taken = Enumerable.Range(0, duties.Count).Where(d => turnOf[d] == turnOf[duty] && refereeOf[d] >= 0).Select(d => refereeOf[d]).ToHashSet();
            return
            [
                .. Enumerable.Range(0, candidates.Count)
                    .Where(c => !taken.Contains(c) && !candidates[c].Flights.Contains(duties[duty].Flight))
                    .Select(c => (Candidate: candidates[c], Rule: bars[(duty * candidates.Count) + c]))
                    // A weapon that he does not referee is not let go, and who fences cannot be in two places.
                    .Where(r => int.IsPow2((int)r.Rule) && r.Rule < Bars.Fencing)
                    .OrderBy(r => r.Rule).ThenBy(r => r.Candidate.Load)
                    .Take(MostRelaxations)
                    .Select(r => new Relaxation(r.Candidate.Referee.Id, r.Rule)),
            ];
        }
    }
}
