using System.Runtime.InteropServices;

namespace BoutDesk.Benchmarks.Day;

/// <summary>What the figures were measured on; a figure without it says little.</summary>
/// <param name="Cores">Logical processors.</param>
/// <param name="Processor">Its model.</param>
/// <param name="MemoryGiB">Memory, rounded to whole GiB.</param>
/// <param name="OperatingSystem">Name and version.</param>
/// <param name="DotNet">The version of .NET.</param>
/// <param name="LoadBefore">The load averages over 1, 5 and 15 minutes before the measurement, where the system tells: well under the number of cores, or the figures are those of a busy machine.</param>
internal sealed record Machine(int Cores, string Processor, long MemoryGiB, string OperatingSystem, string DotNet, string LoadBefore)
{
    /// <summary>Describes this machine, as well as the system lets a program know it.</summary>
    public static async Task<Machine> ThisAsync() => new(
        Environment.ProcessorCount,
        await ValueAsync("/proc/cpuinfo", "model name", ':') ?? RuntimeInformation.ProcessArchitecture.ToString(),
        (long)Math.Round(GC.GetGCMemoryInfo().TotalAvailableMemoryBytes / (1024.0 * 1024 * 1024)),
        await ValueAsync("/etc/os-release", "PRETTY_NAME", '=') ?? RuntimeInformation.OSDescription,
        RuntimeInformation.FrameworkDescription,
        File.Exists("/proc/loadavg") ? string.Join(' ', (await File.ReadAllTextAsync("/proc/loadavg")).Split(' ').Take(3)) : "not known");

    /// <summary>In words, as it stands above a table of figures.</summary>
    public override string ToString() =>
        $"{Cores} cores of {Processor}, {MemoryGiB} GiB, {OperatingSystem}, {DotNet}; load average before: {LoadBefore}";

    private static async Task<string?> ValueAsync(string file, string name, char separator)
    {
        if (!File.Exists(file))
        {
            return null;
        }

        var line = (await File.ReadAllLinesAsync(file)).FirstOrDefault(line => line.StartsWith(name, StringComparison.Ordinal));
        return line?[(line.IndexOf(separator, StringComparison.Ordinal) + 1)..].Trim().Trim('"');
    }
}
