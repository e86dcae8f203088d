using System.Net;
using System.Net.Http.Headers;
using System.Text;
using Xunit;

namespace BoutDesk.Api.Tests.Input;

[Collection(WholeSurface.Name)]
public class UnknownTests
{
    private static readonly string[] UnknownIds =
    [
        "zzzzzzzz", "zzzzzzzz-1", "zzzzzzzz-1-e1", "zzzzzzzz-1-d1p1", "zzzzzzzz-1-d1p1b1", "-", "--", "a'b", "%F0%9F%A4%BA", "%01", "..%2F..", new('a', 2000),
    ];

    // Asks before it sends a large body, as a client does that wants to hear the refusal and not a broken connection.
    private static readonly (string, string) Ask = ("Expect", "100-continue");

    private readonly Hall hall;

    public UnknownTests(Hall hall) => this.hall = hall;

    [Fact]
    public async Task An_unknown_identifier_is_not_found_by_any_operation()
    {
        var wrong = new List<string>();
        foreach (var operation in hall.Document.Operations.Where(o => o.PathParameters.Any()))
        {
            foreach (var id in UnknownIds)
            {
                using var response = await hall.Desk.TryAsync(operation.Method, operation.At(name => name == "round" ? "1" : id), operation.Example);
                if (response.StatusCode != HttpStatusCode.NotFound || response.Content.Headers.ContentType?.MediaType != "application/problem+json")
                {
                    wrong.Add($"{operation} with {id} was answered {(int)response.StatusCode}: {await response.Content.ReadAsStringAsync()}");
                }
            }
        }

        Assert.Empty(wrong);
    }

    [Theory]
    [InlineData("0")]
    [InlineData("2")]
    [InlineData("-1")]
    [InlineData("one")]
    [InlineData("99999999999999999999")]
    public async Task A_round_that_was_not_drawn_is_not_found(string round)
    {
        foreach (var operation in hall.Document.Operations.Where(o => o.PathParameters.Contains("round")))
        {
            await hall.Desk.RefusedAsync(operation.Method, operation.At(name => name == "round" ? round : hall.CompetitionId), operation.Example, 404, "not-found");
        }
    }

    [Fact]
    public async Task A_pass_of_another_tournament_is_not_found_here()
    {
        var elsewhere = await hall.Desk.TournamentAsync();
        await hall.Desk.RefusedAsync(HttpMethod.Delete, $"/api/tournaments/{elsewhere}/passes/{hall.RevokedPassId}", null, 404, "not-found");
    }

    [Theory]
    [InlineData("/api")]
    [InlineData("/api/fencers")]
    [InlineData("/api/tournaments/a/b/c/d")]
    [InlineData("/openapi/v2.json")]
    public async Task An_unknown_address_is_not_found_and_says_where_to_look(string path)
    {
        foreach (var method in new[] { HttpMethod.Get, HttpMethod.Post, HttpMethod.Delete })
        {
            var problem = await hall.Desk.RefusedAsync(method, path, null, 404, "not-found");
            Assert.Contains("/openapi/v1.json", problem["detail"]!.GetValue<string>());
        }
    }

    [Fact]
    public async Task A_method_that_an_address_does_not_take_is_refused_with_those_it_takes()
    {
        foreach (var path in hall.Document.Operations.GroupBy(o => o.Path))
        {
            var taken = path.Select(o => o.Method.Method).ToHashSet();
            foreach (var method in new[] { "GET", "POST", "PUT", "DELETE", "PATCH" }.Where(m => !taken.Contains(m)))
            {
                var address = hall.At(path.First());
                await hall.Desk.RefusedAsync(new HttpMethod(method), address, null, 405, "method-not-allowed");
                using var response = await hall.Desk.TryAsync(new HttpMethod(method), address);
                Assert.Equal(taken.Order(), response.Content.Headers.Allow.Order());
            }
        }
    }

    [Fact]
    public async Task A_body_of_another_kind_is_refused_by_every_operation_that_takes_one()
    {
        foreach (var operation in hall.Document.Operations.Where(o => o.Example is not null))
        {
            foreach (var type in new[] { "text/plain", "application/xml", "multipart/form-data; boundary=x", "application/json; charset=klingon", null })
            {
                using var body = new ByteArrayContent(Encoding.UTF8.GetBytes(operation.Example!.ToJsonString()));
                body.Headers.ContentType = type is null ? null : MediaTypeHeaderValue.Parse(type);
                var problem = await hall.Desk.RefusedAsync(operation.Method, hall.At(operation), body, 415, "media-type");
                Assert.Contains("Content-Type", problem["detail"]!.GetValue<string>());
            }
        }
    }

    [Fact]
    public async Task A_body_of_more_than_a_mebibyte_is_refused_by_every_operation_that_takes_one()
    {
        var large = new string(' ', 1024 * 1024);
        foreach (var operation in hall.Document.Operations.Where(o => o.Example is not null))
        {
            using var body = new StringContent(operation.Example!.ToJsonString() + large, Encoding.UTF8, "application/json");
            await hall.Desk.RefusedAsync(operation.Method, hall.At(operation), body, 413, "too-large", Ask);
        }
    }

    [Fact]
    public async Task An_entry_list_may_have_more_than_a_mebibyte_and_not_more_than_five()
    {
        var address = $"/api/competitions/{hall.CompetitionId}/entrants?dryRun=true";
        using var four = Csv("familyName,givenName\n" + new string('\n', 4 * 1024 * 1024));
        using var answer = await hall.Desk.TryAsync(HttpMethod.Post, address, four);
        Assert.NotEqual(HttpStatusCode.RequestEntityTooLarge, answer.StatusCode);
        using var six = Csv("familyName,givenName\n" + new string('\n', 6 * 1024 * 1024));
        await hall.Desk.RefusedAsync(HttpMethod.Post, address, six, 413, "too-large", Ask);
    }

    [Fact]
    public async Task A_list_in_a_format_that_is_not_offered_is_refused_and_others_by_preference()
    {
        foreach (var list in hall.Document.Operations.Where(o => o.IsList))
        {
            await hall.Desk.RefusedAsync(HttpMethod.Get, hall.At(list), null, 406, "not-acceptable", ("Accept", "application/pdf"));
            await hall.Desk.RefusedAsync(HttpMethod.Get, hall.At(list), null, 406, "not-acceptable", ("Accept", "text/csv;q=0, application/json;q=0"));
            foreach (var (accept, type) in new[]
            {
                ("*/*", "application/json"),
                ("text/html,application/xhtml+xml,*/*;q=0.8", "application/json"),
                ("application/json;q=0.5, text/csv", "text/csv"),
                ("text/csv, */*;q=0.5", "text/csv"),
                ("text/*", "text/csv"),
                ("application/json, text/csv", "application/json"),
                ("nonsense", "application/json"),
            })
            {
                using var response = await hall.Desk.TryAsync(HttpMethod.Get, hall.At(list), null, ("Accept", accept));
                Assert.Equal(type, response.Content.Headers.ContentType?.MediaType);
            }
        }
    }

    private static StringContent Csv(string text) => new(text, Encoding.UTF8, "text/csv");
}
