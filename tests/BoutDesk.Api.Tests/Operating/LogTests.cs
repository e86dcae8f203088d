using System.Collections.Concurrent;
using BoutDesk.Api.Tests.EventStore;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using Xunit;

namespace BoutDesk.Api.Tests.Operating;

/// <summary>The log helps whoever keeps the service running. It is no place for names, years of birth or passes.</summary>
public class LogTests
{
    private const string Secret = "Unaussprech";

    [Fact]
    public async Task What_goes_wrong_is_logged_without_what_was_sent()
    {
        await using var host = await DeskHost.StartAsync(("Logging:LogLevel:Default", "Information"), ("Logging:LogLevel:Microsoft.AspNetCore", "Warning"));
        using var log = new Written();
        host.Services.GetRequiredService<ILoggerFactory>().AddProvider(log);
        var competition = await host.Desk.CompetitionAsync(4);
        var entrants = $"/api/competitions/{competition}/entrants";
        await host.Desk.AskAsync(HttpMethod.Post, entrants, new { familyName = Secret, birthYear = "1987" });
        await host.Desk.AskAsync(HttpMethod.Post, entrants, new { familyName = Secret, birthYear = 1 });
        using (var wrong = host.Client(Secret + "-pass-that-nobody-gave-out"))
        {
            await wrong.AskAsync(HttpMethod.Post, entrants, new { familyName = Secret });
        }

        // The store refuses for a reason of its own, and as PostgreSQL does names the values in its detail.
        await host.RowsAsync("""
            create function public.broken() returns trigger language plpgsql as
                $$ begin raise exception 'new row violates a check' using errcode = 'check_violation', detail = new.data::text; end $$;
            create trigger broken before insert on boutdesk.mt_events for each row execute function public.broken();
            select 1;
            """);
        var answer = await host.Desk.AskAsync(HttpMethod.Post, entrants, new { familyName = "Lind", givenName = Secret });

        Assert.Equal((500, "internal"), (answer.Status, answer.Problem));
        Assert.DoesNotContain(Secret, answer.ToString(), StringComparison.Ordinal);
        Assert.Contains(log.Lines, l => l.StartsWith("Error", StringComparison.Ordinal));
        Assert.DoesNotContain(log.Lines, l => l.Contains(Secret, StringComparison.Ordinal));
        Assert.DoesNotContain(log.Lines, l => l.Contains(DeskHost.DeskPass, StringComparison.Ordinal));
    }

    /// <summary>Keeps what is logged, exceptions and values with it.</summary>
    private sealed class Written : ILoggerProvider, ILogger
    {
        public ConcurrentQueue<string> Lines { get; } = [];

        public ILogger CreateLogger(string categoryName) => this;

        public IDisposable? BeginScope<TState>(TState state)
            where TState : notnull => null;

        public bool IsEnabled(LogLevel logLevel) => true;

        public void Log<TState>(LogLevel logLevel, EventId eventId, TState state, Exception? exception, Func<TState, Exception?, string> formatter) =>
            Lines.Enqueue($"{logLevel} {formatter(state, exception)} {exception} {string.Join(' ', state as IEnumerable<KeyValuePair<string, object?>> ?? [])}");

        public void Dispose()
        {
        }
    }
}
