using BoutDesk.Api.EventStore;

namespace BoutDesk.Api.Organisers;

/// <summary>
/// The words <c>organiser …</c> behind the name of the program: what an operator does with organisers, on the database of
/// the configuration, beside running services or without one.
/// </summary>
internal sealed class OrganiserCommand
{
    private static readonly Verb[] Verbs =
    [
        new("create", "ID --host HOST --name NAME [--database NAME]", "make an organiser, asked for at that host name; --host again for more; with a database of its own if need be", command => command.CreateAsync()),
        new("list", string.Empty, "all organisers", command => command.ListAsync()),
        new("change", "ID [--name NAME] [--host HOST]", "call it otherwise, or give it other host names in place of all it has", command => command.ChangeAsync()),
        new("export", "ID FILE", "everything of one into a new file", command => command.ExportAsync()),
        new("import", "FILE [--as ID] [--name NAME] [--host HOST] [--database NAME]", "take one in from such a file, here otherwise if need be", command => command.ImportAsync()),
        new("move", "ID [--database NAME] [--anew]", "move one into a database of its own, or without a name back into that of the service; anew where a move was broken off", command => command.MoveAsync()),
        new("close", "ID", "let nothing of it be changed, while it is being moved", command => command.CloseAsync()),
        new("open", "ID", "let it be changed again", command => command.OpenAsync()),
        new("delete", "ID --yes", "delete it with everything that belongs to it", command => command.DeleteAsync()),
    ];

    private static readonly string Usage = $"""
        {string.Join('\n', Verbs.Select(v => $"{v.Usage}\n    {v.Does}"))}

        The database is that of the service: ConnectionStrings__BoutDesk or BoutDesk__DataFolder of the environment, else its
        own private one, where the service may run meanwhile. ConnectionStrings__NAME says where a database NAME is.
        """;

    private readonly OrganiserOffice office;
    private readonly OrganiserFile file;
    private readonly string[] names;
    private readonly ILookup<string, string> options;
    private readonly TextWriter output;

    private OrganiserCommand(OrganiserDatabases databases, TimeProvider clock, string[] names, ILookup<string, string> options, TextWriter output)
    {
        office = new OrganiserOffice(databases, clock);
        file = new OrganiserFile(databases.Home.Store.Options.Serializer(), office);
        this.names = names;
        this.options = options;
        this.output = output;
    }

    /// <summary>Carries one out.</summary>
    /// <param name="words">The words after <c>organiser</c>; a setting may be among them, as <c>--BoutDesk:DataFolder=…</c>.</param>
    /// <param name="output">Where it says what it did.</param>
    /// <param name="errors">Where it says why it did nothing.</param>
    /// <returns>The exit code.</returns>
    public static async Task<int> RunAsync(string[] words, TextWriter output, TextWriter errors)
    {
        if (words is ["help" or "--help" or "-h", ..])
        {
            await output.WriteLineAsync(Usage);
            return 0;
        }

        try
        {
            var (run, names, options) = Read([.. words.Where(w => !IsSetting(w))]);
            var builder = DeskSetup.CreateBuilder([.. words.Where(IsSetting)]);
            builder.Logging.SetMinimumLevel(LogLevel.Warning);
            await using var database = await Database.OpenBesideAsync(builder.Configuration);
            await NewerData.CheckAsync(database.ConnectionString, CancellationToken.None);
            await using var app = builder.BuildDesk(database.ConnectionString);
            var databases = app.Services.GetRequiredService<OrganiserDatabases>();
            await databases.Home.Store.Storage.ApplyAllConfiguredChangesToDatabaseAsync();
            await run(new OrganiserCommand(databases, TimeProvider.System, names, options, output));
            return 0;
        }
        catch (OrganiserException refused)
        {
            await errors.WriteLineAsync(refused.Message);
        }
        catch (Exception failure) when (StartFailure.Explain(failure) is { } explanation)
        {
            await errors.WriteLineAsync(explanation);
        }

        return 1;
    }

    private static bool IsSetting(string word) =>
        word.StartsWith("--", StringComparison.Ordinal) && word.Split('=') is [var key, _, ..] && key.Contains(':');

    private static (Func<OrganiserCommand, Task> Run, string[] Names, ILookup<string, string> Options) Read(string[] words)
    {
        if (words is not [var first, .. var rest])
        {
            throw new OrganiserException($"Say what to do with organisers:\n\n{Usage}");
        }

        if (Verbs.FirstOrDefault(v => v.Name == first) is not { } verb)
        {
            throw new OrganiserException($"'{first}' is nothing that can be done with an organiser. 'organiser help' tells what can.");
        }

        var names = new List<string>();
        var options = new List<(string Name, string Value)>();
        for (var i = 0; i < rest.Length; i++)
        {
            if (!rest[i].StartsWith("--", StringComparison.Ordinal))
            {
                names.Add(rest[i]);
                continue;
            }

            var option = rest[i][2..];
            if (!verb.Options.Contains(option))
            {
                throw new OrganiserException($"'organiser {verb.Name}' takes no --{option}. Say it as in: {verb.Usage}");
            }

            var isSwitch = option is "yes" or "anew";
            if (!isSwitch && (i + 1 == rest.Length || rest[i + 1].StartsWith("--", StringComparison.Ordinal)))
            {
                throw new OrganiserException($"A value is missing after --{option}.");
            }

            options.Add((option, isSwitch ? string.Empty : rest[++i]));
        }

        return names.Count == verb.Names
            ? (verb.Run, [.. names], options.ToLookup(o => o.Name, o => o.Value))
            : throw new OrganiserException($"Say it as in: {verb.Usage}{(names.Count > verb.Names ? " (a name with spaces goes in quotes)" : string.Empty)}");
    }

