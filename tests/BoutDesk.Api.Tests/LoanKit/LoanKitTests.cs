using System.Net;
using System.Text.Json.Nodes;
using BoutDesk.Api.Tests.Feed;
using Xunit;

namespace BoutDesk.Api.Tests.LoanKit;

[Collection(OneService.Name)]
public class LoanKitTests
{
    private readonly DeskHost host;

    public LoanKitTests(SharedDesk shared) => host = shared.Host;

    private HttpClient Desk => host.Desk;

    [Fact]
    public async Task Kit_goes_out_and_comes_back_and_the_list_says_where_it_is()
    {
        var (tournament, competition) = await DayAsync();
        var added = await Desk.SendAsync(
            HttpMethod.Post, At(tournament), new { item = "glove", club = "Harbour Blades", size = " 8 ", hand = "right", label = "G1", count = 3 }, HttpStatusCode.Created);
        Assert.Equal(["G1", "G2", "G3"], added.Items("items").Select(i => i.Text("label")));
        var item = added.Items("items")[1];
        Assert.Equal(("8", "in", 2), (item.Text("size"), item.Text("state"), item.Number("number")));

        var issued = await Desk.SendAsync(HttpMethod.Post, $"/api/loan-kit/{item.Id()}/issue", new { entrantId = competition + "-e1" }, HttpStatusCode.OK);
        Assert.Equal(("out", "Fencer001 Robin", "Club 1", "Open foil"), (issued.Text("state"), issued.Text("fencer"), issued.Text("fencerClub"), issued.Text("competition")));
        Assert.Empty(issued.Items("warnings"));
        Assert.Equal([item.Id()], (await Desk.ListAsync(At(tournament) + "?state=out")).Select(i => i.Id()));
        using var page = await Desk.TryAsync(HttpMethod.Get, At(tournament) + "?state=in&limit=1");
        var next = page.Headers.GetValues("Link").Single().Split('<', '>')[1];
        Assert.Equal(["G3"], (await Desk.ListAsync(next)).Select(i => i.Text("label")));

        var returned = await Desk.SendAsync(HttpMethod.Post, $"/api/loan-kit/{item.Id()}/return", new { state = "toMend", note = " thumb torn " }, HttpStatusCode.OK);
        Assert.Equal(("mend", "thumb torn"), (returned.Text("state"), returned.Text("note")));
        Assert.Null(returned["fencer"]);
        Assert.Equal([item.Id()], (await Desk.ListAsync(At(tournament) + "?state=mend")).Select(i => i.Id()));
        Assert.Equal("in", (await Desk.SendAsync(HttpMethod.Post, $"/api/loan-kit/{item.Id()}/mend", null, HttpStatusCode.OK)).Text("state"));

        await Desk.SendAsync(HttpMethod.Delete, $"/api/loan-kit/{item.Id()}", null, HttpStatusCode.NoContent);
        await Desk.SendAsync(HttpMethod.Delete, $"/api/loan-kit/{item.Id()}", null, HttpStatusCode.NoContent);
        Assert.Equal(["G1", "G3"], (await Desk.ListAsync(At(tournament))).Select(i => i.Text("label")));
        Assert.Equal([item.Id()], (await Desk.ListAsync(At(tournament) + "?state=gone")).Select(i => i.Id()));
    }

    [Fact]
    public async Task What_cannot_be_handed_out_is_refused_with_the_reason()
    {
        var (tournament, competition) = await DayAsync();
        await Desk.SendAsync(HttpMethod.Post, At(tournament), new { item = "mask", label = "M1" }, HttpStatusCode.Created);
        var mask = $"/api/loan-kit/{tournament}-k1";
        foreach (var nobody in new[] { competition + "-e99", "nobody", (await DayAsync()).Competition + "-e1" })
        {
            var unknown = await Desk.RefusedAsync(HttpMethod.Post, mask + "/issue", new { entrantId = nobody }, 400, "invalid-input");
            Assert.NotNull(unknown["errors"]!["entrantId"]);
        }

        await Desk.SendAsync(HttpMethod.Post, mask + "/issue", new { entrantId = competition + "-e1" }, HttpStatusCode.OK);
        var with = await Desk.RefusedAsync(HttpMethod.Post, mask + "/issue", new { entrantId = competition + "-e2" }, 409, "kit-out");
        Assert.Contains("Fencer001 Robin", with.Text("detail"), StringComparison.Ordinal);
        Assert.Equal([competition + "-e1"], with["concerns"]!.AsArray().Select(c => c!.GetValue<string>()));
        await Desk.RefusedAsync(HttpMethod.Delete, mask, null, 409, "kit-out");
        await Desk.SendAsync(HttpMethod.Post, mask + "/return", new { state = "toMend" }, HttpStatusCode.OK);
        await Desk.RefusedAsync(HttpMethod.Post, mask + "/issue", new { entrantId = competition + "-e2" }, 409, "kit-to-mend");
        await Desk.SendAsync(HttpMethod.Delete, mask, null, HttpStatusCode.NoContent);
        await Desk.RefusedAsync(HttpMethod.Post, mask + "/issue", new { entrantId = competition + "-e2" }, 409, "kit-gone");
        await Desk.RefusedAsync(HttpMethod.Post, mask + "/return", new { }, 409, "step-missing");
        await Desk.RefusedAsync(HttpMethod.Post, $"/api/loan-kit/{tournament}-k2/mend", null, 404, "not-found");
        await Desk.RefusedAsync(HttpMethod.Post, At("zzzzzzzz"), new { item = "mask" }, 404, "not-found");
    }

