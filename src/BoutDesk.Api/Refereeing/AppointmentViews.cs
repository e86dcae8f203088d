using System.Collections.Immutable;
using BoutDesk.Api.Board;
using BoutDesk.Api.Http;
using BoutDesk.Api.Pages;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Refereeing;
using BoutDesk.Domain.Tournaments;

namespace BoutDesk.Api.Refereeing;

/// <summary>What is wanted of an assignment. What is left out has its default.</summary>
/// <param name="LeastLevel">Nobody below this level is assigned.</param>
/// <param name="AtOnce">How many pools or bouts are fenced at once, 1 to 400; left out, all pools, and in the tableau as many bouts as there are strips.</param>
/// <param name="Keep">Whether those who are appointed already stay; false assigns anew what has not begun.</param>
/// <param name="Begins">When the first of them begin by the clock of the hall, such as 09:30; left out, hours and breaks are not looked at.</param>
internal sealed record AssignReferees(RefereeLevel LeastLevel = RefereeLevel.Club, int? AtOnce = null, bool Keep = true, string? Begins = null)
{
    /// <summary>The request, or what is wrong with it.</summary>
    public (AssignmentRequest Request, Problem? Problem) Read()
    {
        var errors = new FieldErrors();
        errors.Range("atOnce", AtOnce, 1, 400);
        var begins = HallClock.Minute(Begins?.Trim());
        if (begins is null && !string.IsNullOrWhiteSpace(Begins))
        {
            errors.Add("begins", $"Must be a time of the day such as 09:30, but is '{Begins}'.");
        }

        return (new AssignmentRequest(LeastLevel, AtOnce, Keep, begins), errors.ToProblem());
    }
}

/// <summary>Who referees a pool or bout.</summary>
/// <param name="RefereeId">The referee, or null for nobody.</param>
/// <param name="Despite">Why it is done although a rule stands against it, to 200 characters; left out, it is refused then.</param>
internal sealed record AppointReferee(string? RefereeId, string? Despite = null);

/// <summary>Who referees a pool or a bout of the tableau.</summary>
/// <param name="At">The pool or the bout.</param>
/// <param name="Pool">The number of the pool; null for a bout of the tableau.</param>
/// <param name="TableOf">The table of the bout: 2 for the final; null for a pool.</param>
/// <param name="RefereeId">The referee, or null for nobody.</param>
/// <param name="Name">Family name and given name.</param>
/// <param name="Club">The referee's club.</param>
/// <param name="Against">What stands against it by now, though it was settled: because of a correction, an exchange or a reason that was given; empty once it is over.</param>
/// <param name="Despite">The reason that was given; null without a desk pass.</param>
internal sealed record AppointmentView(
    string At, int? Pool, int? TableOf, string? RefereeId, string? Name, string? Club, ImmutableArray<Bars> Against, string? Despite)
{
    public static AppointmentView Of(RefereeBook book, Tournament tournament, Competition competition, string at, bool forDesk)
    {
        var appointment = competition.Appointments.FirstOrDefault(a => a.At == at);
        var referee = appointment?.RefereeId is { } id ? tournament.Referee(id) : null;
        return new AppointmentView(
            at,
            competition.Pool(at)?.Pool.Number,
            TableauBout(book, at)?.TableOf,
            referee?.Id,
            referee?.Details.Name,
            referee?.Details.Club,
            referee is null || book.IsOver(competition, at) ? [] : [.. Single(AppointmentDecider.Against(book, competition, at, referee))],
            forDesk ? appointment?.Despite : null);
    }

    internal static Bout? TableauBout(RefereeBook book, string at) => book.BoutsAt(at) is [{ InPool: false } bout] ? bout : null;

    internal static IEnumerable<Bars> Single(Bars bars) => Enum.GetValues<Bars>().Where(bar => bar != Bars.None && bars.HasFlag(bar));
}

/// <summary>What was assigned.</summary>
/// <param name="Appointed">What has somebody since.</param>
/// <param name="Uncovered">What has nobody, and why.</param>
internal sealed record AssignedReferees(ImmutableArray<AppointmentView> Appointed, ImmutableArray<UncoveredView> Uncovered);

/// <summary>A pool or bout that nobody could be found for. As many as possible have somebody.</summary>
/// <param name="At">The pool or the bout.</param>
/// <param name="Reason">Why.</param>
/// <param name="What">The same in a sentence, with where it is and who could help.</param>
/// <param name="WaysOut">Who could take it if one rule were let go, the rule that matters least first.</param>
internal sealed record UncoveredView(string At, UncoveredReason Reason, string What, ImmutableArray<WayOut> WaysOut)
{
    public static UncoveredView Of(RefereeBook book, Tournament tournament, Competition competition, Uncovered uncovered)
    {
        ImmutableArray<WayOut> ways =
        [
            .. uncovered.Relaxations.Select(r => new WayOut(r.RefereeId, tournament.Referee(r.RefereeId)!.Details.Name, r.Rule)),
        ];
        // The parts are sentences by themselves, said in the language of the whole.
        var why = Texts.Said(uncovered.Why);
        if (ways.Length > 0)
        {
            why += " " + Texts.Said($"Free, but for one rule: {string.Join(", ", ways.Select(w => $"{w.Name} ({RefereeWording.Of(w.Rule)})"))}.");
        }

        return new UncoveredView(
            uncovered.At,
            uncovered.Reason,
            AppointmentView.TableauBout(book, uncovered.At) is { } bout
                ? RefereeWording.OfBout(Name(bout.Left), Name(bout.Right), why)
                : RefereeWording.OfPool(competition.Pool(uncovered.At)!.Value.Pool.Number, why),
            ways);

        string? Name(Seat seat) => seat.EntrantId is { } id ? competition.Entrant(id)!.Details.Name : null;
    }
}

/// <summary>A referee who could take what nobody has.</summary>
/// <param name="RefereeId">The referee.</param>
/// <param name="Name">Family name and given name.</param>
/// <param name="Rule">The one rule that stands against it.</param>
internal sealed record WayOut(string RefereeId, string Name, Bars Rule);

/// <summary>Who referees what in a competition.</summary>
/// <param name="Appointments">Pools and bouts that have somebody, in the order of appointing.</param>
/// <param name="Referees">What each referee of the tournament has, in the order of the list.</param>
internal sealed record CompetitionReferees(ImmutableArray<AppointmentView> Appointments, ImmutableArray<RefereeLoad> Referees);

/// <summary>What a referee has refereed and is appointed for, in pool bouts; a bout of the tableau counts as three.</summary>
/// <param name="RefereeId">The referee.</param>
/// <param name="Name">Family name and given name.</param>
/// <param name="Here">In this competition.</param>
/// <param name="Total">In the whole tournament.</param>
internal sealed record RefereeLoad(string RefereeId, string Name, int Here, int Total)
{
    public static RefereeLoad Of(RefereeBook book, Competition competition, Referee referee) => new(
        referee.Id,
        referee.Details.Name,
        book.Of(referee.Id).Where(duty => duty.Competition.Id == competition.Id).Sum(duty => RefereeBook.LoadOf(duty.Competition, duty.At)),
        book.LoadOf(referee.Id));
}
