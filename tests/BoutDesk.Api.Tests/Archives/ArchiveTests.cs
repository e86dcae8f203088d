using System.IO.Compression;
using System.Net;
using System.Net.Http.Headers;
using System.Text;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.Archives;

/// <summary>A tournament leaves one service and comes into another.</summary>
[Collection(OneService.Name)]
public class ArchiveTests
{
    private readonly HttpClient desk;

    public ArchiveTests(SharedDesk shared) => desk = shared.Host.Desk;

    [Fact]
    public async Task Taken_in_elsewhere_a_tournament_gives_the_same_answers_and_is_fenced_on()
    {
        var (tournament, half) = await TournamentAsync();
        var archive = await ArchiveAsync(tournament);

        await using var other = await DeskHost.StartAsync();
        var imported = await ImportAsync(other.Desk, archive);
        Assert.Equal(201, imported.Status);
        Assert.Equal(tournament, imported.Json["tournamentId"]!.GetValue<string>());

        var addresses = await AddressesAsync(tournament);
        Assert.True(addresses.Count > 60, $"Only {addresses.Count} addresses are compared.");
        foreach (var address in addresses)
        {
            var (before, after) = (await desk.AskAsync(HttpMethod.Get, address), await other.Desk.AskAsync(HttpMethod.Get, address));
            Assert.Equal((200, address, before.Body), (after.Status, address, after.Body));
            Assert.Equal(before.ETag, after.ETag);
        }

        // Out again it is the same log.
        Assert.Equal(Log(archive), Log(await ArchiveAsync(tournament, other.Desk)));

        // And on it goes.
        foreach (var pool in (await other.Desk.GetAsync<JsonObject>($"/api/competitions/{half}/pool-rounds/1"))["pools"]!.AsArray())
        {
            foreach (var bout in (await other.Desk.GetAsync<JsonObject>($"/api/pools/{pool!.Id()}"))["bouts"]!.AsArray().Where(b => b!["status"]!.GetValue<string>() == "open"))
            {
                await other.Desk.ResultAsync(bout!.Id(), 5, 1);
            }
        }

        await other.Desk.SendAsync(HttpMethod.Post, $"/api/competitions/{half}/pool-rounds/1/close", null, HttpStatusCode.OK);
        await other.Desk.SendAsync(HttpMethod.Post, $"/api/competitions/{half}/tableau", null, HttpStatusCode.Created);

        Assert.Equal("already-here", (await ImportAsync(other.Desk, archive)).Problem);
    }

    [Fact]
    public async Task Taken_in_twice_at_the_same_moment_it_is_there_once()
    {
        var (tournament, _) = await TournamentAsync();
        var archive = await ArchiveAsync(tournament);
        await using var other = await DeskHost.StartAsync();
        var answers = await Answers.AtOnceAsync(Enumerable.Repeat(() => ImportAsync(other.Desk, archive), 3));
        Assert.Equal([201, 409, 409], answers.Select(a => a.Status).Order());
        Assert.Equal(Log(archive), Log(await ArchiveAsync(tournament, other.Desk)));
    }

    [Fact]
    public async Task An_archive_holds_the_lists_for_a_spreadsheet_and_no_pass()
    {
        var (tournament, _) = await TournamentAsync();
        var given = await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/passes", new { kind = "armourer" }, HttpStatusCode.Created);
        using var zip = new ZipArchive(new MemoryStream(await ArchiveAsync(tournament)));
        var names = zip.Entries.Select(e => e.FullName).ToArray();
        Assert.Contains("README.txt", names);
        Assert.Contains("1 Open-epee/classification.csv", names);
        Assert.Contains("1 Open-epee/entrants.json", names);
        Assert.Contains("loan kit.csv", names);
        foreach (var entry in zip.Entries)
        {
            using var reader = new StreamReader(entry.Open());
            Assert.DoesNotContain(given["pass"]!.GetValue<string>(), await reader.ReadToEndAsync(), StringComparison.Ordinal);
        }

        await using var classification = zip.GetEntry("1 Open-epee/classification.csv")!.Open();
        var begin = new byte[3];
        await classification.ReadExactlyAsync(begin);
        Assert.Equal(Encoding.UTF8.Preamble.ToArray(), begin);
    }