    [Fact]
    public async Task A_mistake_is_taken_back()
    {
        var (tournament, competition) = await DayAsync();
        await Desk.SendAsync(HttpMethod.Post, At(tournament), new { item = "mask" }, HttpStatusCode.Created);
        var mask = $"/api/loan-kit/{tournament}-k1";
        await Desk.RefusedAsync(HttpMethod.Delete, mask + "/issue", null, 409, "nothing-to-take-back");
        await Desk.SendAsync(HttpMethod.Post, mask + "/issue", new { entrantId = competition + "-e1" }, HttpStatusCode.OK);
        await Desk.RefusedAsync(HttpMethod.Delete, mask + "/return", null, 409, "nothing-to-take-back");
        Assert.Equal("in", (await Desk.SendAsync(HttpMethod.Delete, mask + "/issue", null, HttpStatusCode.OK)).Text("state"));
        await Desk.SendAsync(HttpMethod.Post, mask + "/issue", new { entrantId = competition + "-e2" }, HttpStatusCode.OK);
        Assert.Equal(competition + "-e2", (await Desk.SendAsync(HttpMethod.Post, mask + "/return", new { state = "retired" }, HttpStatusCode.OK)).Text("givenBackBy"));
        var again = await Desk.SendAsync(HttpMethod.Delete, mask + "/return", null, HttpStatusCode.OK);
        Assert.Equal(("out", competition + "-e2"), (again.Text("state"), again.Text("entrantId")));
    }

    [Fact]
    public async Task The_other_hand_another_weapon_and_a_fencer_who_left_are_warned_of_and_not_refused()
    {
        var (tournament, competition) = await DayAsync();
        await Desk.SendAsync(HttpMethod.Post, At(tournament), new { item = "glove", hand = "left" }, HttpStatusCode.Created);
        await Desk.SendAsync(HttpMethod.Post, At(tournament), new { item = "weapon", weapon = "epee" }, HttpStatusCode.Created);
        Assert.Equal(["otherHand"], await KindsAsync("k1", "e1"));
        await Desk.SendAsync(HttpMethod.Post, $"/api/entrants/{competition}-e2/withdraw", new { reason = "hurt" }, HttpStatusCode.OK);
        Assert.Equal(["otherWeapon", "fencerGone"], await KindsAsync("k2", "e2"));

        async Task<IEnumerable<string>> KindsAsync(string item, string entrant) =>
            (await Desk.SendAsync(HttpMethod.Post, $"/api/loan-kit/{tournament}-{item}/issue", new { entrantId = $"{competition}-{entrant}" }, HttpStatusCode.OK))
            .Items("warnings").Select(w => w.Text("kind"));
    }

    [Fact]
    public async Task Who_has_left_and_whose_competition_is_finished_is_due()
    {
        var (tournament, competition) = await DayAsync();
        var finished = await Desk.CompetitionAsync(4, "foil", new { pools = new { rounds = 0 } }, tournamentId: tournament);
        await Desk.SendAsync(HttpMethod.Post, At(tournament), new { item = "mask", count = 3 }, HttpStatusCode.Created);
        foreach (var (item, entrant) in new[] { ("k1", competition + "-e1"), ("k2", competition + "-e2"), ("k3", finished + "-e1") })
        {
            await Desk.SendAsync(HttpMethod.Post, $"/api/loan-kit/{tournament}-{item}/issue", new { entrantId = entrant }, HttpStatusCode.OK);
        }

        Assert.All(await Desk.ListAsync(At(tournament)), i => Assert.Null(i["due"]));
        await Desk.SendAsync(HttpMethod.Post, $"/api/entrants/{competition}-e2/absent", null, HttpStatusCode.OK);
        await Desk.SendAsync(HttpMethod.Post, $"/api/competitions/{finished}/tableau", null, HttpStatusCode.Created);
        await Desk.FenceTableauAsync(finished);
        Assert.Equal([null, "fencerLeft", "competitionFinished"], (await Desk.ListAsync(At(tournament))).Select(i => i["due"]?.GetValue<string>()));
    }

