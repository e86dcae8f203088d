using System.Net;
using System.Text;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;
using BoutDesk.Api.Tests.Contract;
using Xunit;

namespace BoutDesk.Api.Tests.Input;

/// <summary>
/// The example of every body, broken in every way a client breaks one: the answer is 400, names the field and says in
/// words of the sport what to do.
/// </summary>
[Collection(WholeSurface.Name)]
public partial class BrokenBodyTests
{
    private static readonly string Deep = string.Concat(Enumerable.Repeat("[", 40)) + string.Concat(Enumerable.Repeat("]", 40));

    private readonly Hall hall;

    public BrokenBodyTests(Hall hall) => this.hall = hall;

    [Fact]
    public async Task A_body_that_is_no_object_in_JSON_is_refused_by_every_operation_that_takes_one()
    {
        var wrong = new List<string>();
        foreach (var operation in Writes())
        {
            foreach (var text in new[] { "[]", "5", "\"text\"", "true", "{", "{\"", "not JSON", "{,}", "{/* comment */}", Deep })
            {
                await CheckAsync(operation, Encoding.UTF8.GetBytes(text), "$", wrong);
            }

            await CheckAsync(operation, [(byte)'{', 0xFF, 0xFE, (byte)'}'], "$", wrong);
            if (operation.Description["requestBody"]!["required"]?.GetValue<bool>() == true)
            {
                await CheckAsync(operation, [], "$", wrong);
                await CheckAsync(operation, "null"u8.ToArray(), "$", wrong);
            }
        }

        Assert.True(wrong.Count == 0, string.Join(Environment.NewLine, wrong.Take(30)));
    }

    [Fact]
    public async Task A_wrong_field_is_named_by_every_operation()
    {
        var wrong = new List<string>();
        foreach (var operation in Writes())
        {
            var example = (JsonObject)operation.Example!;
            await CheckAsync(operation, With(example, "fancy", "1"), "fancy", wrong);
            await MutateAsync(operation, example, hall.Document.Resolve(operation.Schema!), string.Empty, text => text, wrong);
        }

        Assert.True(wrong.Count == 0, string.Join(Environment.NewLine, wrong.Take(30)));
    }

    /// <summary>Breaks each field of an object in turn, and of the objects in it.</summary>
    private async Task MutateAsync(Operation operation, JsonObject body, JsonNode schema, string prefix, Func<string, string> wrap, List<string> wrong)
    {
        var required = (schema["required"]?.AsArray() ?? []).Select(r => r!.GetValue<string>()).ToHashSet();
        // Where the names are not told beforehand, the operation has tests of its own for them.
        foreach (var (name, property) in schema["properties"]?.AsObject() ?? [])
        {
            var field = prefix + name;
            var type = hall.Document.Resolve(property!);
            async Task Try(string value) => await CheckAsync(operation, Encoding.UTF8.GetBytes(wrap(Encoding.UTF8.GetString(With(body, name, value)))), field, wrong);

            if (required.Contains(name))
            {
                var without = (JsonObject)body.DeepClone();
                without.Remove(name);
                await CheckAsync(operation, Encoding.UTF8.GetBytes(wrap(without.ToJsonString())), field, wrong);
            }

            if (property!["nullable"]?.GetValue<bool>() != true)
            {
                await Try("null");
            }

            // Twice the same field: the second time after the others.
            var once = Encoding.UTF8.GetString(With(body, name, body[name]?.ToJsonString() ?? "null"));
            await CheckAsync(operation, Encoding.UTF8.GetBytes(wrap($"{once[..^1]},\"{name}\":{body[name]?.ToJsonString() ?? "null"}}}")), field, wrong);

            await Try(Deep);
            foreach (var value in type["type"]?.GetValue<string>() switch
            {
                "integer" => new[] { "\"5\"", "1.5", "1e99", "-99999999999999999999", "true", "{}", "[1]", "-1" },
                "number" => ["\"5\"", "1e99", "-99999999999999999999", "true", "{}", "[1]", "-1"],
                "string" when type["enum"] is not null => ["\"purple\"", "\"\"", "5", "0", "{}", "[]"],
                "string" when type["format"]?.GetValue<string>() is "date" or "date-time" => ["\"soon\"", "\"2026-02-30\"", "\"\"", "20261128", "{}"],
                "string" => ["5", "true", "{}", "[\"a\"]"],
                "boolean" => ["\"true\"", "1", "{}"],
                "array" => ["\"a\"", "5", "{}"],
                "object" => ["\"a\"", "5", "[]"],
                var unknown => throw new InvalidOperationException($"{field} of {operation} has the type {unknown}."),
            })
            {
                await Try(value);
            }

            if (body[name] is JsonObject inner)
            {
                await MutateAsync(operation, inner, type, field + ".", text => wrap(Encoding.UTF8.GetString(With(body, name, text))), wrong);
            }
            else if (body[name] is JsonArray { Count: > 0 } items)
            {
                if (items[0] is JsonObject item)
                {
                    await MutateAsync(operation, item, hall.Document.Resolve(type["items"]!), field + "[0].", text => wrap(Encoding.UTF8.GetString(With(body, name, $"[{text}]"))), wrong);
                }

                await Try("[null]");
            }
        }
    }

    private async Task CheckAsync(Operation operation, byte[] body, string field, List<string> wrong)
    {
        using var content = new ByteArrayContent(body);
        content.Headers.ContentType = new("application/json");
        using var response = await hall.Desk.TryAsync(operation.Method, hall.At(operation), content);
        var text = await response.Content.ReadAsStringAsync();
        if (response.StatusCode != HttpStatusCode.BadRequest
            || JsonNode.Parse(text)?["errors"]?.AsObject() is not { Count: > 0 } errors
            || !errors.Any(e => e.Key == field || e.Key.StartsWith(field + "[", StringComparison.Ordinal) || e.Key.StartsWith(field + ".", StringComparison.Ordinal))
            || Internals().IsMatch(text)
            || errors.Any(e => e.Value!.AsArray().Any(m => m!.GetValue<string>() is { Length: < 10 } and not "Is needed.")))
        {
            wrong.Add($"{operation} with {field} as {Encoding.UTF8.GetString(body[..Math.Min(300, body.Length)])} was answered {(int)response.StatusCode} {text}");
        }
    }

    private IEnumerable<Operation> Writes() => hall.Document.Operations.Where(o => o.Example is not null);

    private static byte[] With(JsonObject body, string name, string value)
    {
        var fields = body.Where(f => f.Key != name).Select(f => $"\"{f.Key}\":{f.Value?.ToJsonString() ?? "null"}").Append($"\"{name}\":{value}");
        return Encoding.UTF8.GetBytes($"{{{string.Join(',', fields)}}}");
    }

    [GeneratedRegex(@"System\.|BoutDesk\.|\(Parameter|\.NET|Nullable|ImmutableArray|Exception|reader option|constructor|property", RegexOptions.IgnoreCase)]
    private static partial Regex Internals();
}
