using BoutDesk.Api;
using BoutDesk.Api.Demo;
using BoutDesk.Api.EventStore;
using BoutDesk.Api.Organisers;

if (args is ["organiser", .. var words])
{
    return await OrganiserCommand.RunAsync(words, Console.Out, Console.Error);
}

// A bare switch would take the next argument for its value, so it is read here.
var demo = args.Contains("--demo");
var builder = DeskSetup.CreateBuilder([.. args.Where(a => a != "--demo")]);
string?[] addresses = [builder.Configuration["urls"], builder.Configuration["http_ports"], builder.Configuration["https_ports"]];
if (addresses.All(string.IsNullOrEmpty))
{
    builder.WebHost.UseUrls("http://localhost:5080");
}

// What prevents the start is told below, in a sentence where there is one; the host would tell it too, as a stack trace.
var started = false;
builder.Logging.AddFilter("Microsoft.Extensions.Hosting.Internal.Host", level => started && level >= LogLevel.Information);

try
{
    await using var database = await Database.OpenAsync(builder.Configuration);
    if (database.IsPrivate)
    {
        builder.Configuration["BoutDesk:OnlyNode"] = "true";
    }

    await NewerData.CheckAsync(database.ConnectionString, CancellationToken.None);
    await using var app = builder.BuildDesk(database.ConnectionString);
    app.Lifetime.ApplicationStarted.Register(() => started = true);
    if (demo)
    {
        app.LoadDemoOnceStarted();
    }

    var ending = app.Services.GetRequiredService<Ending>();
    await app.RunAsync();
    return ending.HasBegun ? 1 : 0;
}
catch (Exception failure) when (StartFailure.Explain(failure) is { } explanation)
{
    await Console.Error.WriteLineAsync(explanation);
    return 1;
}
