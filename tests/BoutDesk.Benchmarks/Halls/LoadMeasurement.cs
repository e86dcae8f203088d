using System.Diagnostics;
using BoutDesk.Benchmarks.Day;
using BoutDesk.Benchmarks.Hall;

namespace BoutDesk.Benchmarks.Halls;

/// <summary>
/// Tournaments at the same hour on one service: a phone at each strip, and listeners and a reader of each tournament, all
/// at the pace of a hall. What is due is not put off because the answer before has not come.
/// </summary>
internal sealed class LoadMeasurement : IDisposable
{
    /// <summary>Seconds from one touch at a strip to the next.</summary>
    public const int SecondsOfATouch = 30;

    /// <summary>Reads of a tournament a second.</summary>
    public const int ReadsASecond = 1;

    /// <summary>Listeners of the feed of each tournament.</summary>
    public const int Listeners = 3;

    private const int OpenedAtOnce = 4;
    private const int ConnectedAtOnce = 100;
    private const int Seed = 20261127;
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(3);

    private readonly MeasuredServer server;
    private readonly ServiceProcess service;
    private readonly HttpClient listening;
    private readonly Random chance = new(Seed);
    private readonly List<TournamentClients> all = [];

    public LoadMeasurement(MeasuredServer server, ServiceProcess service)
    {
        this.server = server;
        this.service = service;
        listening = new HttpClient { BaseAddress = service.Address, Timeout = Timeout.InfiniteTimeSpan };
    }

    /// <summary>What service and database use while nothing is asked of them.</summary>
    public async Task<Use> IdleAsync(TimeSpan length)
    {
        var counter = await UseCounter.BeginAsync(server, [service]);
        await Task.Delay(length);
        return await counter.EndAsync();
    }

    /// <summary>Opens tournaments until there are so many; gives what that used.</summary>
    public async Task<Use> OpenAsync(int tournaments)
    {
        var opened = new LoadedTournament[tournaments - all.Count];
        var counter = await UseCounter.BeginAsync(server, [service]);
        await Parallel.ForAsync(
            0, opened.Length, new ParallelOptions { MaxDegreeOfParallelism = OpenedAtOnce }, async (i, _) => opened[i] = await LoadedTournament.OpenAsync(service.Client));
        var use = await counter.EndAsync();
        foreach (var tournament in opened)
        {
            all.Add(await TournamentClients.ConnectAsync(tournament, service.Address));
        }

        return use;
    }

    /// <summary>Lets all tournaments go on, and counts after the first part of it.</summary>
    /// <param name="pace">How many times as fast as usual.</param>
    /// <param name="warmUp">What is not counted.</param>
    /// <param name="length">What is.</param>
    public async Task<LoadFigure> RunAsync(int pace, TimeSpan warmUp, TimeSpan length)
    {
        using var stop = new CancellationTokenSource();
        var (viewers, following) = await FollowAsync(stop.Token);
        await ActAsync(pace, warmUp, static () => Task.CompletedTask);
        all.ForEach(one => one.Forget());

        var counter = await UseCounter.BeginAsync(server, [service]);
        var (acts, writes, reads, use) = (0, 0, 0, (Use?)null);
        var due = await ActAsync(pace, length, async () =>
        {
            acts = all.Sum(one => one.Phones.Sum(phone => phone.Acts));
            writes = all.Sum(one => one.Phones.Sum(phone => phone.Writes));
            reads = all.Sum(one => one.Reader.Read);
            use = await counter.EndAsync();
        });
        var (told, untold) = await ToldAsync(viewers, async () =>
        {
            await stop.CancelAsync();
            await Task.WhenAll(following);
        });
        var (touch, read) = (new Times(), new Times());
        touch.Add(all.SelectMany(one => one.Phones).Select(phone => phone.Waits));
        read.Add(all.Select(one => one.Reader.Waits));
        return new LoadFigure(
            all.Count,
            pace,
            due / (StripPhone.ActsOfATouch * length.TotalSeconds),
            acts / (StripPhone.ActsOfATouch * length.TotalSeconds),
            writes / length.TotalSeconds,
            reads / length.TotalSeconds,
            touch,
            read,
            told,
            untold + all.Sum(one => one.Reader.Refused + one.Phones.Sum(phone => phone.Refused)),
            use!);
    }

