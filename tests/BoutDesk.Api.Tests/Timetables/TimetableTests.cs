using System.Collections.Immutable;
using System.Globalization;
using System.Net;
using System.Text.Json.Nodes;
using BoutDesk.Api.Board;
using BoutDesk.Api.Timetables;
using BoutDesk.Domain.Forecasting;
using Ical.Net.CalendarComponents;
using Microsoft.Extensions.DependencyInjection;
using Xunit;

namespace BoutDesk.Api.Tests.Timetables;

/// <summary>The timetable over HTTP.</summary>
[Collection(OneService.Name)]
public class TimetableTests
{
    private readonly DeskHost host;
    private readonly HttpClient desk;

    public TimetableTests(SharedDesk shared)
    {
        host = shared.Host;
        desk = host.Desk;
    }

    [Fact]
    public async Task The_evening_before_the_day_begins_at_nine_by_the_clock_of_the_hall()
    {
        var (tournament, competition) = await DayToComeAsync(6);
        var table = await TimetableAsync(tournament);
        var told = table.Items("competitions").Single();
        Assert.Equal((competition, 5m, 20m), (told.Text("competitionId"), told["poolBoutMinutes"]!.GetValue<decimal>(), told["eliminationBoutMinutes"]!.GetValue<decimal>()));
        Assert.Equal(["pools", "lastEight"], told.Items("stages").Select(s => s.Text("kind")));
        var bouts = told.Items("bouts");
        Assert.Equal(15, bouts.Length);
        Assert.All(bouts, (b, i) => Assert.Equal(i + 1, b.Number("order")));
        var first = Moment(bouts[0]["begins"], "at");
        Assert.Equal((9, 0, TimeSpan.FromHours(1)), (first.Hour, first.Minute, first.Offset));
        foreach (var (before, after) in bouts.Zip(bouts.Skip(1)))
        {
            Assert.True(Moment(before["begins"], "at") < Moment(after["begins"], "at"));
        }

        // The further ahead, the less sure; and the end of the competition is that of the day.
        Assert.True(Width(bouts[^1]["begins"]) > Width(bouts[1]["begins"]));
        Assert.Equal(told["endsAt"]!.ToJsonString(), table["endsAt"]!.ToJsonString());
        Assert.True(Moment(table["endsAt"], "from") <= Moment(table["endsAt"], "at") && Moment(table["endsAt"], "at") <= Moment(table["endsAt"], "to"));
        Assert.Empty(table.Items("warnings"));
        Assert.Empty(table.Items("next"));
    }

    [Fact]
    public async Task A_result_takes_a_bout_off_and_moves_what_comes_after_it()
    {
        var (tournament, _) = await DayToComeAsync(6);
        var (before, tag) = await desk.ReadAsync(Address(tournament));
        Assert.Equal(304, (await desk.AskAsync(HttpMethod.Get, Address(tournament), null, ("If-None-Match", tag))).Status);
        var first = before.Items("competitions").Single().Items("bouts")[0].Text("boutId");
        await desk.ResultAsync(first, 5, 2);

        var after = await UntilAsync(tournament, t => t.Items("competitions").Single().Items("bouts").Length == 14);
        Assert.DoesNotContain(first, after.Items("competitions").Single().Items("bouts").Select(b => b.Text("boutId")));
        Assert.NotEqual(before["endsAt"]!.ToJsonString(), after["endsAt"]!.ToJsonString());
    }

    [Fact]
    public async Task A_kept_plan_sets_when_stages_begin_and_what_ends_too_late()
    {
        var (tournament, competition) = await DayToComeAsync(6);
        await desk.SendAsync(HttpMethod.Put, $"/api/tournaments/{tournament}/plan", new
        {
            opensAt = "10:00",
            closesAt = "11:00",
            strips = 2,
            steps = 0,
            competitions = new[] { new { id = competition, notBefore = "10:30" } },
        }, HttpStatusCode.OK);
        var table = await UntilAsync(tournament, t => t.Items("warnings").Length > 0);
        var told = table.Items("competitions").Single();
        var first = Moment(told.Items("bouts")[0]["begins"], "at");
        Assert.Equal((10, 30), (first.Hour, first.Minute));
        var kept = await desk.GetAsync<JsonObject>($"/api/tournaments/{tournament}/plan");
        Assert.Equal(kept.Items("stages").Select(s => s.Text("from")), told.Items("stages").Select(s => s.Text("plannedFrom")));
        Assert.Contains(table.Items("warnings"), w => w.Text("sentence").Contains("after the hall closes", StringComparison.Ordinal));
    }