    [Fact]
    public async Task A_damaged_or_foreign_archive_is_refused_with_what_is_wrong_and_keeps_nothing()
    {
        var (tournament, _) = await TournamentAsync();
        var log = Log(await ArchiveAsync(tournament)).Split('\n', StringSplitOptions.RemoveEmptyEntries);
        await using var other = await DeskHost.StartAsync();

        await RefusedAsync("zip archive", [1, 2, 3]);
        await RefusedAsync("no events.jsonl", Zip("other.txt", "x"));
        await RefusedAsync("does not begin", Zip("events.jsonl", string.Empty));
        await RefusedAsync("is missing before it", Zip("events.jsonl", string.Join('\n', log.Where((_, i) => i != 5))));
        await RefusedAsync("no event that this service knows", Zip("events.jsonl", string.Join('\n', log[..3]) + "\n" + log[3].Replace("\"name\":\"", "\"name\":\"un", StringComparison.Ordinal)));
        await RefusedAsync("does not belong", Zip("events.jsonl", log[0] + "\n" + log[1].Replace(tournament, "aaaaaaaa", StringComparison.Ordinal)));
        // Loan kit of a stream that is none, and a competition in its place.
        await RefusedAsync("does not belong", Zip("events.jsonl", log[0] + "\n" + Line($"{tournament}-1", "kit-taken-out", new JsonObject { ["itemId"] = "x" })));
        await RefusedAsync("does not belong", Zip("events.jsonl", log[0] + "\n" + Line($"{tournament}-loans", "entrant-checked-in", new JsonObject { ["entrantId"] = "x" })));
        await RefusedAsync("contradicts itself", Zip("events.jsonl", log[0] + "\n" + Line($"{tournament}-loans", "kit-taken-out", new JsonObject { ["itemId"] = "x" })));
        // A competition that begins with a fencer, and a bout that begins with a touch.
        await RefusedAsync("contradicts itself", Zip("events.jsonl", log[0] + "\n" + Line($"{tournament}-1", "entrant-checked-in", new JsonObject { ["entrantId"] = "x" })));
        await RefusedAsync("contradicts itself", Zip("events.jsonl", log[0] + "\n" + Line($"{tournament}-1-d1p1b1", "time-ran-out", [])));
        await RefusedAsync("cannot be read", Zip("events.jsonl", log[0] + "\n{"));
        // A list that is missing in an event, for which none at all is not the same as an empty one.
        var drawn = Array.FindIndex(log, line => line.Contains("\"pool-round-drawn\"", StringComparison.Ordinal));
        var without = JsonNode.Parse(log[drawn])!;
        Assert.True(without["data"]!.AsObject().Remove("seeding"));
        await RefusedAsync("cannot be read", Zip("events.jsonl", string.Join('\n', log[..drawn]) + "\n" + without.ToJsonString()));
        // No text of the store holds the character 0.
        var opened = JsonNode.Parse(log[0])!;
        opened["data"]!["name"] = "a\0b";
        await RefusedAsync("cannot be kept", Zip("events.jsonl", opened.ToJsonString()));
        opened = JsonNode.Parse(log[0])!;
        opened["by"] = "a\0b";
        await RefusedAsync("cannot be kept", Zip("events.jsonl", opened.ToJsonString()));
        await RefusedAsync("larger than", Zip("events.jsonl", new string(' ', 51 * 1024 * 1024)));
        Assert.Equal(404, (await other.Desk.AskAsync(HttpMethod.Get, $"/api/tournaments/{tournament}")).Status);

        async Task RefusedAsync(string why, byte[] archive)
        {
            var answer = await ImportAsync(other.Desk, archive);
            Assert.Equal("unreadable-archive", answer.Problem);
            Assert.Contains(why, answer.Json["detail"]!.GetValue<string>(), StringComparison.Ordinal);
        }
    }

    /// <summary>A finished competition with a withdrawal, a correction and a black card, and one in its pools.</summary>
    private async Task<(string Tournament, string Half)> TournamentAsync()
    {
        var tournament = await desk.TournamentAsync();
        await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/strips", new { name = "Strip 1" }, HttpStatusCode.Created);
        var finished = await desk.CompetitionAsync(9, tournamentId: tournament);
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{finished}-e1/equipment-checks", new { item = "mask", verdict = "passed", mark = "M-1" }, HttpStatusCode.Created);
        await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/loan-kit", new { item = "glove", label = "G1", count = 3 }, HttpStatusCode.Created);
        await desk.SendAsync(HttpMethod.Post, $"/api/loan-kit/{tournament}-k1/issue", new { entrantId = finished + "-e2" }, HttpStatusCode.OK);
        await desk.SendAsync(HttpMethod.Post, $"/api/loan-kit/{tournament}-k2/issue", new { entrantId = finished + "-e9" }, HttpStatusCode.OK);
        await desk.SendAsync(HttpMethod.Post, $"/api/loan-kit/{tournament}-k2/return", new { state = "toMend", note = "thumb torn" }, HttpStatusCode.OK);
        await desk.DrawPoolsAsync(finished, new { poolCount = 2, drawSeed = 3 });
        await desk.SendAsync(HttpMethod.Post, $"/api/entrants/{finished}-e9/withdraw", new { reason = "a twisted ankle" }, HttpStatusCode.OK);
        await desk.FenceRoundAsync(finished);
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{finished}/pool-rounds/1/close", new { drawSeed = 5 }, HttpStatusCode.OK);
        await desk.SendAsync(HttpMethod.Post, $"/api/competitions/{finished}/tableau", null, HttpStatusCode.Created);
        for (var table = 0; table < 3; table++)
        {
            var rounds = (await desk.GetAsync<JsonObject>($"/api/competitions/{finished}/tableau"))["rounds"]!.AsArray();
            foreach (var bout in rounds.SelectMany(r => r!["bouts"]!.AsArray()).Where(b => b!["status"]!.GetValue<string>() == "open").ToArray())
            {
                await desk.ResultAsync(bout!.Id(), 15, 9);
            }
        }

        var final = (await desk.GetAsync<JsonObject>($"/api/competitions/{finished}/tableau"))["rounds"]!.AsArray()[^1]!["bouts"]![0]!.Id();
        var (_, etag) = await desk.ReadAsync($"/api/bouts/{final}");
        Assert.Equal(200, (await desk.AskResultAsync(final, 13, 15, etag, "sides were exchanged")).Status);

        var half = await desk.CompetitionAsync(7, "foil", tournamentId: tournament);
        var round = await desk.DrawPoolsAsync(half, new { poolCount = 1, drawSeed = 4 });
        foreach (var bout in (await desk.GetAsync<JsonObject>($"/api/pools/{round["pools"]![0]!.Id()}"))["bouts"]!.AsArray().Take(9))
        {
            await desk.AskTouchAsync(bout!.Id(), "left");
            await desk.ResultAsync(bout!.Id(), 5, 2);
        }

        return (tournament, half);
    }

