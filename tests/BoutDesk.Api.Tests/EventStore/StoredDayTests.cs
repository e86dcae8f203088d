using System.Text.Json.Nodes;
using BoutDesk.Api.EventStore;
using JasperFx.Events.Projections;
using Marten;
using Microsoft.Extensions.DependencyInjection;
using Xunit;

namespace BoutDesk.Api.Tests.EventStore;

/// <summary>What is in the database after a day.</summary>
public class StoredDayTests : IClassFixture<StoredDay>
{
    private readonly DeskHost host;
    private readonly StoredDay day;

    public StoredDayTests(StoredDay day) => (this.day, host) = (day, day.Host);

    [Fact]
    public async Task Every_kind_of_event_was_stored_on_the_day()
    {
        var stored = (await host.RowsAsync("select distinct type from boutdesk.mt_events")).Select(r => (string)r[0]);
        Assert.Empty(EventNames.All.Values.Except(stored));
    }

    [Fact]
    public async Task The_states_are_what_their_events_amount_to()
    {
        await host.StatesFollowFromTheEventsAsync();
    }

    [Fact]
    public async Task States_built_anew_from_the_events_are_the_same()
    {
        var before = await host.StatesAsync();
        var table = await host.Desk.ListAsync($"/api/competitions/{day.Competition}/classification");
        var store = host.Services.GetRequiredService<IDocumentStore>();

        using (var daemon = await store.BuildProjectionDaemonAsync())
        {
            foreach (var projection in new ProjectionBase[] { new TournamentProjection(), new CompetitionProjection(), new BoutProjection(), new EquipmentProjection(), new LoanProjection() })
            {
                await daemon.RebuildProjectionAsync(projection.Name, CancellationToken.None);
            }
        }

        Assert.Equal(before.OrderBy(s => s.Key, StringComparer.Ordinal), (await host.StatesAsync()).OrderBy(s => s.Key, StringComparer.Ordinal));
        Assert.True(table.Zip(await host.Desk.ListAsync($"/api/competitions/{day.Competition}/classification"), JsonNode.DeepEquals).All(same => same));
        // And the day can go on from there.
        var (final, etag) = await host.Desk.ReadAsync($"/api/bouts/{(await host.Desk.TableAsync(day.Competition, 2))[0].Id()}");
        var corrected = await host.Desk.AskResultAsync(final.Id(), final["score"].Number("right"), final["score"].Number("left"), etag, "exchanged");
        Assert.True(corrected.Status == 200, corrected.ToString());
    }

    [Fact]
    public async Task Everything_belongs_to_the_organiser()
    {
        var tables = await host.RowsAsync(
            "select table_name, bool_or(column_name = 'tenant_id') from information_schema.columns where table_schema = 'boutdesk' group by table_name");
        // The dead letters are the daemon's own: what it could not hand on. The feed takes everything. The list of organisers
        // belongs to none of them.
        var ours = tables.Where(t => ((string)t[0]).StartsWith("mt_doc_", StringComparison.Ordinal) || (string)t[0] is "mt_events" or "mt_streams")
            .Where(t => (string)t[0] is not ("mt_doc_deadletterevent" or "mt_doc_organiser")).ToArray();
        Assert.True(ours.Length >= 8, $"Only {ours.Length} tables.");
        Assert.All(ours, t => Assert.True((bool)t[1], $"{t[0]} is not divided by organiser."));
        foreach (var table in tables.Where(t => (bool)t[1]).Select(t => (string)t[0]))
        {
            var tenants = (await host.RowsAsync($"select distinct tenant_id from boutdesk.{table}")).Select(r => (string)r[0]);
            Assert.All(tenants, tenant => Assert.True(tenant == "home", $"{table} has rows of {tenant}."));
        }

        Assert.Empty(await host.RowsAsync("select 1 from boutdesk.mt_doc_deadletterevent"));
        Assert.NotEmpty(await host.RowsAsync("select 1 from boutdesk.mt_doc_kept_answer"));
        Assert.NotEmpty(await host.RowsAsync("select 1 from boutdesk.mt_doc_pass"));
    }

    [Fact]
    public async Task Events_are_found_by_their_stored_names_whatever_their_types_were_called_when_they_were_stored()
    {
        var bout = (await host.Desk.TableAsync(day.Competition, 2))[0].Id();
        var before = await host.Desk.ListAsync($"/api/bouts/{bout}/history");
        Assert.Equal("bout-programmed", before[0].Text("what"));

        await host.RowsAsync($"update boutdesk.mt_events set mt_dotnet_type = 'BoutDesk.Old.' || type || ', BoutDesk.Old' where stream_id = '{bout}' returning 1");

        var after = await host.Desk.ListAsync($"/api/bouts/{bout}/history");
        Assert.True(before.Zip(after, JsonNode.DeepEquals).All(same => same));
        Assert.Equal(before.Count, after.Count);
    }
}