    [Fact]
    public async Task What_the_plan_has_put_on_another_day_is_expected_there_or_once_it_is_drawn()
    {
        var (tournament, today) = await DayToComeAsync(6);
        var tomorrow = await desk.CompetitionAsync(8, "sabre", tournamentId: tournament, checkIn: false);
        await desk.SendAsync(HttpMethod.Put, $"/api/tournaments/{tournament}/plan", new
        {
            opensAt = "10:00",
            closesAt = "18:00",
            strips = 1,
            steps = 0,
            competitions = new[] { new { id = tomorrow, fencers = 0 } },
        }, HttpStatusCode.OK);
        await UntilAsync(tournament, t => t.Items("competitions") is [{ } only] && only.Text("competitionId") == today);
        var kept = await desk.GetAsync<JsonObject>($"/api/tournaments/{tournament}/plan");
        Assert.Equal([tomorrow], kept["madeFor"]!["leftOut"]!.AsArray().Select(c => c!.GetValue<string>()));
        Assert.Empty(kept.Items("moved"));
        var page = (await desk.AskAsync(HttpMethod.Get, $"/desk/tournaments/{tournament}/plan")).Body;
        Assert.Matches("""name="n2"[^>]* value="0""", page);
        Assert.Contains($"name=\"on\" type=\"date\" value=\"{kept.Text("opensAt")[..10]}\"", page, StringComparison.Ordinal);

        // The night after, the plan of that day is over: all that is left is expected from nine.
        var closes = Moment(kept, "closesAt");
        var (ids, begins, late) = await AtAsync(closes.AddHours(7));
        Assert.Equal([today, tomorrow], ids);
        Assert.Equal(closes.AddHours(15), begins);
        Assert.Empty(late);
        Assert.Equal([today], (await AtAsync(closes.AddHours(-1))).Competitions);

        await desk.DrawPoolsAsync(tomorrow);
        await UntilAsync(tournament, t => t.Items("competitions").Length == 2);

        async Task<(string[] Competitions, DateTimeOffset Begins, ImmutableArray<LateWarning> Warnings)> AtAsync(DateTimeOffset now)
        {
            var state = await host.Services.GetRequiredService<BoardStates>().TournamentAsync(tournament);
            var made = ForecastBook.Make(state!, now);
            return ([.. made.Forecast.Competitions.Select(c => c.CompetitionId)], made.Forecast.Bouts.Min(b => b.Begin.Expected), made.Forecast.Warnings);
        }
    }

    [Fact]
    public async Task The_plan_of_the_second_day_says_when_what_is_left_is_fenced()
    {
        var tournament = await TournamentAsync(-2);
        var competition = await desk.CompetitionAsync(8, tournamentId: tournament, checkIn: false);
        Assert.Empty((await TimetableAsync(tournament)).Items("competitions"));
        var on = DateTime.UtcNow.AddDays(2).ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
        await desk.SendAsync(HttpMethod.Put, $"/api/tournaments/{tournament}/plan", new { on, opensAt = "10:00", closesAt = "18:00", strips = 2, steps = 0 }, HttpStatusCode.OK);
        var table = await UntilAsync(tournament, t => t.Items("competitions").Length == 1);
        Assert.Equal($"{on}T10:00:00+01:00", table.Items("competitions").Single().Items("stages")[0].Text("plannedFrom"));
        Assert.Equal(competition, table.Items("competitions").Single().Text("competitionId"));

        // What is drawn has been fenced on a day before, unless it is said how many come.
        await desk.DrawPoolsAsync(competition);
        var body = new { on, opensAt = "10:00", closesAt = "18:00", strips = 2, steps = 0 };
        await desk.RefusedAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/plan", body, 400, "invalid-input");
        var said = await desk.SendAsync(
            HttpMethod.Post, $"/api/tournaments/{tournament}/plan", new { body.on, body.opensAt, body.closesAt, body.strips, body.steps, competitions = new[] { new { id = competition, fencers = 8 } } }, HttpStatusCode.OK);
        Assert.StartsWith(on, said.Text("endsAt"), StringComparison.Ordinal);
        var before = DateTime.UtcNow.AddDays(-3).ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
        var problem = await desk.RefusedAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/plan", new { on = before, opensAt = "10:00", closesAt = "18:00", strips = 2 }, 400, "invalid-input");
        Assert.NotNull(problem["errors"]!["on"]);
    }

