using System.Diagnostics;

namespace BoutDesk.Api.PrivatePostgres;

/// <summary>What a program that has ended left behind.</summary>
/// <param name="ExitCode">0 when it did its work.</param>
/// <param name="Output">Its standard output followed by its standard error.</param>
internal sealed record CommandResult(int ExitCode, string Output);

/// <summary>Runs one program to its end.</summary>
internal static class Command
{
    /// <summary>Runs a program and waits until it has ended; when cancelled, the program is killed.</summary>
    /// <param name="program">A path, or a name found on the PATH.</param>
    /// <param name="arguments">The arguments, passed on as they are.</param>
    /// <param name="workFolder">The folder it runs in; it must be one that the user of the program may enter.</param>
    /// <param name="cancellation">Ends the wait and the program.</param>
    /// <exception cref="System.ComponentModel.Win32Exception">There is no such program, or it may not be run.</exception>
    public static async Task<CommandResult> RunAsync(
        string program, IEnumerable<string> arguments, string workFolder, CancellationToken cancellation)
    {
        var start = new ProcessStartInfo(program, arguments)
        {
            WorkingDirectory = workFolder,
            RedirectStandardInput = true,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            CreateNoWindow = true,
        };
        start.Environment["LC_ALL"] = "C"; // Messages in one language, since some are looked for.
        using var process = Process.Start(start)!;
        process.StandardInput.Close();
        var output = process.StandardOutput.ReadToEndAsync(CancellationToken.None);
        var error = process.StandardError.ReadToEndAsync(CancellationToken.None);
        try
        {
            await process.WaitForExitAsync(cancellation);
        }
        catch (OperationCanceledException)
        {
            process.Kill(entireProcessTree: true);
            throw;
        }
        // A server that the program left running may hold the pipes open (it does on Windows): no end of file then.
        await Task.WhenAny(Task.WhenAll(output, error), Task.Delay(TimeSpan.FromSeconds(1), CancellationToken.None));
        static string Said(Task<string> text) => text.IsCompletedSuccessfully ? text.Result : "";
        return new CommandResult(process.ExitCode, Said(output) + Said(error));
    }
}
