using BoutDesk.Api.EventStore;
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

internal static class HealthRoutes
{
    public static void MapHealth(this IEndpointRouteBuilder app)
    {
        // Alive means that requests are answered at all; whoever restarts what is not alive must not do so for the store.
        app.MapHealthChecks("/health/live", new HealthCheckOptions { Predicate = _ => false }).DisableRateLimiting();
        app.MapHealthChecks("/health/ready").DisableRateLimiting();
    }
}
