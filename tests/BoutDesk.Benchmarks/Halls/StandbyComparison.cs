using System.Collections.Concurrent;
using System.Diagnostics;
using System.Net.Http.Headers;
using System.Net.Http.Json;
using BoutDesk.Benchmarks.Day;
using BoutDesk.Faults;

namespace BoutDesk.Benchmarks.Halls;

/// <summary>
/// The same reads of a service that has a primary and a standby that each commit waits for, once all of the primary and once
/// of the standby where it may, by turns.
/// </summary>
internal static class StandbyComparison
{
    /// <summary>Clients that read what they have just written, at once.</summary>
    public const int Writers = 8;

    private const string Position = "BoutDesk-Position";
    private const int Tournaments = 32;
    private const int Turns = 2;
    private static readonly TimeSpan WarmUp = TimeSpan.FromSeconds(3);
    private static readonly TimeSpan Length = TimeSpan.FromSeconds(6);

    /// <summary>Measures both.</summary>
    public static async Task<(StandbyFigure Primary, StandbyFigure Standby)> RunAsync(ServerPair servers)
    {
        var opened = new ConcurrentBag<LoadedTournament>();
        await using (var first = await ServiceProcess.StartOnAsync(servers.ConnectionString))
        {
            await Parallel.ForAsync(0, Tournaments, new ParallelOptions { MaxDegreeOfParallelism = 4 }, async (_, _) => opened.Add(await LoadedTournament.OpenAsync(first.Client)));
        }

        byte[][] reads = [.. opened.SelectMany(of => of.Reads)];
        (string Bout, string Pass)[] bouts = [.. opened.SelectMany(of => of.Pools).Select(pool => pool.Bouts.First()).Take(Writers)];
        var (primary, standby) = (new StandbyFigure(), new StandbyFigure());
        for (var turn = 0; turn < Turns; turn++)
        {
            await MeasureAsync(primary, ofStandby: false);
            await MeasureAsync(standby, ofStandby: true);
        }

        return (primary, standby);

        async Task MeasureAsync(StandbyFigure figure, bool ofStandby)
        {
            await using var service = await ServiceProcess.StartOnAsync(servers.ConnectionString, "--BoutDesk:ReadFromStandbys", ofStandby ? "true" : "false");
            var readers = await NodeComparison.ConnectAsync([service], NodeComparison.Readers, connection => new Reader(connection, Random.Shared.GetItems(reads, reads.Length)));
            await PumpAsync(readers, WarmUp);
            readers.ForEach(reader => reader.Forget());
            var before = Used(servers, service);
            var began = Stopwatch.GetTimestamp();
            await PumpAsync(readers, Length);
            figure.Add(readers.Sum(reader => reader.Read), Stopwatch.GetElapsedTime(began), Used(servers, service) - before);
            figure.Reads.Add(readers.Select(reader => reader.Waits));
            if (readers.Sum(reader => reader.Refused) is not 0 and var unread)
            {
                throw new InvalidOperationException($"{unread} reads of the measurement were refused.");
            }

            readers.ForEach(reader => reader.Dispose());
            await Task.WhenAll(bouts.Select(of => ReadOwnAsync(service, of.Bout, of.Pass, new Times(), WarmUp)));
            Times[] own = [.. bouts.Select(_ => new Times())];
            await Task.WhenAll(bouts.Zip(own, (of, times) => ReadOwnAsync(service, of.Bout, of.Pass, times, Length)));
            figure.OwnReads.Add(own);
        }
    }

    private static Task PumpAsync(IEnumerable<Reader> readers, TimeSpan length)
    {
        var begin = Stopwatch.GetTimestamp();
        return Task.WhenAll(readers.Select(reader => Task.Run(async () =>
        {
            while (Stopwatch.GetElapsedTime(begin) < length)
            {
                await reader.ReadAsync(Stopwatch.GetTimestamp());
            }
        })));
    }

    /// <summary>Scores a touch and takes it back again and again, and after each reads the bout with the position of the answer.</summary>
    private static async Task ReadOwnAsync(ServiceProcess service, string bout, string pass, Times times, TimeSpan length)
    {
        using var client = new HttpClient(new HttpClientHandler { UseCookies = false }) { BaseAddress = service.Address };
        client.DefaultRequestHeaders.Authorization = new AuthenticationHeaderValue("Bearer", pass);
        var begin = Stopwatch.GetTimestamp();
        for (var scored = false; scored || Stopwatch.GetElapsedTime(begin) < length;)
        {
            using var write = scored
                ? new HttpRequestMessage(HttpMethod.Delete, $"/api/bouts/{bout}/touches/last")
                : new HttpRequestMessage(HttpMethod.Post, $"/api/bouts/{bout}/touches") { Content = JsonContent.Create(new { side = "left" }) };
            scored = !scored;
            using var written = await client.SendAsync(write);
            written.EnsureSuccessStatusCode();
            using var read = new HttpRequestMessage(HttpMethod.Get, $"/api/bouts/{bout}");
            if (written.Headers.TryGetValues(Position, out var position))
            {
                read.Headers.Add(Position, position);
            }

            var wanted = scored ? "\"score\":{\"left\":1" : "\"score\":null";
            var answer = "";
            await times.AddAsync(async () =>
            {
                using var shown = await client.SendAsync(read);
                shown.EnsureSuccessStatusCode();
                answer = await shown.Content.ReadAsStringAsync();
            });
            if (!answer.Contains(wanted, StringComparison.Ordinal))
            {
                throw new InvalidOperationException($"Not what was just written: {answer}");
            }
        }
    }

    private static Processors Used(ServerPair servers, ServiceProcess service) => new(
        ProcessTree.ProcessorSeconds(service.Id),
        ProcessTree.ProcessorSeconds(servers.Primary.ProcessId),
        ProcessTree.ProcessorSeconds(servers.Standby.ProcessId),
        ProcessTree.ProcessorSecondsOfTheMachine());
}
