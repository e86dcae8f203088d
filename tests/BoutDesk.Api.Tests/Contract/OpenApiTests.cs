using System.Net;
using System.Runtime.CompilerServices;
using System.Text.Json;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using BoutDesk.Api.Http;
using BoutDesk.Domain.Competitions;
using Xunit;

namespace BoutDesk.Api.Tests.Contract;

[Collection(WholeSurface.Name)]
public partial class OpenApiTests
{
    private readonly Hall hall;

    public OpenApiTests(Hall hall) => this.hall = hall;

    /// <summary>
    /// When the API was changed on purpose, renew the file: run this test with the environment variable
    /// BOUTDESK_RENEW=1, look at the difference, and commit it.
    /// </summary>
    [Fact]
    public async Task The_document_is_the_one_that_was_committed()
    {
        var file = Path.Combine(Folder(), "openapi.json");
        var text = hall.Document.Root.ToJsonString(new JsonSerializerOptions(JsonSerializerDefaults.General) { WriteIndented = true, NewLine = "\n", Encoder = System.Text.Encodings.Web.JavaScriptEncoder.UnsafeRelaxedJsonEscaping }) + "\n";
        if (Environment.GetEnvironmentVariable("BOUTDESK_RENEW") == "1")
        {
            await File.WriteAllTextAsync(file, text);
        }

        var committed = await File.ReadAllTextAsync(file);
        var (now, before) = (text.Split('\n'), committed.Split('\n'));
        var line = now.Zip(before).TakeWhile(l => l.First == l.Second).Count();
        Assert.True(
            text == committed,
            $"The API differs from Contract/openapi.json from line {line + 1} on: '{before.ElementAtOrDefault(line)?.Trim()}' was, '{now.ElementAtOrDefault(line)?.Trim()}' is. "
            + "If that is wanted, renew the file: BOUTDESK_RENEW=1 dotnet test tests/BoutDesk.Api.Tests --filter The_document_is_the_one_that_was_committed");
    }

    [Fact]
    public async Task The_document_is_valid_OpenAPI_3()
    {
        var (document, diagnostic) = Microsoft.OpenApi.OpenApiDocument.Parse(await hall.Host.Public.GetStringAsync(new Uri("/openapi/v1.json", UriKind.Relative)), "json");
        Assert.Empty(diagnostic!.Errors);
        Assert.Empty(diagnostic.Warnings);
        Assert.StartsWith("3.", hall.Document.Root["openapi"]!.GetValue<string>(), StringComparison.Ordinal);
        Assert.Equal(hall.Document.Operations.Count, document!.Paths.Sum(p => p.Value.Operations!.Count));
    }

