using System.Diagnostics;
using System.Net;
using System.Net.Sockets;

namespace BoutDesk.Faults;

/// <summary>Phones post over a bad network while one thing after another fails; then it is reckoned up.</summary>
internal static class FaultRun
{
    private const int Followers = 3;
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(2);

    // Ahead of the real time, one after the other. The first is far enough for what is kept for a month; then back and on.
    private static readonly TimeSpan[] Jumps =
        [TimeSpan.FromDays(40), TimeSpan.FromDays(40) - TimeSpan.FromHours(1), TimeSpan.FromDays(400), TimeSpan.Zero, TimeSpan.FromHours(1), TimeSpan.FromMinutes(-2)];

    /// <summary>Runs it and says how it goes, a line for each fault.</summary>
    public static async Task<FaultReport> RunAsync(FaultPlan plan, Action<string> say)
    {
        var started = Stopwatch.StartNew();
        using var disk = SmallDisk.Make(plan.DiskMiB);
        using var clock = new MovableClock();
        var port = FreePort();
        await using var service = new ServiceUnderFire(disk, clock, port);
        await service.StartAsync(untilReady: true);
        using var desk = service.Desk();
        var stage = await Stage.SetAsync(desk, plan.Phones * plan.PoolsPerPhone);
        say($"Seed {plan.Seed}: {plan.Phones} phones begin on {stage.Pools.Count} pools.");

        await using var network = new BadNetwork(port, plan.Seed);
        var acknowledgements = new Acknowledgements();
        var phones = Enumerable.Range(0, plan.Phones).Select(i => new Phone(
            network.Address, [.. stage.Pools.Where((_, pool) => pool % plan.Phones == i)], new Random(plan.Seed + i), plan.Pause, acknowledgements)).ToArray();
        var followers = Enumerable.Range(0, Followers).Select(_ => new Follower(network.Address, stage.TournamentId)).ToArray();
        using var enough = new CancellationTokenSource();
        using var told = new CancellationTokenSource();
        var following = followers.Select(f => f.FollowAsync(told.Token)).ToArray();
        var scoring = phones.Select(p => p.ScoreAsync(enough.Token)).ToArray();

        var wrong = new List<string>();
        var faults = plan.Order().Where(f => (f != Fault.DiskFull || disk.CanBeFilled) && (f != Fault.ClockJumped || clock.CanBeMoved)).ToArray();
        var at = new List<(Fault Fault, long From)>();
        try
        {
            var chance = new Random(plan.Seed);
            var jumps = new Queue<TimeSpan>(Enumerable.Repeat(Jumps, 1 + (faults.Length / Jumps.Length)).SelectMany(jump => jump));
            foreach (var fault in faults)
            {
                await Task.Delay(TimeSpan.FromSeconds(0.5 + (2 * chance.NextDouble())));
                at.Add((fault, Stopwatch.GetTimestamp()));
                var wasted = await SufferAsync(fault, service, network, disk, clock, jumps);
                await RecoveredAsync(acknowledgements, scoring, service);
                await FollowedAsync(followers, wasted);
                say($"{started.Elapsed:mm\\:ss} {fault}: back after {Stopwatch.GetElapsedTime(at[^1].From).TotalSeconds:0.0} s");
            }

            await Task.Delay(TimeSpan.FromSeconds(2));
            wrong.AddRange(scoring.Where(s => s.IsCompletedSuccessfully).Select(_ => "A phone ran out of bouts before the faults were over."));
        }
        catch (InvalidOperationException failure)
        {
            wrong.Add(failure.Message);
        }

        var end = Stopwatch.GetTimestamp();
        await enough.CancelAsync();
        await Task.WhenAny(Task.WhenAll(scoring), Task.Delay(Patience));
        foreach (var one in scoring)
        {
            if (!one.IsCompletedSuccessfully)
            {
                wrong.Add(one.Exception?.InnerException?.Message ?? "A phone did not come to its end.");
            }
        }

        var done = phones.SelectMany(p => p.Done).ToDictionary();
        var actions = done.Values.Sum(d => d.Count);
        for (var waited = Stopwatch.StartNew(); waited.Elapsed < TimeSpan.FromMinutes(1) && followers.Any(f => Count(f) < actions);)
        {
            await Task.Delay(50);
        }

        await told.CancelAsync();
        await Task.WhenAll(following);
        var (found, standings) = await Reckoning.ReckonAsync(service, stage, done, followers);
        wrong.AddRange(found);
        wrong.AddRange(acknowledgements.OtherAnswers.Where(a => a.Key != "503").Select(a => $"{a.Value} answers {a.Key}"));
        foreach (var phone in phones)
        {
            phone.Dispose();
        }

        return new FaultReport(
            plan,
            NotTried(disk, clock),
            [.. at.Select((one, i) => new Suffered(one.Fault, acknowledgements.LongestSilence(one.From, i + 1 < at.Count ? at[i + 1].From : end)))],
            started.Elapsed,
            actions,
            acknowledgements.Repeats,
            network.Cuts,
            done.Values.Sum(d => d.Count(h => h.What == "result-recorded")),
            standings,
            acknowledgements.OtherAnswers,
            wrong,
            service.Mistakes,
            service.LastWords);
    }

