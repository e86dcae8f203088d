using System.Collections.Immutable;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Equipment;
using BoutDesk.Domain.Erasing;
using BoutDesk.Domain.Planning;
using BoutDesk.Domain.Refereeing;

namespace BoutDesk.Domain.Tournaments;

/// <summary>Marks what can happen to a tournament; this file is the whole list.</summary>
public interface ITournamentEvent;

/// <summary>The tournament was opened.</summary>
/// <param name="Name">Its name.</param>
/// <param name="Venue">Where it is held.</param>
/// <param name="StartsOn">Its first day.</param>
/// <param name="TimeZone">The time zone of the venue, as in the IANA database.</param>
public sealed record TournamentOpened(string Name, string Venue, DateOnly StartsOn, string TimeZone) : ITournamentEvent;

/// <summary>A strip was added.</summary>
/// <param name="StripId">The identifier given.</param>
/// <param name="Name">Its name, unique in the tournament.</param>
/// <param name="Kind">What it is like, as the organiser says.</param>
/// <param name="Weapons">The weapons that it serves, one or two; null when it serves all.</param>
public sealed record StripAdded(string StripId, string Name, string? Kind, ImmutableArray<Weapon>? Weapons = null) : ITournamentEvent;

/// <summary>What a strip is called, what it is like or which weapons it serves was corrected.</summary>
/// <param name="StripId">The strip.</param>
/// <param name="Name">Its name, unique in the tournament.</param>
/// <param name="Kind">What it is like, as the organiser says.</param>
/// <param name="Weapons">The weapons that it serves, one or two; null when it serves all.</param>
public sealed record StripCorrected(string StripId, string Name, string? Kind, ImmutableArray<Weapon>? Weapons = null) : ITournamentEvent;

/// <summary>A competition was put on the programme.</summary>
/// <param name="CompetitionId">The identifier given.</param>
public sealed record CompetitionAdded(string CompetitionId) : ITournamentEvent;

/// <summary>Something was announced to everybody.</summary>
/// <param name="AnnouncementId">The identifier given.</param>
/// <param name="Text">The text.</param>
public sealed record AnnouncementMade(string AnnouncementId, string Text) : ITournamentEvent;

/// <summary>An announcement was taken down.</summary>
/// <param name="AnnouncementId">The announcement.</param>
public sealed record AnnouncementTakenDown(string AnnouncementId) : ITournamentEvent;

/// <summary>The tournament was given equipment rules of its own.</summary>
/// <param name="Rules">The rules.</param>
public sealed record EquipmentRulesBrought(EquipmentRules Rules) : ITournamentEvent;

/// <summary>The equipment rules of the tournament were given up for the usual ones.</summary>
public sealed record EquipmentRulesGivenUp : ITournamentEvent;

/// <summary>A plan was kept for the day; one that was kept before is replaced.</summary>
/// <param name="Plan">The plan.</param>
public sealed record DayPlanKept(KeptPlan Plan) : ITournamentEvent;

/// <summary>The plan that was kept was given up.</summary>
public sealed record DayPlanGivenUp : ITournamentEvent;

/// <summary>A referee was listed.</summary>
/// <param name="RefereeId">The identifier given.</param>
/// <param name="Details">Who it is.</param>
public sealed record RefereeListed(string RefereeId, RefereeDetails Details) : ITournamentEvent;

/// <summary>The details of a referee were corrected.</summary>
/// <param name="RefereeId">The referee.</param>
/// <param name="Details">Who it is.</param>
public sealed record RefereeCorrected(string RefereeId, RefereeDetails Details) : ITournamentEvent;

/// <summary>A referee is not to be asked at present.</summary>
/// <param name="RefereeId">The referee.</param>
public sealed record RefereeAway(string RefereeId) : ITournamentEvent;

/// <summary>A referee who was away can be asked again.</summary>
/// <param name="RefereeId">The referee.</param>
public sealed record RefereeBack(string RefereeId) : ITournamentEvent;

/// <summary>The data of a referee were erased, here and from the events before; what he refereed stays.</summary>
/// <param name="RefereeId">The referee.</param>
public sealed record RefereeErased(string RefereeId) : ITournamentEvent;

/// <summary>What is announced to everybody who follows a tournament.</summary>
/// <param name="Id">The identifier.</param>
/// <param name="Text">The text, to 300 characters.</param>
public sealed record Announcement(string Id, string Text);

