namespace BoutDesk.Domain.Standings;

/// <summary>
/// How much may be searched for the places of a round. It is counted in sets of fencers looked at, not in time, so that the
/// same round has the same answer on every machine.
/// </summary>
internal sealed class SearchEffort
{
    /// <summary>To look at a few sets takes about as long as to look at so many.</summary>
    private const int Least = 256;

    private const int OfQuestion = 1 << 23;
    private const int OfRound = 1 << 26;

    private int spentInAll;

    /// <summary>What the question in hand has cost.</summary>
    public int Spent { get; private set; }

    /// <summary>True when the question, or the round, has had its share: what is not known by now is not looked for.</summary>
    public bool IsSpent => Spent > OfQuestion || spentInAll > OfRound;

    /// <summary>Begins with another question.</summary>
    public void Begin() => Spent = 0;

    /// <summary>Counts sets of fencers.</summary>
    public void Spend(int sets)
    {
        Spent += Least + sets;
        spentInAll += Least + sets;
    }
}
