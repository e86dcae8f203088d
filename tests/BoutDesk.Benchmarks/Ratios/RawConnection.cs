using System.Net;
using System.Net.Sockets;
using System.Text;

namespace BoutDesk.Benchmarks.Ratios;

/// <summary>
/// A client that costs next to nothing, since it shares the processors with what it measures: it sends bytes made
/// before, and reads the answer to its end without looking into it.
/// </summary>
internal sealed class RawConnection : IDisposable
{
    private static readonly byte[] EndOfHead = "\r\n\r\n"u8.ToArray();
    private static readonly byte[] EndOfChunks = "\r\n0\r\n\r\n"u8.ToArray();

    private readonly Socket socket = new(SocketType.Stream, ProtocolType.Tcp) { NoDelay = true };
    private byte[] buffer = new byte[64 * 1024];

    private RawConnection()
    {
    }

    public static async Task<RawConnection> OpenAsync(Uri address)
    {
        var connection = new RawConnection();
        await connection.socket.ConnectAsync(IPAddress.Parse(address.Host), address.Port);
        return connection;
    }

    /// <summary>A request as it goes over the line.</summary>
    /// <param name="method">The method.</param>
    /// <param name="path">The path.</param>
    /// <param name="headers">Further headers, each with its line end.</param>
    /// <param name="body">The body in JSON, or null.</param>
    public static byte[] Request(string method, string path, string headers = "", string? body = null) => Encoding.UTF8.GetBytes(
        $"{method} {path} HTTP/1.1\r\nHost: measured\r\n{headers}{(body is null ? "" : $"Content-Type: application/json\r\nContent-Length: {body.Length}\r\n")}\r\n{body}");

    /// <summary>Sends a request and reads the answer; gives its status.</summary>
    public async Task<int> AskAsync(ReadOnlyMemory<byte> request)
    {
        await socket.SendAsync(request);
        var filled = 0;
        while (true)
        {
            if (filled == buffer.Length)
            {
                Array.Resize(ref buffer, 2 * buffer.Length);
            }

            var read = await socket.ReceiveAsync(buffer.AsMemory(filled));
            if (read == 0)
            {
                throw new IOException($"The service hung up after {filled} bytes of an answer: {Encoding.ASCII.GetString(buffer, 0, Math.Min(filled, 1_000))}");
            }

            filled += read;
            if (IsWhole(buffer.AsSpan(0, filled)))
            {
                // HTTP/1.1 200 OK
                return (100 * (buffer[9] - '0')) + (10 * (buffer[10] - '0')) + (buffer[11] - '0');
            }
        }
    }

    /// <summary>The header of the last answer, or null.</summary>
    public string? Header(string name)
    {
        var head = Encoding.ASCII.GetString(buffer, 0, buffer.AsSpan().IndexOf(EndOfHead));
        return head.Split("\r\n").FirstOrDefault(line => line.StartsWith(name + ": ", StringComparison.OrdinalIgnoreCase))?[(name.Length + 2)..];
    }

    public void Dispose() => socket.Dispose();

    private static bool IsWhole(ReadOnlySpan<byte> answer)
    {
        var head = answer.IndexOf(EndOfHead);
        if (head < 0)
        {
            return false;
        }

        if (answer[9] == '3')
        {
            return true; // 304 has no body.
        }

        var at = answer[..head].IndexOf("Content-Length: "u8);
        if (at < 0)
        {
            return answer.EndsWith(EndOfChunks);
        }

        var length = 0;
        foreach (var digit in answer[(at + "Content-Length: ".Length)..head])
        {
            if (digit is < (byte)'0' or > (byte)'9')
            {
                break;
            }

            length = (10 * length) + digit - '0';
        }

        return answer.Length >= head + EndOfHead.Length + length;
    }
}
