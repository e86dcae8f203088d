using System.Diagnostics;
using System.IO.Compression;
using System.Net;
using System.Text.Json.Nodes;
using BoutDesk.Api.PrivatePostgres;
using BoutDesk.Api.Tests.EventStore;
using Microsoft.Extensions.Logging.Abstractions;
using Npgsql;
using Xunit;

namespace BoutDesk.Api.Tests.Organisers;

/// <summary>What an operator does with organisers from the command line.</summary>
public sealed class CommandTests : IDisposable
{
    // One that the user of PostgreSQL can enter too.
    private readonly string folder = Directory.CreateDirectory(Path.Combine(Path.GetTempPath(), $"boutdesk-organisers-{Guid.NewGuid():N}")).FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public async Task One_is_moved_to_another_database_with_every_answer_as_it_was_and_leaves_nothing_behind()
    {
        await using var from = await DeskHost.StartAsync(("BoutDesk:WrongPassesPerMinute", "0"), ("BoutDesk:RequestsPerSecond", "0"), ("BoutDesk:WritesPerSecond", "0"));
        var homes = await from.Desk.TournamentAsync();
        var pass = await Operator.CreateAsync("north", Operator.Host, from);
        using var desk = from.ClientAt(Operator.Host, pass);
        var hall = new Hall();
        await hall.OpenAsync(from, desk, pass);
        var opened = await desk.AskAsync(HttpMethod.Post, $"/api/tournaments/{hall.TournamentId}/strips", new { name = "Strip 7" }, ("Idempotency-Key", "strip-7"));
        Assert.Equal(201, opened.Status);

        // Closed it is shown as before, and nothing of it is changed, at the desk neither.
        Assert.Contains("nothing of it can be changed", await Operator.DoAsync(from.ConnectionString, "close", "north"), StringComparison.Ordinal);
        foreach (var write in hall.Document.Operations.Where(o => o.NeedsPass && o.Method != HttpMethod.Get))
        {
            Assert.Equal((write.Id, "being-moved"), (write.Id, (await desk.AskAsync(write.Method, hall.At(write), write.Example)).Problem));
        }

        Assert.Equal(201, (await from.Desk.AskAsync(HttpMethod.Post, $"/api/tournaments/{homes}/strips", new { name = "Strip 1" })).Status);
        var file = Path.Combine(folder, "north.zip");
        Assert.StartsWith("north: tournaments 2, ", await Operator.DoAsync(from.ConnectionString, "export", "north", file), StringComparison.Ordinal);
        if (!OperatingSystem.IsWindows())
        {
            Assert.Equal(UnixFileMode.UserRead | UnixFileMode.UserWrite, File.GetUnixFileMode(file));
        }

        await using var to = await DeskHost.StartAsync(("BoutDesk:WrongPassesPerMinute", "0"), ("BoutDesk:RequestsPerSecond", "0"));
        Assert.StartsWith("north: tournaments 2, ", await Operator.DoAsync(to.ConnectionString, "import", file), StringComparison.Ordinal);
        await to.KnowsAsync(Operator.Host);
        using var moved = to.ClientAt(Operator.Host, pass);
        var compared = 0;
        foreach (var read in hall.Document.Operations.Where(o => o.Method == HttpMethod.Get && !o.IsStream))
        {
            foreach (var (kind, with) in hall.Passes)
            {
                using var before = from.ClientAt(Operator.Host, with);
                using var after = to.ClientAt(Operator.Host, with);
                var (was, now) = (await before.AskAsync(HttpMethod.Get, hall.At(read)), await after.AskAsync(HttpMethod.Get, hall.At(read)));
                // A forecast says when it was made, and the order of calling when a bout can be called from now on.
                if (read.Id is not ("getTimetable" or "getOwnPass" or "getCallingOrder"))
                {
                    Assert.Equal((read.Id, kind, was.Body, was.ETag), (read.Id, kind, now.Body, now.ETag));
                    compared += was.Status == 200 ? 1 : 0;
                }

                Assert.Equal((read.Id, kind, was.Status), (read.Id, kind, now.Status));
            }
        }

        Assert.True(compared > 200, $"Only {compared} answers were compared.");
        await to.StatesFollowFromTheEventsAsync();
        // What was acknowledged there counts once here too, and on it goes.
        var repeated = await moved.AskAsync(HttpMethod.Post, $"/api/tournaments/{hall.TournamentId}/strips", new { name = "Strip 7" }, ("Idempotency-Key", "strip-7"));
        Assert.Equal((opened.Status, opened.Body), (repeated.Status, repeated.Body));
        Assert.Equal(200, (await moved.AskTouchAsync(hall.BoutId, "left")).Status);

        // The old one goes, the one at home stays.
        Assert.Contains("is deleted", await Operator.DoAsync(from.ConnectionString, "delete", "north", "--yes"), StringComparison.Ordinal);
        Assert.Empty(await FoundAsync(from, "north"));
        Assert.Empty(await FoundAsync(from, hall.TournamentId));
        Assert.NotEmpty(await FoundAsync(to, hall.TournamentId));
        Assert.Equal(homes, (await from.Public.ListAsync("/api/tournaments")).Single().Id());
        Assert.Equal("home  at every other host name", (await Operator.DoAsync(from.ConnectionString, "list")).Trim());
        for (var tries = 0; (await desk.AskAsync(HttpMethod.Get, "/api/tournaments")).Json.AsArray().Count != 1; tries++)
        {
            Assert.True(tries < 200, "The service goes on with the organiser that was deleted.");
            await Task.Delay(50);
        }
    }

