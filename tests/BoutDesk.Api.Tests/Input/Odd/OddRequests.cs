using System.Globalization;
using System.IO.Compression;
using System.Text;
using System.Text.Json.Nodes;
using System.Web;
using BoutDesk.Api.Tests.Contract;
using FsCheck;
using FsCheck.Fluent;

namespace BoutDesk.Api.Tests.Input.Odd;

/// <summary>
/// Makes requests to every operation of the document, to the pages and to the forms of the desk that are wrong in some way:
/// in their address, their query, their head or their body.
/// </summary>
internal sealed class OddRequests
{
    private const string Injected = "\r\nX-Injected: 1";

    private static readonly string Bidi = "\u202Eevil\u2066\u200B\uFEFF";

    private static readonly string[] OddTexts =
    [
        "", " ", "\0", "a\0b", "null", "NaN", "undefined", Bidi, "e\u0301\u0327\u0327", "👩‍👩‍👧", "\uFFFF", "\uFFFD", "İıſ", "Ω≈ç√", "<script>alert(1)</script>", "' or 1=1 --", "\"; drop table x; --",
        "$(id)", "{{7*7}}", "%s%n", "=1+1", "@SUM(1)", "../../etc/passwd", "..\\..\\x", "-1", "0", "1e999", "9999999999999999999999", "0x10", "1,5", "٣", "24:00", "99:99", "2026-02-30", "0001-01-01", "9999-12-31T23:59:59Z",
        "0001-01-01T00:00:00+14:00", "*", "%", "_", "a" + Injected, new string('x', 300), new string('ß', 5_000), new string('9', 400), "urn:x", "\t\n", "\u0085", "\u2028",
    ];

    private static readonly string[] OddJson =
    [
        "null", "true", "false", "0", "-1", "-0", "1.5", "2147483647", "2147483648", "-2147483649", "9223372036854775807", "9223372036854775808", "1e308", "1e999", "-1e999", "0.1e-400", "1E+2", "[]", "{}", "[null]", "[[]]", "[{}]",
        "\"\\ud800\"", "\"\\udc00\\ud800\"", "\"a\\u0000b\"", "\"\\u202e\"", "{\"a\":{\"a\":{\"a\":{}}}}", "{\"a\":1,\"a\":2}", "[1,2", "\"unended", "{\"$type\":\"System.Object\"}", "{\"__proto__\":{}}", "NaN", "Infinity", "'x'", "01", "+1", ".5", "tru",
        Nested('[', ']', 70), Nested('[', ']', 5_000), Repeated("{\"a\":", "1", "}", 200), "[" + string.Join(',', Enumerable.Range(0, 3_000)) + "]", "\"" + new string('x', 20_000) + "\"", new string('9', 2_000),
    ];

    private static readonly string[] OddPathParts =
    [
        "..", "%2e%2e", "..%2f..%2fetc%2fpasswd", "%2f", "%5c..%5c", "%00", "a%00", "%0d%0aX-Injected:%201", "%", "%zz", "%c0%ae", "%ff%fe", "%F0%9F%91%A9", "%E2%80%AE", "-", "--", "-1", "a-", "-e1", "0", "1", "99999999999999999999", "a-1-e1", "a-1-d1p1b1", "%20", ".", "*",
        new('a', 2_000), "%ED%A0%80", "CON", "~", ";x=1", "a:b", "{id}",
    ];

    private static readonly string[] OddHeaderValues =
    [
        "", " ", "*", "\"\"", "\"1\"", "\"1-x\"", "W/\"1\"", "\"999999999999999999999\"", ",", ",,,,", "\"", "a,b;q=9", "q=", "0", "-1", "9223372036854775808", "\0", "a\u0001b", "é", "💥", new string('a', 3_000), "gzip, deflate, br, zstd", "text/csv", "text/html", "application/json;charset=utf-7",
        "application/json; charset=\"", "text/csv; charset=utf-16", "multipart/form-data", "multipart/form-data; boundary=", "multipart/form-data; boundary=x", "application/x-www-form-urlencoded", "application/zip", "image/svg+xml", "fr", "xx-invalid-locale-000", "fr;q=x", "bytes=0-", "http://evil.example", "null", "//evil.example/",
    ];

    private static readonly string[] OddHeaders =
    [
        "Accept", "Accept-Language", "Accept-Encoding", "Content-Type", "If-Match", "If-None-Match", "Idempotency-Key", "Last-Event-ID", "Cookie", "Origin", "Referer", "Range", "X-Forwarded-For", "X-Forwarded-Proto", "X-HTTP-Method-Override", "Authorization", "Sec-Fetch-Site", "Expect", "Upgrade", "X-Odd",
    ];

