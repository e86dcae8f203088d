using System.Net;
using System.Net.Sockets;
using System.Runtime.Versioning;
using BoutDesk.Api.PrivatePostgres;
using Xunit;

namespace BoutDesk.Api.Tests.Deploy;

/// <summary>
/// The two scripts by which the set of containers makes its primary and its standby, run by servers without containers, in
/// the order in which the image of PostgreSQL runs them.
/// </summary>
[UnsupportedOSPlatform("windows")]
public sealed class SetScriptTests
{
    private const string Course = """
        set -euo pipefail
        export PATH="$1:$PATH" PGPORT=$2 LC_ALL=C
        export PGHOST=127.0.0.1 PGUSER=boutdesk PGDATABASE=boutdesk PGPASSWORD=secret
        export POSTGRES_USER=boutdesk POSTGRES_DB=boutdesk REPLICATION_PASSWORD="it's another"
        primary="$PWD/primary" standby="$PWD/standby"
        trap 'for server in "$standby" "$primary"; do pg_ctl -D "$server" -m immediate stop > /dev/null 2>&1 || true; done' EXIT
        ask() { timeout 60 psql --no-psqlrc --tuples-only --no-align --quiet --command "$1"; }
        options="-c listen_addresses=127.0.0.1 -c unix_socket_directories="
        follow() {
            # In the container it finds the primary by its name, which here is this machine.
            sed 's/--host=primary/--host=127.0.0.1/' standby.sh > standby-here.sh
            PGDATA="$standby" bash standby-here.sh -p $1 $options > standby.log 2>&1 &
            for second in $(seq 60); do pg_isready --quiet --port=$1 && return; sleep 1; done
            cat standby.log; return 1
        }

        echo "$PGPASSWORD" > password
        initdb --username=boutdesk --pwfile=password --auth=scram-sha-256 -D "$primary" > /dev/null
        pg_ctl -D "$primary" -o "-p $PGPORT $options" -l primary.log -w start > /dev/null
        PGDATABASE=postgres ask 'create database boutdesk'
        PGDATA="$primary" bash primary.sh > /dev/null
        pg_ctl -D "$primary" -w restart > /dev/null

        follow $3
        echo "follows: $(ask 'select application_name, sync_state from pg_stat_replication')"
        ask 'create table kept as select 1 as touch'
        echo "both have: $(PGPORT=$3 ask 'select touch from kept')"

        pg_ctl -D "$standby" -m fast -w stop > /dev/null
        timeout 2 psql --quiet --command 'insert into kept values (2)' > /dev/null 2>&1 || echo "alone nothing is acknowledged"
        follow $3
        ask 'insert into kept values (3)'
        echo "back"

        pg_ctl -D "$primary" -m immediate -w stop > /dev/null
        export PGPORT=$3
        echo "promoted: $(ask 'select pg_promote()')"
        # As the runbook says.
        ask "alter system set synchronous_standby_names = ''"
        ask 'select pg_reload_conf()' > /dev/null
        ask 'insert into kept values (4)'
        echo "goes on with: $(ask 'select count(*) from kept where touch in (1, 3, 4)')"
        """;

    [Fact]
    public async Task A_standby_has_what_was_acknowledged_and_takes_over()
    {
        var installed = await PostgresBinaries.FindAsync(PostgresBinaries.UsualFolders(), CancellationToken.None);
        var binaries = installed.FirstOrDefault(one => File.Exists(one["pg_basebackup"]) && File.Exists(one["psql"]));
        Assert.True(binaries is not null, "It needs an installed PostgreSQL with its client programs (Debian: postgresql).");
        var user = ServerUser.ForThisProcess();
        var folder = Directory.CreateTempSubdirectory("boutdesk-set-");
        try
        {
            foreach (var script in new[] { "primary.sh", "standby.sh" })
            {
                File.Copy(Path.Combine(Repository.Folder, "deploy", "set", script), Path.Combine(folder.FullName, script));
            }

            await user.OwnAsync("/", CancellationToken.None, folder.FullName);
            var ports = FreePorts();
            var run = await user.RunAsync("bash", ["-c", $"cd '{folder.FullName}'\n{Course}", "bash", binaries.Folder, $"{ports.One}", $"{ports.Other}"], "/", CancellationToken.None);

            Assert.True(run.ExitCode == 0, run.Output);
            Assert.Equal(
                ["follows: standby|quorum", "both have: 1", "alone nothing is acknowledged", "back", "promoted: t", "goes on with: 3"],
                run.Output.Split('\n', StringSplitOptions.RemoveEmptyEntries));
        }
        finally
        {
            folder.Delete(recursive: true);
        }
    }

    private static (int One, int Other) FreePorts()
    {
        using var one = new TcpListener(IPAddress.Loopback, 0);
        using var other = new TcpListener(IPAddress.Loopback, 0);
        one.Start();
        other.Start();
        return (((IPEndPoint)one.LocalEndpoint).Port, ((IPEndPoint)other.LocalEndpoint).Port);
    }
}
