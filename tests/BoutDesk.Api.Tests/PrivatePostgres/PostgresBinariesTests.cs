using System.IO.Compression;
using System.Net;
using System.Net.Sockets;
using System.Runtime.Versioning;
using BoutDesk.Api.PrivatePostgres;
using Microsoft.Extensions.Logging.Abstractions;
using Xunit;

namespace BoutDesk.Api.Tests.PrivatePostgres;

/// <summary>Finding the programs, in made-up installations whose programs are shell scripts.</summary>
[UnsupportedOSPlatform("windows")]
public sealed class PostgresBinariesTests : IDisposable
{
    // A tar archive packed by xz that holds bin/initdb, bin/pg_ctl and bin/postgres, scripts that say "postgres (PostgreSQL) 17.6".
    private const string PackedScripts =
        "/Td6WFoAAAFpIt42AgAhARwAAAAQz1jM4Cf/ALJdADEaShsFkZA3OlG9V3Gz1uIDp1boMSSCuwT6/dOxb+v/A0tfDHoyT6k+8AGX+miDX2Ac97p9eH70aZSc" +
        "ZgV/xYiu/trUT3zG3Vs4ONOmXZCfRBfQyQeDEJgCqTgtBhTMvNszD6Ua1K0FRGv8l2SFPMZEuWy4yz8b1LMwJXcUeu7v/A+Gzlcnq0y5ddNfWs0degEL33Ll" +
        "EM1dzfqRAaX2X2wzyiHcha7lKGar/o/h4yHqewAAAAAm5oauAAHKAYBQAAA0WKPPPjANiwIAAAAAAVla";

    private readonly string root = Directory.CreateTempSubdirectory("boutdesk-binaries-").FullName;

    public void Dispose() => Directory.Delete(root, recursive: true);

    [Theory]
    [InlineData("usr/lib/postgresql/*/bin", "usr/lib/postgresql/9.6/bin", "postgres (PostgreSQL) 9.6.24", 9)]
    [InlineData("usr/lib/postgresql/*/bin", "usr/lib/postgresql/15/bin", "postgres (PostgreSQL) 15.18 (Debian 15.18-0+deb12u1)", 15)]
    [InlineData("usr/pgsql-*/bin", "usr/pgsql-16/bin", "postgres (PostgreSQL) 16.4", 16)]
    [InlineData("opt/homebrew/opt/postgresql@*/bin", "opt/homebrew/opt/postgresql@17/bin", "postgres (PostgreSQL) 17.2 (Homebrew)", 17)]
    [InlineData("usr/bin", "usr/bin", "postgres (PostgreSQL) 18beta1", 18)]
    public async Task The_major_version_is_read_in_each_usual_layout(string pattern, string folder, string version, int major)
    {
        Install(folder, version);
        Assert.Equal([new PostgresBinaries(Path.Combine(root, folder), major)], await Find(pattern));
    }

    [Fact]
    public async Task The_newest_major_version_comes_first_and_by_number_not_by_text()
    {
        Install("pg/9.6/bin", "postgres (PostgreSQL) 9.6.24");
        Install("pg/17/bin", "postgres (PostgreSQL) 17.0");
        Install("pg/16/bin", "postgres (PostgreSQL) 16.9");
        Assert.Equal([17, 16, 9], (await Find("pg/*/bin")).Select(one => one.Major));
    }

    [Fact]
    public async Task A_folder_without_all_three_programs_or_with_one_that_does_not_run_is_passed_over()
    {
        Install("pg/clients/bin", "postgres (PostgreSQL) 17.0");
        File.Delete(Path.Combine(root, "pg/clients/bin/initdb"));
        Install("pg/alien/bin", "postgres (PostgreSQL) 17.0");
        File.WriteAllBytes(Path.Combine(root, "pg/alien/bin/postgres"), [0x7f, 0x45, 0x4c, 0x46]);
        Install("pg/postgres-17-half-unpacked.tmp/bin", "postgres (PostgreSQL) 17.0");
        Assert.Empty(await Find("pg/*/bin", "nowhere/*/bin", "nowhere"));
    }

    [Fact]
    public async Task Data_gets_exactly_the_major_version_it_was_made_with()
    {
        Install("pg/15/bin", "postgres (PostgreSQL) 15.18");
        Install("pg/17/bin", "postgres (PostgreSQL) 17.0");
        Assert.Equal(17, (await Obtain(null)).Major);
        Assert.Equal(15, (await Obtain(15)).Major);
    }