    private static readonly string[] Pages =
    [
        "/", "/hall", "/openapi", "/openapi/v1.json", "/health/ready", "/health/live", "/tournaments/{t}", "/tournaments/{t}/fencers", "/competitions/{c}", "/competitions/{c}/pools/1", "/competitions/{c}/entrants", "/competitions/{c}/ranking", "/competitions/{c}/tableau",
        "/competitions/{c}/classification", "/entrants/{e}", "/bring/foil", "/strip", "/strip/{t}", "/equipment", "/equipment/{t}", "/screen/{t}", "/language/fr", "/desk", "/desk/enter", "/desk/leave", "/desk/tournaments/{t}", "/desk/tournaments/{t}/plan", "/desk/tournaments/{t}/plan/search",
        "/desk/tournaments/{t}/loan-kit", "/desk/tournaments/{t}/loan-kit/sheet", "/desk/tournaments/{t}/referees", "/desk/tournaments/{t}/passes", "/desk/competitions/{c}/entries", "/desk/competitions/{c}/history", "/desk/competitions/{c}/pools/1", "/desk/competitions/{c}/check-in",
        "/desk/competitions/{c}/draw", "/desk/pools/{p}", "/desk/bouts/{b}", "/desk/entrants/{e}/erase", "/desk/competitions/{c}/sheets", "/board.css", "/kept.js", "/desk.js", "/manifest.webmanifest", "/favicon.ico",
    ];

    private static readonly string[] PageQueries = ["name", "follow", "quarter", "to", "before", "first", "second", "opens", "closes", "strips", "n1", "from1", "steps", "stopAfter", "prove", "length", "width", "doors", "blocks", "code", "q"];

    private static readonly string[] CsvBits =
    [
        "familyName,givenName,club,country,ranking,hand,birthYear\n", "familyName;givenName\n", "familyName\tclub\n", "familyName,familyName\n", "\uFEFFfamilyName\n", "\"unended,", "\"a\"\"b\",", "a,b,c,d,e,f,g,h,i,j\n", "Weiss,Ana,,,1,left,2010\n", "\0,\0\n", ",,,,,,\n", "\r\r\r", "=cmd|' /C calc'!A0,x\n", "item,label,size,count\n",
        "familyName,weapons\nLind,epee sabre\n", new string(',', 2_000) + "\n", new string('a', 70_000) + "\n", "x,\"" + new string('\n', 500) + "\"\n", "Ω,\ud83d\udca5\n",
    ];

    private readonly Hall hall;
    private readonly string[] ids;
    private readonly string[] logLines;
    private readonly Operation[] operations;

    public OddRequests(Hall hall, byte[] archive)
    {
        this.hall = hall;
        operations = [.. hall.Document.Operations];
        ids = [hall.TournamentId, hall.CompetitionId, hall.TableauCompetitionId, hall.PoolId, hall.OtherPoolId, hall.BoutId, hall.EntrantId, hall.StripId, hall.TournamentId + "-k1", hall.TournamentId + "-r1", hall.CompetitionId + "-e1", hall.CompetitionId + "-e2"];
        using var zip = new ZipArchive(new MemoryStream(archive));
        using var reader = new StreamReader(zip.GetEntry("events.jsonl")!.Open());
        logLines = reader.ReadToEnd().Split('\n', StringSplitOptions.RemoveEmptyEntries);
    }

    /// <summary>So many requests, the same for the same seed on the same document.</summary>
    public IEnumerable<OddRequest> Sample(int count, ulong seed) => One().Sample(count, new Rnd(seed), 50);

    private Gen<OddRequest> One() => Gen.Frequency(
        (12, ToOperation()),
        (2, ToPage()),
        (2, ToForm()),
        (1, ToArchives()),
        (1, ToNowhere()));

    private Gen<OddRequest> ToOperation() =>
        from operation in Gen.Elements(operations)
        from path in Address(operation)
        from query in Query([.. operation.Parameters.Where(p => p["in"]!.GetValue<string>() == "query").Select(p => p["name"]!.GetValue<string>())])
        from pass in Pass(operation.NeedsPass)
        from odd in Headers()
        from body in Body(operation)
        from method in Gen.Frequency((20, Gen.Constant(operation.Method.Method)), (1, Gen.Elements("GET", "POST", "PUT", "DELETE", "PATCH", "HEAD", "OPTIONS", "TRACE", "BREW")))
        select new OddRequest(method, path + query, [.. pass, .. TypeOf(body, odd), .. odd], method is "GET" or "HEAD" ? null : body.Bytes);

