namespace BoutDesk.Api.PrivatePostgres;

/// <summary>
/// The right of one process to a data folder, for as long as it is not disposed. It is held by the operating
/// system on an open file, so it goes with the process, however that ends. The file itself stays: were it
/// deleted, two processes could each hold a lock on a file of that name.
/// </summary>
internal sealed class FolderLock : IDisposable
{
    // Sharing violation as .NET reports it: EWOULDBLOCK on Linux and on macOS, ERROR_SHARING_VIOLATION on Windows.
    private static readonly int[] InUse = [11, 35, unchecked((int)0x80070020)];

    private readonly FileStream file;

    private FolderLock(FileStream file) => this.file = file;

    /// <summary>Takes the folder, without waiting.</summary>
    /// <param name="folder">An existing folder.</param>
    /// <exception cref="PrivateClusterException">Another process holds the folder.</exception>
    /// <exception cref="IOException">The lock file cannot be created.</exception>
    /// <exception cref="UnauthorizedAccessException">The lock file may not be written.</exception>
    public static FolderLock Take(string folder)
    {
        try
        {
            return new FolderLock(new FileStream(Path.Combine(folder, "lock"), FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None));
        }
        catch (IOException e) when (InUse.Contains(e.HResult))
        {
            throw new PrivateClusterException(
                $"Another BoutDesk service is running on the data folder {folder}. Use that one, stop it first, or set another data folder for this one.", e);
        }
    }

    /// <summary>Gives the folder back.</summary>
    public void Dispose() => file.Dispose();
}
