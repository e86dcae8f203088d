using System.Globalization;
using System.Net.Http.Json;
using System.Text.Json.Nodes;
using Npgsql;

namespace BoutDesk.Faults;

/// <summary>Compares what phones were told with what the store holds, and that with what the service answers.</summary>
/// <remarks>It folds the stored events by itself, without a line of the service or of its domain.</remarks>
internal static class Reckoning
{
    private static readonly string[] Kinds = ["touch-scored", "touch-taken-back", "card-shown", "result-recorded"];

    /// <summary>Everything that is wrong, a line for each.</summary>
    public static async Task<(List<string> Wrong, int Standings)> ReckonAsync(
        string connectionString, HttpClient desk, Stage stage, IReadOnlyDictionary<string, List<Happening>> done, IReadOnlyList<Follower> followers)
    {
        var stored = await StoredAsync(connectionString);
        var wrong = new List<string>();
        foreach (var bout in stage.Pools.SelectMany(p => p.Bouts))
        {
            var (acknowledged, kept) = (done.GetValueOrDefault(bout.Id, []), stored.GetValueOrDefault(bout.Id, []));
            if (!acknowledged.SequenceEqual(kept))
            {
                wrong.Add($"{bout.Id}: lost {Told(Less(acknowledged, kept))}; doubled or invented {Told(Less(kept, acknowledged))}; kept in the order {Told(kept)}");
            }

            wrong.AddRange(followers
                .Where(f => !f.Told.GetValueOrDefault(bout.Id, []).Where(Kinds.Contains).SequenceEqual(kept.Select(k => k.What)))
                .Select(f => $"{bout.Id}: a follower was told {string.Join(", ", f.Told.GetValueOrDefault(bout.Id, []))}, of {Told(kept)}"));
        }

        wrong.AddRange(followers.Where(f => f.OutOfOrder > 0).Select(f => $"A follower was told {f.OutOfOrder} items again or out of order."));
        foreach (var pool in stage.Pools)
        {
            var answer = (await desk.GetFromJsonAsync<JsonObject>(new Uri($"/api/pools/{pool.Id}", UriKind.Relative)))!;
            var positions = answer["fencers"]!.AsArray().ToDictionary(f => f!["entrantId"]!.GetValue<string>(), f => f!["position"]!.GetValue<int>());
            var told = answer["standings"]!.AsArray().Select(s => Line(positions[s!["entrantId"]!.GetValue<string>()], s)).Order(StringComparer.Ordinal).ToArray();
            var own = Standings(positions.Count, pool.Bouts, stored).Order(StringComparer.Ordinal).ToArray();
            if (!told.SequenceEqual(own))
            {
                wrong.Add($"{pool.Id}: by its events\n  {string.Join("\n  ", own)}\nthe service answers\n  {string.Join("\n  ", told)}");
            }
        }

        return (wrong, stage.Pools.Count);
    }

    private static string Line(int position, JsonNode s) =>
        $"{position}: {s["victories"]} of {s["bouts"]}, {s["touchesScored"]} - {s["touchesReceived"]}, place {s["place"]}";

    /// <summary>Victories to bouts, then indicator, then touches scored; equal in all is tied.</summary>
    private static IEnumerable<string> Standings(int fencers, IEnumerable<PoolBout> bouts, Dictionary<string, List<Happening>> stored)
    {
        var rows = Enumerable.Range(1, fencers).ToDictionary(position => position, _ => (Victories: 0, Bouts: 0, Scored: 0, Received: 0));
        foreach (var bout in bouts)
        {
            if (stored.GetValueOrDefault(bout.Id)?.LastOrDefault(h => h.What == "result-recorded") is null)
            {
                continue;
            }

            var touches = new List<string>();
            foreach (var happening in stored[bout.Id])
            {
                switch (happening.What)
                {
                    case "touch-scored":
                        touches.Add(happening.Detail.Split(' ')[0]);
                        break;
                    case "touch-taken-back":
                        touches.RemoveAt(touches.Count - 1);
                        break;
                }
            }

            var left = touches.Count(t => t == "left");
            var right = touches.Count - left;
            Add(bout.Left, left, right);
            Add(bout.Right, right, left);
        }

        return rows.Select(row => string.Create(
            CultureInfo.InvariantCulture,
            $"{row.Key}: {row.Value.Victories} of {row.Value.Bouts}, {row.Value.Scored} - {row.Value.Received}, place {1 + rows.Values.Count(other => Before(other, row.Value))}"));

        void Add(int position, int scored, int received)
        {
            var row = rows[position];
            rows[position] = (row.Victories + (scored > received ? 1 : 0), row.Bouts + 1, row.Scored + scored, row.Received + received);
        }

        static bool Before((int Victories, int Bouts, int Scored, int Received) one, (int Victories, int Bouts, int Scored, int Received) other)
        {
            // Without a bout the ratio is nought.
            var ratio = (one.Victories * Math.Max(1, other.Bouts)).CompareTo(other.Victories * Math.Max(1, one.Bouts));
            var indicator = (one.Scored - one.Received).CompareTo(other.Scored - other.Received);
            return (ratio, indicator, one.Scored.CompareTo(other.Scored)) switch
            {
                ( > 0, _, _) => true,
                (0, > 0, _) => true,
                (0, 0, > 0) => true,
                _ => false,
            };
        }
    }

    private static async Task<Dictionary<string, List<Happening>>> StoredAsync(string connectionString)
    {
        var stored = new Dictionary<string, List<Happening>>();
        await using var connection = new NpgsqlConnection(connectionString);
        await connection.OpenAsync();
        await using var read = new NpgsqlCommand("select stream_id, type, data::text from boutdesk.mt_events where type = any($1) order by stream_id, version", connection);
        read.Parameters.Add(new NpgsqlParameter { Value = Kinds });
        await using var rows = await read.ExecuteReaderAsync();
        while (await rows.ReadAsync())
        {
            var (bout, what, data) = (rows.GetString(0), rows.GetString(1), JsonNode.Parse(rows.GetString(2))!);
            if (!stored.TryGetValue(bout, out var list))
            {
                stored[bout] = list = [];
            }

            list.Add(new Happening(what, what switch
            {
                "touch-scored" => $"{data["side"]!.GetValue<string>().ToLowerInvariant()} {data["at"]!.GetValue<DateTimeOffset>():O}",
                "card-shown" => data["reason"]!.GetValue<string>(),
                "result-recorded" => $"{data["score"]!["left"]}:{data["score"]!["right"]} {data["winner"]!.GetValue<string>().ToLowerInvariant()}",
                _ => "",
            }));
        }

        return stored;
    }

    private static List<Happening> Less(IEnumerable<Happening> these, IEnumerable<Happening> those)
    {
        var left = these.ToList();
        foreach (var one in those)
        {
            left.Remove(one);
        }

        return left;
    }

    private static string Told(List<Happening> happenings) =>
        happenings.Count == 0 ? "nothing" : string.Join(", ", happenings.Select(h => $"{h.What} {h.Detail}".TrimEnd()));
}
