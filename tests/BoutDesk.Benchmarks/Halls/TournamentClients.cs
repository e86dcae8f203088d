using BoutDesk.Benchmarks.Ratios;

namespace BoutDesk.Benchmarks.Halls;

/// <summary>Those who are connected to a service for one tournament: the phones at its strips, and who reads.</summary>
internal sealed class TournamentClients : IDisposable
{
    private TournamentClients(string tournamentId, IReadOnlyList<StripPhone> phones, Reader reader)
    {
        TournamentId = tournamentId;
        Phones = phones;
        Reader = reader;
    }

    public string TournamentId { get; }

    public IReadOnlyList<StripPhone> Phones { get; }

    public Reader Reader { get; }

    public static async Task<TournamentClients> ConnectAsync(LoadedTournament tournament, Uri service)
    {
        var phones = new List<StripPhone>();
        foreach (var (_, bouts) in tournament.Pools)
        {
            phones.Add(new StripPhone(await RawConnection.OpenAsync(service), bouts));
        }

        return new TournamentClients(tournament.Id, phones, new Reader(await RawConnection.OpenAsync(service), tournament.Reads));
    }

    /// <summary>Begins to count anew.</summary>
    public void Forget()
    {
        foreach (var phone in Phones)
        {
            phone.Forget();
        }

        Reader.Forget();
    }

    public void Dispose()
    {
        foreach (var phone in Phones)
        {
            phone.Dispose();
        }

        Reader.Dispose();
    }
}
