using JasperFx.Events.Projections;
using BoutDesk.Api.EventStore;
using Marten;
using Microsoft.Extensions.DependencyInjection;
using Xunit;

namespace BoutDesk.Api.Tests.EventStore;

/// <summary>The same history gives the same answers, byte by byte, whoever has worked them out and when.</summary>
public class SameHistoryTests(StoredDay day) : IClassFixture<StoredDay>
{
    [Fact]
    public async Task Every_read_is_the_same_after_all_states_were_built_anew_from_the_events()
    {
        var before = await AllReads.OfAsync(day.Host);
        Assert.True(before.Count > 150, $"Only {before.Count} reads.");
        // A state that is wrong, so that one left as it was would be noticed.
        await day.Host.RowsAsync("update boutdesk.mt_doc_bout set data = data || '{\"order\": 77}' returning 1");
        Assert.NotEmpty(AllReads.Differences(before, await AllReads.OfAsync(day.Host)));

        var store = day.Host.Services.GetRequiredService<IDocumentStore>();
        using (var daemon = await store.BuildProjectionDaemonAsync())
        {
            foreach (var projection in new ProjectionBase[] { new TournamentProjection(), new CompetitionProjection(), new BoutProjection(), new EquipmentProjection(), new LoanProjection() })
            {
                await daemon.RebuildProjectionAsync(projection.Name, CancellationToken.None);
            }
        }

        Assert.Empty(AllReads.Differences(before, await AllReads.OfAsync(day.Host)));
    }

    [Fact]
    public async Task Every_read_is_the_same_at_another_node()
    {
        var here = await AllReads.OfAsync(day.Host);
        await using var other = await DeskHost.StartOnAsync(day.Host.ConnectionString);
        Assert.Empty(AllReads.Differences(here, await AllReads.OfAsync(other)));
    }
}