    private Gen<string> Address(Operation operation) =>
        from parts in Gen.Frequency((6, Gen.Constant(string.Empty)), (1, Gen.Elements(ids)), (2, Gen.Elements(OddPathParts))).ListOf(3)
        select parts.All(part => part.Length == 0)
            ? hall.At(operation)
            : operation.PathParameters.Zip(parts).Aggregate(operation.Path, (path, pair) => path.Replace($"{{{pair.First}}}", pair.Second.Length == 0 ? ids[pair.First.Length % ids.Length] : pair.Second, StringComparison.Ordinal));

    private static Gen<string> Query(string[] names) =>
        from some in Gen.Frequency((3, Gen.Constant(0)), (2, Gen.Choose(1, 3)))
        from pairs in (from name in Gen.Frequency((5, Gen.Elements(names.Length == 0 ? ["limit"] : names)), (1, Gen.Elements("limit", "after", "format", "x[]", "%00", "a b")))
                       from value in Gen.Frequency((3, Gen.Elements(OddTexts).Select(text => HttpUtility.UrlEncode(text)!)), (1, Gen.Elements(OddPathParts.Where(p => p.Length < 200))), (2, Gen.Choose(-2, 40).Select(n => n.ToString(CultureInfo.InvariantCulture))))
                       select $"{name.Replace(' ', '+')}={value}").ListOf(some)
        select pairs.Count == 0 ? string.Empty : "?" + string.Join('&', pairs);

    private Gen<(string Name, string Value)[]> Pass(bool needed) => Gen.Frequency(
        (needed ? 8 : 1, Gen.Constant(new[] { ("Authorization", "Bearer " + DeskHost.DeskPass) })),
        (2, Gen.Elements(hall.Passes.Values.ToArray()).Select(pass => new[] { ("Authorization", "Bearer " + pass) })),
        (needed ? 1 : 4, Gen.Constant(Array.Empty<(string, string)>())),
        (1, Gen.Elements(OddTexts.Where(IsHeader)).Select(text => new[] { ("Authorization", "Bearer " + text) })));

    private static Gen<(string Name, string Value)[]> Headers() =>
        from some in Gen.Frequency((3, Gen.Constant(0)), (2, Gen.Choose(1, 3)))
        from odd in (from name in Gen.Elements(OddHeaders)
                     from value in Gen.Elements(OddHeaderValues)
                     select (name, value)).ListOf(some)
        select odd.ToArray();

    private static Gen<(byte[]? Bytes, string Type)> Body(Operation operation)
    {
        var json = operation.Example is { } example
            ? Gen.Frequency(
                (6, Mutated(example).Select(text => ((byte[]?)Encoding.UTF8.GetBytes(text), "application/json"))),
                (1, Gen.Constant(((byte[]?)Encoding.UTF8.GetBytes(example.ToJsonString()), "application/json"))),
                (1, Raw()))
            : Gen.Frequency((3, Gen.Constant(((byte[]?)null, "application/json"))), (1, Raw()));
        var takesCsv = operation.Description["requestBody"]?["content"]?["text/csv"] is not null;
        return takesCsv ? Gen.OneOf(json, Csv()) : json;
    }

    private static Gen<(byte[]? Bytes, string Type)> Raw() => Gen.OneOf(
        Gen.Elements(OddJson).Select(text => ((byte[]?)Encoding.UTF8.GetBytes(text), "application/json")),
        Gen.Choose(0, 255).Select(n => (byte)n).ListOf().Select(bytes => ((byte[]?)bytes.ToArray(), "application/json")),
        Gen.Constant(((byte[]?)new byte[1_100_000], "application/json")));

    private static Gen<(byte[]? Bytes, string Type)> Csv() =>
        from bits in Gen.Elements(CsvBits).NonEmptyListOf()
        from cut in Gen.Choose(0, 20)
        let bytes = Encoding.UTF8.GetBytes(string.Concat(bits.Take(30)))
        select ((byte[]?)(cut == 0 ? [.. bytes, 0xFF, 0xFE] : bytes), "text/csv");