    private async Task CreateAsync()
    {
        var pass = await office.CreateAsync(names[0], options["name"].LastOrDefault() ?? string.Empty, Hosts(), options["database"].LastOrDefault());
        await output.WriteLineAsync($"""
            {names[0]} is made. Services know within {OrganiserBook.Noticed.TotalSeconds:0} seconds.
            Its desk pass, shown this once: {pass}
            """);
    }

    private async Task ChangeAsync()
    {
        if (options.Count == 0)
        {
            throw new OrganiserException("Say what to change: --name NAME for what it is called, --host HOST for where it is asked for, or both.");
        }

        var (was, now) = await office.ChangeAsync(names[0], options["name"].LastOrDefault(), Hosts());
        await output.WriteLineAsync($"{Line(now)}. Services know within {OrganiserBook.Noticed.TotalSeconds:0} seconds.");
        if (was.Hosts.Except(now.Hosts).ToArray() is [_, ..] given)
        {
            await output.WriteLineAsync($"Links, codes and phones that still ask at {string.Join(" and ", given)} reach {Organiser.Home} from then on. Give every host name that is still in use with --host too.");
        }
    }

    private string[] Hosts() => [.. options["host"].Select(OrganiserOffice.HostName).Distinct()];

    private async Task ListAsync()
    {
        await output.WriteLineAsync($"{Organiser.Home}  at every other host name");
        foreach (var record in await office.ListAsync())
        {
            await output.WriteLineAsync(Line(record));
        }
    }

    private async Task ExportAsync()
    {
        var (id, path) = (names[0], names[1]);
        // The one at home has no host names of its own, so that whoever takes it in elsewhere gives them.
        var record = id == Organiser.Home ? new OrganiserRecord { Id = id, Name = "Home", Hosts = [] } : await office.FindAsync(id);
        OrganiserContent content;
        try
        {
            await using var stream = OrganiserFile.Create(path);
            try
            {
                content = await file.WriteAsync(record, stream);
            }
            catch
            {
                // Half a file is of no use to anybody.
                File.Delete(path);
                throw;
            }
        }
        catch (Exception unwritable) when (unwritable is IOException or UnauthorizedAccessException)
        {
            throw new OrganiserException($"{path} cannot be written: {unwritable.Message} Name a file that is not there yet, on a disk with room, in a folder that is there and that you may write in.");
        }

        await output.WriteLineAsync(record.Closed ? Told(content) : $"{Told(content)} It is open: what is done from now on is not in the file.");
    }

    private async Task ImportAsync()
    {
        try
        {
            await using var stream = File.OpenRead(names[0]);
            var content = await file.ReadAsync(stream, options["as"].LastOrDefault(), options["name"].LastOrDefault(), Hosts(), options["database"].LastOrDefault());
            await output.WriteLineAsync($"{Told(content)} Asked for at {string.Join(" and ", content.Organiser.Hosts)}; services know within {OrganiserBook.Noticed.TotalSeconds:0} seconds. Its passes hold as before.");
        }
        catch (Exception unreadable) when (unreadable is IOException or UnauthorizedAccessException)
        {
            throw new OrganiserException($"{names[0]} cannot be read: {unreadable.Message}");
        }
    }

    private async Task MoveAsync()
    {
        var database = options["database"].LastOrDefault();
        var content = await file.MoveAsync(names[0], database, options["anew"].Any());
        await output.WriteLineAsync($"{Told(content)} Moved to {(database is null ? "the database of the service" : $"the database {database}")}. Its passes hold as before.");
    }

    private async Task CloseAsync()
    {
        await office.CloseAsync(names[0], closed: true);
        await output.WriteLineAsync($"{names[0]} is closed: it is shown, and nothing of it can be changed.");
    }

    private async Task OpenAsync()
    {
        await office.CloseAsync(names[0], closed: false);
        await output.WriteLineAsync($"{names[0]} is open.");
    }

    private async Task DeleteAsync()
    {
        if (!options["yes"].Any())
        {
            var record = await office.FindAsync(names[0]);
            throw new OrganiserException($"This deletes {record.Name} with all of its tournaments, for good. Export it before if anything of it is still wanted, then say so with --yes. Nothing was deleted.");
        }

        await office.DeleteAsync(names[0]);
        await output.WriteLineAsync($"{names[0]} is deleted, with everything that belonged to it. Backups and exports keep what they hold.");
    }

    private static string Line(OrganiserRecord record) =>
        $"{record.Id}  {record.Name}, at {string.Join(" and ", record.Hosts)}{(record.Database is { } own ? $", in the database {own}" : string.Empty)}{(record.Closed ? ", closed" : string.Empty)}";

    private static string Told(OrganiserContent content) =>
        $"{content.Organiser.Id}: tournaments {content.Tournaments}, events {content.Events}, passes {content.Passes}, kept answers {content.Answers}.";

    /// <summary>Something that can be done.</summary>
    /// <param name="Name">The word for it.</param>
    /// <param name="Words">What is said behind that: names in capitals, then options.</param>
    /// <param name="Does">What it does.</param>
    /// <param name="Run">Does it.</param>
    private sealed record Verb(string Name, string Words, string Does, Func<OrganiserCommand, Task> Run)
    {
        private readonly string[] words = Words.Split([' ', '[', ']'], StringSplitOptions.RemoveEmptyEntries);

        public string Usage => $"organiser {Name} {Words}".TrimEnd();

        public int Names => words.TakeWhile(word => !word.StartsWith("--", StringComparison.Ordinal)).Count();

        public IEnumerable<string> Options => words.Where(word => word.StartsWith("--", StringComparison.Ordinal)).Select(word => word[2..]);
    }
}
