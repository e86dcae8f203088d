using System.Net.Http.Headers;
using System.Runtime.CompilerServices;
using System.Text;
using System.Text.Json.Nodes;
using BoutDesk.Api.Tests.Contract;
using Xunit;

namespace BoutDesk.Api.Tests.Samples;

/// <summary>Replays http-samples/ from top to bottom: what the files say is answered, is answered.</summary>
[Collection(OneService.Name)]
public class SampleTests
{
    private readonly DeskHost host;

    public SampleTests(SharedDesk shared) => host = shared.Host;

    public static TheoryData<string> Files => new(Directory.EnumerateFiles(Folder(), "*.http").Select(f => Path.GetFileName(f)!).Order());

    [Theory]
    [MemberData(nameof(Files))]
    public async Task Every_sample_is_answered_as_it_says(string file)
    {
        var parsed = HttpFile.Parse(await File.ReadAllTextAsync(Path.Combine(Folder(), file)));
        parsed.Variables["host"] = host.Public.BaseAddress!.ToString().TrimEnd('/');
        parsed.Variables["desk"] = DeskHost.DeskPass;
        var answers = new Dictionary<string, (JsonNode? Body, HttpResponseMessage Response)>();
        foreach (var sample in parsed.Samples)
        {
            string Fill(string text) => HttpFile.Fill(text, parsed.Variables, answers);
            using var request = new HttpRequestMessage(sample.Method, Fill(sample.Address));
            request.Content = sample.Body is null ? null : new ByteArrayContent(Encoding.UTF8.GetBytes(Fill(sample.Body)));
            foreach (var (name, value) in sample.Headers)
            {
                if (name == "Content-Type")
                {
                    request.Content!.Headers.ContentType = MediaTypeHeaderValue.Parse(value);
                }
                else
                {
                    Assert.True(request.Headers.TryAddWithoutValidation(name, Fill(value)));
                }
            }

            var response = await host.Public.SendAsync(request, HttpCompletionOption.ResponseHeadersRead);
            var text = await TextAsync(response);
            Assert.True(sample.Status == (int)response.StatusCode, $"{file}, {sample.Title}: answered {(int)response.StatusCode}, not {sample.Status}: {text}");
            var body = response.Content.Headers.ContentType?.MediaType?.EndsWith("json", StringComparison.Ordinal) == true ? JsonNode.Parse(text) : null;
            var problem = response.Content.Headers.ContentType?.MediaType == "application/problem+json" ? body!["type"]!.GetValue<string>().Split(':')[^1] : null;
            Assert.True(sample.Problem == problem, $"{file}, {sample.Title}: the problem is {problem}, not {sample.Problem}: {text}");
            if (sample.Name is not null)
            {
                Assert.True(answers.TryAdd(sample.Name, (body, response)), $"{file}: the name {sample.Name} stands twice.");
            }
        }
    }

    [Fact]
    public async Task The_samples_together_show_every_operation()
    {
        var shown = new HashSet<string>();
        foreach (var file in Directory.EnumerateFiles(Folder(), "*.http"))
        {
            shown.UnionWith(HttpFile.Parse(await File.ReadAllTextAsync(file)).Samples.Select(s => $"{s.Method} {Plain(s.Address["{{host}}".Length..].Split('?')[0])}"));
        }

        var document = await ApiDocument.ReadAsync(host.Public);
        var operations = document.Operations.Select(o => $"{o.Method} {string.Join('/', o.Path.Split('/').Select(p => p.StartsWith('{') ? "*" : p))}");
        Assert.Empty(operations.Except(shown));
    }

    private static string Plain(string address) =>
        string.Join('/', address.Split('/').Select((part, i) => part.Contains("{{", StringComparison.Ordinal) || int.TryParse(part, out _) ? "*" : part));

    private static async Task<string> TextAsync(HttpResponseMessage response)
    {
        if (response.Content.Headers.ContentType?.MediaType != "text/event-stream")
        {
            return await response.Content.ReadAsStringAsync();
        }

        // The feed does not end by itself; its first event will do.
        using var reader = new StreamReader(await response.Content.ReadAsStreamAsync());
        using var patience = new CancellationTokenSource(TimeSpan.FromSeconds(30));
        string? line;
        do
        {
            line = await reader.ReadLineAsync(patience.Token);
        }
        while (line?.StartsWith("data:", StringComparison.Ordinal) == false);
        return line!;
    }

    private static string Folder([CallerFilePath] string path = "") =>
        Path.GetFullPath(Path.Combine(Path.GetDirectoryName(path)!, "..", "..", "..", "http-samples"));
}