    [Fact]
    public async Task A_missing_major_version_is_named_with_what_was_found_and_what_to_install()
    {
        Install("pg/17/bin", "postgres (PostgreSQL) 17.0");
        var refused = await Assert.ThrowsAsync<PrivateClusterException>(() => Obtain(16));
        Assert.StartsWith("PostgreSQL 16, which the data was made with, is not installed (found: 17 in ", refused.Message, StringComparison.Ordinal);
        Assert.Contains("Install PostgreSQL 16", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Without_binaries_and_network_the_message_says_what_to_do()
    {
        var refused = await Assert.ThrowsAsync<PrivateClusterException>(() => Obtain(null));
        Assert.StartsWith("PostgreSQL 13 or later is not installed (none was found)", refused.Message, StringComparison.Ordinal);
        Assert.Contains("Install PostgreSQL 17, or use a server of your own: set ConnectionStrings:BoutDesk.", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_version_too_old_for_the_event_store_is_not_used_for_new_data()
    {
        Install("pg/12/bin", "postgres (PostgreSQL) 12.22");
        var refused = await Assert.ThrowsAsync<PrivateClusterException>(() => Obtain(null));
        Assert.Contains("found: 12 in ", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_configured_folder_is_the_only_one_looked_into()
    {
        Install("pg/17/bin", "postgres (PostgreSQL) 17.0");
        Install("own", "postgres (PostgreSQL) 16.0");
        Assert.Equal(16, (await Obtain(null, "own")).Major);
        var refused = await Assert.ThrowsAsync<PrivateClusterException>(() => Obtain(17, "own"));
        Assert.Contains("is not in the configured folder", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Fetched_binaries_are_unpacked_beside_the_data_and_used_again_without_network()
    {
        string source;
        using (var repository = Repository.Serve(Convert.FromBase64String(PackedScripts)))
        {
            source = repository.Address;
            Assert.Equal(17, (await Obtain(null, source: source)).Major);
        }
        var again = await Obtain(null, source: source);
        Assert.StartsWith(Path.Combine(root, "fetched"), again.Folder, StringComparison.Ordinal);
    }

    private Task<IReadOnlyList<PostgresBinaries>> Find(params string[] patterns) =>
        PostgresBinaries.FindAsync(patterns.Select(pattern => Path.Combine(root, pattern)), CancellationToken.None);

    private Task<PostgresBinaries> Obtain(int? dataMajor, string? configured = null, string source = "http://127.0.0.1:1") =>
        PostgresBinaries.ObtainAsync(
            new PrivateClusterOptions
            {
                DataFolder = root,
                BinariesFolder = configured is null ? null : Path.Combine(root, configured),
                InstalledIn = [Path.Combine(root, "pg/*/bin")],
                FetchFrom = source,
            },
            dataMajor,
            Path.Combine(root, "fetched"),
            NullLogger.Instance,
            CancellationToken.None);

    private void Install(string folder, string version)
    {
        var bin = Directory.CreateDirectory(Path.Combine(root, folder)).FullName;
        foreach (var program in new[] { "initdb", "pg_ctl", "postgres" })
        {
            var path = Path.Combine(bin, program);
            File.WriteAllText(path, $"#!/bin/sh\necho '{version}'\n");
            File.SetUnixFileMode(path, UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute);
        }
    }

    /// <summary>A Maven repository that has one version, 17.6.0, for whatever platform is asked for.</summary>
    private sealed class Repository : IDisposable
    {
        private readonly HttpListener listener = new();
        private readonly byte[] jar;

        private Repository(byte[] archive, int port)
        {
            Address = $"http://127.0.0.1:{port}";
            listener.Prefixes.Add(Address + "/");
            using var packed = new MemoryStream();
            using (var zip = new ZipArchive(packed, ZipArchiveMode.Create))
            {
                using var entry = zip.CreateEntry("postgres.txz").Open();
                entry.Write(archive);
            }
            jar = packed.ToArray();
        }

        public string Address { get; }

        public static Repository Serve(byte[] archive)
        {
            using var probe = new TcpListener(IPAddress.Loopback, 0);
            probe.Start();
            var port = ((IPEndPoint)probe.LocalEndpoint).Port;
            probe.Stop();
            var repository = new Repository(archive, port);
            repository.listener.Start();
            _ = repository.AnswerAsync();
            return repository;
        }

        public void Dispose() => listener.Close();

        private async Task AnswerAsync()
        {
            while (listener.IsListening)
            {
                HttpListenerContext context;
                try
                {
                    context = await listener.GetContextAsync();
                }
                catch (Exception e) when (e is HttpListenerException or ObjectDisposedException)
                {
                    return;
                }
                var path = context.Request.Url!.AbsolutePath;
                byte[]? body =
                    path.EndsWith("/maven-metadata.xml", StringComparison.Ordinal)
                        ? "<metadata><versioning><versions><version>17.6.0</version></versions></versioning></metadata>"u8.ToArray()
                    : path.EndsWith("-17.6.0.jar", StringComparison.Ordinal) ? jar
                    : null;
                context.Response.StatusCode = body is null ? 404 : 200;
                if (body is not null)
                {
                    await context.Response.OutputStream.WriteAsync(body);
                }
                context.Response.Close();
            }
        }
    }
}