    /// <summary>A body in which one place, however deep, is something else, is there twice, or is gone.</summary>
    private static Gen<string> Mutated(JsonNode example) =>
        from place in Gen.Choose(0, 40)
        from how in Gen.Choose(0, 9)
        from odd in Gen.Frequency((2, Gen.Elements(OddJson)), (2, Gen.Elements(OddTexts).Select(text => JsonValue.Create(text)!.ToJsonString())))
        from twice in Gen.Choose(0, 3)
        let once = Mutated(example.ToJsonString(), place, how, odd)
        // What is no JSON any more, or holds half a character, is not mutated further.
        select twice == 0 && odd.StartsWith('"') && !odd.Contains("\\ud", StringComparison.OrdinalIgnoreCase) ? Mutated(once, place / 2 + 1, 5, odd) : once;

    private static string Mutated(string json, int place, int how, string odd)
    {
        JsonNode? root;
        try
        {
            root = JsonNode.Parse(json, documentOptions: new System.Text.Json.JsonDocumentOptions { AllowDuplicateProperties = false });
        }
        catch (System.Text.Json.JsonException)
        {
            return json + odd;
        }

        var places = new List<(JsonNode Parent, object Key)>();
        Gather(root);
        if (places.Count == 0)
        {
            return odd;
        }

        const string Mark = "\uE000put here\uE000";
        var (parent, key) = places[place % places.Count];
        var before = (parent is JsonObject o ? o[(string)key] : parent[(int)key])?.ToJsonString() ?? "null";
        if (how == 0 && parent is JsonObject gone)
        {
            gone.Remove((string)key);
            return root!.ToJsonString();
        }

        if (parent is JsonObject within)
        {
            within[(string)key] = Mark;
        }
        else
        {
            parent[(int)key] = Mark;
        }

        var text = root!.ToJsonString();
        var marked = JsonValue.Create(Mark)!.ToJsonString();
        return how switch
        {
            1 when parent is JsonObject => text.Replace(marked, $"{before},{JsonValue.Create((string)key)!.ToJsonString()}:{odd}", StringComparison.Ordinal),
            2 when parent is JsonArray => text.Replace(marked, string.Join(',', Enumerable.Repeat(before, 600)), StringComparison.Ordinal),
            _ => text.Replace(marked, odd, StringComparison.Ordinal),
        };

        void Gather(JsonNode? node)
        {
            if (node is JsonObject thing)
            {
                foreach (var (name, value) in thing)
                {
                    places.Add((thing, name));
                    Gather(value);
                }
            }
            else if (node is JsonArray items)
            {
                for (var i = 0; i < items.Count; i++)
                {
                    places.Add((items, i));
                    Gather(items[i]);
                }
            }
        }
    }

    private Gen<OddRequest> ToPage() =>
        from page in Gen.Elements(Pages)
        from odd in Gen.Frequency((3, Gen.Constant(string.Empty)), (1, Gen.Elements(OddPathParts)))
        from query in Query(PageQueries)
        from headers in Headers()
        from signedIn in Gen.Choose(0, 3)
        let path = page.Replace("{t}", Or(odd, hall.TournamentId), StringComparison.Ordinal).Replace("{c}", Or(odd, hall.CompetitionId), StringComparison.Ordinal)
            .Replace("{p}", Or(odd, hall.PoolId), StringComparison.Ordinal).Replace("{b}", Or(odd, hall.BoutId), StringComparison.Ordinal).Replace("{e}", Or(odd, hall.EntrantId), StringComparison.Ordinal)
        select new OddRequest("GET", path + query, [("Accept", "text/html"), .. Cookie(signedIn), .. headers], null);

    /// <summary>A form of the desk: any operation, with fields of odd names, kinds and values.</summary>
    private Gen<OddRequest> ToForm() =>
        from operation in Gen.Elements(operations)
        from path in Address(operation)
        from fields in (from name in Gen.OneOf(
                            Gen.Elements((operation.Example as JsonObject)?.Select(f => f.Key).DefaultIfEmpty("a").ToArray() ?? ["a"]),
                            Gen.Elements("a.b", "a", "a.b.c", ".", "..", "a.", ":", "a:b:c", "_back", "_key", "_match", "_csv", "_zip", "_show", "pass", "to", "\0", "x y"))
                        from kind in Gen.Elements(string.Empty, ":int", ":bool", ":json", ":list", ":words", ":null", ":odd")
                        from value in Gen.OneOf(Gen.Elements(OddTexts), Gen.Elements(OddJson.Where(t => t.Length < 3_000)), Gen.Elements("/desk", "//evil.example", "/desk\\..", "https://evil.example/desk", "/desk/{id}"))
                        select HttpUtility.UrlEncode(name + kind) + "=" + HttpUtility.UrlEncode(value)).ListOf()
        from door in Gen.Choose(0, 9)
        from origin in Gen.Choose(0, 5)
        from headers in Headers()
        select new OddRequest(
            "POST",
            door switch { 0 => "/desk/enter", 1 => "/desk/leave", _ => $"/desk/send/{operation.Method.Method}{path["/api".Length..]}" },
            [("Accept", "text/html"), ("Sec-Fetch-Site", origin == 0 ? "cross-site" : "same-origin"), .. Cookie(door), ("Content-Type", "application/x-www-form-urlencoded"), .. headers.Where(h => h.Name != "Content-Type")],
            Encoding.UTF8.GetBytes(string.Join('&', fields.Take(20))));

