using System.Collections.Immutable;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Refereeing;
using BoutDesk.Domain.Tests.Competitions;
using BoutDesk.Domain.Tournaments;
using Xunit;

namespace BoutDesk.Domain.Tests.Refereeing;

/// <summary>Appointments in a competition on the day, whose fencers belong to Club 0, Club 1 and Club 2 by their number.</summary>
public class AppointmentTests
{
    private static readonly AssignmentRequest Usual = new(RefereeLevel.Club, AtOnce: null, Keep: true, Begins: null);

    [Fact]
    public void Pools_are_assigned_and_the_next_time_there_is_nothing_to_do()
    {
        var day = CompetitionDay.Of(12).DrawPools(count: 2);
        var (decision, duties) = Pools(day, Usual, Who("A"), Who("B"));
        day.Keep(decision);
        Assert.Equal(2, duties.Covered.Length);
        Assert.All(day.Competition.Rounds[0].Drawn.Pools, p => Assert.NotNull(day.Competition.RefereeOf(p.Id)));
        Assert.Equal(2, day.Competition.Appointments.Select(a => a.RefereeId).Distinct().Count());
        var (again, nothing) = Pools(day, Usual, Who("A"), Who("B"));
        Expect.Nothing(again);
        Assert.Empty(nothing.Covered);
    }

    [Fact]
    public void What_has_begun_is_not_assigned_anew()
    {
        var day = CompetitionDay.Of(12).DrawPools(count: 2);
        day.Keep(Pools(day, Usual, Who("A"), Who("B")).Decision);
        var (first, second) = (day.Competition.Rounds[0].Drawn.Pools[0].Id, day.Competition.Rounds[0].Drawn.Pools[1].Id);
        var (had, other) = (day.Competition.RefereeOf(first), day.Competition.RefereeOf(second));
        var bout = day.Bouts.Values.First(b => b.PoolId == first);
        day.Keep(BoutDecider.RecordResult(bout, new Score(5, 2), Side.Left, Authority.Desk, null));

        // The one of the second pool leaves, and a third takes over; the first pool goes on with whom it has.
        Referee[] three = [Who("A"), Who("B"), Who("C")];
        var (decision, duties) = AppointmentDecider.AssignPools(
            Book(day, [.. three.Select((r, i) => r with { Id = $"t-r{i + 1}", Away = $"t-r{i + 1}" == other })]), day.Competition, 1, Usual with { Keep = false });
        day.Keep(decision);
        Assert.Equal([(second, "t-r3")], duties.Covered.AsEnumerable());
        Assert.Equal((had, "t-r3"), (day.Competition.RefereeOf(first), day.Competition.RefereeOf(second)));
    }

    [Fact]
    public void Whom_nobody_follows_is_taken_away_all_the_same()
    {
        var day = CompetitionDay.Of(6).DrawPools(count: 1);
        day.Keep(Pools(day, Usual, Who("A")).Decision);
        var pool = day.Competition.Rounds[0].Drawn.Pools[0].Id;
        var (decision, _) = Pools(day, Usual with { Keep = false }, Who("A") with { Away = true });
        Assert.Equal([new Appointment(pool, null)], Assert.IsType<RefereesAppointed>(Assert.Single(decision.Facts).Event).Appointments.AsEnumerable());
    }

    [Fact]
    public void Half_of_the_referees_do_for_pools_in_two_turns()
    {
        var day = CompetitionDay.Of(24).DrawPools(count: 4);
        Assert.Equal(2, Pools(day, Usual, Who("A"), Who("B")).Duties.Covered.Length);
        var (decision, duties) = Pools(day, Usual with { AtOnce = 2 }, Who("A"), Who("B"));
        Assert.Equal(4, duties.Covered.Length);
        day.Keep(decision);
        var pools = day.Competition.Rounds[0].Drawn.Pools;
        Assert.NotEqual(day.Competition.RefereeOf(pools[0].Id), day.Competition.RefereeOf(pools[1].Id));
        Assert.NotEqual(day.Competition.RefereeOf(pools[2].Id), day.Competition.RefereeOf(pools[3].Id));
    }

    [Fact]
    public void A_later_turn_begins_when_the_earlier_one_is_over()
    {
        // A pool of six has 15 bouts of 4 minutes at foil: an hour. He is there for the first turn only.
        var day = CompetitionDay.Of(12).DrawPools(count: 2);
        var early = Who("A") with { Details = Who("A").Details with { To = 11 * 60 } };
        var (_, duties) = Pools(day, Usual with { AtOnce = 1, Begins = 10 * 60 }, early);
        Assert.Equal([day.Competition.Rounds[0].Drawn.Pools[0].Id], duties.Covered.Select(d => d.At));
        Assert.Equal(UncoveredReason.NobodyFree, Assert.Single(duties.Uncovered).Reason);
        Assert.Equal(2, Pools(day, Usual with { AtOnce = 1, Begins = 9 * 60 }, early).Duties.Covered.Length);
    }

