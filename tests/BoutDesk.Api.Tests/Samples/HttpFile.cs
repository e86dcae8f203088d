using System.Text.Json.Nodes;
using System.Text.RegularExpressions;

namespace BoutDesk.Api.Tests.Samples;

/// <summary>A request of an .http file.</summary>
/// <param name="Title">What stands behind ###.</param>
/// <param name="Name">The name under which later requests read the answer, or null.</param>
/// <param name="Status">The status expected.</param>
/// <param name="Problem">The kind of problem expected, or null.</param>
/// <param name="Method">The method.</param>
/// <param name="Address">The address, with variables.</param>
/// <param name="Headers">The headers, with variables.</param>
/// <param name="Body">The body, with variables, or null.</param>
internal sealed record HttpSample(
    string Title, string? Name, int Status, string? Problem, HttpMethod Method, string Address, IReadOnlyList<(string Name, string Value)> Headers, string? Body);

/// <summary>
/// The format of .http files as the common editors read it: @variables, requests after ###, "# @name" and, as a comment
/// of our own, "# expect". A variable is {{name}}, or a part of an earlier answer, {{name.response.body.$.path[0]}} or
/// {{name.response.headers.Name}}.
/// </summary>
internal sealed partial class HttpFile
{
    private HttpFile(Dictionary<string, string> variables, IReadOnlyList<HttpSample> samples)
    {
        Variables = variables;
        Samples = samples;
    }

    public Dictionary<string, string> Variables { get; }

    public IReadOnlyList<HttpSample> Samples { get; }

    public static HttpFile Parse(string text)
    {
        var parts = Separator().Split(text.ReplaceLineEndings("\n"));
        var variables = parts[0].Split('\n').Where(l => l.StartsWith('@')).Select(l => l[1..].Split('=', 2)).ToDictionary(v => v[0].Trim(), v => v[1].Trim());
        return new HttpFile(variables, [.. parts.Skip(1).Select(Sample)]);
    }

    /// <summary>Puts the values of variables into a text.</summary>
    /// <exception cref="KeyNotFoundException">There is no such variable, or the answer named has no such part.</exception>
    public static string Fill(string text, IReadOnlyDictionary<string, string> variables, IReadOnlyDictionary<string, (JsonNode? Body, HttpResponseMessage Response)> answers) =>
        Variable().Replace(text, match =>
        {
            var name = match.Groups[1].Value;
            if (variables.TryGetValue(name, out var value))
            {
                return value;
            }

            var parts = name.Split('.', 4);
            var (body, response) = answers[parts[0]];
            return parts[2] == "headers" ? response.Headers.GetValues(parts[3]).Single() : At(body, parts[3], name);
        });

    private static string At(JsonNode? node, string path, string name)
    {
        foreach (Match step in Step().Matches(path))
        {
            node = step.Groups[1].Success ? node?[step.Groups[1].Value] : node?[int.Parse(step.Groups[2].Value)];
        }

        return node?.GetValue<string>() ?? throw new KeyNotFoundException($"{{{{{name}}}}} is in no answer.");
    }

    private static HttpSample Sample(string part)
    {
        var lines = part.Split('\n');
        var at = Array.FindIndex(lines, 1, l => l.Length > 0 && l[0] != '#');
        var comments = lines[1..at];
        var expected = comments.Single(l => l.StartsWith("# expect ", StringComparison.Ordinal)).Split(' ');
        var request = lines[at].Split(' ', 2);
        var end = Array.FindIndex(lines, at, string.IsNullOrEmpty);
        var headers = lines[(at + 1)..(end < 0 ? lines.Length : end)].Select(l => l.Split(": ", 2)).Select(h => (h[0], h[1]));
        var body = end < 0 ? string.Empty : string.Join('\n', lines[(end + 1)..]).TrimEnd('\n');
        return new HttpSample(
            lines[0].Trim(),
            comments.SingleOrDefault(l => l.StartsWith("# @name ", StringComparison.Ordinal))?["# @name ".Length..],
            int.Parse(expected[2]),
            expected.ElementAtOrDefault(3),
            new HttpMethod(request[0]),
            request[1],
            [.. headers],
            body.Length == 0 ? null : body);
    }

    [GeneratedRegex("^###", RegexOptions.Multiline)]
    private static partial Regex Separator();

    [GeneratedRegex(@"\{\{([^}]+)\}\}")]
    private static partial Regex Variable();

    [GeneratedRegex(@"\.(\w+)|\[(\d+)\]")]
    private static partial Regex Step();
}
