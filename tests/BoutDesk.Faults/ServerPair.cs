namespace BoutDesk.Faults;

/// <summary>A primary with the standby that each of its commits waits for.</summary>
internal sealed class ServerPair : IAsyncDisposable
{
    private ServerPair(Cluster primary, Cluster standby) => (Primary, Standby) = (primary, standby);

    public Cluster Primary { get; private set; }

    public Cluster Standby { get; private set; }

    /// <summary>How the services reach them.</summary>
    public string ConnectionString => Cluster.ConnectionStringTo(Primary, Standby);

    public static async Task<ServerPair> StartAsync()
    {
        var primary = await Cluster.PrimaryAsync();
        try
        {
            return new ServerPair(primary, await primary.StandbyAsync());
        }
        catch
        {
            await primary.DisposeAsync();
            throw;
        }
    }

    /// <summary>Kills the primary and promotes the standby.</summary>
    public async Task FailOverAsync()
    {
        Primary.Kill();
        (Primary, Standby) = (Standby, Primary);
        await Primary.PromoteAsync();
    }

    /// <summary>Lets the primary wait for the standby no more, and the standby get nothing more of it.</summary>
    public async Task CutAsync()
    {
        await Primary.ExecuteAsync("alter system set synchronous_standby_names = ''");
        await Primary.ExecuteAsync("select pg_reload_conf()");
        await Standby.ExecuteAsync("alter system set primary_conninfo = ''");
        await Standby.ExecuteAsync("select pg_reload_conf()");
        while ((long)await Primary.ExecuteAsync("select count(*) from pg_stat_replication") > 0)
        {
            await Task.Delay(50);
        }
    }

    /// <summary>Makes a new standby in the place of the killed primary.</summary>
    public async Task RebuildAsync()
    {
        var rebuilt = await Primary.StandbyAsync(instead: Standby);
        await Standby.DisposeAsync();
        Standby = rebuilt;
    }

    public async ValueTask DisposeAsync()
    {
        await Standby.DisposeAsync();
        await Primary.DisposeAsync();
    }
}
