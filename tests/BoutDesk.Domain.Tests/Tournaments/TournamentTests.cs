using System.Collections.Immutable;
using BoutDesk.Domain.Competitions;
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
    public void A_strip_serves_all_weapons_or_those_that_are_said()
    {
        var tournament = new[] { default, [], [Weapon.Sabre, Weapon.Foil, Weapon.Epee], ImmutableArray.Create(Weapon.Sabre, Weapon.Foil, Weapon.Sabre) }
            .Index().Aggregate(Opened, (t, strip) => After(t.AddStrip($"{strip.Index}", null, strip.Item), t));
        Assert.Equal([null, null, null], tournament.Strips.Take(3).Select(s => s.Weapons));
        Assert.Equal([Weapon.Foil, Weapon.Sabre], tournament.Strips[3].Weapons!.Value.AsEnumerable());
        Assert.Equal([true, false, true], Enum.GetValues<Weapon>().Select(tournament.Strips[3].Serves));
        Assert.Equal([4, 3, 4], Enum.GetValues<Weapon>().Select(tournament.StripsFor));
    }

    [Fact]
    public void A_strip_is_corrected_and_keeps_its_place()
    {
        var tournament = After(Opened.AddStrip("Red", "raised", [Weapon.Foil]), Opened);
        tournament = After(tournament.AddStrip("Blue", null), tournament);
        var red = tournament.Strip("t-s1")!;
        // Nothing is said twice, and its own name is not taken.
        Expect.Events(tournament.CorrectStrip(red, "Red", "raised", [Weapon.Foil, Weapon.Foil]));
        Assert.Equal("name", Expect.Refused(RefusalReason.AlreadyDone, tournament.CorrectStrip(red, "blue", null)).Field);
        Expect.Events(tournament.CorrectStrip(red, "RED", null), new StripCorrected("t-s1", "RED", null));
        var corrected = After(tournament.CorrectStrip(red, "Red", "raised", [Weapon.Sabre, Weapon.Epee]), tournament);
        Assert.Equal(("t-s1", "Red", "raised"), (corrected.Strips[0].Id, corrected.Strips[0].Name, corrected.Strips[0].Kind));
        Assert.Equal([Weapon.Epee, Weapon.Sabre], corrected.Strips[0].Weapons!.Value.AsEnumerable());
        Assert.Equal(tournament.Strips[1], corrected.Strips[1]);
        Assert.Throws<InvalidOperationException>(() => Tournament.Evolve(corrected, "t", new StripCorrected("t-s3", "Green", null)));
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
