using k8s;

namespace BoutDesk.Api.Tests.Deploy;

/// <summary>
/// The manifests of <c>deploy/kubernetes</c>, read strictly: a field that is unknown, doubled or of another type is an
/// error. The types of Kubernetes are those of its own client library; of CloudNativePG, which has none, only the fields
/// that the manifests use are written down here.
/// </summary>
internal static class Manifests
{
    private static readonly Dictionary<string, Type> OfCloudNativePg = new()
    {
        ["postgresql.cnpg.io/v1/Cluster"] = typeof(Resource<ClusterSpec>),
        ["postgresql.cnpg.io/v1/ScheduledBackup"] = typeof(Resource<ScheduledBackupSpec>),
        ["barmancloud.cnpg.io/v1/ObjectStore"] = typeof(Resource<ObjectStoreSpec>),
    };

    /// <summary>Where they are.</summary>
    public static string Folder { get; } = Path.Combine(Repository.Folder, "deploy", "kubernetes");

    /// <summary>The names of the files that hold manifests.</summary>
    public static IReadOnlyList<string> Files { get; } =
        [.. Directory.GetFiles(Folder, "*.yaml").Select(file => Path.GetFileName(file)!).Where(file => file != "kustomization.yaml").Order(StringComparer.Ordinal)];

    /// <summary>The text of a file.</summary>
    public static string Text(string file) => File.ReadAllText(Path.Combine(Folder, file));

    /// <summary>The resources of a text.</summary>
    /// <exception cref="YamlDotNet.Core.YamlException">It holds what no such resource has.</exception>
    public static IReadOnlyList<object> Read(string text) => KubernetesYaml.LoadAllFromString(text, OfCloudNativePg, strict: true);

    /// <summary>The resource of this type, the only one or the one with this name.</summary>
    public static T The<T>(string? name = null)
        where T : IKubernetesObject<k8s.Models.V1ObjectMeta> =>
        Files.SelectMany(file => Read(Text(file))).OfType<T>().Single(resource => name is null || resource.Metadata.Name == name);

    public sealed class Resource<TSpec> : IKubernetesObject<k8s.Models.V1ObjectMeta>
    {
        public string ApiVersion { get; set; } = "";

        public string Kind { get; set; } = "";

        public k8s.Models.V1ObjectMeta Metadata { get; set; } = new();

        public TSpec Spec { get; set; } = default!;
    }

    public sealed class ClusterSpec
    {
        public int Instances { get; set; }

        public string ImageName { get; set; } = "";

        public Bootstrap Bootstrap { get; set; } = new();

        public Postgresql Postgresql { get; set; } = new();

        public string PrimaryUpdateStrategy { get; set; } = "";

        public string PrimaryUpdateMethod { get; set; } = "";

        public Affinity Affinity { get; set; } = new();

        public k8s.Models.V1ResourceRequirements Resources { get; set; } = new();

        public Storage Storage { get; set; } = new();

        public Storage WalStorage { get; set; } = new();

        public List<Plugin> Plugins { get; set; } = [];
    }

    public sealed class Bootstrap
    {
        public Initdb Initdb { get; set; } = new();
    }

    public sealed class Initdb
    {
        public string Database { get; set; } = "";

        public string Owner { get; set; } = "";

        public bool DataChecksums { get; set; }
    }

    public sealed class Postgresql
    {
        public Synchronous Synchronous { get; set; } = new();

        public Dictionary<string, string> Parameters { get; set; } = [];
    }

    public sealed class Synchronous
    {
        public string Method { get; set; } = "";

        public int Number { get; set; }

        public string DataDurability { get; set; } = "";

        public bool FailoverQuorum { get; set; }
    }

    public sealed class Affinity
    {
        public bool EnablePodAntiAffinity { get; set; }

        public string PodAntiAffinityType { get; set; } = "";

        public string TopologyKey { get; set; } = "";
    }

    public sealed class Storage
    {
        public string Size { get; set; } = "";
    }

    public sealed class Plugin
    {
        public string Name { get; set; } = "";

        public bool IsWALArchiver { get; set; }

        public Dictionary<string, string> Parameters { get; set; } = [];
    }

    public sealed class ScheduledBackupSpec
    {
        public string Schedule { get; set; } = "";

        public bool Immediate { get; set; }

        public ClusterReference Cluster { get; set; } = new();

        public string Method { get; set; } = "";

        public Plugin PluginConfiguration { get; set; } = new();
    }

    public sealed class ClusterReference
    {
        public string Name { get; set; } = "";
    }

    public sealed class ObjectStoreSpec
    {
        public string RetentionPolicy { get; set; } = "";

        public ObjectStoreConfiguration Configuration { get; set; } = new();
    }

    public sealed class ObjectStoreConfiguration
    {
        public string DestinationPath { get; set; } = "";

        public string EndpointURL { get; set; } = "";

        public S3Credentials S3Credentials { get; set; } = new();

        public Packing Wal { get; set; } = new();

        public Packing Data { get; set; } = new();
    }

    public sealed class S3Credentials
    {
        public k8s.Models.V1SecretKeySelector AccessKeyId { get; set; } = new();

        public k8s.Models.V1SecretKeySelector SecretAccessKey { get; set; } = new();
    }

    public sealed class Packing
    {
        public string Compression { get; set; } = "";
    }
}
