using System.Globalization;
using System.Text.RegularExpressions;
using k8s.Models;
using Npgsql;
using Xunit;
using Cluster = BoutDesk.Api.Tests.Deploy.Manifests.Resource<BoutDesk.Api.Tests.Deploy.Manifests.ClusterSpec>;
using ObjectStore = BoutDesk.Api.Tests.Deploy.Manifests.Resource<BoutDesk.Api.Tests.Deploy.Manifests.ObjectStoreSpec>;
using ScheduledBackup = BoutDesk.Api.Tests.Deploy.Manifests.Resource<BoutDesk.Api.Tests.Deploy.Manifests.ScheduledBackupSpec>;

namespace BoutDesk.Api.Tests.Deploy;

/// <summary>The manifests for Kubernetes: readable, in agreement with one another and with the service.</summary>
public sealed partial class KubernetesTests
{
    // What CloudNativePG puts into the secret that it makes for the owner of the database.
    private static readonly string[] KeysOfTheOwner =
        ["username", "user", "password", "dbname", "host", "port", "pgpass", "uri", "jdbc-uri", "fqdn-uri", "fqdn-jdbc-uri"];

    private static readonly V1Deployment Deployment = Manifests.The<V1Deployment>();
    private static readonly V1PodTemplateSpec Pod = Deployment.Spec.Template;
    private static readonly V1Container Container = Pod.Spec.Containers.Single();
    private static readonly Cluster Database = Manifests.The<Cluster>();

    public static TheoryData<string> Files => [.. Manifests.Files];

    [Theory]
    [MemberData(nameof(Files))]
    public void A_manifest_holds_nothing_that_its_kind_does_not_have(string file) =>
        Assert.All(Manifests.Read(Manifests.Text(file)), resource => Assert.NotEmpty(((k8s.IKubernetesObject)resource).Kind));

    [Theory]
    [InlineData("service.yaml", "readOnlyRootFilesystem:", "readOnlyRootFileSystem:")]
    [InlineData("service.yaml", "replicas: 2", "replicas: two")]
    [InlineData("service.yaml", "      minReadySeconds", "      minimumReadySeconds")]
    [InlineData("service.yaml", "  replicas: 2", "  replicas: 2\n  replicas: 3")]
    [InlineData("service.yaml", "maxUnavailable: 1", "maxMissing: 1")]
    [InlineData("ingress.yaml", "pathType:", "pathtype:")]
    [InlineData("network.yaml", "podSelector:", "podsSelector:")]
    [InlineData("database.yaml", "failoverQuorum:", "failOverQuorum:")]
    [InlineData("database.yaml", "number: 1", "number: one")]
    [InlineData("backup.yaml", "pluginConfiguration:", "pluginConfig:")]
    public void What_is_misspelled_is_noticed(string file, string right, string wrong)
    {
        var text = Manifests.Text(file);
        Assert.Contains(right.Trim(), text, StringComparison.Ordinal);
        Assert.ThrowsAny<Exception>(() => Manifests.Read(text.Replace(right.Trim(), wrong.Trim(), StringComparison.Ordinal)));
    }

    [Fact]
    public void Every_manifest_but_the_secrets_to_be_filled_in_is_part_of_the_whole()
    {
        var listed = File.ReadAllLines(Path.Combine(Manifests.Folder, "kustomization.yaml"))
            .Where(line => line.StartsWith("  - ", StringComparison.Ordinal) && line.EndsWith(".yaml", StringComparison.Ordinal)).Select(line => line[4..]);

        Assert.Equal(Manifests.Files.Except(["secrets.example.yaml"]).Order(), listed.Order());
    }

    [Fact]
    public void No_secret_is_in_them()
    {
        var secrets = Manifests.Files.SelectMany(file => Manifests.Read(Manifests.Text(file))).OfType<V1Secret>().ToArray();

        Assert.NotEmpty(secrets);
        Assert.All(secrets, secret => Assert.All(secret.StringData.Values, Assert.Empty));
    }

