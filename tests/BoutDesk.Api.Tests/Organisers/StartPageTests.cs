using System.Net;
using Xunit;

namespace BoutDesk.Api.Tests.Organisers;

/// <summary>What a visitor finds where nothing is on yet: by which address he came decides what is of use to him.</summary>
public sealed class StartPageTests
{
    private const string Nothing = "<h1>No tournament is on here yet</h1>", Demo = "--demo", Elsewhere = "Several organisers use this service";

    [Fact]
    public async Task Who_comes_where_nothing_is_on_is_told_to_come_back_where_the_desk_is_and_what_else_helps_at_that_address()
    {
        await using var host = await DeskHost.StartAsync();
        // A laptop of its own: who sits at it can start it with the demo, whoever comes by the name of the hall cannot.
        foreach (var (hostName, isThisMachine) in new[] { ("localhost", true), ("127.0.0.1", true), ("laptop.hall.test", false), ("192.0.2.7", false) })
        {
            var page = await PageAsync(host, hostName);
            Assert.Contains("<title>BoutDesk</title>", page, StringComparison.Ordinal);
            Assert.Contains(Nothing, page, StringComparison.Ordinal);
            Assert.Contains("<a href=\"/desk\">", page, StringComparison.Ordinal);
            Assert.Equal((hostName, isThisMachine), (hostName, page.Contains(Demo, StringComparison.Ordinal)));
            Assert.DoesNotContain(Elsewhere, page, StringComparison.Ordinal);
        }

        // One of several: whoever has come to a name that is nobody's may have mistyped it. Whose names there are is not told.
        await Operator.CreateAsync("north", Operator.Host, host);
        foreach (var hostName in new[] { "localhost", "nort.example.org" })
        {
            var page = await PageAsync(host, hostName);
            Assert.Contains(Nothing, page, StringComparison.Ordinal);
            Assert.Contains(Elsewhere, page, StringComparison.Ordinal);
            Assert.DoesNotContain(Demo, page, StringComparison.Ordinal);
            Assert.DoesNotContain("north", page, StringComparison.OrdinalIgnoreCase);
        }

        var norths = await PageAsync(host, Operator.Host);
        Assert.Contains("<title>North Region</title>", norths, StringComparison.Ordinal);
        Assert.Contains(Nothing, norths, StringComparison.Ordinal);
        Assert.DoesNotContain(Demo, norths, StringComparison.Ordinal);
        Assert.DoesNotContain(Elsewhere, norths, StringComparison.Ordinal);
        Assert.Contains("<h1>Aucun tournoi n’a lieu ici pour le moment</h1>", await PageAsync(host, Operator.Host, "fr"), StringComparison.Ordinal);
    }

    private static async Task<string> PageAsync(DeskHost host, string hostName, string language = "en")
    {
        using var client = host.ClientAt(hostName, null);
        var answer = await client.AskAsync(HttpMethod.Get, "/", null, ("Accept", "text/html"), ("Accept-Language", language));
        Assert.Equal(200, answer.Status);
        return WebUtility.HtmlDecode(answer.Body);
    }
}
