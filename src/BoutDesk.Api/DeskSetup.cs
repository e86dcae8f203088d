using BoutDesk.Api.Archives;
using BoutDesk.Api.Board;
using BoutDesk.Api.Bouts;
using BoutDesk.Api.Calculators;
using BoutDesk.Api.Competitions;
using BoutDesk.Api.Desk;
using BoutDesk.Api.Elimination;
using BoutDesk.Api.Entries;
using BoutDesk.Api.Equipment;
using BoutDesk.Api.Erasing;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Feed;
using BoutDesk.Api.Halls;
using BoutDesk.Api.Http;
using BoutDesk.Api.LoanKit;
using BoutDesk.Api.Organisers;
using BoutDesk.Api.Pages;
using BoutDesk.Api.Passes;
using BoutDesk.Api.Planning;
using BoutDesk.Api.Pools;
using BoutDesk.Api.Refereeing;
using BoutDesk.Api.Timetables;
using BoutDesk.Api.Tournaments;
using Microsoft.AspNetCore.Authorization;

namespace BoutDesk.Api;

/// <summary>Puts the service together.</summary>
internal static class DeskSetup
{
    /// <summary>Reads the configuration. Its appsettings.json lies beside the program, from wherever that is started.</summary>
    /// <param name="args">The settings on the command line.</param>
    public static WebApplicationBuilder CreateBuilder(string[] args) =>
        WebApplication.CreateBuilder(new WebApplicationOptions { Args = args, ContentRootPath = AppContext.BaseDirectory });

    public static WebApplication BuildDesk(this WebApplicationBuilder builder, string connectionString)
    {
        builder.AddLimits();
        var services = builder.Services;
        services.AddSingleton(TimeProvider.System);
        services.AddEventStore(connectionString, LatestChanges.IsOnlyNode(builder.Configuration));
        services.AddSingleton(provider => new Standbys(connectionString, builder.Configuration, provider.GetRequiredService<TimeProvider>()));
        services.AddOrganisers(connectionString);
        services.AddSingleton<Ending>();
        services.AddOfEachOrganiser<BoutCommands>();
        services.AddScoped<Commands>();
        services.AddOfEachOrganiser<KeptReads>();
        services.AddMemoryCache();
        services.AddOfEachOrganiser(organiser => organiser.Database.Feed);
        services.AddOfEachOrganiser<BoardStates>();
        services.AddOfEachOrganiser<ForecastBook>();
        services.AddOfEachOrganiser<CalendarRevisions>();
        services.AddSingleton<PageRenderer>();
        services.AddOfEachOrganiser<BoardPages>();
        services.AddSingleton<DeskPages>();
        services.AddScoped<DeskHistory>();
        services.AddSingleton<PassBook>();
        services.AddScoped<PersonalData>();
        services.AddSingleton<WrongPassLimit>();
        services.AddHostedService<Opening>();
        services.AddHostedService(provider => ActivatorUtilities.CreateInstance<FeedWatch>(provider, provider.GetRequiredService<OrganiserDatabases>().Home));
        if (!LatestChanges.IsOnlyNode(builder.Configuration))
        {
            services.AddHostedService(provider => ActivatorUtilities.CreateInstance<FeedFollower>(provider, provider.GetRequiredService<OrganiserDatabases>().Home));
        }

        services.AddHostedService<OwnDatabases>();
        services.AddHealthChecks().AddCheck<StoreHealth>("store").AddCheck<OwnDatabaseHealth>("own databases");

        services.ConfigureHttpJsonOptions(json => JsonSetup.Apply(json.SerializerOptions));
        services.Configure<RouteHandlerOptions>(routes => routes.ThrowOnBadRequest = true);
        // The core alone: no cookies are protected here, so no key ring is wanted.
        services.AddWebEncoders();
        services.AddTransient<PassAuthentication>();
        services.AddAuthenticationCore(authentication =>
        {
            authentication.DefaultScheme = PassAuthentication.SchemeName;
            authentication.AddScheme<PassAuthentication>(PassAuthentication.SchemeName, null);
        });
        services.AddAuthorization();
        services.AddSingleton<IAuthorizationHandler, PassRules>();
        services.AddOpenApiDocument();
        services.AddRazorComponents();
        services.AddLanguages();
        services.AddSecurityHeaders();
        builder.AddTelemetry();

        var app = builder.Build();
        app.UseOrganisers();
        // Forms become requests of the API before anything else looks at them.
        app.UseSecurityHeaders();
        app.UseHeadRequests();
        app.UseLanguages();
        app.UseDeskDoor();
        app.UseDeskForms();
        app.UseRouting();
        app.UseProblems();
        app.UseRateLimiter();
        app.Use(KeepBodyForRepeats);
        app.UseAuthentication();
        app.UseAuthorization();
        app.UseClosedOrganisers();
        app.UseKnownQueries();
        app.UseOpenApiDocument();

        app.MapTournaments();
        app.MapPasses();
        app.MapOwnPass();
        app.MapCompetitions();
        app.MapEntrants();
        app.MapErasure();
        app.MapEquipment();
        app.MapPools();
        app.MapBouts();
        app.MapTableau();
        app.MapCalling();
        app.MapCalculators();
        app.MapHalls();
        app.MapLoanKit();
        app.MapKitSizes();
        app.MapArchives();
        app.MapPlans();
        app.MapReferees();
        app.MapAppointments();
        app.MapTimetables();
        app.MapFeed();
        app.MapHealth();
        app.MapKeptPages();
        app.MapBoard();
        app.MapDesk();
        app.MapLanguages();
        app.MapWebAssets();
        return app;
    }

    /// <summary>A request with an Idempotency-Key is compared with its repeat, so its body is read twice.</summary>
    private static Task KeepBodyForRepeats(HttpContext http, RequestDelegate next)
    {
        if (http.Request.Headers.ContainsKey("Idempotency-Key"))
        {
            http.Request.EnableBuffering();
        }

        return next(http);
    }
}
