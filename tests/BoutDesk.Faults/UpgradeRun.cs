using System.Diagnostics;

namespace BoutDesk.Faults;

/// <summary>
/// Phones post through a balancer to two services, while one after the other is stopped as a deployment does it and one
/// of another version is started in its place; then it is reckoned up.
/// </summary>
internal static class UpgradeRun
{
    /// <summary>Runs it and says how it goes, a line for each exchange.</summary>
    public static async Task<UpgradeReport> RunAsync(UpgradePlan plan, Action<string> say)
    {
        say($"Building the version of {plan.Earlier}, unless it is a folder with a program.");
        await using var earlier = await EarlierVersion.OfAsync(plan.Earlier);
        await using var server = await Cluster.AloneAsync();
        // On data of its own a version has nothing to change.
        var changesAtOnce = plan.Earlier == Service.BuiltIn ? 0 : await StartAtOnceAsync(server, earlier);

        var started = Stopwatch.StartNew();
        await using var pair = await Pair.StartAsync(server, earlier.Program);
        await using var balancer = await Balancer.StartAsync(pair.Services);
        using var desk = pair.Services[0].Desk();
        var stage = await Stage.SetAsync(desk, plan.Phones * plan.PoolsPerPhone);
        say($"Seed {plan.Seed}: {plan.Phones} phones begin on {stage.Pools.Count} pools.");

        using var hall = new Hall(balancer.Address, stage, plan.Phones, plan.Pause, plan.Seed);
        var wrong = new List<string>();
        var exchanges = new List<(Exchange Exchange, long From)>();
        try
        {
            await Task.Delay(plan.Mixed);
            foreach (var toThis in Enumerable.Range(0, plan.Rolls).Select(roll => roll % 2 == 0))
            {
                for (var which = 0; which < pair.Services.Length; which++)
                {
                    var from = Stopwatch.GetTimestamp();
                    var exchange = await ExchangeAsync(server, pair, which, toThis ? null : earlier.Program, hall);
                    exchanges.Add((exchange with { What = $"{(which == 0 ? "the first" : "the second")}, {(toThis ? "this version" : "the earlier one")}" }, from));
                    say($"{started.Elapsed:mm\\:ss} {exchanges[^1].Exchange.What}: stopped in {exchange.Stopped.TotalSeconds:0.0} s, ready in {exchange.Ready.TotalSeconds:0.0} s, followed after {exchange.Followed.TotalSeconds:0.0} s");
                    await Task.Delay(plan.Mixed);
                    wrong.AddRange(await DifferentAsync(pair, stage));
                }
            }

            wrong.AddRange(hall.RanOut());
        }
        catch (InvalidOperationException failure)
        {
            wrong.Add(failure.Message);
        }

        var end = Stopwatch.GetTimestamp();
        // The balancer says 502 for a POST that it sent on a connection which the service was just closing.
        var reckoned = await hall.EndAsync(server.ConnectionString, desk, "502", "503");
        wrong.AddRange(reckoned.Wrong);
        // Whoever comes after the first finds all of it.
        wrong.AddRange(exchanges.Where((one, i) => i > 0 && one.Exchange.Changes > 0).Select(one => $"{one.Exchange.What}: tables were changed again."));
        if (exchanges is [var first, ..] && first.Exchange.Changes != changesAtOnce)
        {
            wrong.Add($"Two services that started at once changed tables {changesAtOnce} times, one by itself {first.Exchange.Changes} times.");
        }

        return new UpgradeReport(
            plan,
            earlier.Name,
            [.. exchanges.Select((one, i) => one.Exchange with { Silence = hall.Acknowledgements.LongestSilence(one.From, i + 1 < exchanges.Count ? exchanges[i + 1].From : end) })],
            changesAtOnce,
            started.Elapsed,
            reckoned,
            hall.Acknowledgements.Repeats,
            hall.Acknowledgements.OtherAnswers,
            wrong,
            pair.Mistakes,
            pair.LastWords);
    }

