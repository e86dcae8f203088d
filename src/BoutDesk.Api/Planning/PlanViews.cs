using System.Collections.Immutable;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Planning;

namespace BoutDesk.Api.Planning;

/// <summary>What a day is to be planned with. What is left out is taken from the tournament.</summary>
/// <param name="OpensAt">From when can be fenced, by the clock of the hall, such as 09:00.</param>
/// <param name="ClosesAt">When the hall closes, after opensAt.</param>
/// <param name="Strips">How many strips there are, 1 to 100, for any weapon; left out, those of the tournament with their weapons.</param>
/// <param name="Referees">How many referees there are, one for each strip in use, 1 to 200, for any weapon and the whole day; left out, those listed who are not away, with their weapons, hours and breaks, or as many as strips when none is listed.</param>
/// <param name="Closures">When nothing is fenced, such as lunch; at most ten.</param>
/// <param name="Competitions">What is known better than the tournament knows it; competitions that are not named are planned by their entries.</param>
/// <param name="Steps">How many changes are tried, 0 to 1000000; a hundred thousand take some tenths of a second.</param>
/// <param name="Seed">The seed of the search, 0 to 2^53 - 1: the same day and seed give the same plan.</param>
/// <param name="StopAfter">Stop after so many changes, 0 to steps, and take the best plan so far; left out, the search goes on to its end.</param>
/// <param name="Prove">Whether an exact solver goes on from the search, for at most a second for each 20000 steps; not with stopAfter.</param>
/// <param name="WhatIf">What could be otherwise, to be compared with the plan; left out, a strip fewer, two referees missing and twelve late entries.</param>
/// <param name="On">The day, from the first of the tournament on; left out, the first. On a later one competitions that are drawn already are left out unless fencers says how many.</param>
public sealed record PlanDay(
    string OpensAt,
    string ClosesAt,
    int? Strips = null,
    int? Referees = null,
    ImmutableArray<ClosedSpan>? Closures = null,
    ImmutableArray<ExpectedCompetition>? Competitions = null,
    int Steps = 100_000,
    long Seed = 1,
    int? StopAfter = null,
    bool Prove = false,
    PlanWhatIf? WhatIf = null,
    DateOnly? On = null);

/// <summary>How much could be otherwise on the day. What would help, more strips and a longer day, is worked out in any case.</summary>
/// <param name="StripsFewer">So many strips cannot be used, 0 to 50, the last of the list; 0 leaves it out, and so does a weapon that none of the others serves.</param>
/// <param name="RefereesMissing">So many referees do not come, 0 to 100; 0 leaves it out.</param>
/// <param name="LateEntries">So many more enter the largest competition, 0 to 200; 0 leaves it out.</param>
public sealed record PlanWhatIf(int StripsFewer = 1, int RefereesMissing = 2, int LateEntries = 12);

/// <summary>A time in which nothing is fenced; what is under way goes on after it.</summary>
/// <param name="From">When it begins, such as 12:00.</param>
/// <param name="To">When it ends.</param>
public sealed record ClosedSpan(string From, string To);

/// <summary>What is known of a competition.</summary>
/// <param name="Id">The competition.</param>
/// <param name="Fencers">How many are expected, 2 to 1024, or 0 when it is not fenced on this day; left out, those entered who have not left.</param>
/// <param name="NotBefore">The earliest time at which it can begin, when check-in is closed and the pools are drawn; left out, when the hall opens.</param>
/// <param name="PoolBoutMinutes">How long a pool bout takes with its change-over, more than 0 to 60; left out, what is usual with the weapon.</param>
/// <param name="EliminationBoutMinutes">The same for an elimination bout, more than 0 to 120.</param>
/// <param name="Young">Whether it is for the young, who are kept waiting least; left out, by the age group: under 15 and younger.</param>
public sealed record ExpectedCompetition(
    string Id,
    int? Fencers = null,
    string? NotBefore = null,
    decimal? PoolBoutMinutes = null,
    decimal? EliminationBoutMinutes = null,
    bool? Young = null);

