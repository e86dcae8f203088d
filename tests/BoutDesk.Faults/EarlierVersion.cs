using System.Diagnostics;
using System.Reflection;

namespace BoutDesk.Faults;

/// <summary>The program of an earlier version: in a folder that somebody has, or built from the repository's history.</summary>
internal sealed class EarlierVersion : IAsyncDisposable
{
    /// <summary>
    /// The first version of which several can work on one database. An older one takes itself for the only service, so no
    /// other may work beside it.
    /// </summary>
    public const string Oldest = "327ccd5";

    private static readonly string Repository = Path.GetFullPath(Path.Combine(AppContext.BaseDirectory, "../../../../.."));

    private readonly string? tree;

    private EarlierVersion(string name, string program, string? tree) => (Name, Program, this.tree) = (name, program, tree);

    /// <summary>What it is called in the report.</summary>
    public string Name { get; }

    /// <summary>The file that <c>dotnet exec</c> takes.</summary>
    public string Program { get; }

    /// <summary>Finds the program in a folder, or builds the version of a commit.</summary>
    /// <param name="source">A folder with the program, or a commit.</param>
    /// <exception cref="InvalidOperationException">It is neither, or cannot be built.</exception>
    public static async Task<EarlierVersion> OfAsync(string source)
    {
        if (File.Exists(Path.Combine(source, "BoutDesk.Api.dll")))
        {
            return new EarlierVersion(source, Path.GetFullPath(Path.Combine(source, "BoutDesk.Api.dll")), tree: null);
        }

        var tree = Path.Combine(Directory.CreateTempSubdirectory("boutdesk-earlier-").FullName, "tree");
        await RunAsync("git", Repository, "worktree", "add", "--detach", tree, source);
        var configuration = typeof(EarlierVersion).Assembly.GetCustomAttribute<AssemblyConfigurationAttribute>()!.Configuration;
        var version = new EarlierVersion($"commit {source}", Path.Combine(tree, $"src/BoutDesk.Api/bin/{configuration}/net10.0/BoutDesk.Api.dll"), tree);
        try
        {
            await RunAsync("dotnet", tree, "build", "src/BoutDesk.Api", "--configuration", configuration);
            return version;
        }
        catch
        {
            await version.DisposeAsync();
            throw;
        }
    }

    public async ValueTask DisposeAsync()
    {
        if (tree is not null)
        {
            await RunAsync("git", Repository, "worktree", "remove", "--force", tree);
            Directory.Delete(Path.GetDirectoryName(tree)!, recursive: true);
        }
    }

    private static async Task RunAsync(string program, string folder, params string[] arguments)
    {
        using var process = Process.Start(new ProcessStartInfo(program, arguments) { WorkingDirectory = folder, RedirectStandardOutput = true, RedirectStandardError = true })!;
        var said = process.StandardOutput.ReadToEndAsync();
        var complained = process.StandardError.ReadToEndAsync();
        await process.WaitForExitAsync();
        if (process.ExitCode != 0)
        {
            throw new InvalidOperationException($"{program} {string.Join(' ', arguments)} failed:\n{await said}{await complained}");
        }
    }
}
