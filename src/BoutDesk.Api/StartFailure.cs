using System.Net.Sockets;
using BoutDesk.Api.PrivatePostgres;
using Microsoft.AspNetCore.Connections;
using Npgsql;

namespace BoutDesk.Api;

/// <summary>Says in a sentence why the service could not start, where that is known.</summary>
internal static class StartFailure
{
    public static string? Explain(Exception? failure) => failure switch
    {
        null => null,
        PrivateClusterException cluster => cluster.Message,
        AddressInUseException => "Another program listens on that address already. Stop it, or choose another with --urls http://localhost:5081.",
        PostgresException wrong => $"The PostgreSQL of ConnectionStrings:BoutDesk refuses: {wrong.MessageText}. Check user, password, database and rights.",
        NpgsqlException or SocketException => "The PostgreSQL of ConnectionStrings:BoutDesk does not answer. Check that it runs and that host and port are right.",
        _ => Explain(failure.InnerException),
    };
}
