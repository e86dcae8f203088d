namespace BoutDesk.Benchmarks.Day;

/// <summary>A folder for the data of a measured service, deleted at the end.</summary>
internal sealed class MeasuringFolder : IDisposable
{
    private readonly string folder;

    public MeasuringFolder(string prefix)
    {
        folder = Directory.CreateTempSubdirectory(prefix).FullName;
        if (!OperatingSystem.IsWindows())
        {
            // For root the service runs PostgreSQL as another user, who must be able to enter.
            File.SetUnixFileMode(folder, File.GetUnixFileMode(folder) | UnixFileMode.GroupExecute | UnixFileMode.OtherExecute);
        }
    }

    /// <summary>Where the service keeps its data; the service makes it.</summary>
    public string DataFolder => Path.Combine(folder, "data");

    public void Dispose() => Directory.Delete(folder, recursive: true);
}
