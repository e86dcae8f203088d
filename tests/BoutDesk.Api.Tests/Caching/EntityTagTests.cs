using System.Net;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.Caching;

[Collection(WholeSurface.Name)]
public class EntityTagTests
{
    private readonly Hall hall;

    public EntityTagTests(Hall hall) => this.hall = hall;

    [Fact]
    public async Task Every_read_has_an_entity_tag_and_is_not_sent_again_to_who_has_it()
    {
        foreach (var operation in hall.Document.Operations.Where(o => o.Method == HttpMethod.Get && !o.IsStream))
        {
            foreach (var format in operation.IsList ? new[] { "application/json", "text/csv" } : ["application/json"])
            {
                using var first = await hall.Desk.TryAsync(HttpMethod.Get, hall.At(operation), null, ("Accept", format));
                Assert.True(first.StatusCode == HttpStatusCode.OK, $"{operation} was answered {first.StatusCode}");
                var tag = first.Headers.ETag?.ToString();
                Assert.False(string.IsNullOrEmpty(tag), $"{operation} has no ETag.");
                Assert.Equal(["Accept", "Authorization"], first.Headers.Vary.Order());
                foreach (var known in new[] { tag!, "W/" + tag, $"\"other\", {tag}", "*" })
                {
                    using var again = await hall.Desk.TryAsync(HttpMethod.Get, hall.At(operation), null, ("Accept", format), ("If-None-Match", known));
                    Assert.True(again.StatusCode == HttpStatusCode.NotModified, $"{operation} with If-None-Match {known} was answered {again.StatusCode}");
                    Assert.Equal(tag, again.Headers.ETag?.ToString());
                    Assert.Empty(await again.Content.ReadAsByteArrayAsync());
                }

                using var other = await hall.Desk.TryAsync(HttpMethod.Get, hall.At(operation), null, ("Accept", format), ("If-None-Match", "\"other\""));
                Assert.Equal(HttpStatusCode.OK, other.StatusCode);
            }
        }
    }

    [Fact]
    public async Task Another_format_page_or_reader_has_another_entity_tag()
    {
        var list = $"/api/competitions/{hall.CompetitionId}/entrants";
        var tags = new HashSet<string?>();
        foreach (var (client, address, format) in new[]
        {
            (hall.Desk, list, "application/json"),
            (hall.Desk, list, "text/csv"),
            (hall.Desk, list + "?limit=2", "application/json"),
            (hall.Host.Public, list, "application/json"),
        })
        {
            using var response = await client.TryAsync(HttpMethod.Get, address, null, ("Accept", format));
            Assert.True(tags.Add(response.Headers.ETag?.ToString()));
        }
    }

    [Fact]
    public async Task A_change_changes_the_entity_tag_and_the_answer_has_the_one_that_a_read_gives()
    {
        var competition = await hall.Desk.CompetitionAsync(3, checkIn: false);
        var entrant = (await hall.Desk.ListAsync($"/api/competitions/{competition}/entrants"))[0].Id();
        var before = await TagAsync($"/api/entrants/{entrant}");
        using var changed = await hall.Desk.TryAsync(HttpMethod.Put, $"/api/entrants/{entrant}", new { familyName = "Aubert", givenName = "Maïa" });
        Assert.NotEqual(before, changed.Headers.ETag?.ToString());
        Assert.Equal(await TagAsync($"/api/entrants/{entrant}"), changed.Headers.ETag?.ToString());

        var bout = await FirstBoutAsync(competition);
        using var touch = await hall.Desk.TryAsync(HttpMethod.Post, $"/api/bouts/{bout}/touches", new { side = "left" });
        Assert.Equal(await TagAsync($"/api/bouts/{bout}"), touch.Headers.ETag?.ToString());

        using var formula = await hall.Desk.TryAsync(HttpMethod.Put, $"/api/competitions/{competition}/formula", new { elimination = new { touches = 10 } });
        Assert.Equal(await TagAsync($"/api/competitions/{competition}"), formula.Headers.ETag?.ToString());
    }

