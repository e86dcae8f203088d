using BoutDesk.Api.EventStore;
using Xunit;

namespace BoutDesk.Pages.Tests.Board;

public sealed class ShelfTests
{
    private readonly StandingClock clock = new();
    private readonly Shelf<string> shelf;
    private int made;

    public ShelfTests() => shelf = new Shelf<string>(clock, most: 4);

    [Fact]
    public async Task A_copy_is_made_once_until_something_happens()
    {
        Assert.Equal("copy 1", await TakeAsync("page", 7));
        Assert.Equal("copy 1", await TakeAsync("page", 7));
        Assert.Equal("copy 2", await TakeAsync("page", 8));
        // Who asked a moment earlier is given the newer one.
        Assert.Equal("copy 2", await TakeAsync("page", 7));
        Assert.Equal("copy 3", await TakeAsync("other page", 8));
    }

    [Fact]
    public async Task While_one_makes_it_the_others_wait_for_it()
    {
        var begun = new TaskCompletionSource();
        var go = new TaskCompletionSource();
        var first = shelf.TakeAsync("page", 1, async () =>
        {
            begun.SetResult();
            await go.Task;
            return "the one copy";
        });
        await begun.Task;
        var others = Enumerable.Range(0, 50).Select(_ => TakeAsync("page", 1)).ToArray();
        Assert.All(others, other => Assert.False(other.IsCompleted));
        go.SetResult();

        Assert.Equal("the one copy", await first);
        Assert.All(await Task.WhenAll(others), copy => Assert.Equal("the one copy", copy));
        Assert.Equal(0, made);
    }

    [Fact]
    public async Task A_copy_is_not_believed_for_ever_should_the_feed_stand_still()
    {
        await TakeAsync("page", 1);
        clock.Advance(TimeSpan.FromSeconds(14));
        Assert.Equal("copy 1", await TakeAsync("page", 1));
        clock.Advance(TimeSpan.FromSeconds(2));
        Assert.Equal("copy 2", await TakeAsync("page", 1));
    }

    [Fact]
    public async Task Nothing_is_kept_of_what_is_not_there_and_a_failure_is_tried_again()
    {
        Assert.Null(await shelf.TakeAsync("page", 1, () => Task.FromResult<string?>(null)));
        await Assert.ThrowsAsync<IOException>(() => shelf.TakeAsync("page", 1, () => throw new IOException()));
        Assert.Equal("copy 1", await TakeAsync("page", 1));
    }

    [Fact]
    public async Task The_oldest_copies_make_room()
    {
        foreach (var name in new[] { "a", "b", "c", "d", "e" })
        {
            await TakeAsync(name, 1);
            clock.Advance(TimeSpan.FromSeconds(1));
        }

        Assert.Equal("copy 5", await TakeAsync("e", 1));
        Assert.Equal("copy 6", await TakeAsync("a", 1));
    }

    private Task<string?> TakeAsync(string name, long revision) => shelf.TakeAsync(name, revision, () => Task.FromResult<string?>($"copy {++made}"));

    private sealed class StandingClock : TimeProvider
    {
        private long now;

        public override long TimestampFrequency => TimeSpan.TicksPerSecond;

        public override long GetTimestamp() => now;

        public void Advance(TimeSpan by) => now += by.Ticks;
    }
}