    [Fact]
    public void Every_operation_says_what_it_is_what_it_takes_and_what_it_answers()
    {
        var lacking = new List<string>();
        var chapters = hall.Document.Root["tags"]!.AsArray().Where(t => t!["description"] is not null).Select(t => t!["name"]!.GetValue<string>()).ToHashSet();
        foreach (var operation in hall.Document.Operations)
        {
            void Need(bool there, string what)
            {
                if (!there)
                {
                    lacking.Add($"{operation}: {what}");
                }
            }

            var described = operation.Description;
            Need(described["operationId"] is not null, "operationId");
            Need(!string.IsNullOrWhiteSpace(described["summary"]?.GetValue<string>()), "summary");
            Need(described["tags"] is JsonArray { Count: 1 } tags && chapters.Contains(tags[0]!.GetValue<string>()), "one tag, of those described");
            foreach (var parameter in operation.Parameters)
            {
                Need(!string.IsNullOrWhiteSpace(parameter["description"]?.GetValue<string>()), $"description of the parameter {parameter["name"]}");
                Need(parameter["schema"]?["type"] is not null, $"type of the parameter {parameter["name"]}");
            }

            foreach (var (type, body) in described["requestBody"]?["content"]?.AsObject() ?? [])
            {
                Need(body!["schema"] is not null, $"schema of the body as {type}");
                Need(body["example"] is not null, $"example of the body as {type}");
            }

            var responses = described["responses"]!.AsObject();
            Need(responses.Any(r => r.Key[0] == '2'), "an answer of success");
            foreach (var (status, response) in responses.Where(r => r.Key[0] == '2' && r.Key != "204"))
            {
                Need(response!["content"] is JsonObject { Count: > 0 }, $"content of {status}");
                foreach (var (type, body) in response["content"]?.AsObject() ?? [])
                {
                    Need(body!["schema"] is not null, $"schema of {status} as {type}");
                    Need(body["example"] is not null, $"example of {status} as {type}");
                }
            }

            foreach (var (status, response) in responses.Where(r => r.Key[0] is '4' or '5'))
            {
                var problem = hall.Document.Root["components"]!["responses"]![response!["$ref"]!.GetValue<string>().Split('/')[^1]]!["content"]!["application/problem+json"]!;
                Need(problem["schema"]?["$ref"]?.GetValue<string>() == "#/components/schemas/Problem", $"problem schema of {status}");
                Need(problem["example"]?["status"]?.GetValue<int>().ToString() == status, $"example of {status}");
            }

            Need(responses.ContainsKey("429") && responses.ContainsKey("503"), "429 and 503");
            Need(!operation.PathParameters.Any() || responses.ContainsKey("404"), "404");
            Need((described["requestBody"] is not null) == responses.ContainsKey("415"), "415 where a body is taken, and only there");
            // What a pass tells of itself it tells whatever its kind.
            var tellsOfItself = operation.Path.StartsWith("/api/pass", StringComparison.Ordinal);
            Need(operation.NeedsPass == responses.ContainsKey("401"), "401 where a pass is needed, and only there");
            Need((operation.NeedsPass && !tellsOfItself) == responses.ContainsKey("403"), "403 where not every pass will do, and only there");
            var headers = operation.Parameters.Where(p => p["in"]!.GetValue<string>() == "header").Select(p => p["name"]!.GetValue<string>()).ToHashSet();
            Need(headers.Contains("Idempotency-Key") == (operation.NeedsPass && operation.Method != HttpMethod.Get), "Idempotency-Key on every write, and only there");
            Need(headers.Contains("If-Match") == responses.ContainsKey("412"), "If-Match where 412 can follow");
            Need(headers.Contains("If-None-Match") == responses.ContainsKey("304"), "If-None-Match where 304 can follow");
        }

        Assert.Empty(lacking);
    }

    [Fact]
    public void Every_schema_and_every_field_has_a_description()
    {
        var lacking = new List<string>();
        foreach (var (name, schema) in hall.Document.Root["components"]!["schemas"]!.AsObject())
        {
            if (schema!["description"] is null)
            {
                lacking.Add(name);
            }

            lacking.AddRange((schema["properties"]?.AsObject() ?? []).Where(p => p.Value!["description"] is null).Select(p => $"{name}.{p.Key}"));
        }

        Assert.Empty(lacking);
    }

    [Fact]
    public void Names_of_choices_are_those_that_are_sent()
    {
        var schemas = hall.Document.Root["components"]!["schemas"]!;
        Assert.Equal(["foil", "epee", "sabre"], schemas["Weapon"]!["enum"]!.AsArray().Select(v => v!.GetValue<string>()));
        var choices = schemas.AsObject().Where(s => s.Value!["enum"] is not null).ToArray();
        Assert.All(choices, s => Assert.Equal("string", s.Value!["type"]!.GetValue<string>()));
        Assert.All(choices.SelectMany(s => s.Value!["enum"]!.AsArray()), v => Assert.Matches(CamelCase(), v!.GetValue<string>()));
    }

    [Fact]
    public void What_has_a_default_is_not_needed()
    {
        var schemas = hall.Document.Root["components"]!["schemas"]!;
        Assert.Equal(["familyName"], schemas["EnterFencer"]!["required"]!.AsArray().Select(v => v!.GetValue<string>()));
        Assert.Equal(["name", "weapon", "category"], schemas["OpenCompetition"]!["required"]!.AsArray().Select(v => v!.GetValue<string>()).OrderByDescending(v => v == "name").ThenByDescending(v => v));
        Assert.Null(schemas["Formula"]!["required"]);
        Assert.True(schemas["Bout"]!["properties"]!["winner"]!["nullable"]!.GetValue<bool>());
    }