    [Fact]
    public void Every_secret_that_is_asked_for_is_there()
    {
        var given = Manifests.Read(Manifests.Text("secrets.example.yaml")).Cast<V1Secret>()
            .ToDictionary(secret => secret.Metadata.Name, secret => secret.StringData.Keys.ToArray());
        given.Add($"{Database.Metadata.Name}-app", KeysOfTheOwner);
        given.Add($"{Database.Metadata.Name}-ca", ["ca.crt", "ca.key"]);
        var credentials = Manifests.The<ObjectStore>().Spec.Configuration.S3Credentials;
        var asked = Container.Env.Select(variable => variable.ValueFrom?.SecretKeyRef).OfType<V1SecretKeySelector>()
            .Append(credentials.AccessKeyId).Append(credentials.SecretAccessKey).Select(selector => (selector.Name, selector.Key))
            .Concat(Pod.Spec.Volumes.Where(volume => volume.Secret is not null).SelectMany(volume => volume.Secret.Items.Select(item => (volume.Secret.SecretName, item.Key))));

        Assert.All(asked, key => Assert.Contains(key.Key, given[key.Item1]));
    }

    [Fact]
    public void The_secret_of_the_database_makes_a_connection_string()
    {
        var values = KeysOfTheOwner.ToDictionary(key => key, key => key switch { "port" => "5432", "password" => "Xy12", _ => $"the-{key}" });
        // As Kubernetes does it: with variables that stand above.
        var known = new Dictionary<string, string>();
        foreach (var variable in Container.Env)
        {
            known[variable.Name] = variable.Value is { } value
                ? Reference().Replace(value, reference => known[reference.Groups[1].Value])
                : values.GetValueOrDefault(variable.ValueFrom.SecretKeyRef.Key, "");
        }

        var connection = new NpgsqlConnectionStringBuilder(known["ConnectionStrings__BoutDesk"]);

        Assert.Equal(("the-host", 5432, "the-dbname", "the-username", "Xy12"), (connection.Host, connection.Port, connection.Database, connection.Username, connection.Password));
        Assert.Equal(SslMode.VerifyFull, connection.SslMode);
        var authority = Pod.Spec.Volumes.Single(volume => volume.Secret?.SecretName == $"{Database.Metadata.Name}-ca");
        var mount = Container.VolumeMounts.Single(mount => mount.Name == authority.Name).MountPath;
        Assert.Equal($"{mount}/{authority.Secret.Items.Single().Path}", connection.RootCertificate);
    }

    [Fact]
    public void All_that_select_the_pods_of_the_service_find_them()
    {
        var labels = Pod.Metadata.Labels;
        var policy = Manifests.The<V1NetworkPolicy>("boutdesk");
        foreach (var selector in new[]
        {
            Deployment.Spec.Selector.MatchLabels,
            Pod.Spec.TopologySpreadConstraints.Single().LabelSelector.MatchLabels,
            Manifests.The<V1PodDisruptionBudget>().Spec.Selector.MatchLabels,
            Manifests.The<V1Service>().Spec.Selector,
            policy.Spec.PodSelector.MatchLabels,
            Manifests.The<V1NetworkPolicy>("boutdesk-database").Spec.Ingress[0].FromProperty[0].PodSelector.MatchLabels,
        })
        {
            Assert.NotEmpty(selector);
            Assert.All(selector, wanted => Assert.Equal(wanted.Value, labels[wanted.Key]));
        }

        string[] ports = [.. Container.Ports.Select(port => port.Name)];
        Assert.Contains(Manifests.The<V1Service>().Spec.Ports.Single().TargetPort.Value, ports);
        Assert.Contains(policy.Spec.Ingress.Single().Ports.Single().Port.Value, ports);
        var backend = Manifests.The<V1Ingress>().Spec.Rules.Single().Http.Paths.Single().Backend.Service;
        Assert.Equal((Manifests.The<V1Service>().Metadata.Name, Manifests.The<V1Service>().Spec.Ports.Single().Name), (backend.Name, backend.Port.Name));
    }

