using Xunit;

namespace BoutDesk.Api.Tests;

/// <summary>One service for all tests that do not restart or reconfigure it; each opens a tournament of its own.</summary>
public sealed class SharedDesk : IAsyncLifetime
{
    internal DeskHost Host { get; private set; } = null!;

    public async Task InitializeAsync() => Host = await DeskHost.StartAsync();

    public async Task DisposeAsync() => await Host.DisposeAsync();
}

/// <summary>Names the collection of tests that share a service.</summary>
[CollectionDefinition(Name)]
public sealed class OneService : ICollectionFixture<SharedDesk>
{
    public const string Name = "One service";
}
