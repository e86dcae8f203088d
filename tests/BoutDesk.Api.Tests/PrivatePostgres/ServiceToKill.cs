using BoutDesk.Api.PrivatePostgres;
using Microsoft.Extensions.Logging.Abstractions;

namespace BoutDesk.Api.Tests.PrivatePostgres;

/// <summary>
/// A service with a private cluster, in a process of its own that a test can kill. The argument is the data folder.
/// It writes the server's process number when it is up, and stops in order when its input ends.
/// </summary>
internal static class ServiceToKill
{
    private static async Task Main(string[] arguments)
    {
        await using var cluster = await PrivateCluster.StartAsync(
            new PrivateClusterOptions { DataFolder = arguments[0] }, NullLogger.Instance, CancellationToken.None);
        Console.WriteLine(cluster.ServerProcessId);
        await Console.In.ReadToEndAsync();
    }
}