    public void Dispose()
    {
        listening.Dispose();
        all.ForEach(one => one.Dispose());
    }

    private async Task<(List<(TournamentClients Of, Viewer Viewer)> Viewers, List<Task> Following)> FollowAsync(CancellationToken stop)
    {
        List<(TournamentClients Of, Viewer Viewer)> viewers = [.. all.SelectMany(one => Enumerable.Range(0, Listeners).Select(_ => (one, new Viewer())))];
        var following = new List<Task>();
        foreach (var some in viewers.Chunk(ConnectedAtOnce))
        {
            var begun = new List<Task>();
            foreach (var (of, viewer) in some)
            {
                var source = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
                begun.Add(source.Task);
                following.Add(viewer.FollowAsync(listening, of.TournamentId, source, stop));
            }

            await Task.WhenAll(begun);
        }

        return (viewers, following);
    }

    /// <summary>Lets every phone and reader act for so long; gives how many acts of the phones were due.</summary>
    private async Task<int> ActAsync(int pace, TimeSpan length, Func<Task> atTheEnd)
    {
        var betweenActs = TimeSpan.FromSeconds((double)SecondsOfATouch / StripPhone.ActsOfATouch / pace);
        var betweenReads = TimeSpan.FromSeconds(1.0 / ReadsASecond / pace);
        var begin = Stopwatch.GetTimestamp();
        List<Task<int>> phones = [.. all.SelectMany(one => one.Phones).Select(phone => ActAsync(phone.ActAsync, betweenActs))];
        List<Task<int>> readers = [.. all.Select(one => ActAsync(one.Reader.ReadAsync, betweenReads))];
        await Task.Delay(length);
        await atTheEnd();
        await Task.WhenAll(readers);
        return (await Task.WhenAll(phones)).Sum();

        // Each begins somewhere within its beat, so that they do not all send at one moment.
        Task<int> ActAsync(Func<long, Task> act, TimeSpan every) => PacedAsync(act, begin, every * chance.NextDouble(), every, length);
    }

    /// <summary>Acts once in every beat; gives how many beats there were, also when it could not follow.</summary>
    private static async Task<int> PacedAsync(Func<long, Task> act, long begin, TimeSpan first, TimeSpan every, TimeSpan length)
    {
        var beats = 0;
        for (var due = first; due < length; due += every, beats++)
        {
            var wait = due - Stopwatch.GetElapsedTime(begin);
            if (wait > TimeSpan.Zero)
            {
                await Task.Delay(wait);
                // That this program wakes up late is not the service's doing; that it is late because of the answer before is.
                await act(Stopwatch.GetTimestamp());
            }
            else if (Stopwatch.GetElapsedTime(begin) < length)
            {
                await act(begin + (long)(due.TotalSeconds * Stopwatch.Frequency));
            }
        }

        return beats;
    }

    /// <summary>Waits a little for the listeners, lets them go, and compares what they were told with what was acknowledged.</summary>
    private static async Task<(Times Delays, int Untold)> ToldAsync(List<(TournamentClients Of, Viewer Viewer)> viewers, Func<Task> leaveAsync)
    {
        await Task.Delay(Patience);
        await leaveAsync();
        var (delays, untold) = (new Times(), 0);
        foreach (var (of, viewer) in viewers)
        {
            foreach (var (touch, answered) in of.Phones.SelectMany(phone => phone.Answered))
            {
                if (viewer.Told.TryGetValue(touch, out var told))
                {
                    // He may have been told before the phone had its answer.
                    delays.Add(Math.Max(0, Stopwatch.GetElapsedTime(answered, told).TotalMilliseconds));
                }
                else
                {
                    untold++;
                }
            }
        }

        return (delays, untold);
    }
}
