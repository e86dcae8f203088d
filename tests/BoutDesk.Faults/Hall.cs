using System.Diagnostics;

namespace BoutDesk.Faults;

/// <summary>What came of the fencing.</summary>
/// <param name="Actions">Actions of phones that were acknowledged.</param>
/// <param name="Results">Results among them.</param>
/// <param name="Standings">Pools whose standings were compared with the events.</param>
/// <param name="Wrong">All that is wrong, a line for each.</param>
internal sealed record Reckoned(int Actions, int Results, int Standings, IReadOnlyList<string> Wrong);

/// <summary>Phones that score the pools of a tournament and followers of its feed, while things fail.</summary>
internal sealed class Hall : IDisposable
{
    private const int Followers = 3;
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(2);

    private readonly CancellationTokenSource enough = new();
    private readonly CancellationTokenSource told = new();
    private readonly Stage stage;
    private readonly Phone[] phones;
    private readonly Follower[] followers;
    private readonly Task<bool>[] scoring;
    private readonly Task[] following;

    /// <summary>Begins.</summary>
    /// <param name="address">Where the phones and the followers go.</param>
    /// <param name="stage">The tournament; its pools are dealt to the phones.</param>
    /// <param name="phones">How many phones.</param>
    /// <param name="pause">The mean time between an answer and the next action of a phone.</param>
    /// <param name="seed">Starts the chance.</param>
    public Hall(Uri address, Stage stage, int phones, TimeSpan pause, int seed)
    {
        this.stage = stage;
        this.phones = [.. Enumerable.Range(0, phones).Select(i => new Phone(
            address, [.. stage.Pools.Where((_, pool) => pool % phones == i)], new Random(seed + i), pause, Acknowledgements))];
        followers = [.. Enumerable.Range(0, Followers).Select(_ => new Follower(address, stage.TournamentId))];
        following = [.. followers.Select(f => f.FollowAsync(told.Token))];
        scoring = [.. this.phones.Select(p => p.ScoreAsync(enough.Token))];
    }

    public Acknowledgements Acknowledgements { get; } = new();

    /// <summary>What is wrong when the phones should still be scoring.</summary>
    public IEnumerable<string> RanOut() => scoring.Where(s => s.IsCompletedSuccessfully).Select(_ => "A phone ran out of bouts before the faults were over.");

    /// <summary>Waits until something is acknowledged that was sent from now on.</summary>
    /// <exception cref="InvalidOperationException">A phone was refused, or nothing was acknowledged for minutes.</exception>
    public Task RecoveredAsync(Func<string> lastWords) => RecoveredAsync(Stopwatch.GetTimestamp(), lastWords);

    /// <summary>Waits until something is acknowledged that was sent after a time stamp.</summary>
    /// <exception cref="InvalidOperationException">A phone was refused, or nothing was acknowledged for minutes.</exception>
    public async Task RecoveredAsync(long since, Func<string> lastWords)
    {
        while (Acknowledgements.LastSent <= since)
        {
            if (Array.Find(scoring, s => s.IsFaulted) is { } refused)
            {
                throw new InvalidOperationException(refused.Exception!.InnerException!.Message);
            }

            if (Stopwatch.GetElapsedTime(since) > Patience)
            {
                throw new InvalidOperationException($"Nothing was acknowledged for {Patience.TotalMinutes} minutes. The service said last:\n{lastWords()}");
            }

            await Task.Delay(10);
        }
    }

    /// <summary>Waits until the followers have been told of that number of the events' sequence, or of what came after it.</summary>
    /// <exception cref="InvalidOperationException">They were not for minutes.</exception>
    public async Task FollowedAsync(long number)
    {
        for (var waited = Stopwatch.StartNew(); followers.Any(f => f.Last < number); await Task.Delay(50))
        {
            if (waited.Elapsed > Patience)
            {
                throw new InvalidOperationException($"A follower was told of nothing after number {number} for {Patience.TotalMinutes} minutes.");
            }
        }
    }

    /// <summary>Lets the phones finish the bouts that are going on, and reckons up.</summary>
    /// <param name="connectionString">The database, as it is left.</param>
    /// <param name="desk">A client of the desk.</param>
    /// <param name="passing">Answers after which a pad sends again by itself, and which may have been given.</param>
    public async Task<Reckoned> EndAsync(string connectionString, HttpClient desk, params IReadOnlyList<string> passing)
    {
        var wrong = new List<string>();
        await enough.CancelAsync();
        await Task.WhenAny(Task.WhenAll(scoring), Task.Delay(Patience));
        foreach (var one in scoring)
        {
            if (!one.IsCompletedSuccessfully)
            {
                wrong.Add(one.Exception?.InnerException?.Message ?? "A phone did not come to its end.");
            }
        }

        var done = phones.SelectMany(p => p.Done).ToDictionary();
        var actions = done.Values.Sum(d => d.Count);
        for (var waited = Stopwatch.StartNew(); waited.Elapsed < TimeSpan.FromMinutes(1) && followers.Any(f => Count(f) < actions);)
        {
            await Task.Delay(50);
        }

        await told.CancelAsync();
        await Task.WhenAll(following);
        var (found, standings) = await Reckoning.ReckonAsync(connectionString, desk, stage, done, followers);
        wrong.AddRange(found);
        wrong.AddRange(Acknowledgements.OtherAnswers.Where(a => !passing.Contains(a.Key)).Select(a => $"{a.Value} answers {a.Key}"));
        return new Reckoned(actions, done.Values.Sum(d => d.Count(h => h.What == "result-recorded")), standings, wrong);
    }

    public void Dispose()
    {
        foreach (var phone in phones)
        {
            phone.Dispose();
        }

        enough.Dispose();
        told.Dispose();
    }

    private static int Count(Follower follower) => follower.Told.Values.Sum(told => told.Count(what => what != "bout-programmed"));
}
