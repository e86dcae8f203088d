namespace BoutDesk.Domain.Pools;

internal static class ComputedBoutOrders
{
    public const string Digits = "123456789ABC";
    public static readonly IReadOnlyDictionary<string, string> OneStrip = new Dictionary<string, string>();
    public static readonly IReadOnlyDictionary<string, string> TwoStrips = new Dictionary<string, string>();
}
