using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;
using Xunit;
using static BoutDesk.Domain.Tests.Competitions.CompetitionDay;

namespace BoutDesk.Domain.Tests.Competitions;

/// <summary>Entering, correcting, checking in, and leaving before anything is drawn.</summary>
public class EntriesTests
{
    private static readonly EntrantDetails Mila = new("Arden", "Mila", "Hill Club", null, 12, null, 2008);

    [Fact]
    public void Entrants_are_numbered_in_the_order_of_entry_and_go_on_counting()
    {
        var day = Of(2);
        Expect.Events(EntryDecider.Enter(day.Competition, [Mila]), new EntrantEntered(E(3), Mila));
        Assert.Equal(EntrantStatus.Entered, day.Entrant(1).Status);
    }

    [Fact]
    public void A_competition_takes_1024_entrants()
    {
        var day = Of(1023);
        Expect.Refused(RefusalReason.InvalidValue, EntryDecider.Enter(day.Competition, [Mila, Mila with { BirthYear = 2009 }]));
        Assert.Equal(1024, day.Keep(EntryDecider.Enter(day.Competition, [Mila])).Competition.Entrants.Length);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(0)]
    public void Entries_close_with_the_first_draw(int rounds)
    {
        var day = Of(4, new Formula { Pools = new PoolFormula { Rounds = rounds } });
        day = rounds == 0 ? day.DrawTableau() : day.DrawPools();
        Expect.Refused(RefusalReason.EntriesClosed, EntryDecider.Enter(day.Competition, [Mila]));
        Expect.Refused(RefusalReason.EntriesClosed, EntryDecider.CheckIn(day.Competition, day.Entrant(1)));
    }