    private static (string, string)[] Cookie(int signedIn) => signedIn == 0 ? [] : [("Cookie", "boutdesk-pass=" + DeskHost.DeskPass)];

    /// <summary>Archives: packed bombs, paths that lead out of the folder, logs with lines that are mutated, missing or twice.</summary>
    private Gen<OddRequest> ToArchives() =>
        from kind in Gen.Choose(0, 9)
        from line in Gen.Choose(0, logLines.Length - 1)
        from mutated in Mutated(JsonNode.Parse(logLines[line])!)
        from cut in Gen.Choose(1, 2_000)
        let log = string.Join('\n', kind switch
        {
            0 => logLines.Select((text, i) => i == line ? mutated : text),
            1 => logLines.Where((_, i) => i != line),
            2 => logLines.Append(logLines[line]),
            3 => logLines.Select((text, i) => i == line ? mutated : text).Select(text => text.Replace(hall.TournamentId, "zzzzzzz" + (char)('a' + (cut % 26)), StringComparison.Ordinal)),
            4 => logLines.Take(cut % logLines.Length),
            _ => [mutated],
        })
        let zip = kind switch
        {
            5 => Zip(("events.jsonl", new byte[52 * 1024 * 1024])),
            6 => Zip(("../../../tmp/evil", "x"u8.ToArray()), ("/etc/passwd", "x"u8.ToArray()), ("events.jsonl", Encoding.UTF8.GetBytes(log))),
            7 => Zip(("events.jsonl", Encoding.UTF8.GetBytes(log)))[..^Math.Min(cut, 40)],
            8 => Scratched(Zip(("events.jsonl", Encoding.UTF8.GetBytes(log))), cut),
            9 => Zip([.. Enumerable.Range(0, 300).Select(i => ($"e{i}", Array.Empty<byte>())), ("events.jsonl", Encoding.UTF8.GetBytes(log))]),
            _ => Zip(("events.jsonl", Encoding.UTF8.GetBytes(log))),
        }
        select new OddRequest("POST", "/api/archives", [("Authorization", "Bearer " + DeskHost.DeskPass), ("Content-Type", "application/zip")], zip);

    private static Gen<OddRequest> ToNowhere() =>
        from parts in Gen.Elements(OddPathParts).NonEmptyListOf()
        from start in Gen.Elements("/", "/api/", "/desk/", "/desk/send/", "/openapi/", "//", "/api/../", "http://evil.example/", "/language/", "*")
        from method in Gen.Elements("GET", "POST", "DELETE", "OPTIONS", "CONNECT")
        from headers in Headers()
        select new OddRequest(method, start + string.Join('/', parts.Take(6)), headers, null);

    private static IEnumerable<(string, string)> TypeOf((byte[]? Bytes, string Type) body, (string Name, string Value)[] odd) =>
        body.Bytes is null || odd.Any(h => h.Name == "Content-Type") ? [] : [("Content-Type", body.Type)];

    private static string Or(string odd, string id) => odd.Length == 0 ? id : odd;

    private static bool IsHeader(string text) => !text.Any(char.IsControl);

    private static byte[] Zip(params (string Name, byte[] Content)[] entries)
    {
        using var file = new MemoryStream();
        using (var zip = new ZipArchive(file, ZipArchiveMode.Create, leaveOpen: true))
        {
            foreach (var (name, content) in entries)
            {
                using var entry = zip.CreateEntry(name).Open();
                entry.Write(content);
            }
        }

        return file.ToArray();
    }

    private static byte[] Scratched(byte[] bytes, int where)
    {
        bytes[where % bytes.Length] ^= 0x5A;
        return bytes;
    }

    private static string Nested(char open, char close, int deep) => new string(open, deep) + new string(close, deep);

    private static string Repeated(string open, string inner, string close, int deep) =>
        string.Concat(Enumerable.Repeat(open, deep)) + inner + string.Concat(Enumerable.Repeat(close, deep));
}