    [Fact]
    public async Task One_may_be_taken_in_beside_itself_under_another_identifier_and_the_one_at_home_too()
    {
        await using var host = await DeskHost.StartAsync(("BoutDesk:Address", "https://desk.example.org"));
        var tournament = await host.Desk.TournamentAsync();
        var (_, pool) = await host.Desk.OnePoolAsync(4, tournamentId: tournament);
        var file = Path.Combine(folder, "home.zip");
        await Operator.DoAsync(host.ConnectionString, "export", "home", file);
        await Operator.DoAsync(host.ConnectionString, "import", file, "--as", "west", "--name", "West Region", "--host", "west.example.org", "--host", "WEST.example.net");
        await host.KnowsAsync("west.example.net");
        using var west = host.ClientAt("west.example.org", DeskHost.DeskPass);
        await west.ResultAsync(pool.Items("bouts")[0].Id(), 5, 1);
        Assert.Equal("open", (await host.Public.GetAsync<JsonObject>($"/api/bouts/{pool.Items("bouts")[0].Id()}")).Text("status"));
        // A link leads to where its pass is good.
        Assert.StartsWith("https://desk.example.org/equipment/", await LinkAsync(host.Desk), StringComparison.Ordinal);
        Assert.StartsWith("http://west.example.org:", await LinkAsync(west), StringComparison.Ordinal);
        Assert.Contains("west  West Region, at west.example.org and west.example.net", await Operator.DoAsync(host.ConnectionString, "list"), StringComparison.Ordinal);

        async Task<string> LinkAsync(HttpClient desk) =>
            (await desk.SendAsync(HttpMethod.Post, $"/api/tournaments/{tournament}/passes", new { kind = "armourer" }, HttpStatusCode.Created)).Text("url");
    }

