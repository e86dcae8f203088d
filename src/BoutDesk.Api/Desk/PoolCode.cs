namespace BoutDesk.Api.Desk;

/// <summary>The code of a referee on the sheet of a pool.</summary>
/// <param name="Url">The address with the pass.</param>
/// <param name="Picture">The same as a QR code in SVG.</param>
/// <param name="Until">When the pass ends.</param>
public sealed record PoolCode(string Url, string Picture, DateTimeOffset Until)
{
    /// <summary>The address without the pass: where it leads, to be read by anybody.</summary>
    public string Address => Url[..Url.IndexOf('#', StringComparison.Ordinal)];
}