    [Fact]
    public async Task The_interactive_page_is_served_from_here_alone()
    {
        using var page = await hall.Host.Public.TryAsync(HttpMethod.Get, "/openapi/index.html");
        Assert.Equal(HttpStatusCode.OK, page.StatusCode);
        var html = await page.Content.ReadAsStringAsync();
        var files = Reference().Matches(html).Select(m => m.Groups[1].Value).ToArray();
        Assert.Contains("./swagger-ui-bundle.js", files);
        Assert.All(files, file => Assert.DoesNotContain("//", file, StringComparison.Ordinal));
        foreach (var file in files)
        {
            using var served = await hall.Host.Public.TryAsync(HttpMethod.Get, "/openapi/" + file);
            Assert.Equal(HttpStatusCode.OK, served.StatusCode);
            if (file.EndsWith(".css", StringComparison.Ordinal))
            {
                Assert.DoesNotMatch(LoadedByStyle(), await served.Content.ReadAsStringAsync());
            }
        }

        // Nor is the document sent to a validator somewhere.
        Assert.Contains("\"validatorUrl\":\"none\"", await hall.Host.Public.GetStringAsync(new Uri("/openapi/index.js", UriKind.Relative)), StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_readme_lists_every_kind_of_problem_with_its_status()
    {
        var readme = await File.ReadAllTextAsync(Path.Combine(Folder(), "..", "..", "..", "README.md"));
        var rows = ProblemRow().Matches(readme).Select(m => $"{m.Groups[1].Value} {m.Groups[2].Value}").Order();
        Assert.Equal(ProblemKinds.All.Select(kind => $"{kind.Name} {kind.Status}").Order(), rows);
    }

    [Fact]
    public void Kinds_of_problem_have_names_of_their_own_and_titles()
    {
        var kinds = ProblemKinds.All.ToArray();
        Assert.Equal(kinds.Length, kinds.Select(k => k.Name).Distinct().Count());
        Assert.All(kinds, k => Assert.Matches("^[a-z]+(-[a-z]+)*$", k.Name));
        Assert.All(kinds, k => Assert.False(string.IsNullOrWhiteSpace(k.Title)));
        Assert.All(Enum.GetValues<Domain.RefusalReason>(), reason => Assert.Contains(ProblemKinds.Of(reason), kinds));
    }

    [Fact]
    public void Defaults_of_the_formula_are_those_of_the_contract()
    {
        var formula = JsonSerializer.SerializeToNode(new Formula(), JsonSetup.Options)!;
        var contract = JsonNode.Parse("""
            {
              "pools": { "size": 7, "touches": 5, "minutes": 3, "rounds": 1, "promote": { "percent": null, "count": null }, "tiesAtCut": "lot", "seedingBy": "lastRound", "exempt": 0, "separateBy": ["club"] },
              "elimination": { "touches": 15, "periods": 3, "minutes": 3, "thirdPlace": "shared", "repechageFrom": null, "repechageInto": null, "fencedPlaces": null }
            }
            """);
        Assert.True(JsonNode.DeepEquals(contract, formula), formula.ToJsonString());
        // No promotion given means everybody, which is the 100 per cent of the contract.
        Assert.Equal(23, new Promotion().Of(23));
    }

    private static string Folder([CallerFilePath] string path = "") => Path.GetDirectoryName(path)!;

    [GeneratedRegex("^[a-z][a-zA-Z]*$")]
    private static partial Regex CamelCase();

    [GeneratedRegex("(?:src|href)=\"([^\"]+)\"")]
    private static partial Regex Reference();

    [GeneratedRegex("@import|url\\(\\s*['\"]?(?:https?:)?//")]
    private static partial Regex LoadedByStyle();

    [GeneratedRegex(@"^\| `([a-z-]+)` \| (\d{3}) \|", RegexOptions.Multiline)]
    private static partial Regex ProblemRow();
}
