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

    [Fact]
    public async Task A_pass_at_the_address_of_another_organiser_is_told_to_check_the_address_and_nothing_of_whose_it_is()
    {
        await using var host = await DeskHost.StartAsync();
        var pass = await Operator.CreateAsync("north", Operator.Host, host);
        var wrong = host.ClientAt("nort.example.org", pass);
        var answer = await wrong.AskAsync(HttpMethod.Get, "/api/pass");
        Assert.Equal((401, "pass-invalid"), (answer.Status, answer.Problem));
        Assert.Equal("The pass is unknown at this address, has expired or was revoked. Check the address, or ask the desk for a new one.", answer.Json.Text("detail"));
        // As if nobody had ever given it out.
        using var made = host.ClientAt("nort.example.org", "aPassThatNobodyGaveOut0123456789");
        Assert.Equal((await made.AskAsync(HttpMethod.Get, "/api/pass")).Body, answer.Body);

        using var form = new FormUrlEncodedContent([KeyValuePair.Create("pass", pass)]);
        var door = await wrong.AskAsync(HttpMethod.Post, "/desk/enter", form, ("Sec-Fetch-Site", "same-origin"));
        Assert.Equal(403, door.Status);
        Assert.Contains("This is no pass for the desk at this address. Check both letter by letter.", door.Body, StringComparison.Ordinal);
        Assert.DoesNotContain("north", door.Body, StringComparison.OrdinalIgnoreCase);
    }

    [Fact]
    public async Task The_door_of_the_desk_says_where_the_first_pass_came_from()
    {
        await using var host = await DeskHost.StartAsync();
        await Operator.CreateAsync("north", Operator.Host, host);
        Assert.Contains("The console of the service showed the first one", await PageAsync(host, "localhost", "en", "/desk/enter"), StringComparison.Ordinal);
        var norths = await PageAsync(host, Operator.Host, "en", "/desk/enter");
        Assert.Contains("Whoever runs the service was told the first one of North Region", norths, StringComparison.Ordinal);
        Assert.DoesNotContain("The console", norths, StringComparison.Ordinal);
    }

    private static async Task<string> PageAsync(DeskHost host, string hostName, string language = "en", string address = "/")
    {
        using var client = host.ClientAt(hostName, null);
        var answer = await client.AskAsync(HttpMethod.Get, address, null, ("Accept", "text/html"), ("Accept-Language", language));
        Assert.Equal(200, answer.Status);
        return WebUtility.HtmlDecode(answer.Body);
    }
}
