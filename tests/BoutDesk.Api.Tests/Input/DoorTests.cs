using System.Collections.Concurrent;
using System.Net;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using Xunit;

namespace BoutDesk.Api.Tests.Input;

/// <summary>What a browser can be made to do against the will of the one who sits before it: nothing.</summary>
[Collection(OneService.Name)]
public class DoorTests
{
    private const string Pass = DeskHost.DeskPass;

    private readonly DeskHost host;

    public DoorTests(SharedDesk shared) => host = shared.Host;

    private string Ours => host.Public.BaseAddress!.GetLeftPart(UriPartial.Authority);

    [Fact]
    public async Task The_pass_goes_into_a_cookie_that_no_script_and_no_other_site_reaches()
    {
        using var entered = await SendAsync("/desk/enter", $"pass={Pass}&to=/desk", ("Origin", Ours));
        Assert.Equal("/desk", entered.Headers.Location?.ToString());
        var cookie = Assert.Single(entered.Headers.GetValues("Set-Cookie"));
        Assert.Contains("; path=/desk;", cookie, StringComparison.Ordinal);
        Assert.Contains("samesite=strict", cookie, StringComparison.Ordinal);
        Assert.Contains("httponly", cookie, StringComparison.Ordinal);
        // On the pages and forms of the desk it stands for the header, and nowhere else.
        using var page = await host.Public.TryAsync(HttpMethod.Get, "/desk", null, ("Cookie", "boutdesk-pass=" + Pass));
        Assert.Equal(HttpStatusCode.OK, page.StatusCode);
        await host.Public.RefusedAsync(HttpMethod.Post, "/api/tournaments", new { }, 401, "pass-missing", ("Cookie", "boutdesk-pass=" + Pass));
    }

    [Theory]
    [InlineData("Sec-Fetch-Site", "cross-site")]
    [InlineData("Sec-Fetch-Site", "same-site")]
    [InlineData("Sec-Fetch-Site", "none")]
    [InlineData("Origin", "http://evil.example")]
    [InlineData("Origin", "null")]
    [InlineData("X-Nothing", "")]
    public async Task A_form_that_does_not_come_from_a_page_of_ours_is_refused(string header, string value)
    {
        var before = (await host.Desk.ListAsync("/api/tournaments")).Count;
        const string Opened = "name=Of+another+site&venue=x&startsOn=2027-01-01&timeZone=Europe/Paris";
        using var sent = await SendAsync("/desk/send/POST/tournaments", Opened, ("Cookie", "boutdesk-pass=" + Pass), (header, value));
        Assert.Equal(HttpStatusCode.Forbidden, sent.StatusCode);
        Assert.Equal(before, (await host.Desk.ListAsync("/api/tournaments")).Count);
        using var entered = await SendAsync("/desk/enter", "pass=" + Pass, (header, value));
        Assert.Equal(HttpStatusCode.Forbidden, entered.StatusCode);
        Assert.False(entered.Headers.Contains("Set-Cookie"));

        using var ours = await SendAsync("/desk/send/POST/tournaments", Opened, ("Cookie", "boutdesk-pass=" + Pass), ("Origin", Ours));
        Assert.Equal(HttpStatusCode.SeeOther, ours.StatusCode);
    }

    [Theory]
    [InlineData("//evil.example/")]
    [InlineData("https://evil.example/desk")]
    [InlineData("/\\evil.example")]
    [InlineData("/desk\\..\\..\\evil.example")]
    [InlineData("/desk/\r\nX-Injected: 1")]
    [InlineData("javascript:alert(1)")]
    [InlineData("/elsewhere")]
    public async Task Nothing_leads_away_from_the_desk(string to)
    {
        var asked = Uri.EscapeDataString(to);
        using var entered = await SendAsync("/desk/enter", $"pass={Pass}&to={asked}", ("Origin", Ours));
        Assert.Equal("/desk", entered.Headers.Location?.ToString());
        var form = $"name=Back&venue=x&startsOn=2027-01-01&timeZone=Europe/Paris&_back={asked}";
        using var sent = await SendAsync("/desk/send/POST/tournaments", form, ("Cookie", "boutdesk-pass=" + Pass), ("Origin", Ours));
        Assert.Equal("/desk", sent.Headers.Location?.ToString());
        Assert.False(sent.Headers.Contains("X-Injected"));
    }

    [Fact]
    public async Task The_choice_of_a_language_leads_back_to_a_page_of_ours()
    {
        foreach (var (from, back) in new[] { (Ours + "/hall?length=20", "/hall?length=20"), ("http://evil.example/", "/"), (Ours + "//evil.example/x", "/"), ("no address", "/") })
        {
            using var client = new HttpClient(new HttpClientHandler { AllowAutoRedirect = false, UseCookies = false }) { BaseAddress = host.Public.BaseAddress };
            using var answer = await client.TryAsync(HttpMethod.Get, "/language/fr", null, ("Referer", from));
            Assert.Equal(HttpStatusCode.Redirect, answer.StatusCode);
            Assert.Equal(back, answer.Headers.Location?.ToString());
        }
    }

    [Fact]
    public async Task No_pass_good_or_wrong_is_written_to_the_log()
    {
        await using var logged = await DeskHost.StartAsync();
        using var lines = new Lines();
        logged.Services.GetRequiredService<ILoggerFactory>().AddProvider(lines);
        var tournament = await logged.Desk.TournamentAsync();
        var given = await logged.Desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/passes", new { kind = "armourer" }, HttpStatusCode.Created, ("Idempotency-Key", "once"));
        using var armourer = logged.Client(given.Text("pass"));
        await armourer.RefusedAsync(HttpMethod.Post, "/api/tournaments", new { }, 403, "pass-insufficient");
        const string Guess = "a-pass-that-somebody-guesses-0123";
        using var guesser = logged.Client(Guess);
        await guesser.RefusedAsync(HttpMethod.Post, "/api/tournaments", new { }, 401, "pass-invalid");
        using var page = await logged.Public.TryAsync(HttpMethod.Get, "/desk", null, ("Cookie", "boutdesk-pass=" + Pass));
        Assert.NotEmpty(lines.Written);
        Assert.All(lines.Written, line => Assert.All([Pass, given.Text("pass"), Guess], pass => Assert.DoesNotContain(pass, line, StringComparison.Ordinal)));
    }

    private async Task<HttpResponseMessage> SendAsync(string path, string form, params (string Name, string Value)[] headers)
    {
        using var client = new HttpClient(new HttpClientHandler { AllowAutoRedirect = false, UseCookies = false }) { BaseAddress = host.Public.BaseAddress };
        using var content = new StringContent(form, System.Text.Encoding.UTF8, "application/x-www-form-urlencoded");
        return await client.TryAsync(HttpMethod.Post, path, content, [("Accept", "text/html"), .. headers]);
    }

    /// <summary>Everything that is logged.</summary>
    private sealed class Lines : ILoggerProvider, ILogger
    {
        public ConcurrentQueue<string> Written { get; } = [];

        public ILogger CreateLogger(string categoryName) => this;

        public IDisposable? BeginScope<TState>(TState state)
            where TState : notnull => null;

        public bool IsEnabled(LogLevel logLevel) => true;

        public void Log<TState>(LogLevel logLevel, EventId eventId, TState state, Exception? exception, Func<TState, Exception?, string> formatter) =>
            Written.Enqueue($"{formatter(state, exception)} {exception}");

        public void Dispose()
        {
        }
    }
}