    [Fact]
    public void Who_fences_does_not_referee_until_he_is_out()
    {
        var day = CompetitionDay.Of(6).DrawPools(count: 1);
        var fencer = new Referee("t-r1", new RefereeDetails("FENCER 3", "", "club 2", null, [Weapon.Foil], RefereeLevel.Club, null, null, []), Away: false);
        Assert.True(Book(day, fencer).IsFencing(fencer));
        day.FenceAll().ClosePools();
        Assert.False(Book(day, fencer).IsFencing(fencer));
        day.DrawTableau();
        Assert.True(Book(day, fencer).IsFencing(fencer));
        day.FenceAll();
        Assert.False(Book(day, fencer).IsFencing(fencer));
    }

    [Fact]
    public void Who_is_needed_in_another_competition_is_not_free()
    {
        var (here, there) = (CompetitionDay.Of(6).DrawPools(count: 1), CompetitionDay.Of(6).DrawPools(count: 1));
        there.Keep(Pools(there, Usual, Who("A")).Decision);
        var elsewhere = there.Competition with { Id = "t-2" };
        var book = new RefereeBook(Hall(Who("A")), [here.Competition, elsewhere], here.Bouts.Values, Now);
        // The bouts of the other competition are not read in this book, and so nothing is left to be fenced there.
        Assert.Single(AppointmentDecider.AssignPools(book, here.Competition, 1, Usual).Duties.Covered);
        var other = Renamed(elsewhere);
        book = new RefereeBook(Hall(Who("A")), [here.Competition, other], [.. here.Bouts.Values, .. there.Bouts.Values.Select(b => b with { Id = "x" + b.Id, PoolId = "x" + b.PoolId })], Now);
        Assert.Equal(UncoveredReason.NobodyFree, Assert.Single(AppointmentDecider.AssignPools(book, here.Competition, 1, Usual).Duties.Uncovered).Reason);
    }

    [Fact]
    public void In_the_tableau_the_level_goes_up_with_the_table()
    {
        Assert.Equal(
            [RefereeLevel.Club, RefereeLevel.Regional, RefereeLevel.National, RefereeLevel.International, RefereeLevel.International],
            new[] { 32, 16, 8, 4, 2 }.Select(AppointmentDecider.Wanted));
        var day = CompetitionDay.Of(4, new Formula { Pools = new PoolFormula { Rounds = 0 } }).DrawTableau();
        Referee[] referees = [Who("A"), Who("B", RefereeLevel.International), Who("C", RefereeLevel.International)];
        var order = day.Tableau.Values.OrderByDescending(b => b.TableOf).ThenBy(b => b.Order).Select(b => b.Id).ToArray();
        var (decision, duties) = AppointmentDecider.AssignTableau(Book(day, referees), day.Competition, order, Usual);
        // The final waits for its fencers.
        Assert.Equal(["t-r2", "t-r3"], duties.Covered.Select(d => d.RefereeId).Order(StringComparer.Ordinal));
        day.Keep(decision);
        Assert.Equal(3, Book(day, referees).LoadOf("t-r2"));
        day.FenceAll();
        Assert.Equal(0, Book(day, referees).LoadOf("t-r1"));
        Assert.All(Book(day, referees).Of("t-r2"), duty => Assert.True(duty.Over));
    }

    [Fact]
    public void By_hand_a_rule_is_broken_for_a_reason_only()
    {
        var day = CompetitionDay.Of(6).DrawPools(count: 1);
        var pool = day.Competition.Rounds[0].Drawn.Pools[0].Id;
        var own = Who("A") with { Details = Who("A").Details with { Club = "CLUB 1" } };
        var refused = Expect.Refused(RefusalReason.RefereeUnsuited, AppointmentDecider.Appoint(Book(day, own), day.Competition, pool, own, null));
        Assert.Equal("A belongs to CLUB 1, the club of a fencer. Choose another, or say why it is done despite that.", refused.Message);
        day.Keep(AppointmentDecider.Appoint(Book(day, own), day.Competition, pool, own, "nobody else is left"));
        Assert.Equal([new Appointment(pool, "t-r1", "nobody else is left")], day.Competition.Appointments.AsEnumerable());

        Refused("is not listed for this weapon", Who("A") with { Details = Who("A").Details with { Weapons = [Weapon.Epee] } });
        Refused("is away", Who("A") with { Away = true });

        void Refused(string why, Referee referee) => Assert.Contains(
            why,
            Expect.Refused(RefusalReason.RefereeUnsuited, AppointmentDecider.Appoint(Book(day, referee), day.Competition, pool, referee with { Id = "t-r9" }, null)).Message,
            StringComparison.Ordinal);
    }

    [Fact]
    public void By_hand_what_is_so_already_changes_nothing_and_nobody_can_be_put_in()
    {
        var day = CompetitionDay.Of(6).DrawPools(count: 1);
        var pool = day.Competition.Rounds[0].Drawn.Pools[0].Id;
        Expect.Nothing(AppointmentDecider.Appoint(Book(day, Who("A")), day.Competition, pool, null, null));
        day.Keep(AppointmentDecider.Appoint(Book(day, Who("A")), day.Competition, pool, Who("A"), "needless"));
        Assert.Equal([new Appointment(pool, "t-r1")], day.Competition.Appointments.AsEnumerable());
        Expect.Nothing(AppointmentDecider.Appoint(Book(day, Who("A")), day.Competition, pool, Who("A"), null));
        day.Keep(AppointmentDecider.Appoint(Book(day, Who("A")), day.Competition, pool, null, null));
        Assert.Empty(day.Competition.Appointments);
    }

