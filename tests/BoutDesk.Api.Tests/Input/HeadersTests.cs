using System.Net;
using Xunit;

namespace BoutDesk.Api.Tests.Input;

/// <summary>What browsers are told to refuse, requests for the head alone, and queries that nobody takes.</summary>
[Collection(OneService.Name)]
public class HeadersTests
{
    private readonly DeskHost host;

    public HeadersTests(SharedDesk shared) => host = shared.Host;

    [Theory]
    [InlineData("/", "form-action 'self'", "same-origin")]
    [InlineData("/hall", "form-action 'self'", "same-origin")]
    [InlineData("/nothing/here", "form-action 'self'", "same-origin")]
    [InlineData("/api/tournaments", "form-action 'self'", "same-origin")]
    [InlineData("/desk/enter", "form-action 'self'", "same-origin")]
    [InlineData("/strip", "form-action 'none'", "no-referrer")]
    [InlineData("/equipment", "form-action 'none'", "no-referrer")]
    [InlineData("/openapi/index.html", "form-action 'none'", "no-referrer")]
    public async Task Every_page_tells_browsers_what_to_refuse(string address, string forms, string referrer)
    {
        using var answer = await host.Public.TryAsync(HttpMethod.Get, address, null, ("Accept", "text/html"));
        var policy = Assert.Single(answer.Headers.GetValues("Content-Security-Policy"));
        Assert.Contains("default-src 'self'", policy, StringComparison.Ordinal);
        Assert.Contains("frame-ancestors 'none'", policy, StringComparison.Ordinal);
        Assert.Contains("base-uri 'none'", policy, StringComparison.Ordinal);
        Assert.Contains(forms, policy, StringComparison.Ordinal);
        // Styles of the page that a library makes of the API are the one exception, scripts never.
        Assert.Equal(address.StartsWith("/openapi", StringComparison.Ordinal), policy.Contains("style-src 'self' 'unsafe-inline'", StringComparison.Ordinal));
        Assert.DoesNotContain("unsafe", policy.Replace("style-src 'self' 'unsafe-inline'", string.Empty, StringComparison.Ordinal), StringComparison.Ordinal);
        Assert.Equal("nosniff", Assert.Single(answer.Headers.GetValues("X-Content-Type-Options")));
        Assert.Equal("DENY", Assert.Single(answer.Headers.GetValues("X-Frame-Options")));
        Assert.Equal(referrer, Assert.Single(answer.Headers.GetValues("Referrer-Policy")));
    }

    [Theory]
    [InlineData("/")]
    [InlineData("/api/tournaments")]
    [InlineData("/health/ready")]
    [InlineData("/look.css")]
    public async Task The_head_alone_is_that_of_the_whole(string address)
    {
        using var whole = await host.Public.GetAsync(address);
        using var request = new HttpRequestMessage(HttpMethod.Head, address);
        using var head = await host.Public.SendAsync(request);
        Assert.Equal(HttpStatusCode.OK, head.StatusCode);
        Assert.Equal(whole.Content.Headers.ContentType, head.Content.Headers.ContentType);
        Assert.Empty(await head.Content.ReadAsByteArrayAsync());
    }

    [Fact]
    public async Task A_query_that_nobody_takes_is_refused_and_nothing_is_done()
    {
        var competition = await host.Desk.CompetitionAsync(0);
        var address = $"/api/competitions/{competition}/entrants";
        using var list = new StringContent("familyName\nMarchetti\n", System.Text.Encoding.UTF8, "text/csv");
        using var request = new HttpRequestMessage(HttpMethod.Post, address + "?dryrun=true&partail=true") { Content = list };
        using var answer = await host.Desk.SendAsync(request);
        Assert.Equal(HttpStatusCode.BadRequest, answer.StatusCode);
        Assert.Contains("It takes: dryRun, partial", await answer.Content.ReadAsStringAsync(), StringComparison.Ordinal);
        Assert.Empty(await host.Desk.ListAsync(address));

        await host.Desk.RefusedAsync(HttpMethod.Get, address + "?limit=5&page=2", null, 400, "invalid-input");
        await host.Desk.RefusedAsync(HttpMethod.Get, $"/api/competitions/{competition}?x=1", null, 400, "invalid-input");
        await host.Desk.ListAsync(address + "?limit=5");
        await host.Desk.AskAsync(HttpMethod.Get, address + "?format=csv&separator=semicolon");
    }
}
