using System.Net.Http.Json;
using System.Security.Cryptography;
using BoutDesk.Benchmarks.Day;
using Npgsql;

namespace BoutDesk.Benchmarks.Growth;

/// <summary>
/// Fills a store with small tournaments that are over. The first is fenced by requests, from the entry list to the
/// classification; the others are its rows once more, each under an identifier of its own. That is possible since every
/// identifier in an event, a state or a kept answer begins with that of its tournament, and is as random.
/// </summary>
internal sealed class SmallTournaments
{
    private const int Entrants = 6;
    private const int AtOnce = 500;

    // What is not named after its tournament gets a name of its own too: events, passes by their hash, kept answers. Each row is made
    // in a lateral join, since the star of a function's row calls the function once for each column.
    private static readonly string Copy = $$"""
        create temporary table copies as select * from unnest(@copies) with ordinality as c(copy, nth);
        {{Rows("mt_streams")}}
        insert into boutdesk.mt_events
            select r.*
            from (select e, copy from boutdesk.mt_events e, copies where e.stream_id like @original || '%' order by nth, e.seq_id) o,
                lateral jsonb_populate_record(o.e, replace(to_jsonb(o.e)::text, @original, copy)::jsonb
                    || jsonb_build_object('seq_id', nextval('boutdesk.mt_events_sequence'), 'id', gen_random_uuid())) r;
        {{Rows("mt_doc_tournament")}}
        {{Rows("mt_doc_competition")}}
        {{Rows("mt_doc_bout")}}
        insert into boutdesk.mt_doc_pass
            select r.*
            from boutdesk.mt_doc_pass d, copies,
                lateral (select replace(to_jsonb(d)::text, @original, copy)::jsonb as copied) c,
                lateral jsonb_populate_record(d, jsonb_set(copied, '{data,hash}', to_jsonb(encode(sha256((copied ->> 'id')::bytea), 'hex')))) r
            where d.id like @original || '%';
        insert into boutdesk.mt_doc_kept_answer
            select r.*
            from boutdesk.mt_doc_kept_answer d, copies,
                lateral (select encode(sha256((d.id || copy)::bytea), 'hex') as own) o,
                lateral jsonb_populate_record(d, replace(to_jsonb(d)::text, @original, copy)::jsonb
                    || jsonb_build_object('id', own, 'data', replace(d.data::text, @original, copy)::jsonb || jsonb_build_object('id', own))) r
            where @original in (d.data ->> 'tournament', split_part(d.data ->> 'location', '/', 4));
        """;

    private readonly MeasuredStore store;
    private readonly string original;

    private SmallTournaments(MeasuredStore store, string original)
    {
        this.store = store;
        this.original = original;
    }

    /// <summary>Fences the first.</summary>
    /// <param name="desk">A client with the desk pass.</param>
    /// <param name="store">The store of the same service.</param>
    public static async Task<SmallTournaments> FenceFirstAsync(HttpClient desk, MeasuredStore store)
    {
        var day = await CompetitionDay.OpenTournamentAsync(desk);
        await day.RunAsync(Entrants);
        await desk.SendAsync(
            HttpMethod.Post, $"/api/tournaments/{day.TournamentId}/passes", JsonContent.Create(new { kind = "referee", pools = new[] { $"{day.TournamentId}-1-d1p1" } }));
        return new SmallTournaments(store, day.TournamentId);
    }

    /// <summary>Adds so many to it, and waits until the feed has gone through them.</summary>
    /// <param name="count">How many.</param>
    /// <param name="desk">A client of the service as it runs now.</param>
    /// <exception cref="InvalidOperationException">The service does not show the last as it shows the first.</exception>
    public async Task AddAsync(int count, HttpClient desk)
    {
        var copies = new HashSet<string>();
        while (copies.Count < count)
        {
            copies.Add(RandomNumberGenerator.GetString("abcdefghjkmnpqrstuvwxyz023456789", original.Length));
        }

        foreach (var some in copies.Chunk(AtOnce))
        {
            await store.ExecuteAsync(Copy, new NpgsqlParameter<string>("original", original), new NpgsqlParameter<string[]>("copies", some));
        }

        await store.ExecuteAsync("vacuum analyze");
        await store.FollowedUpAsync();
        foreach (var address in new[] { "/api/tournaments/{0}", "/api/competitions/{0}-1/tableau", "/api/competitions/{0}-1/classification", "/api/competitions/{0}-1/pool-rounds/1" })
        {
            var first = await desk.GetStringAsync(new Uri(address.Replace("{0}", original, StringComparison.Ordinal), UriKind.Relative));
            var last = await desk.GetStringAsync(new Uri(address.Replace("{0}", copies.Last(), StringComparison.Ordinal), UriKind.Relative));
            if (first.Replace(original, copies.Last(), StringComparison.Ordinal) != last)
            {
                throw new InvalidOperationException($"{address} is not of {copies.Last()} what it is of {original}: {last}");
            }
        }
    }

    /// <summary>Copies the rows of a table that have nothing of their own but identifiers.</summary>
    private static string Rows(string table) => $"""
        insert into boutdesk.{table}
            select r.*
            from boutdesk.{table} d, copies, lateral jsonb_populate_record(d, replace(to_jsonb(d)::text, @original, copy)::jsonb) r
            where d.id like @original || '%';
        """;
}
