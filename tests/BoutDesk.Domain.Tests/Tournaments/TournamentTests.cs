using BoutDesk.Domain.Tournaments;
using Xunit;

namespace BoutDesk.Domain.Tests.Tournaments;

public class TournamentTests
{
    private static readonly Tournament Opened = Tournament.Evolve(
        null, "t", new TournamentOpened("Spring cup", "Town hall", new DateOnly(2026, 5, 9), "Europe/Amsterdam"));

    [Fact]
    public void It_opens_with_what_the_organiser_says()
    {
        Assert.Equal(
            ("t", "Spring cup", "Town hall", new DateOnly(2026, 5, 9), "Europe/Amsterdam", 1),
            (Opened.Id, Opened.Name, Opened.Venue, Opened.StartsOn, Opened.TimeZone, Opened.Version));
        Assert.Empty(Opened.Strips);
        Assert.Empty(Opened.Competitions);
    }

    [Fact]
    public void Strips_are_numbered_in_the_order_in_which_they_are_added()
    {
        Expect.Events(Opened.AddStrip("Red", "raised"), new StripAdded("t-s1", "Red", "raised"));
        var tournament = After(Opened.AddStrip("Red", "raised"), Opened);
        Expect.Events(tournament.AddStrip("Blue", null), new StripAdded("t-s2", "Blue", null));
        tournament = After(tournament.AddStrip("Blue", null), tournament);
        Assert.Equal([new Strip("t-s1", "Red", "raised"), new Strip("t-s2", "Blue", null)], tournament.Strips.AsEnumerable());
        Assert.Equal(3, tournament.Version);
    }

    [Fact]
    public void Two_strips_do_not_have_one_name()
    {
        var tournament = After(Opened.AddStrip("Red", null), Opened);
        Assert.Equal("name", Expect.Refused(RefusalReason.AlreadyDone, tournament.AddStrip("RED", "raised")).Field);
    }

    [Fact]
    public void Competitions_are_listed_in_the_order_in_which_they_are_added()
    {
        var tournament = new[] { "t-1", "t-2" }.Aggregate(Opened, (t, id) => Tournament.Evolve(t, "t", new CompetitionAdded(id)));
        Assert.Equal(["t-1", "t-2"], tournament.Competitions.AsEnumerable());
    }

    private static Tournament After(Decision decision, Tournament tournament)
    {
        var fact = Assert.Single(Expect.Accepted(decision).Facts);
        Assert.Equal("t", fact.StreamId);
        return Tournament.Evolve(tournament, "t", (ITournamentEvent)fact.Event);
    }
}
