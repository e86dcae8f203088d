using System.Diagnostics;
using System.Globalization;
using System.Net.Http.Json;
using System.Text.Json;
using System.Text.Json.Nodes;
using BoutDesk.Benchmarks.Day;
using BoutDesk.Benchmarks.Hall;
using Npgsql;

namespace BoutDesk.Benchmarks.Ratios;

/// <summary>Holds each figure of the service against what the same machine can do at best, in the same run.</summary>
internal static class RatioMeasurement
{
    private const int Seconds = 10;
    private const int Readers = 64;
    private const int Viewers = 1000;
    private const int UnderWay = 40;
    private const int ManyEvents = 1_000_000;

    private const string Writes = "writes", Pace = "pace", Reads = "reads", Memory = "memory", Million = "million";

    private static readonly string[] All = [Writes, Pace, Reads, Memory, Million];

    /// <summary>Runs all, or the parts that are named; 0 when it was carried out, whatever the figures are.</summary>
    public static async Task<int> RunAsync(params string[] named)
    {
        if (!ServiceProcess.IsBuilt)
        {
            await Console.Error.WriteLineAsync($"There is no {ServiceProcess.Program}. Run this with -c Release, which builds it.");
            return 1;
        }

        if (named.Except(All).FirstOrDefault() is { } unknown)
        {
            await Console.Error.WriteLineAsync($"There is no part {unknown}. There are {string.Join(", ", All)}; all are measured when none is named.");
            return 1;
        }

        var parts = named.Length == 0 ? All : named;
        var machine = await Machine.ThisAsync();
        Console.WriteLine($"""

            {machine}

            | figure | BoutDesk | reference | | ratio | to reach | reached |
            | --- | ---: | --- | ---: | ---: | --- | --- |
            """);
        using var folder = new MeasuringFolder("boutdesk-ratios-");
        var store = new MeasuredStore(folder.DataFolder);
        await (await StartAsync(folder)).DisposeAsync();
        var emptyStart = await StartSecondsAsync(folder);
        double fewEvents;
        MeasuredHall hall;
        await using (var service = await StartAsync(folder))
        {
            hall = await MeasuredHall.OpenAsync(service.Client);
            var server = store.Server;
            await using var inserts = await DurableInserts.OpenAsync(folder.DataFolder);
            // First, since the writes leave thousands of bouts under way, which the board all shows; a hall has some dozens.
            if (parts.Contains(Reads))
            {
                await ReadsAsync(service, hall, machine);
            }

            if (parts.Contains(Writes))
            {
                await WritesAsync(service, hall, server, clients: 32, toReach: 0.5, machine);
                await WritesAsync(service, hall, server, clients: 1, toReach: 0.4, machine);
            }

            if (parts.Contains(Pace))
            {
                await PaceAsync(service, hall, inserts, machine);
            }
        }

        if (parts.Contains(Memory))
        {
            // In a service of its own: nobody in a hall asks as fast as the parts before.
            await using var service = await StartAsync(folder);
            var idle = service.MemoryMiB;
            Tell(new Ratio($"memory with {Viewers:#,0} viewers and {MeasuredHall.Entrants} entrants", await MemoryOfViewersAsync(service, hall), idle, "MiB", "the same service when just started", 300 / idle, AtLeast: false), machine);
        }

        if (!parts.Contains(Million))
        {
            return 0;
        }

        await using (var service = await StartAsync(folder))
        {
            fewEvents = await PoolSheetAsync(service, hall);
            await StoreManyAsync(store);
        }

        var fullStart = await StartSecondsAsync(folder);
        await using (var service = await StartAsync(folder))
        {
            await store.FollowedUpAsync();
            Tell(new Ratio("a pool sheet after something happened in the pool, with a million events in the store", await PoolSheetAsync(service, hall), fewEvents, "ms", "the same before them", 1.2, AtLeast: false), machine);
        }

        Tell(new Ratio("start to ready with a million events in the store", fullStart, emptyStart, "s", "with an empty store", 1.5, AtLeast: false), machine);
        return 0;
    }

    private static Task<ServiceProcess> StartAsync(MeasuringFolder folder) => ServiceProcess.StartWithoutLimitsAsync(folder.DataFolder);

    /// <summary>The median of three starts.</summary>
    private static async Task<double> StartSecondsAsync(MeasuringFolder folder)
    {
        var seconds = new List<double>();
        for (var start = 0; start < 3; start++)
        {
            await using var service = await StartAsync(folder);
            seconds.Add(service.SecondsToReady);
        }

        return seconds.Order().ElementAt(1);
    }