    [Fact]
    public async Task Of_one_referee_the_bouts_he_is_appointed_to()
    {
        var (tournament, competition) = await DayToComeAsync(6);
        await desk.CompetitionAsync(8, "sabre", tournamentId: tournament, checkIn: false);
        var referee = (await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/referees", new { familyName = "Lind", weapons = new[] { "epee", "foil", "sabre" } }, HttpStatusCode.Created)).Id();
        var pool = (await desk.GetAsync<JsonObject>($"/api/competitions/{competition}/pool-rounds/1")).Items("pools")[0].Id();
        await desk.SendAsync(HttpMethod.Put, $"/api/pools/{pool}/referee", new { refereeId = referee }, HttpStatusCode.OK);
        // The feed may still be telling of him.
        for (var tries = 0; tries < 100 && (await desk.AskAsync(HttpMethod.Get, $"{Address(tournament)}?referee={referee}")).Status != 200; tries++)
        {
            await Task.Delay(100);
        }

        var table = await UntilAsync(tournament, t => t.Items("competitions").Length == 1, $"referee={referee}");
        Assert.Equal(15, table.Items("competitions").Single().Items("bouts").Length);
        var calendar = await desk.AskAsync(HttpMethod.Get, $"{Address(tournament)}?referee={referee}&format=ics");
        Assert.Equal(15, calendar.Body.Split("BEGIN:VEVENT").Length - 1);
        await desk.RefusedAsync(HttpMethod.Get, Address(tournament) + "?referee=nobody", null, 400, "invalid-input");
    }

    [Fact]
    public async Task Of_one_fencer_one_club_or_one_competition()
    {
        var (tournament, one) = await DayToComeAsync(7);
        var two = await desk.CompetitionAsync(12, "sabre", tournamentId: tournament, checkIn: false);

        var fencer = await TimetableAsync(tournament, $"entrant={one}-e3");
        var bouts = fencer.Items("competitions").Single().Items("bouts");
        Assert.Equal(6, bouts.Length);
        Assert.All(bouts, b => Assert.Contains("Fencer003 Robin", new[] { b.Text("left"), b.Text("right") }));
        var next = fencer.Items("next").Single();
        Assert.Equal(($"{one}-e3", "Fencer003 Robin"), (next.Text("entrantId"), next.Text("name")));
        Assert.Equal(bouts[0]["begins"]!["from"]!.ToJsonString(), next["begins"]!["from"]!.ToJsonString());

        // Fencers 2 and 7 of the one, 2, 7 and 12 of the other.
        var club = await UntilAsync(tournament, t => t.Items("next").Length == 5, "club=club%202");
        Assert.Equal([11, 0], club.Items("competitions").Select(c => c.Items("bouts").Length));

        // Nothing is drawn there: stages, but no bouts.
        var sabre = (await TimetableAsync(tournament, $"competition={two}")).Items("competitions").Single();
        Assert.Equal(two, sabre.Text("competitionId"));
        Assert.Empty(sabre.Items("bouts"));
        Assert.Equal(["pools", "tables", "lastEight"], sabre.Items("stages").Select(s => s.Text("kind")));
    }

    [Theory]
    [InlineData("entrant=nobody", "entrant")]
    [InlineData("club=None", "club")]
    [InlineData("competition=none", "competition")]
    [InlineData("format=pdf", "format")]
    [InlineData("format=csv&separator=tab", "separator")]
    public async Task What_is_not_there_is_refused_with_the_parameter_named(string query, string field)
    {
        var (tournament, _) = await DayToComeAsync(4);
        var problem = await desk.RefusedAsync(HttpMethod.Get, $"{Address(tournament)}?{query}", null, 400, "invalid-input");
        Assert.Equal(field, problem["errors"]!.AsObject().Single().Key);
    }

    [Fact]
    public async Task A_tournament_that_is_not_there_and_a_form_that_is_not_offered()
    {
        await desk.RefusedAsync(HttpMethod.Get, Address("zzzzzzzz"), null, 404, "not-found");
        var (tournament, _) = await DayToComeAsync(4);
        await desk.RefusedAsync(HttpMethod.Get, Address(tournament), null, 406, "not-acceptable", ("Accept", "image/png"));
    }

    [Fact]
    public async Task As_a_list_a_line_for_each_bout()
    {
        var (tournament, _) = await DayToComeAsync(4);
        var answer = await desk.AskAsync(HttpMethod.Get, Address(tournament), null, ("Accept", "text/csv"));
        var lines = answer.Body.Split("\r\n", StringSplitOptions.RemoveEmptyEntries);
        Assert.Equal("competitionId,competition,boutId,poolNumber,tableOf,order,left,right,strip,expected,from,to", lines[0]);
        Assert.Equal(7, lines.Length);
        Assert.Contains(",Strip 1,", lines[1], StringComparison.Ordinal);
        Assert.NotNull(answer.ETag);
        Assert.StartsWith("competitionId;", (await desk.AskAsync(HttpMethod.Get, Address(tournament) + "?format=csv&separator=semicolon")).Body, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_calendar_that_is_followed_knows_an_event_again_when_it_has_moved()
    {
        var (tournament, competition) = await DayToComeAsync(6);
        // Somebody of the last bout, so that one is left when others are fenced.
        var name = (await TimetableAsync(tournament)).Items("competitions").Single().Items("bouts")[^1].Text("left");
        var query = $"?entrant={competition}-e{int.Parse(name[6..9], CultureInfo.InvariantCulture)}&format=ics";
        var before = await EventsAsync(tournament, query);
        Assert.Equal(5, before.Count);
        Assert.All(before.Values, e => Assert.Equal("Strip 1, Millbrook Hall", e.Location));
        Assert.All(before.Values, e => Assert.Contains(name, e.Summary, StringComparison.Ordinal));
        Assert.All(before.Values, e => Assert.True(e.Start!.AsUtc < e.End!.AsUtc && e.Start.AsUtc.Minute % 5 == 0));
        Assert.All(before.Values, e => Assert.Contains("between", e.Description, StringComparison.Ordinal));
        Assert.Equal(before.Values.Select(Told), (await EventsAsync(tournament, query)).Values.Select(Told));

        // The events carry their second, so that a change in the same one would not be told apart.
        await Task.Delay(1100);
        await FenceAsync(tournament, 12);
        await UntilAsync(tournament, t => t.Items("competitions").Single().Items("bouts").Length == 3);
        var after = await EventsAsync(tournament, query);
        Assert.NotEmpty(after);
        Assert.All(after, e =>
        {
            var old = before[e.Key];
            Assert.True(e.Value.Sequence > old.Sequence && e.Value.LastModified!.AsUtc > old.LastModified!.AsUtc, $"{Told(old)} became {Told(e.Value)}");
            Assert.NotEqual(old.Start!.AsUtc, e.Value.Start!.AsUtc);
        });

        static string Told(CalendarEvent e) => $"{e.Uid} {e.Sequence} {e.LastModified!.AsUtc:O} {e.Start!.AsUtc:O} {e.End!.AsUtc:O}";
    }

    [Fact]
    public async Task The_calendar_of_a_competition_has_its_stages_and_speaks_the_language_of_who_asks()
    {
        var (tournament, competition) = await DayToComeAsync(6);
        var events = await EventsAsync(tournament, $"?competition={competition}&format=ics");
        Assert.Equal(["Open epee: Pools", "Open epee: Last eight"], events.Values.OrderBy(e => e.Start!.AsUtc).Select(e => e.Summary));
        using var french = await desk.TryAsync(HttpMethod.Get, $"{Address(tournament)}?competition={competition}", null, ("Accept", "text/calendar"), ("Accept-Language", "fr"));
        var text = await french.Content.ReadAsStringAsync();
        Assert.Equal("text/calendar", french.Content.Headers.ContentType!.MediaType);
        Assert.Contains("Huit derniers", text, StringComparison.Ordinal);
        Assert.StartsWith("BEGIN:VCALENDAR\r\n", text, StringComparison.Ordinal);
        Assert.All(text.Split("\r\n"), line => Assert.True(System.Text.Encoding.UTF8.GetByteCount(line) <= 75, line));
    }

    [Fact]
    public async Task Who_is_in_no_draw_yet_has_an_expected_next_bout_in_his_calendar()
    {
        var (tournament, _) = await DayToComeAsync(4);
        var undrawn = await desk.CompetitionAsync(8, "foil", tournamentId: tournament, checkIn: false);
        await UntilAsync(tournament, t => t.Items("competitions").Length == 2);
        var only = Assert.Single(await EventsAsync(tournament, $"?entrant={undrawn}-e1&format=ics"));
        Assert.Equal(($"{undrawn}-e1-next@boutdesk", "Fencer001 Robin: next bout"), (only.Key, only.Value.Summary));
    }

    [Fact]
    public async Task A_finished_competition_is_not_in_it()
    {
        var tournament = await TournamentAsync(0);
        var competition = await desk.TableauAloneAsync(2, tournamentId: tournament);
        await UntilAsync(tournament, t => t.Items("competitions") is [var only] && only.Text("competitionId") == competition);
        await desk.FenceTableauAsync(competition);
        var table = await UntilAsync(tournament, t => t.Items("competitions").Length == 0);
        Assert.Null(table["endsAt"]);
    }

    [Fact]
    public async Task Of_a_tournament_that_was_left_lying_nothing_is_expected()
    {
        var tournament = await TournamentAsync(-3);
        await desk.TableauAloneAsync(4, tournamentId: tournament);
        var table = await TimetableAsync(tournament);
        Assert.Empty(table.Items("competitions"));
        Assert.Null(table["endsAt"]);
    }

    [Fact]
    public void Only_a_change_makes_an_event_a_new_one()
    {
        var clock = new StandingClock();
        var revisions = new CalendarRevisions(clock);
        var first = revisions.ChangedAt("a", "ten o'clock");
        clock.Now = clock.Now.AddMinutes(5);
        Assert.Equal(first, revisions.ChangedAt("a", "ten o'clock"));
        var second = revisions.ChangedAt("a", "eleven o'clock");
        Assert.True(CalendarRevisions.Sequence(second) > CalendarRevisions.Sequence(first));
        // After a restart nothing is remembered, and the number is not lower.
        clock.Now = clock.Now.AddMinutes(5);
        Assert.True(CalendarRevisions.Sequence(new CalendarRevisions(clock).ChangedAt("a", "eleven o'clock")) > CalendarRevisions.Sequence(second));
    }

    private static string Address(string tournament) => $"/api/tournaments/{tournament}/timetable";

    private static DateTimeOffset Moment(JsonNode? time, string name) => DateTimeOffset.Parse(time.Text(name), CultureInfo.InvariantCulture);

    private static TimeSpan Width(JsonNode? time) => Moment(time, "to") - Moment(time, "from");

    private Task<JsonObject> TimetableAsync(string tournament, string query = "") => desk.GetAsync<JsonObject>($"{Address(tournament)}?{query}");

    /// <summary>Reads until the feed has brought what is awaited.</summary>
    private async Task<JsonObject> UntilAsync(string tournament, Func<JsonObject, bool> there, string query = "")
    {
        for (var tries = 0; tries < 100; tries++)
        {
            var table = await TimetableAsync(tournament, query);
            if (there(table))
            {
                return table;
            }

            await Task.Delay(100);
        }

        throw new TimeoutException("The timetable does not come to what is awaited.");
    }

    private async Task<Dictionary<string, CalendarEvent>> EventsAsync(string tournament, string query)
    {
        var answer = await desk.AskAsync(HttpMethod.Get, Address(tournament) + query);
        Assert.Equal(200, answer.Status);
        return Ical.Net.Calendar.Load(answer.Body)!.Events.ToDictionary(e => e.Uid!);
    }

    private async Task FenceAsync(string tournament, int bouts)
    {
        foreach (var bout in (await TimetableAsync(tournament)).Items("competitions").Single().Items("bouts").Take(bouts))
        {
            await desk.ResultAsync(bout.Text("boutId"), 5, 3);
        }
    }

    /// <summary>A tournament in two days with a strip and one pool on it.</summary>
    private async Task<(string Tournament, string Competition)> DayToComeAsync(int fencers)
    {
        var tournament = await TournamentAsync(2);
        var strip = (await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/strips", new { name = "Strip 1" }, HttpStatusCode.Created)).Id();
        var (competition, pool) = await desk.OnePoolAsync(fencers, tournamentId: tournament);
        await desk.SendAsync(HttpMethod.Put, $"/api/pools/{pool.Id()}/strip", new { stripId = strip }, HttpStatusCode.OK);
        await UntilAsync(tournament, t => t.Items("competitions") is [{ } only] && only.Items("bouts") is { Length: > 0 } bouts && bouts.All(b => b["stripId"] is not null));
        return (tournament, competition);
    }

    /// <summary>A tournament in so many days.</summary>
    private async Task<string> TournamentAsync(int days)
    {
        var day = DateTime.UtcNow.AddDays(days).ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
        return (await desk.SendAsync(
            HttpMethod.Post, "/api/tournaments", new { name = "Millbrook Open", venue = "Millbrook Hall", startsOn = day, timeZone = "Africa/Algiers" }, HttpStatusCode.Created)).Id();
    }

    private sealed class StandingClock : TimeProvider
    {
        public DateTimeOffset Now { get; set; } = new(2026, 11, 28, 9, 0, 0, TimeSpan.Zero);

        public override DateTimeOffset GetUtcNow() => Now;
    }
}
