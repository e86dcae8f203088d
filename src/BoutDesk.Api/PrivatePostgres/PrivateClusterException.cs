namespace BoutDesk.Api.PrivatePostgres;

/// <summary>The private PostgreSQL cannot be had. The message is for the person at the desk: what is wrong and what to do next.</summary>
internal sealed class PrivateClusterException : Exception
{
    /// <summary>Creates the exception with a message that says what is wrong and what to do next.</summary>
    public PrivateClusterException(string message, Exception? cause = null)
        : base(message, cause)
    {
    }

    /// <summary>An operation failed with the given output; the output decides which next step is proposed.</summary>
    /// <param name="operation">What failed, a sentence without its full stop.</param>
    /// <param name="output">What the failed program or call said.</param>
    /// <param name="dataFolder">The data folder, which the proposed step names.</param>
    /// <param name="cause">The exception behind it, if any.</param>
    public static PrivateClusterException Because(string operation, string output, string dataFolder, Exception? cause = null)
    {
        bool Said(string words) => output.Contains(words, StringComparison.OrdinalIgnoreCase);
        var next =
            Said("no space left") || Said("not enough space") || Said("disk full")
                ? $"The disk is full: free some space on the disk of {dataFolder}, then start again."
            : Said("permission denied") || Said("is denied") || Said("read-only file system")
                ? $"Give this user the right to write in {dataFolder}, or set another data folder."
            : Said("address already in use") || Said("could not create any TCP/IP sockets")
                ? "Another program has taken the database's port: stop that program, or start again to have another port chosen."
            : $"Look into {Path.Combine(dataFolder, "log")}, or use a PostgreSQL server of your own: set ConnectionStrings:BoutDesk.";
        return new PrivateClusterException($"{operation}. {next}{Environment.NewLine}{output.Trim()}", cause);
    }
}
