using BoutDesk.Api.Board;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Passes;
using Marten;
using static BoutDesk.Api.Pages.Texts;

namespace BoutDesk.Api.Desk;

/// <summary>A pass given out, in words.</summary>
/// <param name="Id">The identifier, by which it is revoked.</param>
/// <param name="Kind">Whose it is.</param>
/// <param name="For">The pools, strips and bouts that it names.</param>
/// <param name="IssuedAt">When it was given out.</param>
/// <param name="Ends">When it ends, or null.</param>
/// <param name="Over">Why it is of no use any more, or null.</param>
public sealed record PassLine(string Id, string Kind, string For, DateTimeOffset IssuedAt, DateTimeOffset? Ends, string? Over)
{
    /// <summary>The passes of a tournament, newest first.</summary>
    internal static async Task<IReadOnlyList<PassLine>> OfAsync(Organiser organiser, TournamentState state, DateTimeOffset now)
    {
        await using var session = organiser.Read();
        var passes = await session.Query<PassRecord>().Where(p => p.TournamentId == state.Tournament.Id).ToListAsync();
        return [.. passes.OrderByDescending(p => p.IssuedAt).Select(p => Of(p, state, now))];
    }

    private static PassLine Of(PassRecord pass, TournamentState state, DateTimeOffset now)
    {
        var strips = state.Tournament.Strips.ToDictionary(s => s.Id, s => s.Name);
        var named = pass.Pools.Select(Pool)
            .Concat(pass.Strips.Select(id => strips.GetValueOrDefault(id, id)))
            .Concat(pass.Bouts.IsEmpty ? [] : [N(pass.Bouts.Length, "{0} bout", "{0} bouts")]);
        return new PassLine(
            pass.Id,
            pass.Kind switch
            {
                PassKind.Desk => T("Desk"),
                PassKind.Armourer => T("Armourer"),
                _ => T("Referee"),
            },
            string.Join(", ", named),
            pass.IssuedAt,
            pass.ExpiresAt,
            pass.RevokedAt is not null ? T("revoked") : pass.ExpiresAt <= now ? T("ended") : null);

        string Pool(string id) => state.Competitions.Select(c => (c.Competition, Found: c.Competition.Pool(id))).FirstOrDefault(f => f.Found is not null) is { Found: { } found } of
            ? $"{of.Competition.Name}, {T("Pool {0}", found.Pool.Number)}"
            : T("a pool of a scrapped draw");
    }
}
