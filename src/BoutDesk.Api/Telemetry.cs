using OpenTelemetry;
using OpenTelemetry.Metrics;
using OpenTelemetry.Resources;
using OpenTelemetry.Trace;

namespace BoutDesk.Api;

/// <summary>Traces, metrics and the log for whoever hosts the service. Nothing of it runs unless an address to send them to is configured.</summary>
internal static class Telemetry
{
    /// <summary>The standard variable of OpenTelemetry that names the collector.</summary>
    public const string Endpoint = "OTEL_EXPORTER_OTLP_ENDPOINT";

    public static void AddTelemetry(this WebApplicationBuilder builder)
    {
        if (string.IsNullOrEmpty(builder.Configuration[Endpoint]))
        {
            return;
        }

        // Addresses hold identifiers, not names; what is asked for behind the question mark is left out by the
        // instrumentation, and statements hold no values.
        builder.Services.AddOpenTelemetry()
            .ConfigureResource(resource => resource.AddService("boutdesk", serviceVersion: typeof(Telemetry).Assembly.GetName().Version?.ToString(3)))
            .WithTracing(tracing => tracing.AddAspNetCoreInstrumentation().AddSource("Npgsql", "Marten"))
            .WithMetrics(metrics => metrics.AddMeter("Microsoft.AspNetCore.Hosting", "Microsoft.AspNetCore.Server.Kestrel", "System.Runtime", "Npgsql", "Marten"))
            .UseOtlpExporter();
    }
}
