using System.Collections.Concurrent;
using System.Text;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;
using Microsoft.Extensions.Logging;
using Xunit;

namespace BoutDesk.Api.Tests.Operating;

/// <summary>What is sent to a collector of OpenTelemetry: where time goes, and nothing about persons.</summary>
public class TelemetryTests
{
    [Fact]
    public async Task Traces_metrics_and_logs_are_sent_where_a_collector_is_configured_and_name_no_person_and_no_pass()
    {
        await using var collector = await Collector.StartAsync();
        await using (var host = await DeskHost.StartAsync((Telemetry.Endpoint, collector.Address), ("OTEL_EXPORTER_OTLP_PROTOCOL", "http/protobuf")))
        {
            var competition = await host.Desk.CompetitionAsync(4);
            await host.Desk.AskAsync(HttpMethod.Post, $"/api/competitions/{competition}/entrants", new { familyName = "Quellwasser", givenName = "Oda", club = "Fährhaus" });
            await host.Public.GetAsync("/fencers?q=Quellwasser");
        }

        var sent = Encoding.UTF8.GetString([.. collector.Received.SelectMany(r => r.Body)]);
        Assert.Equal(["/v1/logs", "/v1/metrics", "/v1/traces"], collector.Received.Select(r => r.Path).Distinct().Order());
        Assert.Contains("/api/competitions/{competitionId}/entrants", sent, StringComparison.Ordinal);
        Assert.Contains("http.server.request.duration", sent, StringComparison.Ordinal);
        Assert.All(new[] { "Quellwasser", "Oda", "Fährhaus", DeskHost.DeskPass }, secret => Assert.DoesNotContain(secret, sent, StringComparison.Ordinal));
    }

    [Fact]
    public async Task Nothing_is_gathered_where_no_collector_is_configured()
    {
        await using var host = await DeskHost.StartAsync();
        Assert.Null(host.Services.GetService(typeof(OpenTelemetry.Trace.TracerProvider)));
        Assert.Null(host.Services.GetService(typeof(OpenTelemetry.Metrics.MeterProvider)));
    }

    /// <summary>Takes what comes by OTLP over HTTP.</summary>
    private sealed class Collector : IAsyncDisposable
    {
        private readonly WebApplication app;

        private Collector(WebApplication app) => this.app = app;

        public string Address => app.Urls.Single();

        public ConcurrentBag<(string Path, byte[] Body)> Received { get; } = [];

        public static async Task<Collector> StartAsync()
        {
            var builder = WebApplication.CreateBuilder(["--urls", "http://127.0.0.1:0"]);
            builder.Logging.ClearProviders();
            var collector = new Collector(builder.Build());
            collector.app.MapPost("/v1/{kind}", async (HttpContext http) =>
            {
                using var body = new MemoryStream();
                await http.Request.Body.CopyToAsync(body);
                collector.Received.Add((http.Request.Path.Value!, body.ToArray()));
            });
            await collector.app.StartAsync();
            return collector;
        }

        public ValueTask DisposeAsync() => app.DisposeAsync();
    }
}