/// <summary>A strip of a tournament: where bouts are fenced.</summary>
/// <param name="Id">The identifier.</param>
/// <param name="Name">The name.</param>
/// <param name="Kind">What it is like, or null.</param>
/// <param name="Weapons">The weapons that it serves, one or two; null when it serves all.</param>
public sealed record Strip(string Id, string Name, string? Kind, ImmutableArray<Weapon>? Weapons = null)
{
    /// <summary>Whether a weapon can be fenced on it.</summary>
    /// <param name="weapon">The weapon.</param>
    public bool Serves(Weapon weapon) => Weapons is not { } some || some.Contains(weapon);
}

/// <summary>A tournament, folded from its events. Immutable.</summary>
public sealed record Tournament
{
    /// <summary>The identifier.</summary>
    public required string Id { get; init; }

    /// <summary>The name.</summary>
    public required string Name { get; init; }

    /// <summary>Where it is held.</summary>
    public required string Venue { get; init; }

    /// <summary>The first day.</summary>
    public required DateOnly StartsOn { get; init; }

    /// <summary>The time zone of the venue, as in the IANA database.</summary>
    public required string TimeZone { get; init; }

    /// <summary>The strips, in the order in which they were added.</summary>
    public ImmutableArray<Strip> Strips { get; init; } = [];

    /// <summary>The competitions, in the order in which they were added.</summary>
    public ImmutableArray<string> Competitions { get; init; } = [];

    /// <summary>The referees, in the order in which they were listed; those who are away stay in the list.</summary>
    public ImmutableArray<Referee> Referees { get; init; } = [];

    /// <summary>What is announced just now, newest first.</summary>
    public ImmutableArray<Announcement> Announcements { get; init; } = [];

    /// <summary>How many announcements were ever made.</summary>
    public int Announced { get; init; }

    /// <summary>The equipment rules that were brought, or null while the usual ones hold.</summary>
    public EquipmentRules? BroughtRules { get; init; }

    /// <summary>The equipment rules in force.</summary>
    public EquipmentRules EquipmentRules => BroughtRules ?? EquipmentRules.Usual;

    /// <summary>The plan that the day is meant to follow, or null when none is kept.</summary>
    public KeptPlan? Plan { get; init; }

    /// <summary>How many events it was folded from, from 1.</summary>
    public int Version { get; init; }

    /// <summary>A referee, or null when there is none of this identifier.</summary>
    public Referee? Referee(string refereeId) => Referees.FirstOrDefault(r => r.Id == refereeId);

    /// <summary>A strip, or null when there is none of this identifier.</summary>
    public Strip? Strip(string stripId) => Strips.FirstOrDefault(s => s.Id == stripId);

    /// <summary>How many strips serve a weapon.</summary>
    /// <param name="weapon">The weapon.</param>
    public int StripsFor(Weapon weapon) => Strips.Count(s => s.Serves(weapon));

    /// <summary>Adds a strip.</summary>
    /// <param name="name">Its name.</param>
    /// <param name="kind">What it is like, or null.</param>
    /// <param name="weapons">The weapons that it serves, in any order; none or all three for all.</param>
    public Decision AddStrip(string name, string? kind, ImmutableArray<Weapon> weapons = default) =>
        Taken(name) ?? Decision.Accept(Id, new StripAdded(Identifiers.Strip(Id, Strips.Length + 1), name, kind, Served(weapons)));

    /// <summary>Corrects a strip. What was put on it stays there; where it is so already nothing changes.</summary>
    /// <param name="strip">The strip, which is one of the tournament.</param>
    /// <param name="name">Its name.</param>
    /// <param name="kind">What it is like, or null.</param>
    /// <param name="weapons">The weapons that it serves, in any order; none or all three for all.</param>
    public Decision CorrectStrip(Strip strip, string name, string? kind, ImmutableArray<Weapon> weapons = default)
    {
        var served = Served(weapons);
        return Taken(name, but: strip)
            ?? (strip.Name == name && strip.Kind == kind && (strip.Weapons ?? []).SequenceEqual(served ?? [])
                ? Decision.Nothing
                : Decision.Accept(Id, new StripCorrected(strip.Id, name, kind, served)));
    }

    /// <summary>Announces something to everybody who follows the tournament.</summary>
    /// <param name="text">The text.</param>
    public Decision Announce(string text) => Decision.Accept(Id, new AnnouncementMade(Identifiers.Announcement(Id, Announced + 1), text));

    /// <summary>Takes an announcement down. What is down already stays so.</summary>
    /// <param name="announcementId">The announcement.</param>
    public Decision TakeDown(string announcementId) => Announcements.Any(a => a.Id == announcementId)
        ? Decision.Accept(Id, new AnnouncementTakenDown(announcementId))
        : Decision.Nothing;

    /// <summary>Brings equipment rules. Checks that were made keep the verdicts they got.</summary>
    /// <param name="rules">The rules.</param>
    public Decision BringRules(EquipmentRules rules) => rules.Problems() is [var first, ..] ? first : Decision.Accept(Id, new EquipmentRulesBrought(rules));