    [Fact]
    public void A_list_is_checked_row_by_row()
    {
        var day = Of(0);
        day.Keep(EntryDecider.Enter(day.Competition, [Mila]));
        var problems = EntryDecider.CheckEntries(
            day.Competition,
            [
                Mila with { GivenName = "Mara" },
                Mila with { FamilyName = "ARDEN", BirthYear = null },
                Mila with { Ranking = 0, GivenName = "Moira" },
                Mila with { GivenName = "mara" },
                Mila with { GivenName = "Mara", BirthYear = 2012 },
            ]);
        Assert.Equal(
            [(1, RefusalReason.DuplicateEntrant), (2, RefusalReason.InvalidValue), (3, RefusalReason.DuplicateEntrant)],
            problems.Select(p => (p.Row, p.Problem.Reason)));
        Assert.Equal("ranking", problems[1].Problem.Field);
        Assert.Contains("entered already", problems[0].Problem.Message, StringComparison.Ordinal);
        Assert.Contains("twice in this list", problems[2].Problem.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void A_good_list_has_no_problem() =>
        Assert.Empty(EntryDecider.CheckEntries(Of(3).Competition, [Mila, Mila with { Club = "Sea Club" }]));

    [Fact]
    public void Details_are_corrected_at_any_time_and_count_for_draws_still_to_come()
    {
        var day = Of(3);
        var better = day.Entrant(3).Details with { Ranking = 1 };
        Expect.Events(EntryDecider.Correct(day.Competition, day.Entrant(3), better), new EntrantCorrected(E(3), better));
        day.Keep(EntryDecider.Correct(day.Competition, day.Entrant(1), day.Entrant(1).Details with { Ranking = 9 })).DrawPools();
        Assert.Equal([2, 3, 1], Numbers(day.Competition.Rounds[0].Drawn.Seeding));
        day.Keep(EntryDecider.Correct(day.Competition, day.Entrant(1), day.Entrant(1).Details with { Club = "Sea Club" }));
        Assert.Equal("Sea Club", day.Entrant(1).Details.Club);
    }

    [Fact]
    public void A_correction_is_checked_like_an_entry()
    {
        var day = Of(2);
        var details = day.Entrant(2).Details;
        Expect.Nothing(EntryDecider.Correct(day.Competition, day.Entrant(2), details with { }));
        Expect.Invalid("ranking", EntryDecider.Correct(day.Competition, day.Entrant(2), details with { Ranking = 0 }));
        Expect.Refused(RefusalReason.DuplicateEntrant, EntryDecider.Correct(day.Competition, day.Entrant(2), day.Entrant(1).Details));
    }

    [Fact]
    public void Checking_in_twice_changes_nothing()
    {
        var day = Of(2);
        Expect.Events(EntryDecider.CheckIn(day.Competition, day.Entrant(1)), new EntrantCheckedIn(E(1)));
        day.ChecksIn(1);
        Expect.Nothing(EntryDecider.CheckIn(day.Competition, day.Entrant(1)));
    }

    [Fact]
    public void A_check_in_is_taken_back_as_if_it_had_not_been()
    {
        var day = Of(3).ChecksIn(1, 2);
        Expect.Events(EntryDecider.TakeCheckInBack(day.Competition, day.Entrant(2)), new CheckInTakenBack(E(2)));
        Expect.Nothing(EntryDecider.TakeCheckInBack(day.Competition, day.Entrant(3)));
        day.Keep(EntryDecider.TakeCheckInBack(day.Competition, day.Entrant(2)));
        Assert.Equal((EntrantStatus.Entered, false), (day.Entrant(2).Status, day.Entrant(2).WasCheckedIn));
        Assert.Equal([2, 3], Numbers(Expect.Refused(RefusalReason.CheckInOpen, day.PoolDraw()).Concerns));
        // With nobody checked in the competition does without.
        day.Keep(EntryDecider.TakeCheckInBack(day.Competition, day.Entrant(1)));
        Expect.Accepted(day.PoolDraw());
    }

    [Fact]
    public void A_check_in_is_taken_back_of_who_is_checked_in_and_until_the_draw()
    {
        var day = Of(4).ChecksIn(1, 2, 3).Leaves(4, Leaving.Absent);
        Expect.Refused(RefusalReason.EntrantState, EntryDecider.TakeCheckInBack(day.Competition, day.Entrant(4)));
        day.DrawPools();
        Expect.Refused(RefusalReason.EntriesClosed, EntryDecider.TakeCheckInBack(day.Competition, day.Entrant(1)));
    }

    [Theory]
    [InlineData(Leaving.Withdrawn)]
    [InlineData(Leaving.Excluded)]
    public void Who_has_left_is_reinstated_before_he_is_checked_in(Leaving leaving)
    {
        var day = Of(2).ChecksIn(1).Leaves(2, leaving);
        Expect.Refused(RefusalReason.EntrantState, EntryDecider.CheckIn(day.Competition, day.Entrant(2)));
        Expect.Events(day.Reinstating(2), new EntrantReinstated(E(2), "a mistake"));
        Assert.Equal(EntrantStatus.CheckedIn, day.Returns(2).Entrant(2).Status);
        Assert.Null(day.Entrant(2).Reason);
    }

    [Fact]
    public void Leaving_keeps_its_reason_and_is_kept_once()
    {
        var day = Of(2).Leaves(1);
        Assert.Equal((EntrantStatus.Withdrawn, "as announced"), (day.Entrant(1).Status, day.Entrant(1).Reason));
        Expect.Nothing(day.Leaving(1));
    }

    [Fact]
    public void Before_the_draw_who_was_absent_can_withdraw() =>
        Expect.Events(Of(2).Leaves(1, Leaving.Absent).Leaving(1), new EntrantWithdrew(E(1), "as announced"));

    [Theory]
    [InlineData(Leaving.Withdrawn, Leaving.Absent)]
    [InlineData(Leaving.Excluded, Leaving.Absent)]
    [InlineData(Leaving.Excluded, Leaving.Withdrawn)]
    public void Nobody_slips_out_of_an_exclusion_or_withdrawal_by_another_way_of_leaving(Leaving first, Leaving then) =>
        Expect.Refused(RefusalReason.EntrantState, Of(2).Leaves(1, first).Leaving(1, then));

    [Fact]
    public void An_event_about_somebody_who_was_never_entered_is_no_event_of_this_competition()
    {
        var happened = new EntrantCheckedIn(E(7));
        Assert.Throws<InvalidOperationException>(() => Competition.Evolve(Of(2).Competition, Id, happened));
    }

    [Fact]
    public void Who_was_checked_in_comes_back_checked_in_also_when_nobody_else_is()
    {
        var day = Of(2).ChecksIn(1, 2).Leaves(1).Leaves(2).Returns(1);
        Assert.Equal(EntrantStatus.CheckedIn, day.Entrant(1).Status);
        // Coming back among the checked in counts as checked in from then on.
        day = Of(2).Leaves(2).ChecksIn(1).Returns(2).Leaves(1).Leaves(2).Returns(2);
        Assert.Equal(EntrantStatus.CheckedIn, day.Entrant(2).Status);
    }
}