    private static async Task WritesAsync(ServiceProcess service, MeasuredHall hall, NpgsqlConnectionStringBuilder server, int clients, double toReach, Machine machine)
    {
        await RateAsync(clients, () => hall.PhoneAsync(service.Address), seconds: 20, expected: 200);
        // The reference before and after, since the machine is not the same from one moment to the next.
        var before = await PgBench.InsertsPerSecondAsync(server, clients, Seconds / 2);
        var rate = await RateAsync(clients, () => hall.PhoneAsync(service.Address), Seconds, expected: 200);
        var after = await PgBench.InsertsPerSecondAsync(server, clients, Seconds / 2);
        var phones = clients == 1 ? "one phone" : $"{clients} phones";
        Tell(new Ratio($"touches a second, {phones}", rate, (before + after) / 2, "", "one-row inserts by pgbench, as many clients", toReach, AtLeast: true), machine);
    }

    /// <summary>Sixty phones at the pace of a hall, and beside them inserts at the same pace.</summary>
    private static async Task PaceAsync(ServiceProcess service, MeasuredHall hall, DurableInserts inserts, Machine machine)
    {
        const int Phones = 60;
        const int PerSecond = 4;
        const int ForSeconds = 60;
        var phones = new List<Func<Task<int>>>();
        for (var phone = 0; phone < Phones; phone++)
        {
            phones.Add(await hall.PhoneAsync(service.Address));
        }

        var (touches, inserted) = (new Times(), new Times());
        await Task.WhenAll(
            BeatAsync(beat => touches.AddAsync(phones[beat % Phones])),
            BeatAsync(_ => inserted.AddAsync(inserts.InsertAsync)));
        Tell(new Ratio($"99 of 100 touches within, {Phones} phones, {PerSecond} a second in all", touches.Within(0.99), inserted.Within(0.99), "ms", "the same insert by Npgsql at the same pace", 4, AtLeast: false), machine);

        static async Task BeatAsync(Func<int, Task> act)
        {
            using var timer = new PeriodicTimer(TimeSpan.FromSeconds(1.0 / PerSecond));
            for (var beat = 0; beat < PerSecond * ForSeconds; beat++)
            {
                await timer.WaitForNextTickAsync();
                await act(beat);
            }
        }
    }

    private static async Task ReadsAsync(ServiceProcess service, MeasuredHall hall, Machine machine)
    {
        var nothing = RawConnection.Request("GET", "/health/live");
        var phone = await hall.PhoneAsync(service.Address);
        for (var touch = 0; touch < UnderWay * MeasuredHall.TouchesOfABout; touch++)
        {
            await phone();
        }

        foreach (var (name, path) in new[]
        {
            ("standings of a pool", $"/api/pools/{hall.PoolId}/standings"),
            ("a tableau of 64", $"/api/competitions/{hall.TableauId}/tableau"),
            ("the board of the tournament", $"/tournaments/{hall.TournamentId}"),
        })
        {
            // As every browser and every phone asks.
            const string Packed = "Accept-Encoding: gzip, br\r\n";
            using var first = await RawConnection.OpenAsync(service.Address);
            if (await first.AskAsync(RawConnection.Request("GET", path, Packed)) is not 200 and var status)
            {
                throw new InvalidOperationException($"{path} was answered {status}.");
            }

            // The board has the day forecast, which takes some seconds of half of the processors and is a figure of its own.
            await service.RestAsync();
            var again = RawConnection.Request("GET", path, $"{Packed}If-None-Match: {first.Header("ETag")}\r\n");
            var reference = await ReadRateAsync(nothing, 200);
            Tell(new Ratio($"{name}, reads a second, {Readers} clients", await ReadRateAsync(RawConnection.Request("GET", path, Packed), 200), reference, "", "an answer without content", 0.5, AtLeast: true), machine);
            Tell(new Ratio("the same with If-None-Match", await ReadRateAsync(again, 304), reference, "", "an answer without content", 0.7, AtLeast: true), machine);
        }

        async Task<double> ReadRateAsync(byte[] request, int expected)
        {
            await RateAsync(Readers, ReaderAsync, 2, expected);
            return await RateAsync(Readers, ReaderAsync, Seconds / 2, expected);

            async Task<Func<Task<int>>> ReaderAsync()
            {
                var connection = await RawConnection.OpenAsync(service.Address);
                return () => connection.AskAsync(request);
            }
        }
    }

