using BoutDesk.Api.Tests.Contract;

namespace BoutDesk.Api.Tests.EventStore;

/// <summary>Every read that the OpenAPI document names, of everything there is, as the desk gets it: status, entity tag and bytes by address.</summary>
internal static class AllReads
{
    /// <summary>Reads that tell the time, or what follows from it: they change though nothing happens.</summary>
    private static readonly string[] ByTheClock = ["getTimetable", "getCallingOrder", "getEquipmentTable"];

    public static async Task<SortedDictionary<string, string>> OfAsync(DeskHost host)
    {
        var named = await NamedAsync(host);
        var reads = new SortedDictionary<string, string>(StringComparer.Ordinal);
        foreach (var operation in (await ApiDocument.ReadAsync(host.Public)).Operations.Where(o => o.Method == HttpMethod.Get && !o.IsStream && !ByTheClock.Contains(o.Id)))
        {
            var addresses = operation.PathParameters.Aggregate<string, IEnumerable<string>>(
                [operation.Path], (paths, name) => paths.SelectMany(path => named[name].Select(value => path.Replace($"{{{name}}}", value))));
            foreach (var address in addresses)
            {
                using var answer = await host.Desk.GetAsync(address);
                var body = Convert.ToBase64String(await answer.Content.ReadAsByteArrayAsync());
                reads[address] = $"{answer.StatusCode} {answer.Headers.ETag} {body}";
            }
        }

        return reads;
    }

    /// <summary>What differs, address by address.</summary>
    public static IEnumerable<string> Differences(SortedDictionary<string, string> before, SortedDictionary<string, string> after) =>
        before.Keys.Union(after.Keys).Where(address => before.GetValueOrDefault(address) != after.GetValueOrDefault(address));

    private static async Task<Dictionary<string, string[]>> NamedAsync(DeskHost host)
    {
        var competitions = await IdsAsync("select id from boutdesk.mt_doc_competition");
        var entrants = new List<string>();
        foreach (var competition in competitions)
        {
            entrants.AddRange((await host.Desk.ListAsync($"/api/competitions/{competition}/entrants")).Select(e => e.Id()));
        }

        return new Dictionary<string, string[]>
        {
            ["tournamentId"] = await IdsAsync("select id from boutdesk.mt_doc_tournament"),
            ["competitionId"] = competitions,
            ["entrantId"] = [.. entrants],
            ["boutId"] = await IdsAsync("select id from boutdesk.mt_doc_bout"),
            ["poolId"] = await IdsAsync("select distinct data->>'poolId' from boutdesk.mt_doc_bout where data ? 'poolId'"),
            ["itemId"] = await IdsAsync("select id || '-k1' from boutdesk.mt_doc_tournament union select id || '-k2' from boutdesk.mt_doc_tournament"),
            ["refereeId"] = await IdsAsync("select id || '-r1' from boutdesk.mt_doc_tournament"),
            ["round"] = ["1", "2"],
        };

        async Task<string[]> IdsAsync(string query) => [.. (await host.RowsAsync(query)).Select(row => (string)row[0])];
    }
}
