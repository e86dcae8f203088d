using System.Collections.Immutable;
using BoutDesk.Domain.Pools;
using BoutDesk.Domain.Seeding;

namespace BoutDesk.Domain.Tests.Pools;

/// <summary>How the fencers of a generated field are distributed over clubs and countries.</summary>
public enum FieldShape
{
    /// <summary>Clubs of about the same size.</summary>
    EvenClubs,

    /// <summary>A few large clubs and many small ones.</summary>
    LargeClubs,

    /// <summary>One club, the host, has about a third of the field.</summary>
    HostClub,

    /// <summary>One level, and no affiliation may enter more than a fifteenth of the field, or twice its even share.</summary>
    CappedCountries,

    /// <summary>Clubs, each lying in one country.</summary>
    NestedCountries,

    /// <summary>Clubs and countries, where one fencer in seven has another country than his club.</summary>
    MixedCountries,
}

/// <summary>
/// A field drawn from a seed. Clubs have a strength of their own, so that members of one club come close together in
/// the seeding, as they do in life, and collide often.
/// </summary>
public sealed record GeneratedField(FieldShape Shape, int Size, int PoolSize, long Seed)
{
    public int PoolCount => PoolPlan.ForSize(Size, PoolSize).PoolCount;

    public bool HasCountries => Shape is FieldShape.NestedCountries or FieldShape.MixedCountries;

    /// <summary>True if the theory promises the least pairs for all levels at once.</summary>
    public bool IsNested => Shape != FieldShape.MixedCountries;

    public ImmutableArray<PoolFencer> Fencers()
    {
        var lots = new DrawSeed(Seed).Lots();
        var clubCount = Math.Max(3, Size / (4 + lots.Below(4)));
        var countryCount = Math.Max(2, clubCount / 4);
        int[] strength = [.. Enumerable.Range(0, clubCount).Select(_ => lots.Below(1000))];
        int[] country = [.. Enumerable.Range(0, clubCount).Select(_ => Pick(lots, countryCount, c => 1000 / (c + 1)))];
        var members = new int[clubCount];
        var drawn = new List<(int Strength, int Club, int Country)>();
        for (var i = 0; i < Size; i++)
        {
            var club = Pick(lots, clubCount, c => Weight(c, clubCount, members[c]));
            members[club]++;
            var from = Shape == FieldShape.MixedCountries && lots.Below(7) == 0 ? lots.Below(countryCount) : country[club];
            drawn.Add((strength[club] + lots.Below(1500), club, from));
        }
        return [.. drawn.OrderByDescending(f => f.Strength).Select((f, i) => new PoolFencer($"F{i + 1}", Affiliations(f.Club, f.Country)))];
    }

    public override string ToString() => $"{Shape}, {Size} fencers, pools of {PoolSize}, seed {Seed}";

    private ImmutableArray<string?> Affiliations(int club, int country) =>
        HasCountries ? [$"Club {club}", $"Country {country}"] : [$"Club {club}"];

    private int Weight(int club, int clubCount, int members) => Shape switch
    {
        FieldShape.LargeClubs => 10_000 / (club + 1),
        FieldShape.HostClub => club == 0 ? 50 * clubCount : 100,
        FieldShape.CappedCountries => members < Math.Max(Size / 15, 2 * Size / clubCount) ? 10_000 / (club + 3) : 0,
        FieldShape.NestedCountries or FieldShape.MixedCountries => 10_000 / (club + 3),
        _ => 1,
    };

    private static int Pick(LotSequence lots, int count, Func<int, int> weight)
    {
        var drawn = lots.Below(Enumerable.Range(0, count).Sum(weight));
        var picked = 0;
        while (drawn >= weight(picked))
        {
            drawn -= weight(picked);
            picked++;
        }
        return picked;
    }
}