    private static async Task<Exchange> ExchangeAsync(Cluster server, Pair pair, int which, string? program, Hall hall)
    {
        var before = (await server.ChangesOfTablesAsync()).Count;
        var from = Stopwatch.GetTimestamp();
        await pair.StopAsync(which);
        var stopped = Stopwatch.GetElapsedTime(from);
        var start = Stopwatch.GetTimestamp();
        await pair.StartAsync(which, program);
        var ready = Stopwatch.GetElapsedTime(start);
        await hall.RecoveredAsync(() => pair.LastWords);
        await hall.FollowedAsync((long)await server.ExecuteAsync("select max(seq_id) from boutdesk.mt_events"));
        return new Exchange("", stopped, ready, TimeSpan.Zero, Stopwatch.GetElapsedTime(from), (await server.ChangesOfTablesAsync()).Count - before);
    }

    /// <summary>Starts two services of this version at the same moment on what a service of the earlier one has made; gives how often tables were changed.</summary>
    private static async Task<int> StartAtOnceAsync(Cluster server, EarlierVersion earlier)
    {
        await server.ExecuteAsync("create database at_once");
        var database = server.ConnectionStringOf("at_once");
        await using (await ServiceOnServers.StartAsync(database, program: earlier.Program))
        {
        }

        var before = (await server.ChangesOfTablesAsync()).Count;
        var both = await Task.WhenAll(ServiceOnServers.StartAsync(database), ServiceOnServers.StartAsync(database));
        foreach (var service in both)
        {
            await service.DisposeAsync();
        }

        return (await server.ChangesOfTablesAsync()).Count - before;
    }

    /// <summary>What the two services do not both answer, whichever of the versions they are.</summary>
    private static async Task<IEnumerable<string>> DifferentAsync(Pair pair, Stage stage)
    {
        var wrong = new List<string>();
        var competition = stage.Pools[0].Bouts[0].Id.Split("-d")[0];
        string[] addresses =
        [
            $"/api/tournaments/{stage.TournamentId}", $"/api/competitions/{competition}", $"/api/competitions/{competition}/entrants",
            $"/api/pools/{stage.Pools[0].Id}", $"/api/bouts/{stage.Pools[0].Bouts[0].Id}", $"/api/bouts/{stage.Pools[0].Bouts[0].Id}/history",
            $"/api/tournaments/{stage.TournamentId}/archive", $"/competitions/{competition}/pools/1",
        ];
        foreach (var service in pair.Services)
        {
            using var desk = service.Desk();
            foreach (var address in addresses)
            {
                using var answer = await desk.GetAsync(new Uri(address, UriKind.Relative));
                if (!answer.IsSuccessStatusCode)
                {
                    wrong.Add($"{address} was answered {(int)answer.StatusCode}: {await answer.Content.ReadAsStringAsync()}");
                }
            }
        }

        return wrong;
    }

    /// <summary>Two services behind the balancer, each of which has an address that stays.</summary>
    private sealed class Pair(string connectionString, ServiceOnServers[] services) : IAsyncDisposable
    {
        private string mistakesBefore = "";

        public ServiceOnServers[] Services => services;

        public string Mistakes => mistakesBefore + string.Concat(services.Select(s => s.Mistakes));

        public string LastWords => string.Join("\nand the other:\n", services.Select(s => s.LastWords));

        public static async Task<Pair> StartAsync(Cluster server, string program) => new(
            server.ConnectionString,
            await Task.WhenAll(ServiceOnServers.StartAsync(server.ConnectionString, program: program), ServiceOnServers.StartAsync(server.ConnectionString, program: program)));

        /// <summary>Stops one of them as a system does that shuts down: it finishes what it has.</summary>
        public async Task StopAsync(int which)
        {
            await services[which].DisposeAsync();
            mistakesBefore += services[which].Mistakes;
        }

        /// <summary>Starts a version in the place of the one that was stopped, and waits until it is ready.</summary>
        public async Task StartAsync(int which, string? program) =>
            services[which] = await ServiceOnServers.StartAsync(connectionString, port: services[which].Address.Port, program: program);

        public async ValueTask DisposeAsync()
        {
            foreach (var service in services)
            {
                await service.DisposeAsync();
            }
        }
    }
}