    [Fact]
    public async Task An_item_is_corrected_by_its_version()
    {
        var (tournament, competition) = await DayAsync();
        await Desk.SendAsync(HttpMethod.Post, At(tournament), new { item = "mask", label = "M1" }, HttpStatusCode.Created);
        var mask = $"/api/loan-kit/{tournament}-k1";
        var (_, etag) = await Desk.ReadAsync(mask);
        var corrected = await Desk.AskAsync(HttpMethod.Put, mask, new { item = "mask", label = "M1", size = "L" }, ("If-Match", etag));
        Assert.Equal((200, "L"), (corrected.Status, corrected.Json.Text("size")));
        Assert.Equal("stale", (await Desk.AskAsync(HttpMethod.Post, mask + "/issue", new { entrantId = competition + "-e1" }, ("If-Match", etag))).Problem);
        Assert.Equal(corrected.ETag, (await Desk.ReadAsync(mask)).ETag);
        var issued = await Desk.AskAsync(HttpMethod.Post, mask + "/issue", new { entrantId = competition + "-e1" }, ("If-Match", corrected.ETag!));
        Assert.Equal(200, issued.Status);
        Assert.Equal(issued.ETag, (await Desk.ReadAsync(mask)).ETag);
        Assert.Equal(304, (await Desk.AskAsync(HttpMethod.Get, mask, null, ("If-None-Match", issued.ETag!))).Status);
    }

    [Fact]
    public async Task A_repeat_counts_once()
    {
        var (tournament, competition) = await DayAsync();
        var first = await Desk.AskAsync(HttpMethod.Post, At(tournament), new { item = "glove", count = 6 }, ("Idempotency-Key", tournament + "six"));
        var again = await Desk.AskAsync(HttpMethod.Post, At(tournament), new { item = "glove", count = 6 }, ("Idempotency-Key", tournament + "six"));
        Assert.Equal((201, first.Body), (again.Status, again.Body));
        Assert.Equal(6, (await Desk.ListAsync(At(tournament))).Count);
        Assert.Equal("key-reused", (await Desk.AskAsync(HttpMethod.Post, At(tournament), new { item = "glove", count = 7 }, ("Idempotency-Key", tournament + "six"))).Problem);

        var glove = $"/api/loan-kit/{tournament}-k1";
        await Desk.AskAsync(HttpMethod.Post, glove + "/issue", new { entrantId = competition + "-e1" }, ("Idempotency-Key", tournament + "out"));
        await Desk.SendAsync(HttpMethod.Post, glove + "/return", new { }, HttpStatusCode.OK);
        var repeated = await Desk.AskAsync(HttpMethod.Post, glove + "/issue", new { entrantId = competition + "-e1" }, ("Idempotency-Key", tournament + "out"));
        Assert.Equal((200, "out"), (repeated.Status, repeated.Json.Text("state")));
        Assert.Equal("in", (await Desk.GetAsync<JsonObject>(glove)).Text("state"));
    }

    [Fact]
    public async Task Handed_to_many_at_once_an_item_is_with_one_of_them()
    {
        var (tournament, competition) = await DayAsync();
        await Desk.SendAsync(HttpMethod.Post, At(tournament), new { item = "mask", count = 2 }, HttpStatusCode.Created);
        var answers = await Answers.AtOnceAsync(Enumerable.Range(0, 8).Select(i => (Func<Task<Answered>>)(() =>
            Desk.AskAsync(HttpMethod.Post, $"/api/loan-kit/{tournament}-k{1 + (i % 2)}/issue", new { entrantId = $"{competition}-e{1 + (i / 2)}" }))));
        Assert.Equal(2, answers.Count(a => a.Status == 200));
        Assert.All(answers.Where(a => a.Status != 200), a => Assert.Equal("kit-out", a.Problem));
    }

