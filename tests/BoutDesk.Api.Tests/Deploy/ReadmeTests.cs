using System.Diagnostics;
using System.Text.RegularExpressions;
using Xunit;

namespace BoutDesk.Api.Tests.Deploy;

/// <summary>What the README tells people to type does what it says.</summary>
public sealed partial class ReadmeTests
{
    [Fact]
    public async Task The_competition_by_curl_ends_with_a_classification()
    {
        var readme = await File.ReadAllTextAsync(Path.Combine(Repository.Folder, "README.md"));
        var walk = Walk().Match(readme).Groups[1].Value;
        await using var host = await DeskHost.StartAsync(("BoutDesk:DeskPass", Pass().Match(walk).Groups[1].Value));
        walk = walk.Replace("http://localhost:5080", host.Public.BaseAddress!.ToString().TrimEnd('/'), StringComparison.Ordinal);

        var said = await BashAsync(walk);

        Assert.Contains("""{"added":8,"rejected":0,""", said, StringComparison.Ordinal);
        Assert.Contains("urn:boutdesk:problem:bouts-open", said, StringComparison.Ordinal);
        Assert.Contains("""{"left":2,"right":1}""", said, StringComparison.Ordinal);
        var end = said[said.IndexOf("\nfinished\n", StringComparison.Ordinal)..].Split('\n', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries);
        Assert.Equal("place,entrantId,name,club,country,reached", end[1]);
        Assert.Equal(8, end[2..].Length);
        Assert.EndsWith(",winner", end[2], StringComparison.Ordinal);
    }

    private static async Task<string> BashAsync(string script)
    {
        // As typed, but that it stops at the first command that fails.
        using var bash = Process.Start(new ProcessStartInfo("bash", ["-eu", "-o", "pipefail", "-c", script])
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        })!;
        var output = bash.StandardOutput.ReadToEndAsync();
        var error = bash.StandardError.ReadToEndAsync();
        await bash.WaitForExitAsync();
        Assert.True(bash.ExitCode == 0, $"It needs curl and jq, and ended with {bash.ExitCode}: {await error}{await output}");
        return await output;
    }

    [GeneratedRegex("## A competition by curl\n.*?```bash\n(.*?)```", RegexOptions.Singleline)]
    private static partial Regex Walk();

    [GeneratedRegex("^pass=(.*)$", RegexOptions.Multiline)]
    private static partial Regex Pass();
}
