using System.Net.Http.Headers;
using BoutDesk.Api.Tests.Contract;
using BoutDesk.Api.Tests.EventStore;
using Microsoft.AspNetCore.Routing;
using Microsoft.Extensions.DependencyInjection;
using Xunit;

namespace BoutDesk.Api.Tests.Organisers;

/// <summary>
/// Every operation and every page, asked for at one organiser with the identifiers and passes of another: answered as if
/// nothing of that kind existed, and nothing is changed.
/// </summary>
/// <remarks>They hold in the same way whether the two share a database or not.</remarks>
public abstract class ApartTestsOf<T>(T halls) : IClassFixture<T>
    where T : TwoHalls
{
    private protected T Halls => halls;

    [Fact]
    public async Task Every_operation_on_what_is_anothers_answers_as_if_it_were_not_there_whatever_pass_comes_with_it()
    {
        var wrong = new List<string>();
        foreach (var (hall, organiser, other, elsewhere) in halls.BothWays)
        {
            var before = await halls.StoredAsync(organiser);
            foreach (var operation in hall.Document.Operations.Where(o => o.PathParameters.Any()))
            {
                var allowed = operation.NeedsPass ? 401 : 404;
                await ExpectAsync(operation, null, allowed, "no pass");
                foreach (var (kind, pass) in hall.Passes)
                {
                    await ExpectAsync(operation, pass, allowed, $"the other's pass '{kind}'");
                }

                await ExpectAsync(operation, other.Passes["desk"], 404, "the desk pass of where it is asked");
            }

            Assert.Equal(before, await halls.StoredAsync(organiser));

            async Task ExpectAsync(Operation operation, string? pass, int expected, string with)
            {
                using var client = elsewhere(pass);
                var status = await StatusAsync(client, operation, hall.At(operation));
                if (status != expected)
                {
                    wrong.Add($"{operation} of {organiser} with {with} was answered {status}, expected {expected}.");
                }
            }
        }

        Assert.Empty(wrong);
    }

    [Fact]
    public async Task Operations_that_name_nothing_take_only_passes_of_where_they_are_asked_and_list_only_what_is_there()
    {
        foreach (var (hall, organiser, other, elsewhere) in halls.BothWays)
        {
            var before = await halls.StoredAsync(organiser);
            foreach (var operation in hall.Document.Operations.Where(o => !o.PathParameters.Any() && o.NeedsPass))
            {
                foreach (var (kind, pass) in hall.Passes)
                {
                    using var client = elsewhere(pass);
                    Assert.Equal((operation.ToString(), kind, 401), (operation.ToString(), kind, await StatusAsync(client, operation, operation.Path)));
                }
            }

            using var there = elsewhere(null);
            var listed = (await there.ListAsync("/api/tournaments")).Select(t => t.Id()).ToArray();
            Assert.Contains(other.TournamentId, listed);
            Assert.DoesNotContain(hall.TournamentId, listed);
            Assert.Equal(before, await halls.StoredAsync(organiser));
        }
    }

    [Fact]
    public async Task Every_page_about_what_is_anothers_is_the_one_about_nothing()
    {
        var pages = halls.Host.Services.GetRequiredService<EndpointDataSource>().Endpoints.OfType<RouteEndpoint>()
            .Where(e => e.Metadata.GetMetadata<HttpMethodMetadata>()?.HttpMethods.Contains("GET") == true)
            .Select(e => e.RoutePattern).Where(p => p.Parameters.Any(x => x.Name.EndsWith("Id", StringComparison.Ordinal))).ToArray();
        Assert.True(pages.Length > 60, $"Only {pages.Length} pages.");
        var wrong = new List<string>();
        var shown = 0;
        foreach (var (hall, organiser, other, elsewhere) in halls.BothWays)
        {
            foreach (var page in pages.Where(p => !p.RawText!.EndsWith("/feed", StringComparison.Ordinal)))
            {
                var address = Address(page, hall);
                // First where it belongs, so that whatever is kept of it is there to be handed out wrongly.
                shown += (await PageAsync(hall.Desk, hall.Passes["desk"], address)).Status == 200 ? 1 : 0;
                foreach (var pass in new[] { null, hall.Passes["desk"], other.Passes["desk"] })
                {
                    using var client = elsewhere(null);
                    var answer = await PageAsync(client, pass, address);
                    var ofNothing = await PageAsync(client, pass, address.Replace(hall.TournamentId, "zzzzzzzz", StringComparison.Ordinal));
                    if (answer.Status != ofNothing.Status || (answer.Status == 200 && answer.Body.Replace(hall.TournamentId, "zzzzzzzz", StringComparison.Ordinal) != ofNothing.Body))
                    {
                        wrong.Add($"{address} of {organiser}: {answer.Status}, but {ofNothing.Status} for nothing.");
                    }
                }
            }
        }

        Assert.Empty(wrong);
        Assert.True(shown > 80, $"Only {shown} pages were shown where they belong.");
    }

    [Fact]
    public async Task The_start_pages_of_board_and_desk_show_the_tournaments_of_where_they_are_asked_for()
    {
        foreach (var (hall, _, other, elsewhere) in halls.BothWays)
        {
            using var there = elsewhere(null);
            foreach (var address in new[] { "/", "/desk" })
            {
                Assert.Contains(hall.TournamentId, (await PageAsync(hall.Desk, hall.Passes["desk"], address)).Body, StringComparison.Ordinal);
                var page = await PageAsync(there, other.Passes["desk"], address);
                Assert.Contains(other.TournamentId, page.Body, StringComparison.Ordinal);
                Assert.DoesNotContain(hall.TournamentId, page.Body, StringComparison.Ordinal);
            }

            // The door of the desk is shut for the other's pass.
            Assert.Equal(302, (await PageAsync(there, hall.Passes["desk"], "/desk")).Status);
            using var form = new FormUrlEncodedContent([KeyValuePair.Create("pass", hall.Passes["desk"])]);
            Assert.Equal(403, (await there.AskAsync(HttpMethod.Post, "/desk/enter", form, ("Sec-Fetch-Site", "same-origin"))).Status);
        }
    }

    [Theory]
    [InlineData("NORTH.Example.org", true)]
    [InlineData("north.example.org.", true)]
    [InlineData("north.example.org", true)]
    [InlineData("south.north.example.org", false)]
    [InlineData("north.example.org.example", false)]
    [InlineData("example.org", false)]
    [InlineData("localhost", false)]
    public async Task An_organiser_is_told_by_its_host_name_whatever_its_capitals_and_the_port(string hostName, bool isNorth)
    {
        var (hall, other) = halls.BothWays.Select(way => (way.Hall, way.Other)).First();
        foreach (var port in new[] { string.Empty, ":80", ":5080" })
        {
            using var client = halls.Host.Client(null);
            client.DefaultRequestHeaders.Host = hostName + port;
            var listed = (await client.ListAsync("/api/tournaments")).Select(t => t.Id());
            Assert.Contains((isNorth ? other : hall).TournamentId, listed);
        }
    }

    private static async Task<int> StatusAsync(HttpClient client, Operation operation, string address)
    {
        using var request = new HttpRequestMessage(operation.Method, address);
        if (operation.Example is { } example)
        {
            request.Content = new StringContent(example.ToJsonString(), MediaTypeHeaderValue.Parse("application/json"));
        }

        using var response = await client.SendAsync(request, HttpCompletionOption.ResponseHeadersRead);
        return (int)response.StatusCode;
    }

    /// <summary>Asks as a browser does, with the desk's cookie where it has one. Redirects are not followed.</summary>
    private static async Task<(int Status, string Body)> PageAsync(HttpClient client, string? pass, string address)
    {
        using var handler = new SocketsHttpHandler { AllowAutoRedirect = false, UseCookies = false };
        using var browser = new HttpClient(handler) { BaseAddress = client.BaseAddress };
        browser.DefaultRequestHeaders.Host = client.DefaultRequestHeaders.Host;
        var cookie = pass is null ? [] : new[] { ("Cookie", "boutdesk-pass=" + pass) };
        var answer = await browser.AskAsync(HttpMethod.Get, address, null, [("Accept", "text/html"), .. cookie]);
        return (answer.Status, answer.Body);
    }

    private static string Address(Microsoft.AspNetCore.Routing.Patterns.RoutePattern page, Hall hall) =>
        page.Parameters.Aggregate("/" + page.RawText!.TrimStart('/'), (address, parameter) =>
        {
            var value = parameter.Name switch
            {
                "tournamentId" => hall.TournamentId,
                "competitionId" => address.Contains("tableau", StringComparison.Ordinal) ? hall.TableauCompetitionId : hall.CompetitionId,
                "poolId" => hall.PoolId,
                "boutId" => hall.BoutId,
                "entrantId" => hall.EntrantId,
                "refereeId" => hall.TournamentId + "-r1",
                "itemId" => hall.TournamentId + "-k1",
                _ => "1",
            };
            var begin = address.IndexOf("{" + parameter.Name, StringComparison.Ordinal);
            return address[..begin] + value + address[(address.IndexOf('}', begin) + 1)..];
        });
}

/// <summary>Two organisers in one database.</summary>
public class ApartTests(TwoHalls halls) : ApartTestsOf<TwoHalls>(halls);

/// <summary>Two organisers, of which one has a database of its own.</summary>
public class ApartInDatabasesTests(TwoDatabases halls) : ApartTestsOf<TwoDatabases>(halls)
{
    [Fact]
    public async Task Nothing_of_either_is_in_any_table_of_the_others_database()
    {
        foreach (var (hall, organiser, other, _) in Halls.BothWays)
        {
            var (its, others) = organiser == "home" ? (Halls.Host.ConnectionString, Halls.Own!) : (Halls.Own!, Halls.Host.ConnectionString);
            Assert.NotEmpty(await LookingBehind.FoundAsync(its, hall.TournamentId));
            Assert.Empty(await LookingBehind.FoundAsync(others, hall.TournamentId));
            Assert.NotEmpty(await LookingBehind.FoundAsync(others, other.TournamentId));
        }
    }
}
