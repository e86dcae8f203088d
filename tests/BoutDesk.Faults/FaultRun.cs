using System.Diagnostics;

namespace BoutDesk.Faults;

/// <summary>Phones post over a bad network while one thing after another fails; then it is reckoned up.</summary>
internal static class FaultRun
{
    // Ahead of the real time, one after the other. The first is far enough for what is kept for a month; then back and on.
    private static readonly TimeSpan[] Jumps =
        [TimeSpan.FromDays(40), TimeSpan.FromDays(40) - TimeSpan.FromHours(1), TimeSpan.FromDays(400), TimeSpan.Zero, TimeSpan.FromHours(1), TimeSpan.FromMinutes(-2)];

    /// <summary>Runs it and says how it goes, a line for each fault.</summary>
    public static async Task<FaultReport> RunAsync(FaultPlan plan, Action<string> say)
    {
        var started = Stopwatch.StartNew();
        using var disk = SmallDisk.Make(plan.DiskMiB);
        using var clock = new MovableClock();
        var port = FreePort.Find();
        await using var service = new ServiceUnderFire(disk, clock, port);
        await service.StartAsync(untilReady: true);
        using var desk = service.Desk();
        var stage = await Stage.SetAsync(desk, plan.Phones * plan.PoolsPerPhone);
        say($"Seed {plan.Seed}: {plan.Phones} phones begin on {stage.Pools.Count} pools.");

        await using var network = new BadNetwork(port, plan.Seed);
        using var hall = new Hall(network.Address, stage, plan.Phones, plan.Pause, plan.Seed);
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
                await hall.RecoveredAsync(() => service.LastWords);
                await hall.FollowedAsync(wasted);
                say($"{started.Elapsed:mm\\:ss} {fault}: back after {Stopwatch.GetElapsedTime(at[^1].From).TotalSeconds:0.0} s");
            }

            await Task.Delay(TimeSpan.FromSeconds(2));
            wrong.AddRange(hall.RanOut());
        }
        catch (InvalidOperationException failure)
        {
            wrong.Add(failure.Message);
        }

        var end = Stopwatch.GetTimestamp();
        var reckoned = await hall.EndAsync(service.ConnectionString(), desk, "503");
        wrong.AddRange(reckoned.Wrong);
        return new FaultReport(
            plan,
            NotTried(disk, clock),
            [.. at.Select((one, i) => new Suffered(one.Fault, hall.Acknowledgements.LongestSilence(one.From, i + 1 < at.Count ? at[i + 1].From : end)))],
            started.Elapsed,
            reckoned.Actions,
            hall.Acknowledgements.Repeats,
            network.Cuts,
            reckoned.Results,
            reckoned.Standings,
            hall.Acknowledgements.OtherAnswers,
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
}