    /// <summary>Lets something fail; gives the number of the events' sequence that was wasted with it, or 0.</summary>
    private static async Task<long> SufferAsync(Fault fault, ServiceUnderFire service, BadNetwork network, SmallDisk disk, MovableClock clock, Queue<TimeSpan> jumps)
    {
        switch (fault)
        {
            case Fault.ServiceKilled:
                await service.KillServiceAsync();
                await service.StartAsync(untilReady: false);
                break;
            case Fault.PostgresKilled:
                service.KillPostgres();
                break;
            case Fault.PowerLost:
                await service.LosePowerAsync();
                await service.StartAsync(untilReady: false);
                break;
            case Fault.StoreConnectionsCut:
                await service.CutStoreConnectionsAsync();
                break;
            case Fault.NetworkGone:
                await network.GoAsync(TimeSpan.FromSeconds(2));
                break;
            case Fault.ClockJumped:
                // The feed waits for a missing number by the clock, so that is when a jump can do it harm.
                var wasted = await service.WasteNumberAsync();
                clock.Move(jumps.Dequeue());
                await Task.Delay(TimeSpan.FromSeconds(1.5));
                return wasted;
            case Fault.DiskFull:
                disk.Fill();
                await Task.Delay(TimeSpan.FromSeconds(4));
                disk.Free();
                break;
        }

        return 0;
    }

    /// <summary>Waits until the followers have been told of what came after that number.</summary>
    private static async Task FollowedAsync(Follower[] followers, long number)
    {
        for (var waited = Stopwatch.StartNew(); followers.Any(f => f.Last < number); await Task.Delay(50))
        {
            if (waited.Elapsed > Patience)
            {
                throw new InvalidOperationException($"A follower was told of nothing after number {number} for {Patience.TotalMinutes} minutes.");
            }
        }
    }

    /// <summary>Waits until something is acknowledged that was sent after the fault.</summary>
    private static async Task RecoveredAsync(Acknowledgements acknowledgements, Task<bool>[] scoring, ServiceUnderFire service)
    {
        var over = Stopwatch.GetTimestamp();
        while (acknowledgements.LastSent <= over)
        {
            if (Array.Find(scoring, s => s.IsFaulted) is { } refused)
            {
                throw new InvalidOperationException(refused.Exception!.InnerException!.Message);
            }

            if (Stopwatch.GetElapsedTime(over) > Patience)
            {
                throw new InvalidOperationException($"Nothing was acknowledged for {Patience.TotalMinutes} minutes. The service said last:\n{service.LastWords}");
            }

            await Task.Delay(10);
        }
    }

    private static List<string> NotTried(SmallDisk disk, MovableClock clock)
    {
        var notTried = new List<string>();
        if (!disk.CanBeFilled)
        {
            notTried.Add("Not tried: a full disk. It needs the right to mount one.");
        }

        if (!clock.CanBeMoved)
        {
            notTried.Add("Not tried: jumps of the clock. They need libfaketime (Debian: faketime).");
        }

        return notTried;
    }

    private static int Count(Follower follower) => follower.Told.Values.Sum(told => told.Count(what => what != "bout-programmed"));

    private static int FreePort()
    {
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        return ((IPEndPoint)listener.LocalEndpoint).Port;
    }
}
