using System.Text.Json;

namespace BoutDesk.Domain.Tests.TestData;

/// <summary>Results printed by others; see the README beside the files.</summary>
internal static class PublishedData
{
    private static readonly JsonSerializerOptions Json = new(JsonSerializerDefaults.Web);

    public static IReadOnlyList<PublishedPool> Pools { get; } = Read<PublishedPool>("published-pools.json");

    public static IReadOnlyList<PublishedTable> Tables { get; } = Read<PublishedTable>("published-tables.json");

    private static T[] Read<T>(string file) =>
        JsonSerializer.Deserialize<T[]>(File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "TestData", file)), Json)!;
}

internal sealed record PublishedPool(string Id, string Source, string Event, int Fencers, PublishedPoolBout[] Bouts, PrintedColumns Printed);

internal sealed record PublishedPoolBout(int Left, int Right, int LeftTouches, int RightTouches);

internal sealed record PrintedColumns(int[] Victories, int[] Defeats, int[] TouchesScored, int[] TouchesReceived, int[] Place);

internal sealed record PublishedTable(
    string Id, string Source, string Event, int Size, int[][] FirstRound, PublishedTableBout[] Bouts, Dictionary<int, int> SeedByPlace);

internal sealed record PublishedTableBout(string Round, int Left, int LeftTouches, int Right, int? RightTouches)
{
    /// <summary>The seed that won; where the loser's touches could not be read, the touches are the winner's 45.</summary>
    public int Winner => RightTouches is null || LeftTouches > RightTouches ? Left : Right;
}