    [Fact]
    public async Task The_feed_tells_that_something_was_lent_and_neither_what_nor_to_whom()
    {
        var (tournament, competition) = await DayAsync();
        await using var feed = await FeedListener.ListenAsync(host, tournament);
        await Desk.SendAsync(HttpMethod.Post, At(tournament), new { item = "chestProtector", label = "C1" }, HttpStatusCode.Created);
        await Desk.SendAsync(HttpMethod.Post, $"/api/loan-kit/{tournament}-k1/issue", new { entrantId = competition + "-e1" }, HttpStatusCode.OK);
        var told = await feed.UntilAsync(events => events.Any(e => e.Event == "kit-issued"));
        var issued = told.Single(e => e.Event == "kit-issued").Data;
        Assert.Equal(["what", "at"], JsonNode.Parse(issued)!.AsObject().Where(m => m.Value is not null).Select(m => m.Key));
        Assert.DoesNotContain("-e1", issued, StringComparison.Ordinal);
        Assert.DoesNotContain("-k1", issued, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("{\"item\":\"helmet\"}", "item")]
    [InlineData("{\"item\":\"weapon\"}", "weapon")]
    [InlineData("{\"item\":\"conductiveCuff\",\"weapon\":\"foil\"}", "weapon")]
    [InlineData("{\"item\":\"mask\",\"size\":\"a size of more than twenty characters\"}", "size")]
    [InlineData("{\"item\":\"mask\",\"label\":\"a\\tb\"}", "label")]
    [InlineData("{\"item\":\"mask\",\"hand\":\"both\"}", "hand")]
    [InlineData("{\"item\":\"mask\",\"count\":0}", "count")]
    [InlineData("{\"item\":\"mask\",\"count\":101}", "count")]
    public async Task What_cannot_be_meant_is_named(string body, string field)
    {
        var (tournament, _) = await DayAsync(0);
        var problem = await Desk.RefusedAsync(HttpMethod.Post, At(tournament), JsonNode.Parse(body), 400, "invalid-input");
        Assert.NotNull(problem["errors"]![field]);
    }

    [Fact]
    public async Task A_label_a_note_and_a_state_are_refused_where_they_do_not_do()
    {
        var (tournament, _) = await DayAsync(0);
        await Desk.SendAsync(HttpMethod.Post, At(tournament), new { item = "mask", label = "M1" }, HttpStatusCode.Created);
        var twice = await Desk.RefusedAsync(HttpMethod.Post, At(tournament), new { item = "mask", label = "m1", count = 2 }, 409, "already-done");
        Assert.NotNull(twice["errors"]!["label"]);
        var note = await Desk.RefusedAsync(HttpMethod.Post, $"/api/loan-kit/{tournament}-k1/return", new { note = new string('n', 201) }, 400, "invalid-input");
        Assert.NotNull(note["errors"]!["note"]);
        var state = await Desk.RefusedAsync(HttpMethod.Get, At(tournament) + "?state=lost", null, 400, "invalid-input");
        Assert.NotNull(state["errors"]!["state"]);
    }

    [Fact]
    public async Task An_armourer_lends_and_nobody_without_a_pass_sees_who_has_what()
    {
        var (tournament, competition) = await DayAsync();
        var pass = (await Desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/passes", new { kind = "armourer" }, HttpStatusCode.Created)).Text("pass");
        using var armourer = host.Client(pass);
        await armourer.SendAsync(HttpMethod.Post, At(tournament), new { item = "mask" }, HttpStatusCode.Created);
        await armourer.SendAsync(HttpMethod.Post, $"/api/loan-kit/{tournament}-k1/issue", new { entrantId = competition + "-e1" }, HttpStatusCode.OK);
        Assert.Single(await armourer.ListAsync(At(tournament)));
        await host.Public.RefusedAsync(HttpMethod.Get, At(tournament), null, 401, "pass-missing");
        await host.Public.RefusedAsync(HttpMethod.Get, $"/api/loan-kit/{tournament}-k1", null, 401, "pass-missing");
        var elsewhere = (await DayAsync(0)).Tournament;
        await armourer.RefusedAsync(HttpMethod.Get, At(elsewhere), null, 403, "pass-insufficient");
        Assert.DoesNotContain("loan", (await host.Public.AskAsync(HttpMethod.Get, $"/api/entrants/{competition}-e1")).Body, StringComparison.Ordinal);
    }

    private static string At(string tournament) => $"/api/tournaments/{tournament}/loan-kit";

    private async Task<(string Tournament, string Competition)> DayAsync(int entrants = 4)
    {
        var tournament = await Desk.TournamentAsync();
        return (tournament, entrants == 0 ? string.Empty : await Desk.CompetitionAsync(entrants, "foil", checkIn: false, tournamentId: tournament));
    }
}
