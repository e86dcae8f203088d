using BoutDesk.Api.Archives;
using BoutDesk.Api.EventStore;
using Marten;
using Microsoft.Extensions.DependencyInjection;
using Xunit;

namespace BoutDesk.Api.Tests.Archives;

/// <summary>An archive that has lost its end on its way, or of which any one byte has changed.</summary>
[Collection(OneService.Name)]
public class DamagedArchiveTests(SharedDesk shared)
{
    [Fact]
    public async Task It_is_taken_in_or_refused_with_a_sentence_whatever_is_missing_and_whichever_byte_has_changed()
    {
        var tournament = await shared.Host.Desk.TournamentAsync();
        await shared.Host.Desk.CompetitionAsync(3, tournamentId: tournament);
        var archive = await shared.Host.Desk.GetByteArrayAsync(new Uri($"/api/tournaments/{tournament}/archive", UriKind.Relative));
        var organiser = shared.Host.Services.GetRequiredService<Organiser>();
        var options = shared.Host.Services.GetRequiredService<IDocumentStore>().Options;
        var refused = 0;
        for (var length = 0; length < archive.Length; length++)
        {
            using var file = new MemoryStream(archive[..length]);
            var (log, problem) = await EventLog.ReadAsync(file, options, CancellationToken.None);
            Assert.True(log is null && problem is not null, $"{length} of {archive.Length} bytes were taken for an archive.");
        }

        for (var at = 0; at < archive.Length; at++)
        {
            foreach (var change in new byte[] { 0x01, 0x80 })
            {
                var damaged = archive.ToArray();
                damaged[at] ^= change;
                using var file = new MemoryStream(damaged);
                var (log, problem) = await EventLog.ReadAsync(file, options, CancellationToken.None);
                Assert.True(log is null != problem is null);
                refused += log is null || await log.KeepAsync(organiser) is not null ? 1 : 0;
            }
        }

        Assert.InRange(refused, 1, 2 * archive.Length);
    }
}
