using System.Diagnostics;

namespace BoutDesk.Faults;

/// <summary>
/// Phones post through a balancer to two services, while again and again the primary is killed and the standby promoted;
/// then it is reckoned up.
/// </summary>
internal static class FailoverRun
{
    /// <summary>Runs it and says how it goes, a line for each fail-over.</summary>
    public static async Task<FailoverReport> RunAsync(FailoverPlan plan, Action<string> say)
    {
        var started = Stopwatch.StartNew();
        await using var servers = await ServerPair.StartAsync();
        await using var one = await ServiceOnServers.StartAsync(servers.ConnectionString, readsFromStandbys: true);
        await using var other = await ServiceOnServers.StartAsync(servers.ConnectionString, readsFromStandbys: true);
        await using var balancer = await Balancer.StartAsync([one, other]);
        using var desk = one.Desk();
        var stage = await Stage.SetAsync(desk, plan.Phones * plan.PoolsPerPhone);
        say($"Seed {plan.Seed}: {plan.Phones} phones begin on {stage.Pools.Count} pools.");

        using var hall = new Hall(balancer.Address, stage, plan.Phones, plan.Pause, plan.Seed);
        var wrong = new List<string>();
        var failovers = new List<Failover>();
        var chance = new Random(plan.Seed);
        try
        {
            while (failovers.Count < plan.Failovers)
            {
                await Task.Delay(TimeSpan.FromSeconds(2 + (2 * chance.NextDouble())));
                var killed = Stopwatch.GetTimestamp();
                await servers.FailOverAsync();
                var promoted = Stopwatch.GetElapsedTime(killed);
                await hall.RecoveredAsync(killed, LastWords);
                var acknowledged = Stopwatch.GetElapsedTime(killed);
                await hall.FollowedAsync((long)await servers.Primary.ExecuteAsync("select max(seq_id) from boutdesk.mt_events"));
                failovers.Add(new Failover(promoted, acknowledged, Stopwatch.GetElapsedTime(killed)));
                say($"{started.Elapsed:mm\\:ss} promoted after {promoted.TotalSeconds:0.0} s, acknowledged after {acknowledged.TotalSeconds:0.0} s, followed after {failovers[^1].Followed.TotalSeconds:0.0} s");
                await servers.RebuildAsync();
            }

            await Task.Delay(TimeSpan.FromSeconds(2));
            wrong.AddRange(hall.RanOut());
        }
        catch (InvalidOperationException failure)
        {
            wrong.Add(failure.Message);
        }

        var reckoned = await hall.EndAsync(servers.Primary.ConnectionString, desk, "503");
        wrong.AddRange(reckoned.Wrong);
        return new FailoverReport(
            plan,
            failovers,
            started.Elapsed,
            reckoned,
            hall.Acknowledgements.Repeats,
            hall.Acknowledgements.OtherAnswers,
            wrong,
            one.Mistakes + other.Mistakes,
            LastWords());

        string LastWords() => $"{one.LastWords}\nand the other:\n{other.LastWords}";
    }
}
