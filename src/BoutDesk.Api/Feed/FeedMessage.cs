using System.Globalization;
using System.Text;
using System.Text.Json;
using BoutDesk.Api.Http;
using JasperFx.Events;

namespace BoutDesk.Api.Feed;

/// <summary>An event as it goes over the line to everybody who follows.</summary>
/// <param name="Position">Its position in the store.</param>
/// <param name="Text">A server-sent event, in UTF-8.</param>
internal sealed record FeedMessage(long Position, ReadOnlyMemory<byte> Text)
{
    public static FeedMessage Of(IEvent happened)
    {
        var item = FeedItem.Of(happened);
        var data = JsonSerializer.Serialize(item, JsonSetup.Options);
        return new FeedMessage(
            happened.Sequence,
            Encoding.UTF8.GetBytes(string.Create(CultureInfo.InvariantCulture, $"id: {happened.Sequence}\nevent: {item.What}\ndata: {data}\n\n")));
    }
}
