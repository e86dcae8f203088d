using System.Net;
using System.Net.Sockets;

namespace BoutDesk.Faults;

/// <summary>
/// The hall's Wi-Fi: hands on between phones and service, now and then late, and now and then a connection is cut in
/// the middle of a request or of an answer.
/// </summary>
internal sealed class BadNetwork : IAsyncDisposable
{
    private const double Cut = 0.015;
    private const double Delay = 0.05;

    private readonly TcpListener listener = new(IPAddress.Loopback, 0);
    private readonly CancellationTokenSource disposing = new();
    private readonly int port;
    private readonly Random chance;
    private readonly Task accepting;
    private CancellationTokenSource gone = new();
    private long goneUntil;
    private int cuts;

    /// <param name="port">Where the service listens.</param>
    /// <param name="seed">Starts the chance.</param>
    public BadNetwork(int port, int seed)
    {
        (this.port, chance) = (port, new Random(seed));
        listener.Start(backlog: 512);
        Address = new Uri($"http://127.0.0.1:{((IPEndPoint)listener.LocalEndpoint).Port}");
        accepting = AcceptAsync();
    }

    /// <summary>Where the phones go.</summary>
    public Uri Address { get; }

    /// <summary>Connections cut in the middle.</summary>
    public int Cuts => cuts;

    /// <summary>Cuts every connection, and takes none for a while.</summary>
    public async Task GoAsync(TimeSpan away)
    {
        Interlocked.Exchange(ref goneUntil, Environment.TickCount64 + (long)away.TotalMilliseconds);
        var before = Interlocked.Exchange(ref gone, new CancellationTokenSource());
        await before.CancelAsync();
    }

    public async ValueTask DisposeAsync()
    {
        await disposing.CancelAsync();
        listener.Stop();
        await accepting;
        gone.Dispose();
        disposing.Dispose();
    }

    private async Task AcceptAsync()
    {
        while (true)
        {
            try
            {
                _ = CarryAsync(await listener.AcceptSocketAsync(disposing.Token));
            }
            catch (Exception ended) when (ended is OperationCanceledException or SocketException or ObjectDisposedException)
            {
                return;
            }
        }
    }

    private async Task CarryAsync(Socket phone)
    {
        using var service = new Socket(SocketType.Stream, ProtocolType.Tcp);
        using (phone)
        {
            if (Environment.TickCount64 < Interlocked.Read(ref goneUntil))
            {
                phone.Close(0);
                return;
            }

            using var ended = CancellationTokenSource.CreateLinkedTokenSource(disposing.Token, gone.Token);
            try
            {
                phone.NoDelay = service.NoDelay = true;
                await service.ConnectAsync(IPAddress.Loopback, port, ended.Token);
                await await Task.WhenAny(PumpAsync(phone, service, ended.Token), PumpAsync(service, phone, ended.Token));
            }
            catch (Exception broken) when (broken is OperationCanceledException or SocketException or ObjectDisposedException)
            {
                // The other end notices it, as it would on the air.
            }

            await ended.CancelAsync();
            // Without a farewell.
            phone.Close(0);
            service.Close(0);
        }
    }

    private async Task PumpAsync(Socket from, Socket to, CancellationToken ended)
    {
        var buffer = new byte[16 * 1024];
        int read;
        while ((read = await from.ReceiveAsync(buffer, ended)) > 0)
        {
            var (fate, part) = (Roll(), Roll());
            if (fate < Delay)
            {
                await Task.Delay(TimeSpan.FromMilliseconds(part * 400), ended);
            }
            else if (fate < Delay + Cut)
            {
                Interlocked.Increment(ref cuts);
                await to.SendAsync(buffer.AsMemory(0, (int)(read * part)), ended);
                return;
            }

            await to.SendAsync(buffer.AsMemory(0, read), ended);
        }
    }

    private double Roll()
    {
        lock (chance)
        {
            return chance.NextDouble();
        }
    }
}