    [Fact]
    public async Task Who_writes_on_what_somebody_else_has_changed_is_told_so_and_nothing_happens()
    {
        var competition = await hall.Desk.CompetitionAsync(3, checkIn: false, tournamentId: hall.TournamentId);
        var entrant = (await hall.Desk.ListAsync($"/api/competitions/{competition}/entrants"))[0].Id();
        var details = new { familyName = "Aubert", givenName = "Maïa" };

        var stale = await TagAsync($"/api/entrants/{entrant}");
        await hall.Desk.SendAsync(HttpMethod.Post, $"/api/entrants/{entrant}/absent", null, HttpStatusCode.OK, ("If-Match", stale));
        foreach (var (method, path, body) in new (HttpMethod, string, object?)[]
        {
            (HttpMethod.Put, $"/api/entrants/{entrant}", details),
            (HttpMethod.Post, $"/api/entrants/{entrant}/check-in", null),
            (HttpMethod.Post, $"/api/entrants/{entrant}/withdraw", new { reason = "ill" }),
            (HttpMethod.Post, $"/api/entrants/{entrant}/exclude", new { reason = "ill" }),
            (HttpMethod.Post, $"/api/entrants/{entrant}/reinstate", new { reason = "well" }),
        })
        {
            await hall.Desk.RefusedAsync(method, path, body, 412, "stale", ("If-Match", stale));
        }

        Assert.Equal("absent", (await hall.Desk.GetAsync<JsonObject>($"/api/entrants/{entrant}"))["status"]!.GetValue<string>());
        await hall.Desk.SendAsync(HttpMethod.Put, $"/api/entrants/{entrant}", details, HttpStatusCode.OK, ("If-Match", "*"));

        stale = await TagAsync($"/api/competitions/{competition}");
        await hall.Desk.SendAsync(HttpMethod.Put, $"/api/competitions/{competition}/formula", new { pools = new { size = 5 } }, HttpStatusCode.OK, ("If-Match", stale));
        await hall.Desk.RefusedAsync(HttpMethod.Put, $"/api/competitions/{competition}/formula", new { pools = new { size = 6 } }, 412, "stale", ("If-Match", stale));
    }

    [Fact]
    public async Task A_bout_or_pool_that_moved_on_is_not_written_by_who_read_it_before()
    {
        var competition = await hall.Desk.CompetitionAsync(3, tournamentId: hall.TournamentId);
        var bout = await FirstBoutAsync(competition);
        var pool = bout[..bout.LastIndexOf('b')];
        var (staleBout, stalePool) = (await TagAsync($"/api/bouts/{bout}"), await TagAsync($"/api/pools/{pool}"));
        await hall.Desk.SendAsync(HttpMethod.Post, $"/api/bouts/{bout}/touches", new { side = "left" }, HttpStatusCode.OK, ("If-Match", staleBout));
        foreach (var (method, path, body) in new (HttpMethod, string, object?)[]
        {
            (HttpMethod.Post, "touches", new { side = "left" }),
            (HttpMethod.Delete, "touches/last", null),
            (HttpMethod.Post, "cards", new { side = "left", card = "yellow", reason = "late" }),
            (HttpMethod.Delete, "cards/last", null),
            (HttpMethod.Post, "time", null),
            (HttpMethod.Delete, "time/last", null),
            (HttpMethod.Post, "priority", new { side = "left" }),
            (HttpMethod.Delete, "priority/last", null),
            (HttpMethod.Post, "breaks", new { side = "left", kind = "medical" }),
            (HttpMethod.Delete, "breaks/last", null),
            (HttpMethod.Post, "clock", new { action = "start" }),
            (HttpMethod.Delete, "actions/last", null),
            (HttpMethod.Put, "result", new { left = 5, right = 0, winner = "left" }),
            (HttpMethod.Put, "strip", new { stripId = hall.StripId }),
        })
        {
            await hall.Desk.RefusedAsync(method, $"/api/bouts/{bout}/{path}", body, 412, "stale", ("If-Match", staleBout));
        }

        await hall.Desk.RefusedAsync(HttpMethod.Put, $"/api/pools/{pool}/strip", new { stripId = hall.StripId }, 412, "stale", ("If-Match", stalePool));
        await hall.Desk.SendAsync(HttpMethod.Put, $"/api/pools/{pool}/strip", new { stripId = hall.StripId }, HttpStatusCode.OK, ("If-Match", await TagAsync($"/api/pools/{pool}")));
    }

    [Fact]
    public async Task A_correction_of_a_result_names_the_version_that_it_corrects()
    {
        var bout = await FirstBoutAsync(await hall.Desk.CompetitionAsync(3));
        await hall.Desk.ResultAsync(bout, 5, 3);
        var correction = new { left = 3, right = 5, winner = "right", reason = "Sides were exchanged." };
        await hall.Desk.RefusedAsync(HttpMethod.Put, $"/api/bouts/{bout}/result", correction, 428, "version-needed");
        await hall.Desk.RefusedAsync(HttpMethod.Put, $"/api/bouts/{bout}/result", correction, 412, "stale", ("If-Match", "\"1-gone\""));
        await hall.Desk.ResultAsync(bout, 5, 3);
        var corrected = await hall.Desk.SendAsync(HttpMethod.Put, $"/api/bouts/{bout}/result", correction, HttpStatusCode.OK, ("If-Match", await TagAsync($"/api/bouts/{bout}")));
        Assert.Equal("right", corrected["winner"]!.GetValue<string>());
    }

    private async Task<string> FirstBoutAsync(string competition)
    {
        var pool = (await hall.Desk.DrawPoolsAsync(competition, new { poolCount = 1 }))["pools"]![0].Id();
        return (await hall.Desk.GetAsync<JsonObject>($"/api/pools/{pool}"))["bouts"]![0].Id();
    }

    private async Task<string> TagAsync(string address)
    {
        using var response = await hall.Desk.TryAsync(HttpMethod.Get, address);
        return response.Headers.ETag!.ToString();
    }
}
