using System.Diagnostics;

namespace BoutDesk.Faults;

/// <summary>Runs programs that refuse to be root, or better are not: for root as another user of the machine.</summary>
internal static class OrdinaryUser
{
    private static readonly string[] Candidates = ["postgres", "nobody"];

    // Name, password, number and group of a line of passwd(5).
    private static readonly string[]? Other = Environment.IsPrivilegedProcess
        ? File.ReadLines("/etc/passwd").Select(line => line.Split(':')).Where(user => Candidates.Contains(user[0])).MinBy(user => Array.IndexOf(Candidates, user[0]))
        : null;

    /// <summary>Makes a folder that this user owns.</summary>
    public static async Task<string> MakeFolderAsync(string prefix)
    {
        var folder = Directory.CreateTempSubdirectory(prefix).FullName;
        if (Other is not null)
        {
            using var own = Process.Start("chown", [$"{Other[2]}:{Other[3]}", folder]);
            await own.WaitForExitAsync();
        }

        return folder;
    }

    /// <summary>Starts a program that goes on.</summary>
    /// <param name="program">The program.</param>
    /// <param name="folder">The folder it works in.</param>
    /// <param name="arguments">Its arguments.</param>
    public static Process Start(string program, string folder, params string[] arguments) => Process.Start(Of(program, folder, arguments))!;

    /// <summary>Runs a program to its end.</summary>
    /// <param name="program">The program.</param>
    /// <param name="folder">The folder it works in.</param>
    /// <param name="arguments">Its arguments.</param>
    /// <exception cref="InvalidOperationException">It failed; the message is what it said.</exception>
    public static async Task RunAsync(string program, string folder, params string[] arguments)
    {
        var start = Of(program, folder, arguments);
        // Not its output: a server that it leaves running holds that open.
        start.RedirectStandardError = true;
        using var process = Process.Start(start)!;
        var said = process.StandardError.ReadToEndAsync();
        await process.WaitForExitAsync();
        if (process.ExitCode != 0)
        {
            throw new InvalidOperationException($"{program} failed: {await said}");
        }
    }

    private static ProcessStartInfo Of(string program, string folder, string[] arguments) => new(
        Other is null ? program : "setpriv",
        Other is null ? arguments : [$"--reuid={Other[2]}", $"--regid={Other[3]}", "--clear-groups", program, .. arguments])
    {
        WorkingDirectory = folder,
        RedirectStandardOutput = true,
    };
}
