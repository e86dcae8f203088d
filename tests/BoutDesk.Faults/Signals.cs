using System.Diagnostics;
using System.Globalization;

namespace BoutDesk.Faults;

/// <summary>Kills processes (SIGKILL).</summary>
internal static class Signals
{
    /// <summary>The processes that a process has started.</summary>
    public static int[] ChildrenOf(int id) =>
        [.. File.ReadAllText($"/proc/{id}/task/{id}/children").Split(' ', StringSplitOptions.RemoveEmptyEntries).Select(child => int.Parse(child, CultureInfo.InvariantCulture))];

    /// <summary>Kills processes; those that have ended meanwhile are passed over.</summary>
    public static void Kill(params ReadOnlySpan<int> ids)
    {
        foreach (var id in ids)
        {
            try
            {
                using var running = Process.GetProcessById(id);
                running.Kill();
            }
            catch (Exception gone) when (gone is ArgumentException or InvalidOperationException)
            {
                // It has ended by itself meanwhile.
            }
        }
    }
}
