using System.Globalization;
using System.Runtime.Versioning;

// Signals, mounts and the clock are those of Unix.
[assembly: UnsupportedOSPlatform("windows")]

namespace BoutDesk.Faults;

/// <summary>The long form: <c>dotnet run -c Release --project tests/BoutDesk.Faults [-- long|short|failover [seed]]</c>, and <c>-- upgrade [commit or folder [seed]]</c>.</summary>
internal static class Program
{
    private static async Task<int> Main(string[] arguments)
    {
        if (arguments is ["upgrade", .. { Length: <= 2 } upgrade])
        {
            var chosen = upgrade.Length > 1 ? int.Parse(upgrade[1], CultureInfo.InvariantCulture) : Random.Shared.Next();
            var upgrades = await UpgradeRun.RunAsync(UpgradePlan.Long(upgrade.FirstOrDefault(EarlierVersion.Oldest), chosen), Console.WriteLine);
            Console.WriteLine(upgrades);
            return upgrades.Wrong.Count == 0 ? 0 : 1;
        }

        var seed = arguments.Length > 1 ? int.Parse(arguments[1], CultureInfo.InvariantCulture) : Random.Shared.Next();
        if (arguments.FirstOrDefault("long") is not ("long" or "short" or "failover") || arguments.Length > 2)
        {
            await Console.Error.WriteLineAsync("Say long, short or failover, and if a run is to be repeated its seed; or upgrade, from which commit or folder, and a seed.");
            return 2;
        }

        if (arguments.FirstOrDefault() == "failover")
        {
            var failovers = await FailoverRun.RunAsync(FailoverPlan.Long(seed), Console.WriteLine);
            Console.WriteLine(failovers);
            return failovers.Wrong.Count == 0 ? 0 : 1;
        }

        var plan = arguments.FirstOrDefault() == "short" ? FaultPlan.Short(seed) : FaultPlan.Long(seed);
        var report = await FaultRun.RunAsync(plan, Console.WriteLine);
        Console.WriteLine(report);
        return report.Wrong.Count == 0 ? 0 : 1;
    }
}
