using System.Net;
using System.Text.Json.Nodes;
using Xunit;

namespace BoutDesk.Api.Tests.Caching;

[Collection(WholeSurface.Name)]
public class PageTests
{
    private readonly Hall hall;

    public PageTests(Hall hall) => this.hall = hall;

    [Fact]
    public async Task Every_list_is_read_page_by_page_by_following_the_links_and_nothing_is_left_out_or_twice()
    {
        foreach (var list in hall.Document.Operations.Where(o => o.IsList))
        {
            var address = hall.At(list);
            var whole = await hall.Desk.ListAsync(address);
            Assert.True(whole.Count > 1 || list.Id is "getBoutHistory", $"{list} shows {whole.Count} items, too few to try pages on.");
            foreach (var limit in new[] { 1, 2, whole.Count, 2000 })
            {
                var read = new List<string>();
                for (var next = $"{address}?limit={limit}"; next is not null;)
                {
                    using var response = await hall.Desk.TryAsync(HttpMethod.Get, next);
                    var page = (JsonArray)JsonNode.Parse(await response.Content.ReadAsStringAsync())!;
                    Assert.InRange(page.Count, 1, limit);
                    read.AddRange(page.Select(item => item!.ToJsonString()));
                    next = response.Headers.TryGetValues("Link", out var link) ? NextOf(link.Single()) : null;
                }

                Assert.Equal(whole.Select(item => item.ToJsonString()), read);
            }
        }
    }

    [Fact]
    public async Task The_last_item_is_followed_by_an_empty_page_without_a_link()
    {
        var address = $"/api/competitions/{hall.CompetitionId}/entrants";
        var last = (await hall.Desk.ListAsync(address))[^1].Id();
        using var response = await hall.Desk.TryAsync(HttpMethod.Get, $"{address}?limit=5&after={last}");
        Assert.Equal(HttpStatusCode.OK, response.StatusCode);
        Assert.Equal("[]", await response.Content.ReadAsStringAsync());
        Assert.False(response.Headers.Contains("Link"));
    }

    private static string NextOf(string link)
    {
        Assert.EndsWith("; rel=\"next\"", link, StringComparison.Ordinal);
        return link[1..link.IndexOf('>', StringComparison.Ordinal)];
    }
}
