using System.Text.Json.Serialization;
using System.Text.Json.Serialization.Metadata;
using BoutDesk.Api.Feed;
using BoutDesk.Api.Http;
using BoutDesk.Api.Organisers;
using BoutDesk.Api.Passes;
using BoutDesk.Domain.Bouts;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Equipment;
using BoutDesk.Domain.LoanKit;
using BoutDesk.Domain.Tournaments;
using JasperFx;
using JasperFx.Events;
using JasperFx.Events.Daemon;
using JasperFx.Events.Projections;
using JasperFx.MultiTenancy;
using Marten;
using Weasel.Core;

namespace BoutDesk.Api.EventStore;

/// <summary>All settings of the store.</summary>
internal static class MartenSetup
{
    public static IServiceCollection AddEventStore(this IServiceCollection services, string connectionString, bool onlyNode)
    {
        // It logs a lost race as a failure, with a stack trace for each statement. A race is tried again, and what really
        // fails comes up as an exception and is logged with its request.
        services.AddLogging(logging => logging.AddFilter("Marten.IDocumentStore", LogLevel.None));
        services.AddSingleton<LatestChanges>();
        services.AddSingleton<LatestEvents>();
        services.AddSingleton<CompetitionShelf>();
        services.AddSingleton<BoutMemory>();
        services.AddMarten(provider =>
            {
                var options = new StoreOptions();
                Configure(options, connectionString);
                options.Listeners.Add(provider.GetRequiredService<LatestChanges>());
                return options;
            })
            .ApplyAllDatabaseChangesOnStartup()
            .AddSubscriptionWithServices<FeedSubscription>(ServiceLifetime.Singleton)
            .AddAsyncDaemon(Mode(onlyNode));
        return services;
    }

    /// <summary>The store of a database beside that of the service. Nothing in it follows its feed by itself.</summary>
    public static DocumentStore NewStore(string connectionString, FeedSubscription feed, LatestChanges changes, bool onlyNode)
    {
        var options = new StoreOptions();
        Configure(options, connectionString);
        options.Listeners.Add(changes);
        options.Projections.Subscribe(feed);
        options.Projections.AsyncMode = Mode(onlyNode);
        return new DocumentStore(options);
    }

    private static DaemonMode Mode(bool onlyNode) => onlyNode ? DaemonMode.Solo : DaemonMode.HotCold;

    private static void Configure(StoreOptions options, string connectionString)
    {
        options.Connection(Servers.Tuned(connectionString));
        options.DatabaseSchemaName = "boutdesk";
        options.AutoCreateSchemaObjects = AutoCreate.CreateOrUpdate;
        options.DisableNpgsqlLogging = true;

        options.UseSystemTextJsonForSerialization(EnumStorage.AsString, Casing.CamelCase, json =>
        {
            // What can be computed from the state is not stored with it.
            json.IgnoreReadOnlyProperties = true;
            json.DefaultIgnoreCondition = JsonIgnoreCondition.WhenWritingNull;
            json.TypeInfoResolver = new DefaultJsonTypeInfoResolver().WithAddedModifier(LeaveOutLaterDefaults);
        });

        options.Events.StreamIdentity = StreamIdentity.AsString;
        options.Events.TenancyStyle = TenancyStyle.Conjoined;
        options.Policies.AllDocumentsAreMultiTenanted();
        options.Events.MetadataConfig.UserNameEnabled = true;
        // Without it every lost race leaves a gap in the sequence, for which the feed waits some ten seconds.
        options.Events.UseExclusiveLockOnConcurrentAppends = true;
        foreach (var (type, name) in EventNames.All)
        {
            options.Events.MapEventType(type, name);
        }

        options.Projections.Add(new TournamentProjection(), ProjectionLifecycle.Inline);
        options.Projections.Add(new CompetitionProjection(), ProjectionLifecycle.Inline);
        options.Projections.Add(new BoutProjection(), ProjectionLifecycle.Inline);
        options.Projections.Add(new EquipmentProjection(), ProjectionLifecycle.Inline);
        options.Projections.Add(new LoanProjection(), ProjectionLifecycle.Inline);
        options.Projections.FastPollingTime = TimeSpan.FromMilliseconds(50);
        options.Projections.SlowPollingTime = TimeSpan.FromMilliseconds(100);
        // How soon another service takes the feed over when the one that led it is gone.
        options.Projections.LeadershipPollingTime = 1000;

        options.Schema.For<Tournament>().DocumentAlias("tournament");
        options.Schema.For<Competition>().DocumentAlias("competition").Index(c => c.TournamentId);
        // Columns of their own, since an index on what is within the state would be written anew with every touch.
        options.Schema.For<Bout>().DocumentAlias("bout").Duplicate(b => b.CompetitionId).Duplicate(b => b.PoolId!).Duplicate(b => b.StripId!);
        options.Schema.For<EquipmentRecord>().DocumentAlias("equipment").Index(r => r.CompetitionId);
        options.Schema.For<LoanStore>().DocumentAlias("loan_kit");
        options.Schema.For<PassRecord>().DocumentAlias("pass").Index(p => p.Hash).Index(p => p.TournamentId!);
        options.Schema.For<KeptAnswer>().DocumentAlias("kept_answer");
        options.Schema.For<OrganiserRecord>().DocumentAlias("organiser").SingleTenanted();
    }

    /// <summary>
    /// Settings that the formula did not have from the beginning are stored only where they are not at their default, so
    /// that what was stored before keeps its form: what is absent is the default.
    /// </summary>
    private static void LeaveOutLaterDefaults(JsonTypeInfo type)
    {
        if (type.Type == typeof(PoolFormula))
        {
            foreach (var setting in type.Properties.Where(p => p.PropertyType == typeof(TiesAtCut) || p.PropertyType == typeof(SeedingBy)))
            {
                setting.ShouldSerialize = (_, value) => value is not (TiesAtCut.Lot or SeedingBy.LastRound);
            }
        }
    }
}