    /// <summary>Gives the rules that were brought up for the usual ones. Where none were brought nothing changes.</summary>
    public Decision GiveRulesUp() => BroughtRules is null ? Decision.Nothing : Decision.Accept(Id, new EquipmentRulesGivenUp());

    /// <summary>Keeps a plan for the day in place of any other.</summary>
    /// <param name="plan">The plan.</param>
    public Decision KeepPlan(KeptPlan plan) => Decision.Accept(Id, new DayPlanKept(plan));

    /// <summary>Gives up the plan that is kept. Where none is nothing changes.</summary>
    public Decision GivePlanUp() => Plan is null ? Decision.Nothing : Decision.Accept(Id, new DayPlanGivenUp());

    /// <summary>The tournament after one more event.</summary>
    /// <param name="tournament">The tournament before it, or null before the first.</param>
    /// <param name="id">The identifier of the tournament.</param>
    /// <param name="happened">What happened.</param>
    /// <exception cref="InvalidOperationException">The event cannot follow, which means that the store is damaged.</exception>
    public static Tournament Evolve(Tournament? tournament, string id, ITournamentEvent happened)
    {
        if (happened is TournamentOpened opened)
        {
            return new Tournament
            {
                Id = id,
                Name = opened.Name,
                Venue = opened.Venue,
                StartsOn = opened.StartsOn,
                TimeZone = opened.TimeZone,
                Version = 1,
            };
        }

        if (tournament is null)
        {
            throw new InvalidOperationException($"Tournament {id} begins with {happened.GetType().Name}; it must begin with {nameof(TournamentOpened)}.");
        }

        var next = happened switch
        {
            StripAdded added => tournament with { Strips = tournament.Strips.Add(new Strip(added.StripId, added.Name, added.Kind, added.Weapons)) },
            StripCorrected corrected => tournament.With(new Strip(corrected.StripId, corrected.Name, corrected.Kind, corrected.Weapons)),
            AnnouncementMade made => tournament with
            {
                Announcements = tournament.Announcements.Insert(0, new Announcement(made.AnnouncementId, made.Text)),
                Announced = tournament.Announced + 1,
            },
            AnnouncementTakenDown down => tournament with { Announcements = [.. tournament.Announcements.Where(a => a.Id != down.AnnouncementId)] },
            EquipmentRulesBrought brought => tournament with { BroughtRules = brought.Rules },
            EquipmentRulesGivenUp => tournament with { BroughtRules = null },
            DayPlanKept kept => tournament with { Plan = kept.Plan },
            DayPlanGivenUp => tournament with { Plan = null },
            RefereeListed listed => tournament with { Referees = tournament.Referees.Add(new Referee(listed.RefereeId, listed.Details, Away: false)) },
            RefereeCorrected corrected => tournament.With(corrected.RefereeId, r => r with { Details = corrected.Details }),
            RefereeAway away => tournament.With(away.RefereeId, r => r with { Away = true }),
            RefereeErased erased => tournament.With(erased.RefereeId, r => r with { Details = PersonErasure.LeftOf(r.Id, r.Details) }),
            RefereeBack back => tournament.With(back.RefereeId, r => r with { Away = false }),
            CompetitionAdded added => tournament with { Competitions = tournament.Competitions.Add(added.CompetitionId) },
            _ => throw new InvalidOperationException($"A tournament knows no event {happened.GetType().Name}."),
        };
        return next with { Version = tournament.Version + 1 };
    }

    private static ImmutableArray<Weapon>? Served(ImmutableArray<Weapon> weapons) =>
        weapons.IsDefaultOrEmpty || Enum.GetValues<Weapon>().All(weapons.Contains) ? null : [.. weapons.Distinct().Order()];

    private Refusal? Taken(string name, Strip? but = null) => Strips.Any(s => s.Id != but?.Id && string.Equals(s.Name, name, StringComparison.OrdinalIgnoreCase))
        ? new Refusal(RefusalReason.AlreadyDone, $"There is a strip {name} already. Give this one another name.") { Field = "name" }
        : null;

    private Tournament With(Strip strip) => Strip(strip.Id) is { } before
        ? this with { Strips = Strips.Replace(before, strip) }
        : throw new InvalidOperationException($"Tournament {Id} has no strip {strip.Id}.");

    private Tournament With(string refereeId, Func<Referee, Referee> change) => Referee(refereeId) is { } referee
        ? this with { Referees = Referees.Replace(referee, change(referee)) }
        : throw new InvalidOperationException($"Tournament {Id} has no referee {refereeId}.");
}
