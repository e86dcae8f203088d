using System.Net.Http.Headers;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Passes;
using BoutDesk.Domain.Tournaments;
using Marten;

namespace BoutDesk.Api.Demo;

/// <summary>Loads the demo tournament into an empty store once the service listens.</summary>
internal static class DemoLoader
{
    private const string PassId = "desk-demo";

    public static void LoadDemoOnceStarted(this WebApplication app) =>
        app.Lifetime.ApplicationStarted.Register(() => _ = Task.Run(() => LoadAsync(app)));

    private static async Task LoadAsync(WebApplication app)
    {
        var address = new UriBuilder(app.Urls.First().Replace("//*", "//localhost", StringComparison.Ordinal).Replace("//+", "//localhost", StringComparison.Ordinal));
        if (address.Host is "0.0.0.0" or "[::]")
        {
            address.Host = "localhost";
        }

        var organiser = app.Services.GetRequiredKeyedService<Organiser>(Organiser.Home);
        await using (var session = organiser.Read())
        {
            if (await session.Query<Tournament>().AnyAsync())
            {
                await Console.Out.WriteLineAsync($"Demo: the store has a tournament already, so nothing is loaded. Look around at {address.Uri}");
                return;
            }
        }

        try
        {
            var pass = await GivePassAsync(organiser);
            using var http = new HttpClient { BaseAddress = address.Uri };
            http.DefaultRequestHeaders.Authorization = new AuthenticationHeaderValue("Bearer", pass);
            var today = DateOnly.FromDateTime(app.Services.GetRequiredService<TimeProvider>().GetLocalNow().DateTime);
            var (id, pad, armourer) = await new DemoTournament(http, line => Console.Out.WriteLine($"Demo: {line}")).LoadAsync(today);
            await Console.Out.WriteLineAsync($"""

                Demo: the Harbour Lights Cup is loaded. Click through it:
                  the board, live   {address.Uri}
                  the desk          {address.Uri}desk
                  a referee's pad   {pad}
                  the armourer      {armourer}
                  the API           {address.Uri}openapi
                  its feed          {address.Uri}api/tournaments/{id}/feed

                """);
        }
        catch (Exception failure) when (failure is HttpRequestException or InvalidOperationException)
        {
            await Console.Error.WriteLineAsync($"Demo: loading stopped half-way. {failure.Message} To begin again, stop the service and start it on another BoutDesk:DataFolder.");
        }
        finally
        {
            await using var session = organiser.Write(PassId);
            session.Delete<PassRecord>(PassId);
            await session.SaveChangesAsync();
        }
    }

    private static async Task<string> GivePassAsync(Organiser organiser)
    {
        var pass = PassRecord.NewPass();
        await using var session = organiser.Write(PassId);
        var now = DateTimeOffset.UtcNow;
        session.Store(PassRecord.Desk(PassId, pass, "demo", now) with { ExpiresAt = now.AddMinutes(10) });
        await session.SaveChangesAsync();
        return pass;
    }
}