    private async Task<List<string>> AddressesAsync(string tournament)
    {
        List<string> addresses = ["/api/tournaments/" + tournament, $"/api/tournaments/{tournament}/competitions", $"/api/tournaments/{tournament}/loan-kit", $"/api/loan-kit/{tournament}-k1"];
        foreach (var competition in (await desk.ListAsync($"/api/tournaments/{tournament}/competitions")).Select(c => c.Id()))
        {
            var at = "/api/competitions/" + competition;
            addresses.AddRange([at, at + "/entrants", at + "/seeding", at + "/classification", at + "/equipment", at + "/pool-rounds/1", at + "/pool-rounds/1/standings", at + "/pool-rounds/1/bouts"]);
            addresses.AddRange((await desk.ListAsync(at + "/entrants")).SelectMany(e => new[] { $"/api/entrants/{e.Id()}", $"/api/entrants/{e.Id()}/path" }));
            if ((await desk.AskAsync(HttpMethod.Get, at + "/tableau")).Status == 200)
            {
                addresses.AddRange([at + "/tableau", at + "/tableau/bouts"]);
                addresses.AddRange((await desk.ListAsync(at + "/tableau/bouts")).SelectMany(b => new[] { $"/api/bouts/{b.Id()}", $"/api/bouts/{b.Id()}/history" }));
            }

            foreach (var pool in (await desk.GetAsync<JsonObject>(at + "/pool-rounds/1"))["pools"]!.AsArray().Select(p => p!.Id()))
            {
                addresses.Add("/api/pools/" + pool);
                addresses.AddRange((await desk.ListAsync($"/api/pools/{pool}/bouts")).SelectMany(b => new[] { $"/api/bouts/{b.Id()}", $"/api/bouts/{b.Id()}/history" }));
            }
        }

        return addresses;
    }

    private async Task<byte[]> ArchiveAsync(string tournament, HttpClient? from = null)
    {
        using var answer = await (from ?? desk).GetAsync(new Uri($"/api/tournaments/{tournament}/archive", UriKind.Relative));
        Assert.Equal(HttpStatusCode.OK, answer.StatusCode);
        Assert.Equal("Millbrook-Open.zip", answer.Content.Headers.ContentDisposition!.FileName);
        return await answer.Content.ReadAsByteArrayAsync();
    }

    private static async Task<Answered> ImportAsync(HttpClient client, byte[] archive)
    {
        using var content = new ByteArrayContent(archive) { Headers = { ContentType = new MediaTypeHeaderValue("application/zip") } };
        using var answer = await client.PostAsync(new Uri("/api/archives", UriKind.Relative), content);
        return new Answered((int)answer.StatusCode, await answer.Content.ReadAsStringAsync(), answer.Headers.Location?.ToString(), null);
    }

    private static string Log(byte[] archive)
    {
        using var zip = new ZipArchive(new MemoryStream(archive));
        using var reader = new StreamReader(zip.GetEntry("events.jsonl")!.Open());
        return reader.ReadToEnd();
    }

    private static string Line(string stream, string name, JsonObject data) =>
        new JsonObject { ["stream"] = stream, ["version"] = 1, ["name"] = name, ["at"] = "2026-11-28T09:00:00Z", ["by"] = "desk", ["data"] = data }.ToJsonString();

    private static byte[] Zip(string name, string text)
    {
        using var buffer = new MemoryStream();
        using (var zip = new ZipArchive(buffer, ZipArchiveMode.Create, leaveOpen: true))
        {
            using var entry = zip.CreateEntry(name).Open();
            entry.Write(Encoding.UTF8.GetBytes(text));
        }

        return buffer.ToArray();
    }
}