    [Fact]
    public async Task What_cannot_be_done_is_refused_with_what_to_do_and_changes_nothing()
    {
        var database = await PostgresForTests.FreshDatabaseAsync();
        await RefusedAsync("organiser create ID --host HOST --name NAME");
        await RefusedAsync("'rename' is nothing that can be done with an organiser. 'organiser help' tells what can.", "rename", "north");
        await RefusedAsync("Say it as in: organiser create ID --host HOST --name NAME", "create", "--host", "a.example.org");
        await RefusedAsync("Say it as in: organiser create ID --host HOST --name NAME [--database NAME] (a name with spaces goes in quotes)", "create", "north", "--name", "North", "Region");
        await RefusedAsync("takes no --hosts", "create", "north", "--hosts", "a.example.org");
        await RefusedAsync("A value is missing after --name", "create", "north", "--host", "a.example.org", "--name");
        await RefusedAsync("cannot be an identifier", "create", "North Region", "--host", "a.example.org", "--name", "North");
        await RefusedAsync("is always there", "create", "home", "--host", "a.example.org", "--name", "North");
        await RefusedAsync("Give it with --name", "create", "north", "--host", "a.example.org");
        await RefusedAsync("Give one with --host", "create", "north", "--name", "North");
        await RefusedAsync("is no host name", "create", "north", "--host", "https://a.example.org", "--name", "North");
        await RefusedAsync("is no host name", "create", "north", "--host", "a.example.org:5080", "--name", "North");
        // No setting, though it has a colon and an equals sign too.
        await RefusedAsync("takes no --host=a.example.org:5080", "create", "north", "--host=a.example.org:5080", "--name", "North");
        await RefusedAsync("from 1 to 200 characters", "create", "north", "--host", "a.example.org", "--name", new string('n', 201));
        await RefusedAsync("in one line", "create", "north", "--host", "a.example.org", "--name", "North\nRegion");
        Assert.Equal("home  at every other host name", (await Operator.DoAsync(database, "list")).Trim());

        await Operator.DoAsync(database, "create", "north", "--host", "A.example.org", "--name", "North");
        await RefusedAsync("There is an organiser north already", "create", "north", "--host", "b.example.org", "--name", "North");
        await RefusedAsync("a.example.org is that of the organiser north", "create", "south", "--host", "a.Example.org.", "--name", "South");
        await RefusedAsync("There is no organiser south", "delete", "south", "--yes");
        await RefusedAsync("It can be exported, but not changed, closed or deleted", "delete", "home", "--yes");
        await RefusedAsync("There is no organiser south", "change", "south", "--name", "South");
        await RefusedAsync("It can be exported, but not changed", "change", "home", "--name", "Home");
        await RefusedAsync("Say what to change", "change", "north");
        await RefusedAsync("from 1 to 200 characters", "change", "north", "--name", " ");
        await RefusedAsync("is no host name", "change", "north", "--name", "Changed", "--host", "https://b.example.org");
        await RefusedAsync("say so with --yes. Nothing was deleted.", "delete", "north");
        await RefusedAsync("cannot be read", "import", Path.Combine(folder, "nothing.zip"));
        var file = Path.Combine(folder, "north.zip");
        Assert.Contains("It is open", await Operator.DoAsync(database, "export", "north", file), StringComparison.Ordinal);
        await RefusedAsync("Name a file that is not there yet", "export", "north", file);
        await RefusedAsync("There is an organiser north already", "import", file);
        await RefusedAsync("a.example.org is that of the organiser north", "import", file, "--as", "south");
        await RefusedAsync("in a folder that is there", "export", "north", Path.Combine(folder, "nowhere", "north.zip"));
        await Operator.DoAsync(database, "create", "south", "--host", "b.example.org", "--name", "South");
        await RefusedAsync("a.example.org is that of the organiser north", "change", "south", "--name", "Changed", "--host", "b.example.org", "--host", "A.example.org");
        var listed = (await Operator.DoAsync(database, "list")).Trim().ReplaceLineEndings("\n");
        Assert.Equal("home  at every other host name\nnorth  North, at a.example.org\nsouth  South, at b.example.org", listed);

        async Task RefusedAsync(string why, params string[] words)
        {
            var (exitCode, said, refused) = await Operator.SayAsync(database, words);
            Assert.Equal((1, string.Empty), (exitCode, said));
            Assert.Contains(why, refused, StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task One_is_called_otherwise_and_asked_for_at_other_host_names_while_the_service_runs()
    {
        await using var host = await DeskHost.StartAsync();
        var pass = await Operator.CreateAsync("north", Operator.Host, host);
        using var before = host.ClientAt(Operator.Host, pass);
        var tournament = await before.TournamentAsync();
        Assert.Contains("<title>North Region, ", await StartPageAsync(Operator.Host), StringComparison.Ordinal);

        // Its name alone, which the page that was kept does not outlive.
        Assert.StartsWith($"north  Nordbund, at {Operator.Host}.", await Operator.DoAsync(host.ConnectionString, "change", "north", "--name", " Nordbund "), StringComparison.Ordinal);
        for (var tries = 0; !(await StartPageAsync(Operator.Host)).Contains("<title>Nordbund, ", StringComparison.Ordinal); tries++)
        {
            Assert.True(tries < 200, "The page goes on with the old name.");
            await Task.Delay(50);
        }

        // A further host name beside the one it has, then the further one alone.
        var said = await Operator.DoAsync(host.ConnectionString, "change", "north", "--host", Operator.Host, "--host", "NORTH.example.net");
        Assert.DoesNotContain("reach home", said, StringComparison.Ordinal);
        await host.KnowsAsync("north.example.net");
        using var after = host.ClientAt("north.example.net", pass);
        Assert.Equal(tournament, Assert.Single(await after.ListAsync("/api/tournaments")).Id());
        Assert.Equal(tournament, Assert.Single(await before.ListAsync("/api/tournaments")).Id());
        said = await Operator.DoAsync(host.ConnectionString, "change", "north", "--host", "north.example.net");
        Assert.Contains($"still ask at {Operator.Host} reach home", said, StringComparison.Ordinal);
        for (var tries = 0; (await before.AskAsync(HttpMethod.Get, "/api/tournaments")).Json.AsArray().Count > 0; tries++)
        {
            Assert.True(tries < 200, "The service goes on at the old host name.");
            await Task.Delay(50);
        }

        Assert.Equal(401, (await before.AskAsync(HttpMethod.Get, "/api/pass")).Status);
        Assert.Equal(200, (await after.AskAsync(HttpMethod.Get, "/api/pass")).Status);
        // What it no longer has is free for another.
        await Operator.CreateAsync("south", Operator.Host, host);

        async Task<string> StartPageAsync(string hostName)
        {
            using var client = host.ClientAt(hostName, null);
            return (await client.AskAsync(HttpMethod.Get, "/", null, ("Accept", "text/html"))).Body;
        }
    }

    [Theory]
    [InlineData("null")]
    [InlineData("{}")]
    [InlineData("""{"organiser":{"id":"west","name":"West"},"tournaments":0,"events":0,"passes":0,"answers":0}""")]
    [InlineData("""{"organiser":{"id":"west","name":null,"hosts":["west.example.org"]},"tournaments":0,"events":0,"passes":0,"answers":0}""")]
    public async Task A_zip_that_names_no_whole_organiser_is_no_export_of_one(string named)
    {
        var database = await PostgresForTests.FreshDatabaseAsync();
        var file = Path.Combine(folder, "odd.zip");
        using (var zip = ZipFile.Open(file, ZipArchiveMode.Create))
        {
            foreach (var (name, content) in new[] { ("organiser.json", named), ("passes.jsonl", string.Empty), ("answers.jsonl", string.Empty) })
            {
                using var entry = new StreamWriter(zip.CreateEntry(name).Open());
                await entry.WriteAsync(content);
            }
        }

        var (exitCode, said, refused) = await Operator.SayAsync(database, "import", file, "--as", "west", "--host", "west.example.org");
        Assert.Equal((1, string.Empty, "The file is no export of an organiser, or it is damaged. Nothing was kept. Export it again."), (exitCode, said, refused.Trim()));
        Assert.Equal("home  at every other host name", (await Operator.DoAsync(database, "list")).Trim());
    }

    [Fact]
    public async Task A_file_that_was_damaged_is_refused_and_nothing_of_it_is_kept()
    {
        await using var host = await DeskHost.StartAsync();
        await host.Desk.OnePoolAsync(3);
        var file = Path.Combine(folder, "home.zip");
        await Operator.DoAsync(host.ConnectionString, "export", "home", file);
        var whole = await File.ReadAllBytesAsync(file);
        string[] names;
        using (var zip = new ZipArchive(new MemoryStream(whole)))
        {
            names = [.. zip.Entries.Select(e => e.FullName)];
        }

        byte[] changed = [.. whole];
        changed[whole.Length / 2] ^= 1;
        var damaged = new List<byte[]> { whole[..(whole.Length / 2)], Array.Empty<byte>(), changed };
        foreach (var name in names)
        {
            using var less = new MemoryStream();
            less.Write(whole);
            using (var zip = new ZipArchive(less, ZipArchiveMode.Update, leaveOpen: true))
            {
                zip.GetEntry(name)!.Delete();
            }

            damaged.Add(less.ToArray());
        }

        foreach (var (content, i) in damaged.Select((content, i) => (content, i)))
        {
            var path = Path.Combine(folder, $"damaged-{i}.zip");
            await File.WriteAllBytesAsync(path, content);
            var (exitCode, _, refused) = await Operator.SayAsync(host.ConnectionString, "import", path, "--as", "west", "--host", "west.example.org");
            Assert.Equal(1, exitCode);
            Assert.Contains("or it is damaged", refused, StringComparison.Ordinal);
        }

        Assert.Empty(await FoundAsync(host, "west"));
    }

    [Fact]
    public async Task The_program_itself_does_it_and_ends_with_an_exit_code()
    {
        var database = await PostgresForTests.FreshDatabaseAsync();
        var (exitCode, said) = await ProgramAsync(database, "organiser", "create", "north", "--host", Operator.Host, "--name", "North Region");
        Assert.Equal(0, exitCode);
        Assert.Contains("Its desk pass, shown this once: ", said, StringComparison.Ordinal);
        (exitCode, said) = await ProgramAsync(database, "organiser", "list");
        Assert.Equal((0, $"home  at every other host name{Environment.NewLine}north  North Region, at {Operator.Host}{Environment.NewLine}"), (exitCode, said));
        (exitCode, said) = await ProgramAsync(database, "organiser", "delete", "south", "--yes");
        Assert.Equal((1, $"There is no organiser south. The command 'organiser list' tells all of them.{Environment.NewLine}"), (exitCode, said));
        (exitCode, said) = await ProgramAsync(database, "organiser", "--help");
        Assert.Equal(0, exitCode);
        Assert.Contains("organiser change ID [--name NAME] [--host HOST]", said, StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_private_database_is_found_while_a_service_has_it_and_started_when_none_has()
    {
        var data = Path.Combine(folder, "data");
        NpgsqlConnection ofCluster;
        await using (var cluster = await PrivateCluster.StartAsync(new PrivateClusterOptions { DataFolder = data }, NullLogger.Instance, CancellationToken.None))
        {
            ofCluster = new NpgsqlConnection(cluster.ConnectionString);
            Assert.Equal(0, await SayAsync("create", "north", "--host", Operator.Host, "--name", "North Region"));
        }

        // Each command is a process of its own otherwise, and holds no connection from before.
        await using (ofCluster)
        {
            NpgsqlConnection.ClearPool(ofCluster);
        }

        Assert.Equal(0, await SayAsync("list"));

        async Task<int> SayAsync(params string[] words)
        {
            using var output = new StringWriter();
            using var errors = new StringWriter();
            var exitCode = await BoutDesk.Api.Organisers.OrganiserCommand.RunAsync([.. words, $"--BoutDesk:DataFolder={data}"], output, errors);
            Assert.Equal(string.Empty, errors.ToString());
            Assert.Contains("north", output.ToString(), StringComparison.Ordinal);
            return exitCode;
        }
    }

    [Fact]
    public async Task A_folder_without_the_data_of_a_service_is_told_and_not_filled()
    {
        var data = Path.Combine(folder, "mistyped");
        using var output = new StringWriter();
        using var errors = new StringWriter();
        Assert.Equal(1, await BoutDesk.Api.Organisers.OrganiserCommand.RunAsync(["list", $"--BoutDesk:DataFolder={data}"], output, errors));
        Assert.StartsWith($"This user finds no data of a service in {data}.", errors.ToString(), StringComparison.Ordinal);
        Assert.Equal(string.Empty, output.ToString());
        Assert.False(Directory.Exists(data));
    }

    private static Task<List<object[]>> FoundAsync(DeskHost host, string word) => LookingBehind.FoundAsync(host.ConnectionString, word);

    private static async Task<(int ExitCode, string Said)> ProgramAsync(string database, params string[] words)
    {
        var start = new ProcessStartInfo("dotnet", ["exec", Path.Combine(AppContext.BaseDirectory, "BoutDesk.Api.dll"), .. words])
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            WorkingDirectory = AppContext.BaseDirectory,
        };
        start.Environment["ConnectionStrings__BoutDesk"] = database;
        using var process = Process.Start(start)!;
        var output = process.StandardOutput.ReadToEndAsync();
        var error = process.StandardError.ReadToEndAsync();
        using var patience = new CancellationTokenSource(TimeSpan.FromMinutes(1));
        await process.WaitForExitAsync(patience.Token);
        return (process.ExitCode, await output + await error);
    }
}
