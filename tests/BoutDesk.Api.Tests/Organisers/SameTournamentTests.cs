using System.Net;
using System.Net.Http.Headers;
using System.Text.Json.Nodes;
using BoutDesk.Api.Tests.EventStore;
using BoutDesk.Api.Tests.Feed;
using Npgsql;
using Xunit;

namespace BoutDesk.Api.Tests.Organisers;

/// <summary>
/// The same archive is taken in by two organisers, so that everything has the same identifiers at both, and each goes on
/// with it in its own way.
/// </summary>
public class SameTournamentTests
{
    [Theory]
    [InlineData(true, false)]
    [InlineData(false, false)]
    [InlineData(true, true)]
    [InlineData(false, true)]
    public async Task Each_goes_on_with_its_own_copy_and_hears_only_of_that(bool onlyNode, bool apart)
    {
        var own = apart ? await PostgresForTests.FreshDatabaseAsync() : null;
        var settings = own is null ? [] : new[] { ("ConnectionStrings:north", own) };
        await using var one = onlyNode ? await DeskHost.StartAsync(settings) : await DeskHost.StartOnAsync(await PostgresForTests.FreshDatabaseAsync(), settings);
        await using var second = onlyNode ? null : await DeskHost.StartOnAsync(one.ConnectionString, settings);
        var other = second ?? one;
        DeskHost[] services = [.. new[] { one, other }.Distinct()];
        var pass = own is null ? await Operator.CreateAsync("north", Operator.Host, services) : await Operator.CreateApartAsync("north", Operator.Host, own, services);
        using var north = other.ClientAt(Operator.Host, pass);
        using var publicNorth = other.ClientAt(Operator.Host, null);

        var tournament = await one.Desk.TournamentAsync();
        var (competition, pool) = await one.Desk.OnePoolAsync(5, touches: 45, tournamentId: tournament);
        string[] bouts = [.. pool.Items("bouts").Select(b => b.Id())];
        await one.Desk.ResultAsync(bouts[0], 45, 3);
        await ImportAsync(north, await one.Desk.GetByteArrayAsync(new Uri($"/api/tournaments/{tournament}/archive", UriKind.Relative)));
        string[] addresses =
        [
            $"/api/tournaments/{tournament}", $"/api/competitions/{competition}", $"/api/competitions/{competition}/pool-rounds/1", $"/api/competitions/{competition}/pool-rounds/1/standings",
            $"/api/pools/{pool.Id()}", $"/api/pools/{pool.Id()}/standings", $"/api/pools/{pool.Id()}/bouts", $"/api/bouts/{bouts[1]}", $"/api/bouts/{bouts[1]}/history",
            $"/competitions/{competition}/pools/1", $"/tournaments/{tournament}", "/",
        ];
        Assert.Equal(await ReadAsync(one.Public, addresses[..7]), await ReadAsync(publicNorth, addresses[..7]));

        await using (var atHome = await FeedListener.ListenAsync(one, tournament))
        await using (var atNorth = await FeedListener.ListenAsync(other.ClientAt(Operator.Host, null), tournament))
        {
            // The same keys, the same bouts, at the same moments; the other side scores.
            await Task.WhenAll(bouts[1..4].Select((bout, i) => Task.WhenAll(
                TouchesAsync(one.Desk, bout, "left", 3 + i),
                TouchesAsync(north, bout, "right", 3 + i))));
            var home = await atHome.UntilAsync(m => m.Count(IsTouch) == 12);
            var away = await atNorth.UntilAsync(m => m.Count(IsTouch) == 12);
            Assert.All(home.Where(IsTouch), m => Assert.Equal(0, m.Json["score"].Number("right")));
            Assert.All(away.Where(IsTouch), m => Assert.Equal(0, m.Json["score"].Number("left")));
        }

        // Another winner at each, by as many steps, so that every version is the same at both, and other places are possible.
        foreach (var bout in bouts[4..])
        {
            await one.Desk.ResultAsync(bout, 45, 7);
            await north.ResultAsync(bout, 7, 45);
        }

        await ShownAsync(one.Public, publicNorth);
        var (atOne, atOther) = (await ReadAsync(one.Public, addresses), await ReadAsync(publicNorth, addresses));
        Assert.NotEqual(atOne[2], atOther[2]);

        // Nothing was mixed up in what is kept for the next who asks: made anew it is the same. Answers to requests of long
        // ago are given up at the start, at both.
        Assert.Equal(24, await AnswersAsync("""update boutdesk.mt_doc_kept_answer set data = data || '{"at": "2020-01-01T00:00:00+00:00", "position": -200000}' returning 1"""));
        await one.RestartAsync();
        Assert.Equal(0, await AnswersAsync("select 1 from boutdesk.mt_doc_kept_answer"));
        if (second is not null)
        {
            await second.RestartAsync();
        }

        // The other one first now, so that nothing wrong that is kept for the second to ask comes out the same again.
        using var restarted = other.ClientAt(Operator.Host, null);
        Assert.Equal(atOther[..9], await ReadAsync(restarted, addresses[..9]));
        Assert.Equal(atOne[..9], await ReadAsync(one.Public, addresses[..9]));

        // Who is erased at one is not at the other.
        using var again = other.ClientAt(Operator.Host, pass);
        Assert.Equal(200, (await again.AskAsync(HttpMethod.Post, $"/api/entrants/{competition}-e1/erasure")).Status);
        Assert.Equal("N. N.", (await restarted.GetAsync<JsonObject>($"/api/entrants/{competition}-e1")).Text("familyName"));
        Assert.Equal(atOne[..9], await ReadAsync(one.Public, addresses[..9]));

        async Task<int> AnswersAsync(string sql)
        {
            var count = 0;
            foreach (var database in new[] { one.ConnectionString, own }.OfType<string>())
            {
                await using var connection = new NpgsqlConnection(database);
                await connection.OpenAsync();
                count += (await connection.RowsAsync(sql)).Count;
            }

            return count;
        }

        async Task ShownAsync(HttpClient homes, HttpClient norths)
        {
            var page = new Uri($"/competitions/{competition}/pools/1", UriKind.Relative);
            for (var tries = 0; ; tries++)
            {
                var (h, n) = (await homes.GetStringAsync(page), await norths.GetStringAsync(page));
                if (Cell(h).Contains("V45", StringComparison.Ordinal) && Cell(n).Contains('7', StringComparison.Ordinal))
                {
                    break;
                }

                Assert.True(tries < 200, "The boards do not show the results.");
                await Task.Delay(50);
            }
        }

        string Cell(string page)
        {
            var at = page.IndexOf($"data-bout=\"{bouts[5][(pool.Id().Length + 1)..]}l\"", StringComparison.Ordinal);
            return at < 0 ? string.Empty : page[at..Math.Min(page.Length, at + 200)];
        }
    }

    private static async Task TouchesAsync(HttpClient client, string bout, string side, int count)
    {
        for (var touch = 1; touch <= count; touch++)
        {
            var answer = await client.AskTouchAsync(bout, side, ("Idempotency-Key", $"{bout}-{touch}"));
            Assert.True(answer.Status == 200, answer.ToString());
            Assert.Equal(touch, answer.Json["score"].Number(side));
        }
    }

    private static async Task<string[]> ReadAsync(HttpClient client, string[] addresses)
    {
        var read = new List<string>();
        foreach (var address in addresses)
        {
            read.Add(await client.GetStringAsync(new Uri(address, UriKind.Relative)));
        }

        return [.. read];
    }

    private static async Task ImportAsync(HttpClient desk, byte[] archive)
    {
        using var content = new ByteArrayContent(archive) { Headers = { ContentType = new MediaTypeHeaderValue("application/zip") } };
        using var answer = await desk.PostAsync(new Uri("/api/archives", UriKind.Relative), content);
        Assert.Equal(HttpStatusCode.Created, answer.StatusCode);
    }

    private static bool IsTouch(FeedMessage message) => message.Event == "touch-scored";
}