/// <summary>A plan of a day. It is worked out anew each time; to keep it, PUT what was asked.</summary>
/// <param name="EndsAt">When the last bout ends.</param>
/// <param name="ClosesAt">When the hall closes.</param>
/// <param name="Fits">Whether it ends before the hall closes.</param>
/// <param name="LowerBound">A moment before which no plan of this model ends.</param>
/// <param name="GapPercent">By how much later than the lower bound it ends, in percent of the time from opening to that bound.</param>
/// <param name="BoundBy">What sets the lower bound.</param>
/// <param name="EndIsLeast">Whether no plan of this model ends earlier.</param>
/// <param name="WaitMinutes">Minutes that all competitions wait, before their first stage and between stages, beyond what is needed.</param>
/// <param name="YoungWaitMinutes">The same of the competitions for the young.</param>
/// <param name="Strips">How many strips it was planned with.</param>
/// <param name="Referees">How many referees it was planned with.</param>
/// <param name="RefereesByList">Whether these are the listed ones: then no more strips of a weapon are in use than referees of it are on duty.</param>
/// <param name="StripsOfKinds">The strips that serve some weapons only, by their number in the plan: the nth is the nth of the tournament. None when strips says how many there are.</param>
/// <param name="Competitions">Each competition with its stages, in the order of the programme.</param>
/// <param name="EnteredTwice">Competitions that have fencers in common, and so do not overlap.</param>
/// <param name="NotPlanned">Competitions without two fencers, which are left out.</param>
/// <param name="WhatIf">The plans if something were otherwise, to be laid beside this one.</param>
/// <param name="Relax">If it does not fit: what to change, in sentences.</param>
/// <param name="Caution">What to keep in mind.</param>
public sealed record PlanView(
    DateTimeOffset EndsAt,
    DateTimeOffset ClosesAt,
    bool Fits,
    DateTimeOffset LowerBound,
    decimal GapPercent,
    BoundBy BoundBy,
    bool EndIsLeast,
    int WaitMinutes,
    int YoungWaitMinutes,
    int Strips,
    int Referees,
    bool RefereesByList,
    ImmutableArray<StripOfKind> StripsOfKinds,
    ImmutableArray<PlannedCompetition> Competitions,
    ImmutableArray<EnteredTwice> EnteredTwice,
    ImmutableArray<string> NotPlanned,
    ImmutableArray<WhatIf> WhatIf,
    ImmutableArray<FormattableString> Relax,
    FormattableString Caution);

/// <summary>A strip that serves some weapons only.</summary>
/// <param name="Number">Its number in the plan, from 1.</param>
/// <param name="Name">Its name.</param>
/// <param name="Weapons">The weapons that it serves.</param>
public sealed record StripOfKind(int Number, string Name, ImmutableArray<Weapon> Weapons);

/// <summary>What keeps a day from ending before its lower bound.</summary>
/// <param name="Limit">What it is.</param>
/// <param name="Competitions">The competitions concerned; none with a proof.</param>
public sealed record BoundBy(DayLimit Limit, ImmutableArray<string> Competitions);

/// <summary>How far a search has come.</summary>
/// <param name="Tried">How many changes were tried.</param>
/// <param name="Of">How many will be tried at most.</param>
/// <param name="EndsAt">When the best plan so far ends.</param>
/// <param name="LowerBound">A moment before which no plan ends.</param>
/// <param name="YoungWaitMinutes">How long competitions for the young wait in it.</param>
/// <param name="Done">Whether the search is at its end.</param>
public sealed record PlanProgress(int Tried, int Of, DateTimeOffset EndsAt, DateTimeOffset LowerBound, int YoungWaitMinutes, bool Done);

