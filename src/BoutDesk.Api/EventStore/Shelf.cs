using System.Collections.Concurrent;

namespace BoutDesk.Api.EventStore;

/// <summary>What holds for every shelf.</summary>
internal static class Shelf
{
    /// <summary>Should what happens ever not be told, as where a name is erased from a text, what was read is not believed for longer than this.</summary>
    public static readonly TimeSpan Longest = TimeSpan.FromSeconds(15);
}

/// <summary>
/// Keeps what is made once and shown to many: as long as nothing happened that could change it, the same copy is handed
/// out, and when something did, one caller makes it anew while the others wait for it.
/// </summary>
internal sealed class Shelf<T>
    where T : class
{
    private readonly ConcurrentDictionary<string, Place> places = new();
    private readonly TimeProvider clock;
    private readonly int most;

    public Shelf(TimeProvider clock, int most)
    {
        this.clock = clock;
        this.most = most;
    }

    /// <summary>Takes the copy of that name.</summary>
    /// <param name="name">What is wanted.</param>
    /// <param name="revision">What the copy must not be older than; it only grows.</param>
    /// <param name="make">Makes it; null when there is no such thing.</param>
    public Task<T?> TakeAsync(string name, long revision, Func<Task<T?>> make) => TakeAsync(name, revision, _ => make());

    /// <summary>The same for what can be made of the copy before it, which is handed to the maker where there is one.</summary>
    public async Task<T?> TakeAsync(string name, long revision, Func<T?, Task<T?>> make)
    {
        var place = places.GetOrAdd(name, _ => new Place());
        if (InForce(place, revision) is { } kept)
        {
            return kept;
        }

        await place.Gate.WaitAsync();
        try
        {
            if (InForce(place, revision) is { } madeMeanwhile)
            {
                return madeMeanwhile;
            }

            // The time before it is made: whatever happens while it is being made is not in it for sure.
            var at = clock.GetTimestamp();
            var made = await make(place.Copy?.Value);
            if (made is null)
            {
                places.TryRemove(name, out _);
                return null;
            }

            place.Copy = new Copy(made, revision, at);
            Tidy();
            return made;
        }
        finally
        {
            place.Gate.Release();
        }
    }

    private T? InForce(Place place, long revision) =>
        place.Copy is { } copy && copy.Revision >= revision && clock.GetElapsedTime(copy.At) < Shelf.Longest ? copy.Value : null;

    private void Tidy()
    {
        if (places.Count <= most)
        {
            return;
        }

        foreach (var (name, _) in places.OrderBy(p => p.Value.Copy?.At ?? 0).Take(places.Count - (most / 2)))
        {
            places.TryRemove(name, out _);
        }
    }

    private sealed record Copy(T Value, long Revision, long At);

    private sealed class Place
    {
        public SemaphoreSlim Gate { get; } = new(1, 1);

        public Copy? Copy { get; set; }
    }
}
