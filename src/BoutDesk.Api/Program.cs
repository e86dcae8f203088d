using BoutDesk.Api;
using BoutDesk.Api.Demo;

// A bare switch would take the next argument for its value, so it is read here.
var demo = args.Contains("--demo");
var builder = WebApplication.CreateBuilder([.. args.Where(a => a != "--demo")]);
string?[] addresses = [builder.Configuration["urls"], builder.Configuration["http_ports"], builder.Configuration["https_ports"]];
if (addresses.All(string.IsNullOrEmpty))
{
    builder.WebHost.UseUrls("http://localhost:5080");
}

try
{
    await using var database = await Database.OpenAsync(builder.Configuration);
    await using var app = builder.BuildDesk(database.ConnectionString);
    if (demo)
    {
        app.LoadDemoOnceStarted();
    }

    await app.RunAsync();
    return 0;
}
catch (Exception failure) when (StartFailure.Explain(failure) is { } explanation)
{
    await Console.Error.WriteLineAsync(explanation);
    return 1;
}
