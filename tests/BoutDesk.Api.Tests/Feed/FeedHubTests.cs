using System.Threading.Channels;
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
                hub.Publish([Happened(page)], page - 1, page);
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
        hub.Publish(Enumerable.Range(1, 1001).Select(i => Happened(i)), 0, 1001);

        var left = 0;
        while (channel.Reader.TryRead(out _))
        {
            left++;
        }

        Assert.Equal(1000, left);
        Assert.True(channel.Reader.Completion.IsCompletedSuccessfully);
    }

    [Fact]
    public void A_page_handed_on_again_does_not_set_the_position_back_and_nothing_of_it_is_told_twice()
    {
        var hub = new FeedHub();
        var (channel, _) = hub.Listen("home", "a");
        hub.Publish([Happened(1), Happened(2)], 0, 2);
        hub.Publish([Happened(1)], 0, 1);
        Assert.Equal(2, hub.Position);
        hub.Publish([Happened(2), Happened(3)], 1, 3);
        Assert.Equal([1, 2, 3], Told(channel));
    }

    [Fact]
    public void The_first_page_can_come_before_it_is_told_where_to_begin()
    {
        var hub = new FeedHub();
        var (channel, _) = hub.Listen("home", "a");
        hub.Publish([Happened(5), Happened(6)], 4, 6);
        hub.BeginAt(4);
        hub.Publish([Happened(7)], 6, 7);
        Assert.Equal([5, 6, 7], Told(channel));
        Assert.Equal(7, hub.Position);
    }

    [Fact]
    public void A_page_that_does_not_follow_on_is_left_until_what_is_between_was_handed_on()
    {
        var hub = new FeedHub();
        hub.BeginAt(4);
        var (channel, _) = hub.Listen("home", "a");
        Assert.False(hub.Publish([Happened(7)], 6, 7));
        Assert.Equal(4, hub.Position);
        Assert.True(hub.Publish([Happened(5), Happened(6), Happened(7)], 4, 7));
        Assert.Equal([5, 6, 7], Told(channel));
    }

    [Fact]
    public void What_changed_since_a_position_is_known_from_the_beginning_of_the_service_or_of_the_last_five_thousand()
    {
        var hub = new FeedHub();
        Assert.Null(hub.ChangedSince("home", "a-1", 10));
        hub.BeginAt(10);
        Assert.Null(hub.ChangedSince("home", "a-1", 9));
        Assert.Equal([], hub.ChangedSince("home", "a-1", 10)!);

        hub.Publish([Happened(11), Happened(12, "a-2-d1p1b1"), Happened(13, "a-1-d1p1b2"), Happened(14)], 10, 14);
        Assert.Null(hub.ChangedSince("home", "a-1", 9));
        Assert.Equal(["a-1-d1p1b1", "a-1-d1p1b2"], hub.ChangedSince("home", "a-1", 10)!.Order());
        Assert.Equal(["a-1-d1p1b1"], hub.ChangedSince("home", "a-1", 13)!);
        Assert.Equal([], hub.ChangedSince("home", "a-1", 14)!);
        Assert.Equal([], hub.ChangedSince("away", "a-1", 10)!);

        hub.Publish(Enumerable.Range(15, 10_000).Select(i => Happened(i, i % 2 == 0 ? "a-1" : "a-2")), 14, 10_014);
        Assert.Null(hub.ChangedSince("home", "a-1", 5013));
        Assert.Equal(["a-1"], hub.ChangedSince("home", "a-1", 5014)!);
    }

    private static IEnumerable<long> Told(Channel<Api.Feed.FeedMessage> channel)
    {
        while (channel.Reader.TryRead(out var message))
        {
            yield return message.Position;
        }
    }

    private static Event<TimeRanOut> Happened(long sequence, string stream = "a-1-d1p1b1") =>
        new(new TimeRanOut()) { Sequence = sequence, StreamKey = stream, TenantId = "home" };
}