    [Fact]
    public void The_database_is_let_in_backed_up_and_asks_for_both_to_have_what_was_acknowledged()
    {
        var name = Database.Metadata.Name;
        Assert.Equal(name, Manifests.The<V1NetworkPolicy>("boutdesk-database").Spec.PodSelector.MatchLabels["cnpg.io/cluster"]);
        Assert.Equal(name, Manifests.The<V1NetworkPolicy>("boutdesk").Spec.Egress[0].To.Single().PodSelector.MatchLabels["cnpg.io/cluster"]);
        Assert.Equal(name, Manifests.The<ScheduledBackup>().Spec.Cluster.Name);
        var archiver = Database.Spec.Plugins.Single(plugin => plugin.IsWALArchiver);
        Assert.Equal(Manifests.The<ObjectStore>().Metadata.Name, archiver.Parameters["barmanObjectName"]);
        Assert.Equal(archiver.Name, Manifests.The<ScheduledBackup>().Spec.PluginConfiguration.Name);
        Assert.Equal((3, "any", 1, "required", true), (Database.Spec.Instances, Database.Spec.Postgresql.Synchronous.Method, Database.Spec.Postgresql.Synchronous.Number, Database.Spec.Postgresql.Synchronous.DataDurability, Database.Spec.Postgresql.Synchronous.FailoverQuorum));
    }

    [Fact]
    public void There_are_connections_enough_for_all_services_of_an_upgrade()
    {
        var services = Deployment.Spec.Replicas!.Value + int.Parse(Deployment.Spec.Strategy.RollingUpdate.MaxSurge.Value, CultureInfo.InvariantCulture);
        var each = new NpgsqlConnectionStringBuilder().MaxPoolSize;

        Assert.True(int.Parse(Database.Spec.Postgresql.Parameters["max_connections"], CultureInfo.InvariantCulture) > services * each);
    }

    [Fact]
    public void A_service_may_do_no_more_in_Kubernetes_than_in_the_container_of_compose()
    {
        Assert.True(Pod.Spec.SecurityContext.RunAsNonRoot);
        Assert.False(Pod.Spec.AutomountServiceAccountToken);
        Assert.True(Container.SecurityContext.ReadOnlyRootFilesystem);
        Assert.False(Container.SecurityContext.AllowPrivilegeEscalation);
        Assert.Equal(["ALL"], Container.SecurityContext.Capabilities.Drop);
        // Files that are uploaded are put there while they are read.
        Assert.Contains(Container.VolumeMounts, mount => mount.MountPath == "/tmp" && mount.ReadOnlyProperty is not true);
    }

    [Fact]
    public void A_stop_leaves_time_for_the_balancer_and_for_the_requests_that_are_being_answered()
    {
        var forTheBalancer = int.Parse(Container.Lifecycle.PreStop.Exec.Command[^1], CultureInfo.InvariantCulture);
        var forRequests = new Microsoft.Extensions.Hosting.HostOptions().ShutdownTimeout.TotalSeconds;

        Assert.True(Pod.Spec.TerminationGracePeriodSeconds >= forTheBalancer + forRequests + 10);
    }

    [Fact]
    public async Task Every_address_that_is_asked_after_its_health_answers()
    {
        await using var host = await DeskHost.StartAsync();
        foreach (var probe in new[] { Container.StartupProbe, Container.LivenessProbe, Container.ReadinessProbe })
        {
            using var answer = await host.Public.GetAsync(new Uri(probe.HttpGet.Path, UriKind.Relative));
            Assert.Equal(System.Net.HttpStatusCode.OK, answer.StatusCode);
        }
    }

    [Fact]
    public async Task The_owner_of_the_database_needs_no_other_right()
    {
        var owned = new NpgsqlConnectionStringBuilder(await PostgresForTests.FreshDatabaseAsync());
        var role = $"owner_of_{owned.Database}";
        await using (var administrator = new NpgsqlConnection(owned.ConnectionString))
        {
            await administrator.OpenAsync();
            await using var give = new NpgsqlCommand($"create role {role} login password 'of the owner'; alter database {owned.Database} owner to {role}", administrator);
            await give.ExecuteNonQueryAsync();
        }

        (owned.Username, owned.Password) = (role, "of the owner");
        await using var host = await DeskHost.StartOnAsync(owned.ConnectionString);
        await using var other = await DeskHost.StartOnAsync(owned.ConnectionString);
        var (_, pool) = await host.Desk.OnePoolAsync(4);
        await other.Desk.ResultAsync(pool.Items("bouts")[0].Id(), 5, 2);

        Assert.Equal("5", (await host.Desk.ReadAsync($"/api/bouts/{pool.Items("bouts")[0].Id()}")).Body["score"]!["left"]!.ToString());
    }

    [GeneratedRegex(@"\$\(([A-Z_]+)\)")]
    private static partial Regex Reference();
}
