using System.Globalization;

namespace BoutDesk.Benchmarks.Halls;

/// <summary>What a process and its children have used, as Linux counts it in /proc.</summary>
internal static class ProcessTree
{
    // USER_HZ, which is 100 on every machine that .NET runs on.
    private const double TicksOfASecond = 100;

    /// <summary>Processor seconds of the process, of its children that run and of those that have ended.</summary>
    public static double ProcessorSeconds(int id) =>
        (Stat(id) is { } own ? own.Own + own.OfEnded : 0) + Children(id).Sum(child => Stat(child)?.Own ?? 0);

    /// <summary>Memory of the process and its children in MiB; what several of them share is counted once.</summary>
    public static double MemoryMiB(int id) => Children(id).Append(id).Sum(ProportionalKiB) / 1024;

    /// <summary>Processor seconds that all processes of this machine have used.</summary>
    public static double ProcessorSecondsOfTheMachine()
    {
        // cpu user nice system idle iowait irq softirq steal ...; user holds that of guests.
        var ticks = File.ReadLines("/proc/stat").First().Split(' ', StringSplitOptions.RemoveEmptyEntries).Skip(1).Take(7).Select(Number).ToArray();
        return (ticks.Sum() - ticks[3] - ticks[4]) / TicksOfASecond;
    }

    private static List<int> Children(int id) => [.. Directory.EnumerateDirectories("/proc")
        .Select(folder => int.TryParse(Path.GetFileName(folder), NumberStyles.None, CultureInfo.InvariantCulture, out var process) ? process : 0)
        .Where(process => process > 0 && Stat(process)?.Parent == id)];

    private static (int Parent, double Own, double OfEnded)? Stat(int id)
    {
        try
        {
            // The name, in brackets, can hold spaces; after it come state, parent, ... and as 12th to 15th user and system
            // time of its own and of its children that have ended.
            var text = File.ReadAllText($"/proc/{id}/stat");
            var fields = text[(text.LastIndexOf(')') + 2)..].Split(' ');
            return ((int)Number(fields[1]), (Number(fields[11]) + Number(fields[12])) / TicksOfASecond, (Number(fields[13]) + Number(fields[14])) / TicksOfASecond);
        }
        catch (IOException)
        {
            return null; // It has ended.
        }
    }

    private static double ProportionalKiB(int id)
    {
        try
        {
            var line = File.ReadLines($"/proc/{id}/smaps_rollup").First(line => line.StartsWith("Pss:", StringComparison.Ordinal));
            return Number(line.Split(' ', StringSplitOptions.RemoveEmptyEntries)[1]);
        }
        catch (IOException)
        {
            return 0;
        }
    }

    private static double Number(string digits) => double.Parse(digits, CultureInfo.InvariantCulture);
}
