using System.Diagnostics;
using System.Globalization;

namespace BoutDesk.Faults;

/// <summary>
/// A folder for the data, on a disk of its own in memory where this process may mount one, so that it can be filled.
/// Elsewhere a full disk is not tried.
/// </summary>
internal sealed class SmallDisk : IDisposable
{
    private readonly string filler;

    private SmallDisk(string folder, bool canBeFilled)
    {
        (Folder, CanBeFilled) = (folder, canBeFilled);
        filler = Path.Combine(folder, "filler");
        // For root the service runs PostgreSQL as another user, who must be able to enter.
        File.SetUnixFileMode(folder, File.GetUnixFileMode(folder) | UnixFileMode.GroupExecute | UnixFileMode.OtherExecute);
    }

    public string Folder { get; }

    public bool CanBeFilled { get; }

    public static SmallDisk Make(int mebibytes)
    {
        var folder = Directory.CreateTempSubdirectory("boutdesk-faults-").FullName;
        return new SmallDisk(folder, Run("mount", "-t", "tmpfs", "-o", string.Create(CultureInfo.InvariantCulture, $"size={mebibytes}m"), "tmpfs", folder));
    }

    /// <summary>Takes all there is.</summary>
    public void Fill()
    {
        using var file = new FileStream(filler, FileMode.Create, FileAccess.Write, FileShare.None, bufferSize: 0);
        for (var block = 1024 * 1024; block >= 1024; block /= 4)
        {
            try
            {
                for (var zeros = new byte[block]; ;)
                {
                    file.Write(zeros);
                }
            }
            catch (IOException)
            {
                // Full for blocks of this size.
            }
        }
    }

    public void Free() => File.Delete(filler);

    public void Dispose()
    {
        if (CanBeFilled)
        {
            // The last processes of a killed server may hold it a moment longer.
            Run("umount", "--lazy", Folder);
        }

        Directory.Delete(Folder, recursive: true);
    }

    private static bool Run(string program, params string[] arguments)
    {
        using var process = Process.Start(new ProcessStartInfo(program, arguments) { RedirectStandardError = true })!;
        process.StandardError.ReadToEnd();
        process.WaitForExit();
        return process.ExitCode == 0;
    }
}
