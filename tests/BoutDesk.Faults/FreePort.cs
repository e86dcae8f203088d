using System.Net;
using System.Net.Sockets;

namespace BoutDesk.Faults;

internal static class FreePort
{
    /// <summary>A port of this machine on which nobody listens.</summary>
    public static int Find()
    {
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        return ((IPEndPoint)listener.LocalEndpoint).Port;
    }
}
