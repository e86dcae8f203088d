using System.IO.Compression;
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
        var gate = shared.Host.Services.GetRequiredService<CommandGate>();
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
                refused += log is null || await log.KeepAsync(organiser, gate) is not null ? 1 : 0;
            }
        }

        Assert.InRange(refused, 1, 2 * archive.Length);
    }

    /// <summary>A letter that became another leaves a log that can be read as well as before.</summary>
    [Fact]
    public async Task It_is_refused_when_any_byte_of_the_log_is_not_what_it_was_also_when_the_log_can_still_be_read()
    {
        var tournament = await shared.Host.Desk.TournamentAsync();
        await shared.Host.Desk.CompetitionAsync(3, tournamentId: tournament);
        var options = shared.Host.Services.GetRequiredService<IDocumentStore>().Options;
        await using var session = shared.Host.Services.GetRequiredService<Organiser>().Read();
        var text = await EventLog.WriteAsync(session, options.Serializer(), tournament, CancellationToken.None);
        using var packed = new MemoryStream();
        await using (var zip = new ZipArchive(packed, ZipArchiveMode.Create, leaveOpen: true))
        {
            await using var entry = await zip.CreateEntry(EventLog.FileName, CompressionLevel.NoCompression).OpenAsync();
            await entry.WriteAsync(text);
        }

        var archive = packed.ToArray();
        var begin = archive.AsSpan().IndexOf(text);
        Assert.True(begin > 0);
        Assert.NotNull((await EventLog.ReadAsync(new MemoryStream(archive), options, CancellationToken.None)).Log);
        for (var at = begin; at < begin + text.Length; at++)
        {
            archive[at] ^= 0x01;
            var (log, problem) = await EventLog.ReadAsync(new MemoryStream(archive), options, CancellationToken.None);
            Assert.True(log is null && problem is not null, $"Byte {at - begin} of the log was changed.");
            archive[at] ^= 0x01;
        }
    }
}
