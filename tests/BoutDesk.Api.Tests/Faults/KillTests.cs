using System.Collections.Concurrent;
using System.Globalization;
using System.Runtime.Versioning;
using System.Text.Json.Nodes;
using BoutDesk.Api.Tests.Feed;
using Xunit;

namespace BoutDesk.Api.Tests.Faults;

/// <summary>The service or its PostgreSQL is killed while touches come in, each with a key and repeated until it is acknowledged.</summary>
[UnsupportedOSPlatform("windows")]
public class KillTests : IClassFixture<ServiceProcess>
{
    private readonly ServiceProcess service;

    public KillTests(ServiceProcess service) => this.service = service;

    [Fact]
    public async Task Each_touch_is_kept_exactly_once_when_the_service_is_killed_and_started_again()
    {
        var scoring = await Scoring.BeginAsync(service);
        for (var kill = 0; kill < 3; kill++)
        {
            await scoring.GoOnAsync();
            await service.KillAsync();
            await service.StartAsync();
        }

        await scoring.GoOnAsync();
        await scoring.AssertKeptOnceAsync();
        // While nothing listens there is no answer at all, and nothing else may go wrong.
        Assert.Empty(scoring.Refusals);
    }

    [Fact]
    public async Task Each_touch_is_kept_exactly_once_and_told_exactly_once_when_the_database_is_killed_and_started_again()
    {
        var scoring = await Scoring.BeginAsync(service);
        await using var feed = await FeedListener.ListenAsync(service.Client(withPass: false), scoring.Tournament, query: "?after=0");
        for (var kill = 0; kill < 2; kill++)
        {
            await scoring.GoOnAsync();
            await service.KillPostgresAsync();
        }

        await scoring.GoOnAsync();
        var kept = await scoring.AssertKeptOnceAsync();
        // Who asks meanwhile is told that the store does not answer, and to try again.
        Assert.All(scoring.Refusals, r => Assert.Equal("503 store-unavailable", r));
        var told = await feed.UntilAsync(m => m.Count(one => one.Event == "touch-scored") >= kept);
        Assert.Equal(kept, told.Count(one => one.Event == "touch-scored"));
        Assert.Equal(told.Select(m => m.Id).Distinct().Order(), told.Select(m => m.Id));
    }

    /// <summary>Four devices that score touch after touch, each on bouts of its own.</summary>
    private sealed class Scoring
    {
        private const int Devices = 4;

        private readonly ConcurrentBag<(string Bout, DateTimeOffset At)> acknowledged = [];
        private readonly ConcurrentQueue<string> bouts;
        private readonly ServiceProcess service;
        private readonly Task[] devices;
        private volatile bool enough;

        private Scoring(ServiceProcess service, string tournament, IEnumerable<string> bouts)
        {
            (this.service, Tournament, this.bouts) = (service, tournament, new ConcurrentQueue<string>(bouts));
            devices = [.. Enumerable.Range(0, Devices).Select(ScoreAsync)];
        }

        public string Tournament { get; }

        /// <summary>What was answered instead of a touch.</summary>
        public ConcurrentBag<string> Refusals { get; } = [];

        public static async Task<Scoring> BeginAsync(ServiceProcess service)
        {
            using var desk = service.Client();
            var tournament = await desk.TournamentAsync();
            var (_, pool) = await desk.OnePoolAsync(12, touches: 45, tournamentId: tournament);
            return new Scoring(service, tournament, pool.Items("bouts").Select(b => b.Id()));
        }

        /// <summary>Lets another forty touches be acknowledged.</summary>
        public async Task GoOnAsync()
        {
            var before = acknowledged.Count;
            while (acknowledged.Count < before + 40)
            {
                await Task.WhenAny(Task.Delay(5), Task.WhenAny(devices));
                Assert.All(devices, d => Assert.Null(d.Exception));
            }
        }

        /// <summary>Stops, and compares what was acknowledged with the histories of the bouts. Returns how many touches there are.</summary>
        public async Task<int> AssertKeptOnceAsync()
        {
            enough = true;
            await Task.WhenAll(devices);
            using var client = service.Client();
            var kept = new List<(string, DateTimeOffset)>();
            foreach (var bout in acknowledged.Select(a => a.Bout).Distinct())
            {
                var history = await client.ListAsync($"/api/bouts/{bout}/history");
                var touches = history.Where(l => l.Text("what") == "touch-scored").ToArray();
                kept.AddRange(touches.Select(l => (bout, DateTimeOffset.Parse(l["details"].Text("at"), CultureInfo.InvariantCulture))));
                var score = (await client.GetAsync<JsonObject>($"/api/bouts/{bout}"))["score"];
                Assert.Equal(touches.Length, score.Number("left") + score.Number("right"));
            }

            Assert.Equal(acknowledged.Order(), kept.Order());
            return kept.Count;
        }

        private async Task ScoreAsync(int device)
        {
            using var client = service.Client();
            var at = new DateTimeOffset(2026, 11, 28, 9, 0, 0, TimeSpan.Zero);
            while (bouts.TryDequeue(out var bout))
            {
                // One short of the target on either side, so that the bout never ends.
                for (var touch = 0; touch < 88; touch++)
                {
                    if (enough)
                    {
                        return;
                    }

                    at = at.AddSeconds(1);
                    await UntilAcknowledgedAsync(client, bout, touch % 2 == 0 ? "left" : "right", at);
                    acknowledged.Add((bout, at));
                }
            }
        }

        private async Task UntilAcknowledgedAsync(HttpClient client, string bout, string side, DateTimeOffset at)
        {
            var key = Guid.NewGuid().ToString();
            while (true)
            {
                try
                {
                    var answer = await client.AskAsync(HttpMethod.Post, $"/api/bouts/{bout}/touches", new { side, at }, ("Idempotency-Key", key));
                    if (answer.Status == 200)
                    {
                        return;
                    }

                    Refusals.Add($"{answer.Status} {answer.Problem}");
                }
                catch (Exception e) when (e is HttpRequestException or IOException or TaskCanceledException)
                {
                    // Nobody there, or gone in the middle of the answer. The touch may have been kept.
                }

                await Task.Delay(30);
            }
        }
    }
}