    private static async Task<double> MemoryOfViewersAsync(ServiceProcess service, MeasuredHall hall)
    {
        using var handler = new SocketsHttpHandler();
        using var viewing = new HttpClient(handler) { BaseAddress = service.Address, Timeout = Timeout.InfiniteTimeSpan };
        using var stop = new CancellationTokenSource();
        var following = new List<Task>();
        for (var viewer = 0; viewer < Viewers; viewer++)
        {
            var begun = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
            following.Add(new Viewer().FollowAsync(viewing, hall.TournamentId, begun, stop.Token));
            await begun.Task;
        }

        await RateAsync(4, () => hall.PhoneAsync(service.Address), seconds: 5, expected: 200);
        var memory = service.MemoryMiB;
        await stop.CancelAsync();
        await Task.WhenAll(following);
        return memory;
    }

    /// <summary>The median time of a pool sheet after something happened in the pool, in milliseconds, one after the other.</summary>
    private static async Task<double> PoolSheetAsync(ServiceProcess service, MeasuredHall hall)
    {
        using var connection = await RawConnection.OpenAsync(service.Address);
        var request = RawConnection.Request("GET", $"/api/pools/{hall.PoolId}");
        var bout = (await service.Client.GetFromJsonAsync<JsonObject>($"/api/pools/{hall.PoolId}"))!["bouts"]![0]!["id"];
        var times = new Times();
        for (var read = -200; read < 500; read++)
        {
            // So that no answer is kept that could be given again.
            await service.Client.SendAsync(HttpMethod.Post, $"/api/bouts/{bout}/clock", JsonContent.Create(new { action = "set", remainingMs = 100_000 + read }));
            if (read < 0)
            {
                await connection.AskAsync(request);
            }
            else
            {
                await times.AddAsync(() => connection.AskAsync(request));
            }
        }

        return times.Within(0.5);
    }

    /// <summary>Stores a million events more, as many days of tournaments would have left them: bouts of ten events, with their states.</summary>
    private static async Task StoreManyAsync(MeasuredStore store)
    {
        const string Copies = """
            create temporary table copied as
                select id from boutdesk.mt_streams where type = 'bout' and version >= 10 order by id limit 1;
            insert into boutdesk.mt_streams (id, type, version, timestamp, created, tenant_id, is_archived)
                select 'old-' || copy, s.type, 10, s.timestamp, s.created, s.tenant_id, false
                from boutdesk.mt_streams s join copied using (id), generate_series(1, {0}) copy;
            insert into boutdesk.mt_events (seq_id, id, stream_id, version, data, type, timestamp, tenant_id, mt_dotnet_type, user_name, is_archived)
                select nextval('boutdesk.mt_events_sequence'), gen_random_uuid(), 'old-' || copy, e.version, e.data, e.type, e.timestamp, e.tenant_id, e.mt_dotnet_type, e.user_name, false
                from generate_series(1, {0}) copy, boutdesk.mt_events e join copied on e.stream_id = copied.id where e.version <= 10;
            insert into boutdesk.mt_doc_bout
                select (jsonb_populate_record(d, jsonb_build_object('id', 'old-' || copy, 'pool_id', 'old-p' || copy / 20, 'competition_id', 'old-' || copy / 1000, 'data', d.data || jsonb_build_object('id', 'old-' || copy, 'poolId', 'old-p' || copy / 20, 'competitionId', 'old-' || copy / 1000)))).*
                from boutdesk.mt_doc_bout d join copied using (id), generate_series(1, {0}) copy;
            """;
        await store.ExecuteAsync(string.Format(CultureInfo.InvariantCulture, Copies, ManyEvents / 10));
        await store.ExecuteAsync("vacuum analyze");
        await store.FollowedUpAsync();
    }

    /// <summary>How many acts a second so many clients come to, each one after the other.</summary>
    private static async Task<double> RateAsync(int clients, Func<Task<Func<Task<int>>>> client, int seconds, int expected)
    {
        var acts = new List<Func<Task<int>>>();
        for (var i = 0; i < clients; i++)
        {
            acts.Add(await client());
        }

        var watch = Stopwatch.StartNew();
        var until = TimeSpan.FromSeconds(seconds);
        var counts = await Task.WhenAll(acts.Select(act => Task.Run(async () =>
        {
            var count = 0;
            for (; watch.Elapsed < until; count++)
            {
                if (await act() is var status && status != expected)
                {
                    throw new InvalidOperationException($"A request of the measurement was answered {status}, not {expected}.");
                }
            }

            return count;
        })));
        return counts.Sum() / watch.Elapsed.TotalSeconds;
    }

    private static void Tell(Ratio ratio, Machine machine)
    {
        Console.WriteLine(ratio.Row);
        Console.Error.WriteLine(JsonSerializer.Serialize(new { ratio.Name, ratio.Figure, ratio.Reference, ratio.Unit, ratio.ReferenceName, ratio = ratio.Value, ratio.ToReach, ratio.Reached, machine }, JsonSerializerOptions.Web));
    }
}