    [Fact]
    public void Draws_that_are_scrapped_take_their_appointments_along()
    {
        var day = CompetitionDay.Of(6).DrawPools(count: 1);
        day.Keep(Pools(day, Usual, Who("A")).Decision);
        Assert.Empty(Competition.Evolve(day.Competition, CompetitionDay.Id, new PoolRoundScrapped(1, "late entry")).Appointments);
        day.FenceAll().ClosePools().DrawTableau();
        var order = day.Tableau.Keys.ToArray();
        day.Keep(AppointmentDecider.AssignTableau(Book(day, Who("A")), day.Competition, order, Usual).Decision);
        Assert.Equal(2, day.Competition.Appointments.Length);
        Assert.Equal(
            day.Competition.Appointments[..1].AsEnumerable(),
            Competition.Evolve(day.Competition, CompetitionDay.Id, new TableauScrapped("late entry")).Appointments);
    }

    [Fact]
    public void What_is_closed_or_not_drawn_is_not_assigned()
    {
        var day = CompetitionDay.Of(6).DrawPools(count: 1);
        Expect.Refused(RefusalReason.StepMissing, AppointmentDecider.AssignTableau(Book(day, Who("A")), day.Competition, [], Usual).Decision);
        day.FenceAll();
        Assert.Empty(Pools(day, Usual, Who("A")).Duties.Covered);
        day.ClosePools();
        Expect.Refused(RefusalReason.RoundClosed, Pools(day, Usual, Who("A")).Decision);
        Expect.Refused(RefusalReason.RoundClosed, AppointmentDecider.Appoint(Book(day, Who("A")), day.Competition, day.Competition.Rounds[0].Drawn.Pools[0].Id, Who("A"), null));
        day.DrawTableau().FenceAll();
        Expect.Refused(RefusalReason.BoutDecided, AppointmentDecider.Appoint(Book(day, Who("A")), day.Competition, day.Tableau.Keys.First(), Who("A"), null));
    }

    [Theory]
    [InlineData(0, 2)]
    [InlineData(19, 2)]
    [InlineData(20, 0)]
    public void Two_bouts_one_behind_the_other_are_two_in_a_row_until_he_has_rested(int minutesSince, int inARow)
    {
        var day = CompetitionDay.Of(4, new Formula { Pools = new PoolFormula { Rounds = 0 } }).DrawTableau();
        var semis = day.Tableau.Values.Where(b => b.TableOf == 4).OrderBy(b => b.Order).ToArray();
        day.Keep(Decision.Accept(CompetitionDay.Id, new RefereesAppointed([.. semis.Select(b => new Appointment(b.Id, "t-r1"))])));
        // The second began some fifteen minutes before its end, a few minutes after the end of the first.
        IEnumerable<Bout> ended = [semis[0] with { EndedAt = Now.AddMinutes(-20) }, semis[1] with { EndedAt = Now }];
        var book = new RefereeBook(Hall(Who("A")), [day.Competition], ended, Now.AddMinutes(minutesSince));
        Assert.Equal(inARow, Assert.Single(book.Candidates(day.Competition, ImmutableDictionary<string, int>.Empty, new HashSet<string>())).InARow);
    }

    private static DateTimeOffset Now => new(2027, 3, 14, 10, 0, 0, TimeSpan.Zero);

    private static (Decision Decision, AssignedDuties Duties) Pools(CompetitionDay day, AssignmentRequest request, params Referee[] referees) =>
        AppointmentDecider.AssignPools(Book(day, referees), day.Competition, 1, request);

    private static RefereeBook Book(CompetitionDay day, params Referee[] referees) => new(Hall(referees), [day.Competition], day.Bouts.Values, Now);

    private static Tournament Hall(params Referee[] referees) =>
        Tournament.Evolve(null, "t", new TournamentOpened("Spring cup", "Hall", new DateOnly(2027, 3, 14), "Europe/Vienna")) with
        {
            Referees = [.. referees.Select((r, i) => r with { Id = referees.Length > 1 ? $"t-r{i + 1}" : r.Id })],
        };

    private static Competition Renamed(Competition competition) => competition with
    {
        Rounds = [.. competition.Rounds.Select(r => r with { Drawn = r.Drawn with { Pools = [.. r.Drawn.Pools.Select(p => p with { Id = "x" + p.Id })] } })],
        Appointments = [.. competition.Appointments.Select(a => a with { At = "x" + a.At })],
    };

    private static Referee Who(string name, RefereeLevel level = RefereeLevel.Club) =>
        new("t-r1", new RefereeDetails(name, "", null, null, [Weapon.Foil], level, null, null, []), Away: false);
}
