namespace BoutDesk.Api.PrivatePostgres;

/// <summary>
/// The user that PostgreSQL runs as. It refuses to run as root, so for a service of root this is another user
/// of the machine; every other service runs it as itself.
/// </summary>
/// <param name="Name">The other user's name; null for the user of this process.</param>
/// <param name="Group">The number of that user's group.</param>
internal sealed record ServerUser(string? Name, string? Group)
{
    private static readonly string[] Candidates = ["postgres", "nobody"];

    /// <summary>The user for this process: as root, "postgres" if the machine has one, else "nobody".</summary>
    /// <exception cref="PrivateClusterException">The process is root and the machine has neither.</exception>
    public static ServerUser ForThisProcess()
    {
        if (OperatingSystem.IsWindows() || !Environment.IsPrivilegedProcess)
        {
            return new ServerUser(null, null);
        }
        // Lines of passwd(5): name, password, user number, group number, ...
        var users = File.ReadLines("/etc/passwd").Select(line => line.Split(':')).Where(fields => fields.Length > 3).ToList();
        return Candidates
            .Select(name => users.Find(fields => fields[0] == name))
            .Where(fields => fields is not null)
            .Select(fields => new ServerUser(fields![0], fields[3]))
            .FirstOrDefault()
            ?? throw new PrivateClusterException(
                "PostgreSQL does not run as root, and this machine has no user postgres or nobody to run it as. Start the service as an ordinary user.");
    }

    /// <summary>Runs a program as this user; see <see cref="Command.RunAsync"/>.</summary>
    /// <exception cref="PrivateClusterException">The program that changes the user is not installed.</exception>
    public async Task<CommandResult> RunAsync(string program, IEnumerable<string> arguments, string workFolder, CancellationToken cancellation)
    {
        if (Name is null)
        {
            return await Command.RunAsync(program, arguments, workFolder, cancellation);
        }
        try
        {
            return await Command.RunAsync(
                "setpriv", [$"--reuid={Name}", $"--regid={Group}", "--clear-groups", program, .. arguments], workFolder, cancellation);
        }
        catch (System.ComponentModel.Win32Exception e)
        {
            throw new PrivateClusterException(
                "PostgreSQL does not run as root, and setpriv, which would run it as another user, is missing. " +
                "Start the service as an ordinary user, or install util-linux.", e);
        }
    }

    /// <summary>Makes this user the owner of files and folders, with all that is in them. Nothing to do unless root.</summary>
    public async Task OwnAsync(string workFolder, CancellationToken cancellation, params string[] paths)
    {
        if (Name is not null)
        {
            var result = await Command.RunAsync("chown", ["-R", "-h", $"{Name}:{Group}", .. paths], workFolder, cancellation);
            if (result.ExitCode != 0)
            {
                throw PrivateClusterException.Because($"The data could not be given to the user {Name}", result.Output, workFolder);
            }
        }
    }

    /// <summary>Checks that this user can enter a folder, which takes the right to enter every folder above it.</summary>
    /// <param name="folder">A full path; what does not exist yet is passed over.</param>
    /// <exception cref="PrivateClusterException">A folder on the way is closed to others.</exception>
    public void CheckCanEnter(string folder)
    {
        for (var step = new DirectoryInfo(folder); Name is not null && step is not null; step = step.Parent)
        {
            if (step.Exists && !step.UnixFileMode.HasFlag(UnixFileMode.OtherExecute))
            {
                throw new PrivateClusterException(
                    $"The user {Name}, as whom PostgreSQL runs for root, cannot enter {step.FullName}. " +
                    $"Set a data folder that others can enter, such as /var/lib/boutdesk, or start the service as an ordinary user.");
            }
        }
    }
}