/// <summary>A plan that is kept.</summary>
/// <param name="OpensAt">From when can be fenced.</param>
/// <param name="ClosesAt">When the hall closes.</param>
/// <param name="Strips">How many strips it was made for.</param>
/// <param name="Referees">How many referees it was made for.</param>
/// <param name="Closures">When nothing is fenced.</param>
/// <param name="EndsAt">When the last bout ends.</param>
/// <param name="LowerBound">A moment before which no plan ended.</param>
/// <param name="Stages">All stages, in the order of their beginning.</param>
/// <param name="MadeFor">What it was made for; null of plans that were kept before this was noted.</param>
/// <param name="Moved">Competitions whose numbers have moved away from it since.</param>
public sealed record KeptPlanView(
    DateTimeOffset OpensAt,
    DateTimeOffset ClosesAt,
    int Strips,
    int Referees,
    ImmutableArray<ClosedTime> Closures,
    DateTimeOffset EndsAt,
    DateTimeOffset LowerBound,
    ImmutableArray<KeptStageView> Stages,
    MadeFor? MadeFor,
    ImmutableArray<MovedView> Moved)
{
    /// <summary>The plan of a tournament as it is shown.</summary>
    internal static KeptPlanView Of(KeptPlan plan, IReadOnlyList<Competition> competitions)
    {
        var names = competitions.ToDictionary(c => c.Id, c => c.Name);
        return new KeptPlanView(
            plan.OpensAt,
            plan.ClosesAt,
            plan.Strips,
            plan.Referees,
            plan.Closures,
            plan.EndsAt,
            plan.LowerBound,
            [.. plan.Stages.Select(s => new KeptStageView(s.CompetitionId, names[s.CompetitionId], s.Kind, s.Round, s.Flights, s.From, s.To, string.Join(' ', s.Strips)))],
            plan.For is { } made
                ? new MadeFor(
                    [.. made.Fields.Select(f => new MadeForCompetition(f.CompetitionId, names[f.CompetitionId], f.Fencers, f.Expected, f.NotBefore))],
                    new PlanWhatIf(made.StripsFewer, made.RefereesMissing, made.LateEntries),
                    made.ByList,
                    made.LeftOut,
                    made.StripsByList)
                : null,
            [.. plan.Moved(competitions).Select(m => MovedView.Of(m, names[m.CompetitionId]))]);
    }
}

/// <summary>What a plan was made for and compared with.</summary>
/// <param name="Competitions">The competitions that are in it, in the order of the programme.</param>
/// <param name="WhatIf">What it was compared with.</param>
/// <param name="RefereesByList">Whether its referees were those listed.</param>
/// <param name="LeftOut">The competitions that are fenced on another day.</param>
/// <param name="StripsByList">Whether its strips were those of the tournament, with their weapons; null of plans that were kept before this was noted.</param>
public sealed record MadeFor(
    ImmutableArray<MadeForCompetition> Competitions, PlanWhatIf WhatIf, bool RefereesByList, ImmutableArray<string> LeftOut, bool? StripsByList = null);

/// <summary>How many a plan was made for in a competition.</summary>
/// <param name="CompetitionId">The competition.</param>
/// <param name="Name">Its name.</param>
/// <param name="Fencers">How many.</param>
/// <param name="Expected">Whether the organiser said so; else they were counted from the entries.</param>
/// <param name="NotBefore">The earliest moment that it was to begin, where the organiser said one.</param>
public sealed record MadeForCompetition(string CompetitionId, string Name, int Fencers, bool Expected, DateTimeOffset? NotBefore);

/// <summary>A competition whose number has moved away from the plan.</summary>
/// <param name="CompetitionId">The competition.</param>
/// <param name="Name">Its name.</param>
/// <param name="Planned">How many the plan was made for; 0 when the competition is not in it.</param>
/// <param name="Entered">How many are entered, or were drawn.</param>
/// <param name="Sentence">The same in words.</param>
public sealed record MovedView(string CompetitionId, string Name, int Planned, int Entered, FormattableString Sentence)
{
    /// <summary>A number that has moved, as it is shown.</summary>
    internal static MovedView Of(MovedNumber moved, string name) => new(moved.CompetitionId, name, moved.Planned, moved.Entered, moved.Planned == 0
        ? $"{name}: not in the plan, {moved.Entered} entered."
        : (FormattableString)$"{name}: planned for {moved.Planned}, {moved.Entered} entered.");
}

/// <summary>A stage of a kept plan.</summary>
/// <param name="CompetitionId">The competition.</param>
/// <param name="Name">Its name.</param>
/// <param name="Kind">What is fenced.</param>
/// <param name="Round">The pool round, from 1; 0 in the elimination.</param>
/// <param name="Flights">For pools: in how many turns they are fenced.</param>
/// <param name="From">When it begins.</param>
/// <param name="To">When it ends.</param>
/// <param name="Strips">The numbers of its strips, from 1, with spaces between them.</param>
public sealed record KeptStageView(
    string CompetitionId, string Name, StageKind Kind, int Round, int Flights, DateTimeOffset From, DateTimeOffset To, string Strips);

