using System.Text.Json.Nodes;

namespace BoutDesk.Api.Tests.Contract;

/// <summary>An operation as the OpenAPI document describes it.</summary>
/// <param name="Method">The HTTP method.</param>
/// <param name="Path">The path with its parameters in braces.</param>
/// <param name="Description">The operation in the document.</param>
internal sealed record Operation(HttpMethod Method, string Path, JsonNode Description)
{
    public string Id => Description["operationId"]!.GetValue<string>();

    public bool NeedsPass => Description["security"] is JsonArray { Count: > 0 };

    public bool IsStream => Description["responses"]?["200"]?["content"]?["text/event-stream"] is not null;

    /// <summary>Whether it answers a list, page by page. A timetable can be had as CSV too, but it is no list.</summary>
    public bool IsList => Description["responses"]?["200"]?["content"] is { } content
        && content["text/csv"] is not null && content["application/json"]?["schema"]?["type"]?.GetValue<string>() == "array";

    /// <summary>The example of the body in JSON, or null when it takes none.</summary>
    public JsonNode? Example => Description["requestBody"]?["content"]?["application/json"]?["example"];

    /// <summary>The schema of the body in JSON, or null when it takes none.</summary>
    public JsonNode? Schema => Description["requestBody"]?["content"]?["application/json"]?["schema"];

    public IEnumerable<JsonNode> Parameters => (Description["parameters"]?.AsArray() ?? []).OfType<JsonNode>();

    public IEnumerable<string> PathParameters => Parameters.Where(p => p["in"]!.GetValue<string>() == "path").Select(p => p["name"]!.GetValue<string>());

    public string At(Func<string, string> valueOf) => PathParameters.Aggregate(Path, (path, name) => path.Replace($"{{{name}}}", valueOf(name)));

    public override string ToString() => $"{Method} {Path} ({Id})";
}

/// <summary>The OpenAPI document as the service gives it.</summary>
internal sealed class ApiDocument
{
    private ApiDocument(JsonNode root) => Root = root;

    public JsonNode Root { get; }

    public IReadOnlyList<Operation> Operations =>
    [
        .. Root["paths"]!.AsObject().SelectMany(path => path.Value!.AsObject().Select(o => new Operation(new HttpMethod(o.Key.ToUpperInvariant()), path.Key, o.Value!))),
    ];

    public static async Task<ApiDocument> ReadAsync(HttpClient client) => new(await client.GetAsync<JsonObject>("/openapi/v1.json"));

    /// <summary>The schema behind a reference, through the one-element allOf that carries a description.</summary>
    public JsonNode Resolve(JsonNode schema)
    {
        if (schema["allOf"] is JsonArray { Count: 1 } all)
        {
            return Resolve(all[0]!);
        }

        return schema["$ref"]?.GetValue<string>() is { } reference ? Root["components"]!["schemas"]![reference.Split('/')[^1]]! : schema;
    }
}
