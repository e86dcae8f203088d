using System.Globalization;
using System.Runtime.Versioning;

// Signals, mounts and the clock are those of Unix.
[assembly: UnsupportedOSPlatform("windows")]

namespace BoutDesk.Faults;

/// <summary>The long form: <c>dotnet run -c Release --project tests/BoutDesk.Faults [-- long|short [seed]]</c>.</summary>
internal static class Program
{
    private static async Task<int> Main(string[] arguments)
    {
        var seed = arguments.Length > 1 ? int.Parse(arguments[1], CultureInfo.InvariantCulture) : Random.Shared.Next();
        if (arguments.FirstOrDefault("long") is not ("long" or "short") || arguments.Length > 2)
        {
            await Console.Error.WriteLineAsync("Say long or short, and if a run is to be repeated its seed.");
            return 2;
        }

        var plan = arguments.FirstOrDefault() == "short" ? FaultPlan.Short(seed) : FaultPlan.Long(seed);
        var report = await FaultRun.RunAsync(plan, Console.WriteLine);
        Console.WriteLine(report);
        return report.Wrong.Count == 0 ? 0 : 1;
    }
}
