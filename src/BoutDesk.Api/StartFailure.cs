using System.Net.Sockets;
using BoutDesk.Api.PrivatePostgres;
using Microsoft.AspNetCore.Connections;
using Npgsql;

namespace BoutDesk.Api;

/// <summary>The service cannot start; the message says why and what to do.</summary>
internal sealed class StartException(string message, Exception? cause = null) : Exception(message, cause);

/// <summary>Says in a sentence why the service could not start, where that is known.</summary>
internal static class StartFailure
{
    /// <param name="failure">The failure.</param>
    /// <param name="setting">The setting that names the PostgreSQL which was asked.</param>
    public static string? Explain(Exception? failure, string setting = "ConnectionStrings:BoutDesk") => failure switch
    {
        null => null,
        StartException or PrivateClusterException => failure.Message,
        // The binder names the value, the key and the type that it wants.
        InvalidOperationException when failure.Message.StartsWith("Failed to convert configuration value", StringComparison.Ordinal) =>
            $"A setting cannot be read. {failure.Message} Correct it where it is set: command line, environment or appsettings.json.",
        FormatException when failure.Message.StartsWith("Invalid url", StringComparison.Ordinal) =>
            $"{failure.Message} Give --urls as in http://localhost:5080 or http://0.0.0.0:5080.",
        SocketException { SocketErrorCode: SocketError.AccessDenied } =>
            "This user may not listen on that port. Choose one from 1024 on with --urls http://localhost:5080.",
        SocketException { SocketErrorCode: SocketError.AddressNotAvailable } =>
            "This machine does not have that address. Choose one of its own with --urls, or http://0.0.0.0:5080 for all.",
        AddressInUseException => "Another program listens on that address already. Stop it, or choose another with --urls http://localhost:5081.",
        PostgresException wrong => $"The PostgreSQL of {setting} refuses: {wrong.MessageText}. Check user, password, database and rights.",
        // What its client says when servers answer, but none of them is the primary.
        NpgsqlException { InnerException: null } when failure.Message.StartsWith("No suitable host", StringComparison.Ordinal) =>
            $"None of the servers of {setting} takes writes. Start the primary, or promote a standby, and name it among them.",
        NpgsqlException or SocketException or TimeoutException => $"The PostgreSQL of {setting} does not answer. Check that it runs and that host and port are right.",
        _ => Explain(failure.InnerException, setting),
    };
}