/// <summary>A competition of a plan.</summary>
/// <param name="CompetitionId">The competition.</param>
/// <param name="Name">Its name.</param>
/// <param name="Fencers">How many it was planned for.</param>
/// <param name="From">When it begins.</param>
/// <param name="To">When it ends.</param>
/// <param name="PoolBoutMinutes">How long a pool bout was taken to last.</param>
/// <param name="EliminationBoutMinutes">How long an elimination bout was taken to last.</param>
/// <param name="Young">Whether it is for the young.</param>
/// <param name="LaterMinutes">If something is otherwise: how much later than in the plan it ends, less than 0 for earlier; 0 in the plan itself.</param>
/// <param name="Fits">Whether it ends before the hall closes.</param>
/// <param name="WaitMinutes">Minutes that it waits, before its first stage and between stages, beyond what is needed.</param>
/// <param name="Stages">Its stages, first to last.</param>
public sealed record PlannedCompetition(
    string CompetitionId,
    string Name,
    int Fencers,
    DateTimeOffset From,
    DateTimeOffset To,
    decimal PoolBoutMinutes,
    decimal EliminationBoutMinutes,
    bool Young,
    int LaterMinutes,
    bool Fits,
    int WaitMinutes,
    ImmutableArray<PlannedStageView> Stages);

/// <summary>A stage of a plan: it has its strips from its beginning to its end.</summary>
/// <param name="Kind">What is fenced.</param>
/// <param name="Round">The pool round, from 1; 0 in the elimination.</param>
/// <param name="Bouts">How many bouts it has.</param>
/// <param name="Flights">For pools: in how many turns they are fenced.</param>
/// <param name="From">When it begins.</param>
/// <param name="To">When it ends.</param>
/// <param name="Strips">The numbers of its strips, from 1.</param>
public sealed record PlannedStageView(
    StageKind Kind, int Round, int Bouts, int Flights, DateTimeOffset From, DateTimeOffset To, ImmutableArray<int> Strips);

/// <summary>Two competitions with fencers in common.</summary>
/// <param name="First">The one competition.</param>
/// <param name="Second">The other.</param>
/// <param name="Fencers">How many fencers.</param>
public sealed record EnteredTwice(string First, string Second, int Fencers);

/// <summary>The plan of a day on which something is otherwise.</summary>
/// <param name="Change">What is otherwise.</param>
/// <param name="Number">By how many strips, referees or entries, or by how many minutes; null for closures.</param>
/// <param name="EndsAt">When it ends.</param>
/// <param name="LaterMinutes">How much later than the plan it ends, less than 0 for earlier.</param>
/// <param name="Fits">Whether it ends before the hall closes.</param>
/// <param name="WaitMinutes">Minutes that all competitions wait.</param>
/// <param name="YoungWaitMinutes">Minutes that competitions for the young wait.</param>
/// <param name="Strips">How many strips it has.</param>
/// <param name="Referees">How many referees it has.</param>
/// <param name="Competitions">Each competition with its stages, in the order of the plan.</param>
public sealed record WhatIf(
    PlanChange Change,
    int? Number,
    DateTimeOffset EndsAt,
    int LaterMinutes,
    bool Fits,
    int WaitMinutes,
    int YoungWaitMinutes,
    int Strips,
    int Referees,
    ImmutableArray<PlannedCompetition> Competitions);

/// <summary>What can be otherwise in a day.</summary>
public enum PlanChange
{
    /// <summary>Some strips fewer, the last of the list, and with each a referee who has nothing to do.</summary>
    StripsFewer,

    /// <summary>Some referees missing.</summary>
    RefereesMissing,

    /// <summary>Late entries in the largest competition.</summary>
    LateEntries,

    /// <summary>Some strips more for every weapon, each with a referee.</summary>
    StripsMore,

    /// <summary>No closures.</summary>
    NoClosures,

    /// <summary>Some minutes more in the morning, all competitions included.</summary>
    OpenEarlier,
}
