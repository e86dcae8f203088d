using System.Diagnostics;
using System.Globalization;
using System.Net;
using System.Text.Json.Nodes;
using Xunit;
using Xunit.Abstractions;

namespace BoutDesk.Api.Tests.Input.Odd;

/// <summary>
/// Generated requests at every operation, page and form. Whatever comes, the service answers in time, without a mistake of
/// its own, and goes on. BOUTDESK_ODD says how many requests, BOUTDESK_ODD_SEED which ones; a failure prints both.
/// </summary>
public class OddRequestTests
{
    private const int Usual = 2_000;

    // On a fresh hall, since requests that succeed take the day apart.
    // With the other tests always the same requests, so that what fails is of the change; others are sent by hand.
    private const ulong UsualSeed = 20261126;
    private const int OnOneHall = 2_000;

    private const long MostMemory = 400L * 1024 * 1024;

    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(30);

    private readonly ITestOutputHelper output;

    public OddRequestTests(ITestOutputHelper output) => this.output = output;

    [Fact]
    public async Task Whatever_comes_is_answered_in_time_without_a_mistake_of_the_service()
    {
        var count = int.Parse(Environment.GetEnvironmentVariable("BOUTDESK_ODD") ?? Usual.ToString(CultureInfo.InvariantCulture), CultureInfo.InvariantCulture);
        var seed = ulong.TryParse(Environment.GetEnvironmentVariable("BOUTDESK_ODD_SEED"), CultureInfo.InvariantCulture, out var given) ? given : UsualSeed;
        var wrong = new List<string>();
        var statuses = new SortedDictionary<int, int>();
        var (slowest, slow) = (TimeSpan.Zero, string.Empty);
        var most = 0L;
        for (var done = 0; done < count && wrong.Count < 20; done += OnOneHall, seed++)
        {
            var hall = new Hall();
            await hall.InitializeAsync();
            try
            {
                var archive = await hall.Desk.GetByteArrayAsync(new Uri($"/api/tournaments/{hall.TournamentId}/archive", UriKind.Relative));
                var before = GC.GetTotalMemory(forceFullCollection: true);
                var service = hall.Desk.BaseAddress!;
                foreach (var request in new OddRequests(hall, archive).Sample(Math.Min(OnOneHall, count - done), seed))
                {
                    var watch = Stopwatch.StartNew();
                    try
                    {
                        var answer = await Wire.SendAsync(service, request, Patience);
                        statuses[answer.Status] = statuses.GetValueOrDefault(answer.Status) + 1;
                        if (Wrong(request, answer) is { } why)
                        {
                            wrong.Add($"Seed {seed}: {why}\n{request}\n{string.Join('\n', answer.Head)}\n{answer.Body[..Math.Min(answer.Body.Length, 600)]}");
                        }
                    }
                    catch (OperationCanceledException)
                    {
                        wrong.Add($"Seed {seed}: no answer within {Patience}.\n{request}");
                    }

                    (slowest, slow) = watch.Elapsed > slowest ? (watch.Elapsed, request.ToString()) : (slowest, slow);
                }

                var kept = GC.GetTotalMemory(forceFullCollection: true) - before;
                most = Math.Max(most, kept);
                using var health = await hall.Host.Public.TryAsync(HttpMethod.Get, "/health/ready");
                Assert.Equal(HttpStatusCode.OK, health.StatusCode);
                await hall.Desk.TournamentAsync();
            }
            finally
            {
                await hall.DisposeAsync();
            }
        }

        output.WriteLine($"{count} requests up to seed {seed - 1}; {string.Join(", ", statuses.Select(s => $"{s.Value} × {s.Key}"))}; {most / 1024 / 1024} MiB more at most; slowest {slowest.TotalSeconds:0.00} s:\n{slow}");
        Assert.True(wrong.Count == 0, string.Join("\n\n", wrong));
        Assert.True(most < MostMemory, $"{most / 1024 / 1024} MiB are kept after the requests; seed {seed}.");
        // That the requests are not all refused at the door.
        Assert.True(statuses.Count(s => s.Key is 200 or 201 or 400 or 404 or 409) >= 4, output.ToString());
    }

    private static string? Wrong(OddRequest request, OddAnswer answer)
    {
        if (answer.Status is 0 or >= 500)
        {
            return answer.Status == 501 ? null : $"was answered {answer.Status}.";
        }

        if (answer.Head.Any(line => line.StartsWith("X-Injected", StringComparison.OrdinalIgnoreCase)))
        {
            return "puts a line into the head of the answer.";
        }

        if (answer.Header("Location") is { } location && (location.Contains("://", StringComparison.Ordinal) || location.StartsWith("//", StringComparison.Ordinal) || location.Contains('\\', StringComparison.Ordinal)))
        {
            return $"leads elsewhere, to {location}.";
        }

        // What is no HTTP the server itself refuses, without a body.
        var refusedByServer = answer.Status is 400 or 413 or 414 or 417 or 431 or 405 or 408 && answer.Body.Length == 0;
        if (answer.Status >= 400 && request.Target.StartsWith("/api/", StringComparison.Ordinal) && request.Method != "HEAD" && !refusedByServer)
        {
            if (answer.Header("Content-Type")?.StartsWith("application/problem+json", StringComparison.Ordinal) != true)
            {
                return answer.Header("Content-Type")?.StartsWith("text/html", StringComparison.Ordinal) == true && answer.Status == 404 ? null : $"was answered {answer.Status} without a problem document.";
            }

            if (JsonNode.Parse(answer.Body)?["type"]?.GetValue<string>().StartsWith("urn:boutdesk:problem:", StringComparison.Ordinal) != true)
            {
                return "was answered by a problem without its type.";
            }
        }

        return null;
    }
}
