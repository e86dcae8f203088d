using System.Collections.Concurrent;
using System.Diagnostics;
using BoutDesk.Benchmarks.Day;
using BoutDesk.Benchmarks.Ratios;

namespace BoutDesk.Benchmarks.Halls;

/// <summary>Writes and reads of one service and of two on the same database, each as fast as they are answered, by turns.</summary>
internal static class NodeComparison
{
    /// <summary>Phones that write at once.</summary>
    public const int Writers = 32;

    /// <summary>Clients that read at once.</summary>
    public const int Readers = 64;

    private const int Tournaments = 32;
    private const int Turns = 2;
    private static readonly TimeSpan WarmUp = TimeSpan.FromSeconds(3);
    private static readonly TimeSpan Length = TimeSpan.FromSeconds(6);

    /// <summary>Measures one and two.</summary>
    public static async Task<(NodeFigure One, NodeFigure Two)> RunAsync(MeasuredServer server)
    {
        await using var first = await ServiceProcess.StartOnAsync(server.ConnectionString);
        var opened = new ConcurrentBag<LoadedTournament>();
        await Parallel.ForAsync(0, Tournaments, new ParallelOptions { MaxDegreeOfParallelism = 4 }, async (_, _) => opened.Add(await LoadedTournament.OpenAsync(first.Client)));
        var bouts = new ConcurrentQueue<(string Bout, string Pass)>(opened.SelectMany(of => of.Pools).SelectMany(pool => pool.Bouts));
        byte[][] reads = [.. opened.SelectMany(of => of.Reads)];

        var (one, two) = (new NodeFigure(1), new NodeFigure(2));
        for (var turn = 0; turn < Turns; turn++)
        {
            await MeasureAsync(one, first);
            await using var second = await ServiceProcess.StartOnAsync(server.ConnectionString);
            await MeasureAsync(two, first, second);
        }

        return (one, two);

        async Task MeasureAsync(NodeFigure figure, params ServiceProcess[] services)
        {
            var phones = await ConnectAsync(services, Writers, connection => new StripPhone(connection, bouts));
            await PumpAsync(server, services, figure.Writes, phones, phone => phone.ActAsync(0));
            if (phones.Sum(phone => phone.Refused) is not 0 and var refused)
            {
                throw new InvalidOperationException($"{refused} writes of the measurement were refused.");
            }

            phones.ForEach(phone => phone.Dispose());

            // Each with the pages of one tournament after the other, beginning with another.
            var readers = await ConnectAsync(services, Readers, connection => new Reader(connection, Random.Shared.GetItems(reads, reads.Length)));
            await PumpAsync(server, services, figure.Reads, readers, reader => reader.ReadAsync(0));
            if (readers.Sum(reader => reader.Refused) is not 0 and var unread)
            {
                throw new InvalidOperationException($"{unread} reads of the measurement were refused.");
            }

            readers.ForEach(reader => reader.Dispose());
        }
    }

    /// <summary>Clients that are spread evenly over the services.</summary>
    public static async Task<List<T>> ConnectAsync<T>(ServiceProcess[] services, int count, Func<RawConnection, T> client)
    {
        var clients = new List<T>();
        for (var i = 0; i < count; i++)
        {
            clients.Add(client(await RawConnection.OpenAsync(services[i % services.Length].Address)));
        }

        return clients;
    }

    private static async Task PumpAsync<T>(MeasuredServer server, ServiceProcess[] services, NodeFigure.Part part, List<T> clients, Func<T, Task> act)
    {
        await ForAsync(WarmUp);
        var counter = await UseCounter.BeginAsync(server, services);
        part.Add(await ForAsync(Length), await counter.EndAsync());

        async Task<long> ForAsync(TimeSpan length)
        {
            var begin = Stopwatch.GetTimestamp();
            var counts = await Task.WhenAll(clients.Select(client => Task.Run(async () =>
            {
                long count = 0;
                for (; Stopwatch.GetElapsedTime(begin) < length; count++)
                {
                    await act(client);
                }

                return count;
            })));
            return counts.Sum();
        }
    }
}
