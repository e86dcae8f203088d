using BoutDesk.Api.EventStore;
using BoutDesk.Api.Organisers;
using Microsoft.AspNetCore.Diagnostics.HealthChecks;
using Microsoft.Extensions.Diagnostics.HealthChecks;

namespace BoutDesk.Api;

/// <summary>Healthy when the store answers, and the service may go on with it.</summary>
internal sealed class StoreHealth : IHealthCheck
{
    private readonly Organiser organiser;
    private readonly Ending ending;

    public StoreHealth([FromKeyedServices(Organiser.Home)] Organiser organiser, Ending ending) => (this.organiser, this.ending) = (organiser, ending);

    public async Task<HealthCheckResult> CheckHealthAsync(HealthCheckContext context, CancellationToken cancellationToken = default)
    {
        if (ending.HasBegun)
        {
            return HealthCheckResult.Unhealthy("The service ends.");
        }

        try
        {
            await using var session = organiser.Read();
            await session.QueryAsync<int>("select 1", cancellationToken);
            return HealthCheckResult.Healthy();
        }
        catch (Exception failure) when (failure is not OperationCanceledException)
        {
            return HealthCheckResult.Unhealthy("The store does not answer.", failure);
        }
    }
}

/// <summary>Degraded, and no worse, where the database that an organiser has of its own does not answer: all others are served.</summary>
internal sealed class OwnDatabaseHealth : IHealthCheck
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(2);

    private readonly OrganiserBook book;
    private readonly OrganiserDatabases databases;

    public OwnDatabaseHealth(OrganiserBook book, OrganiserDatabases databases) => (this.book, this.databases) = (book, databases);

    public async Task<HealthCheckResult> CheckHealthAsync(HealthCheckContext context, CancellationToken cancellationToken = default)
    {
        var names = book.Others.Select(o => o.Database).OfType<string>().Distinct();
        var away = (await Task.WhenAll(names.Select(async name => (Name: name, Answers: await AnswersAsync(databases.Named(name), cancellationToken))))).Where(d => !d.Answers).ToArray();
        return away.Length == 0
            ? HealthCheckResult.Healthy()
            : HealthCheckResult.Degraded($"These databases of organisers do not answer: {string.Join(", ", away.Select(d => d.Name))}.");
    }

    private static async Task<bool> AnswersAsync(OrganiserDatabase database, CancellationToken cancellation)
    {
        using var soon = CancellationTokenSource.CreateLinkedTokenSource(cancellation);
        soon.CancelAfter(Patience);
        try
        {
            await using var session = database.Store.QuerySession();
            await session.QueryAsync<int>("select 1", soon.Token);
            return true;
        }
        catch (Exception) when (!cancellation.IsCancellationRequested)
        {
            return false;
        }
    }
}

internal static class HealthRoutes
{
    public static void MapHealth(this IEndpointRouteBuilder app)
    {
        // Alive means that requests are answered at all; whoever restarts what is not alive must not do so for the store.
        app.MapHealthChecks("/health/live", new HealthCheckOptions { Predicate = _ => false }).DisableRateLimiting();
        app.MapHealthChecks("/health/ready").DisableRateLimiting();
    }
}
