using System.Security.Cryptography;
using System.Text;
using System.Text.Json;

namespace BoutDesk.Api.Http;

/// <summary>
/// The answer to a request with an Idempotency-Key, kept in the same transaction as what the request did, so that a
/// repeat gets it again even after a restart.
/// </summary>
internal sealed record KeptAnswer
{
    /// <summary>A hash of the key.</summary>
    public required string Id { get; init; }

    /// <summary>A hash of the request: another request with the same key is refused.</summary>
    public required string Request { get; init; }

    public required int Status { get; init; }

    public string? Location { get; init; }

    public string? ETag { get; init; }

    /// <summary>The tournament that the request was about, or null when its address named none.</summary>
    public string? Tournament { get; init; }

    /// <summary>
    /// The body, encrypted under the client's key, since it can hold a pass; empty once it was forgotten, because data of a
    /// person were erased, who may be in it.
    /// </summary>
    public required byte[] Body { get; init; }

    public required DateTimeOffset At { get; init; }

    /// <summary>How far the events of the store had got by then, or a little less. 0 for those kept before it was noted.</summary>
    public long Position { get; init; }
}

/// <summary>An Idempotency-Key with the request it came with.</summary>
internal sealed class RepeatKey
{
    private readonly byte[] secret;

    public RepeatKey(string key, string request)
    {
        Id = Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes("key:" + key)));
        Request = request;
        secret = HKDF.DeriveKey(HashAlgorithmName.SHA256, Encoding.UTF8.GetBytes(key), 32, info: "BoutDesk kept answer"u8.ToArray());
    }

    public string Id { get; }

    public string Request { get; }

    public KeptAnswer Keep(Answer answer, string? tournament, DateTimeOffset at, long position)
    {
        var plain = answer.Json;
        var nonce = RandomNumberGenerator.GetBytes(AesGcm.NonceByteSizes.MaxSize);
        var tag = new byte[AesGcm.TagByteSizes.MaxSize];
        var cipher = new byte[plain.Length];
        using var aes = new AesGcm(secret, tag.Length);
        aes.Encrypt(nonce, plain, cipher, tag);
        return new KeptAnswer
        {
            Id = Id,
            Request = Request,
            Status = answer.Status,
            Location = answer.Location,
            ETag = answer.ETag,
            Tournament = tournament,
            Body = [.. nonce, .. tag, .. cipher],
            At = at,
            Position = position,
        };
    }

    public byte[] Open(KeptAnswer kept)
    {
        var (nonceLength, tagLength) = (AesGcm.NonceByteSizes.MaxSize, AesGcm.TagByteSizes.MaxSize);
        var plain = new byte[kept.Body.Length - nonceLength - tagLength];
        using var aes = new AesGcm(secret, tagLength);
        aes.Decrypt(
            kept.Body.AsSpan(0, nonceLength),
            kept.Body.AsSpan(nonceLength + tagLength),
            kept.Body.AsSpan(nonceLength, tagLength),
            plain);
        return plain;
    }
}

/// <summary>What a command answers with when it succeeds.</summary>
/// <param name="Status">200, 201 or 204.</param>
/// <param name="Body">The body, or null.</param>
internal sealed record Answer(int Status, object? Body)
{
    private byte[]? json;

    /// <summary>The body, or null.</summary>
    public object? Body
    {
        get;
        init
        {
            field = value;
            json = null;
        }
    } = Body;

    /// <summary>
    /// The body as it is sent, made once for the client, its entity tag and a repeat: sentences are in the language of the
    /// request that asks for it first.
    /// </summary>
    public byte[] Json => json ??= JsonSerializer.SerializeToUtf8Bytes(Body, JsonSetup.Options);

    public string? Location { get; init; }

    public string? ETag { get; init; }

    public static Answer Ok(object body) => new(StatusCodes.Status200OK, body);

    public static Answer Created(string location, object body) => new(StatusCodes.Status201Created, body) { Location = location };

    /// <summary>The same answer with the ETag that a read would give; what has no history has no version in it.</summary>
    public Answer WithVersion(int? version = null) => this with { ETag = ETags.Of(Json, version) };
}
