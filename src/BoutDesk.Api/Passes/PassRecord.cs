using System.Buffers.Text;
using System.Collections.Immutable;
using System.Security.Cryptography;
using System.Text;
using BoutDesk.Domain;
using BoutDesk.Domain.Bouts;

namespace BoutDesk.Api.Passes;

/// <summary>What a pass is for.</summary>
internal enum PassKind
{
    /// <summary>The desk: everything.</summary>
    Desk,

    /// <summary>The armourer: equipment checks.</summary>
    Armourer,

    /// <summary>A referee: the bouts of the pools, strips and bouts named.</summary>
    Referee,
}

/// <summary>A pass as it is kept: never the pass itself, only its hash.</summary>
internal sealed record PassRecord
{
    /// <summary>The identifier of an organiser's first desk pass.</summary>
    public const string FirstDesk = "desk-first";

    /// <summary>A desk pass for all tournaments of an organiser.</summary>
    /// <param name="id">Its identifier.</param>
    /// <param name="pass">The pass itself, of which only the hash is kept.</param>
    /// <param name="by">Who gives it.</param>
    /// <param name="at">When.</param>
    public static PassRecord Desk(string id, string pass, string by, DateTimeOffset at) =>
        new() { Id = id, Hash = HashOf(pass), Kind = PassKind.Desk, IssuedAt = at, IssuedBy = by };

    public required string Id { get; init; }

    public required string Hash { get; init; }

    public required PassKind Kind { get; init; }

    /// <summary>The tournament it is for, or null for all of the organiser.</summary>
    public string? TournamentId { get; init; }

    public ImmutableArray<string> Pools { get; init; } = [];

    public ImmutableArray<string> Strips { get; init; } = [];

    public ImmutableArray<string> Bouts { get; init; } = [];

    public DateTimeOffset? ExpiresAt { get; init; }

    public DateTimeOffset? RevokedAt { get; init; }

    public required DateTimeOffset IssuedAt { get; init; }

    public required string IssuedBy { get; init; }

    /// <summary>Whether it may score this bout.</summary>
    public bool Covers(Bout bout) => Kind switch
    {
        PassKind.Desk => true,
        PassKind.Referee => Bouts.Contains(bout.Id)
            || (bout.PoolId is { } pool && Pools.Contains(pool))
            || (bout.StripId is { } strip && Strips.Contains(strip)),
        _ => false,
    };

    /// <summary>Whether it is for the tournament that the identifier belongs to.</summary>
    public bool IsFor(string id) => TournamentId is null || TournamentId == Identifiers.TournamentOf(id);

    /// <summary>A new pass of 192 random bits, to be shown once.</summary>
    public static string NewPass() => Base64Url.EncodeToString(RandomNumberGenerator.GetBytes(24));

    /// <summary>
    /// The hash under which a pass is kept. A pass made here is random enough for a plain hash; one chosen by hand in
    /// the configuration is as good as its choice.
    /// </summary>
    public static string HashOf(string pass) => Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(pass)));
}
