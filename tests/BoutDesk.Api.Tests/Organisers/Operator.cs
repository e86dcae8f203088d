using System.Text.RegularExpressions;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Organisers;
using Microsoft.Extensions.DependencyInjection;
using Xunit;

namespace BoutDesk.Api.Tests.Organisers;

/// <summary>What an operator types, on the database of a service.</summary>
internal static partial class Operator
{
    /// <summary>The host name of the organiser that tests make.</summary>
    public const string Host = "north.example.org";

    /// <summary>Carries a command out and says what it said, on the console and of mistakes.</summary>
    public static async Task<(int ExitCode, string Said, string Refused)> SayAsync(string connectionString, params string[] words)
    {
        using var output = new StringWriter();
        using var errors = new StringWriter();
        var exitCode = await OrganiserCommand.RunAsync([.. words, $"--ConnectionStrings:BoutDesk={connectionString}"], output, errors);
        return (exitCode, output.ToString(), errors.ToString());
    }

    /// <summary>Carries a command out that succeeds, and returns what it said.</summary>
    public static async Task<string> DoAsync(string connectionString, params string[] words)
    {
        var (exitCode, said, refused) = await SayAsync(connectionString, words);
        Assert.True(exitCode == 0 && refused.Length == 0, $"organiser {string.Join(' ', words)}: {refused}");
        return said;
    }

    /// <summary>Makes an organiser and returns its desk pass once the services know it.</summary>
    public static Task<string> CreateAsync(string id, string hostName, params DeskHost[] services) => CreateAsync(id, hostName, [], services);

    /// <summary>The same in a database of its own, which bears its name; the services are configured for it.</summary>
    public static async Task<string> CreateApartAsync(string id, string hostName, string database, params DeskHost[] services)
    {
        var pass = await CreateAsync(id, hostName, ["--database", id, Setting(id, database)], services);
        foreach (var service in services)
        {
            await service.OpensAsync(id);
        }

        return pass;
    }

    /// <summary>Waits until a service has a database open.</summary>
    public static async Task OpensAsync(this DeskHost service, string database)
    {
        for (var tries = 0; !service.Services.GetRequiredService<OrganiserDatabases>().Named(database).IsOpen; tries++)
        {
            Assert.True(tries < 400, $"The service does not open {database}.");
            await Task.Delay(50);
        }
    }

    /// <summary>What tells the command where a database is.</summary>
    public static string Setting(string database, string connectionString) => $"--ConnectionStrings:{database}={connectionString}";

    private static async Task<string> CreateAsync(string id, string hostName, string[] more, DeskHost[] services)
    {
        var said = await DoAsync(services[0].ConnectionString, ["create", id, "--host", hostName, "--name", "North Region", .. more]);
        var pass = Pass().Match(said).Value;
        foreach (var service in services)
        {
            await service.KnowsAsync(hostName);
        }

        return pass;
    }

    /// <summary>Waits until a service knows whose a host name is.</summary>
    public static async Task KnowsAsync(this DeskHost service, string hostName)
    {
        var book = service.Services.GetRequiredService<OrganiserBook>();
        for (var tries = 0; book.At(hostName) is null; tries++)
        {
            Assert.True(tries < 200, $"The service does not learn of {hostName}.");
            await Task.Delay(50);
        }
    }

    /// <summary>A client that asks the service at a host name, with a pass or without.</summary>
    public static HttpClient ClientAt(this DeskHost service, string hostName, string? pass)
    {
        var client = service.Client(pass);
        client.DefaultRequestHeaders.Host = $"{hostName}:{client.BaseAddress!.Port}";
        return client;
    }

    [GeneratedRegex("(?<=shown this once: )[A-Za-z0-9_-]{32}")]
    private static partial Regex Pass();
}
