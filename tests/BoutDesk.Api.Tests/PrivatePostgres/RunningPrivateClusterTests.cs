using System.Globalization;
using System.Net;
using System.Net.NetworkInformation;
using System.Net.Sockets;
using System.Runtime.Versioning;
using BoutDesk.Api.PrivatePostgres;
using Microsoft.Extensions.Logging.Abstractions;
using Npgsql;
using Xunit;

namespace BoutDesk.Api.Tests.PrivatePostgres;

/// <summary>What a private cluster is like while it runs. The tests share one and leave it as it is.</summary>
[UnsupportedOSPlatform("windows")]
public sealed class RunningPrivateClusterTests(RunningPrivateClusterTests.Running running) : IClassFixture<RunningPrivateClusterTests.Running>
{
    private PrivateCluster Cluster => running.Cluster;

    [Fact]
    public async Task The_database_keeps_what_it_confirms_and_looks_the_same_on_every_machine()
    {
        Assert.Equal("boutdesk|boutdesk", await AskAsync("SELECT current_database() || '|' || current_user"));
        Assert.Equal("UTF8", await AskAsync("SHOW server_encoding"));
        Assert.Equal("C", await AskAsync("SELECT datcollate FROM pg_database WHERE datname = 'boutdesk'"));
        Assert.Equal("UTC", await AskAsync("SHOW timezone"));
        foreach (var setting in new[] { "data_checksums", "fsync", "synchronous_commit", "full_page_writes" })
        {
            Assert.Equal($"{setting} on", $"{setting} {await AskAsync($"SHOW {setting}")}");
        }
    }

    [Fact]
    public async Task Only_this_machine_reaches_the_server()
    {
        Assert.Equal("127.0.0.1", await AskAsync("SHOW listen_addresses"));
        Assert.Equal("", await AskAsync("SHOW unix_socket_directories"));
        var port = new NpgsqlConnectionStringBuilder(Cluster.ConnectionString).Port;
        var others = NetworkInterface.GetAllNetworkInterfaces()
            .SelectMany(network => network.GetIPProperties().UnicastAddresses)
            .Select(one => one.Address)
            .Where(address => !IPAddress.IsLoopback(address))
            .Append(IPAddress.Parse("127.0.0.2"));
        foreach (var address in others)
        {
            using var socket = new Socket(address.AddressFamily, SocketType.Stream, ProtocolType.Tcp);
            await Assert.ThrowsAsync<SocketException>(() => socket.ConnectAsync(address, port));
        }
    }

    [Theory]
    [InlineData("wrong")]
    [InlineData(null)]
    public async Task Nobody_gets_in_without_the_password(string? password)
    {
        var intruder = new NpgsqlConnectionStringBuilder(Cluster.ConnectionString) { Password = password, Pooling = false };
        await using var connection = new NpgsqlConnection(intruder.ConnectionString);
        await Assert.ThrowsAnyAsync<NpgsqlException>(() => connection.OpenAsync());
    }

    [Fact]
    public async Task The_password_is_for_the_user_of_the_service_only()
    {
        var file = Path.Combine(running.Folder, "password");
        Assert.Equal(new NpgsqlConnectionStringBuilder(Cluster.ConnectionString).Password, await File.ReadAllTextAsync(file));
        Assert.Equal(UnixFileMode.UserRead | UnixFileMode.UserWrite, File.GetUnixFileMode(file));
        Assert.Empty(Directory.EnumerateFiles(running.Folder, "*.password"));
    }

    [Fact]
    public async Task The_server_is_in_a_session_of_its_own_where_no_interrupt_of_a_terminal_reaches_it()
    {
        // proc(5), stat: number, (name), state, parent, process group, session, ...
        var stat = await File.ReadAllTextAsync($"/proc/{Cluster.ServerProcessId}/stat");
        var fields = stat[(stat.LastIndexOf(')') + 2)..].Split(' ');
        var own = Cluster.ServerProcessId.ToString(CultureInfo.InvariantCulture);
        Assert.Equal((own, own), (fields[2], fields[3]));
    }

    private Task<string> AskAsync(string sql) => PrivateClusterTests.AskAsync(Cluster, sql);

    public sealed class Running : IAsyncLifetime
    {
        internal string Folder { get; } = Path.Combine(Path.GetTempPath(), "boutdesk-tests-" + Guid.NewGuid().ToString("N"));

        internal PrivateCluster Cluster { get; private set; } = null!;

        public async Task InitializeAsync() =>
            Cluster = await PrivateCluster.StartAsync(
                new PrivateClusterOptions { DataFolder = Folder }, NullLogger.Instance, CancellationToken.None);

        public async Task DisposeAsync()
        {
            await Cluster.DisposeAsync();
            Directory.Delete(Folder, recursive: true);
        }
    }
}
