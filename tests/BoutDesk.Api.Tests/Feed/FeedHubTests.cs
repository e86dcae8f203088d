using BoutDesk.Api.Feed;
using BoutDesk.Domain.Bouts;
using JasperFx.Events;
using Xunit;

namespace BoutDesk.Api.Tests.Feed;

public class FeedHubTests
{
    [Fact]
    public async Task Whoever_begins_to_listen_while_pages_are_handed_on_gets_everything_after_his_position()
    {
        const int Pages = 20_000;
        var hub = new FeedHub();
        var publishing = Task.Run(() =>
        {
            for (var page = 1L; page <= Pages; page++)
            {
                hub.Publish([Happened(page)], page);
            }
        });

        var began = 0;
        while (!publishing.IsCompleted)
        {
            var (channel, position) = hub.Listen("home", "a");
            if (position == Pages)
            {
                break;
            }

            began++;
            Assert.Equal(position + 1, (await channel.Reader.ReadAsync()).Position);
            hub.Leave("home", "a", channel);
        }

        await publishing;
        Assert.True(began > 0);
    }

    [Fact]
    public void Who_falls_too_far_behind_is_sent_away_after_what_he_can_still_have()
    {
        var hub = new FeedHub();
        var (channel, _) = hub.Listen("home", "a");
        hub.Publish(Enumerable.Range(1, 1001).Select(i => Happened(i)), 1001);

        var left = 0;
        while (channel.Reader.TryRead(out _))
        {
            left++;
        }

        Assert.Equal(1000, left);
        Assert.True(channel.Reader.Completion.IsCompletedSuccessfully);
    }

    [Fact]
    public void A_page_handed_on_again_does_not_set_the_position_back()
    {
        var hub = new FeedHub();
        hub.Publish([Happened(1), Happened(2)], 2);
        hub.Publish([Happened(1)], 1);
        Assert.Equal(2, hub.Listen("home", "a").Position);
    }

    private static Event<TimeRanOut> Happened(long sequence) =>
        new(new TimeRanOut()) { Sequence = sequence, StreamKey = "a-1-d1p1b1", TenantId = "home" };
}
