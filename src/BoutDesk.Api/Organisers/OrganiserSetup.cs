using BoutDesk.Api.EventStore;
using BoutDesk.Api.Http;
using BoutDesk.Api.Passes;
using Marten;

namespace BoutDesk.Api.Organisers;

/// <summary>Lets every request meet its own organiser, and nothing of another.</summary>
internal static class OrganiserSetup
{
    /// <param name="services">The services.</param>
    /// <param name="connectionString">Where the database of the service is.</param>
    public static void AddOrganisers(this IServiceCollection services, string connectionString)
    {
        services.AddSingleton(provider => new OrganiserDatabases(
            new OrganiserDatabase(provider.GetRequiredService<LatestChanges>(), provider.GetRequiredService<IDocumentStore>, provider.GetRequiredService<Standbys>(), provider.GetRequiredService<LatestEvents>()),
            connectionString,
            provider.GetRequiredService<IConfiguration>(),
            provider.GetRequiredService<LatestChanges>(),
            provider.GetRequiredService<TimeProvider>()));
        services.AddSingleton<OrganiserBook>();
        services.AddHostedService(provider => provider.GetRequiredService<OrganiserBook>());
        services.AddScoped<OrganiserOfRequest>();
        services.AddOfEachOrganiser<Organiser>();
    }

    /// <summary>
    /// Adds a service of which each organiser has its own, made when it is first asked for and kept: what it remembers is
    /// out of the others' reach. A request gets that of its organiser.
    /// </summary>
    /// <remarks>None of them may be disposable: a request would dispose it at its end.</remarks>
    public static void AddOfEachOrganiser<T>(this IServiceCollection services)
        where T : class
    {
        services.AddKeyedSingleton<T>(KeyedService.AnyKey);
        services.AddForRequests<T>();
    }

    /// <summary>The same for what belongs to the organiser's database.</summary>
    public static void AddOfEachOrganiser<T>(this IServiceCollection services, Func<Organiser, T> find)
        where T : class
    {
        services.AddKeyedSingleton(KeyedService.AnyKey, (provider, key) => find(provider.GetRequiredKeyedService<Organiser>(key)));
        services.AddForRequests<T>();
    }

    private static void AddForRequests<T>(this IServiceCollection services)
        where T : class =>
        services.AddScoped(request => request.GetRequiredKeyedService<T>(request.GetRequiredService<OrganiserOfRequest>().Key));

    /// <summary>Tells by the host name which organiser a request is about.</summary>
    public static void UseOrganisers(this IApplicationBuilder app)
    {
        var book = app.ApplicationServices.GetRequiredService<OrganiserBook>();
        app.Use((http, next) =>
        {
            if (book.At(http.Request.Host.Host) is { } other)
            {
                http.RequestServices.GetRequiredService<OrganiserOfRequest>().Record = other;
            }

            return next(http);
        });
    }

    /// <summary>Refuses what would change anything of an organiser that is being moved.</summary>
    public static void UseClosedOrganisers(this IApplicationBuilder app) => app.Use((http, next) =>
        http.RequestServices.GetRequiredService<OrganiserOfRequest>().Record is { Closed: true }
        && http.GetEndpoint()?.Metadata.GetMetadata<NeedsPass>() is not null
        && !HttpMethods.IsGet(http.Request.Method) && !HttpMethods.IsHead(http.Request.Method)
            ? new Problem(ProblemKinds.BeingMoved, $"Everything of this organiser is being moved to another service, so nothing can be changed just now. Nothing was kept; send it again in a minute.") { RetryAfter = 60 }.ExecuteAsync(http)
            : next(http));
}
