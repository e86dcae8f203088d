using System.Net.Sockets;
using System.Text.Json;
using System.Text.RegularExpressions;
using BoutDesk.Api.Board;
using BoutDesk.Api.EventStore;
using Microsoft.AspNetCore.Diagnostics;
using Npgsql;

namespace BoutDesk.Api.Http;

/// <summary>Turns what goes wrong before or outside a handler into problems.</summary>
internal static partial class ProblemMapping
{
    public static WebApplication UseProblems(this WebApplication app)
    {
        app.UseExceptionHandler(new ExceptionHandlerOptions
        {
            // Where the store is away every phone asks again and again: a line for each is enough.
            SuppressDiagnosticsCallback = context => Of(context.Exception).Kind != ProblemKinds.Internal,
            ExceptionHandler = http =>
            {
                var error = http.Features.Get<IExceptionHandlerFeature>()!.Error;
                if (IsStoreFailure(error))
                {
                    StoreFailed(app.Logger, error.GetBaseException().Message);
                }

                // To who has hung up nothing can be said.
                return http.RequestAborted.IsCancellationRequested ? Task.CompletedTask : Of(error).ExecuteAsync(http);
            },
        });
        app.UseStatusCodePages(context => context.HttpContext is { Response.StatusCode: 404 } http && BoardPages.WantsPage(http.Request)
            ? http.RequestServices.GetRequiredService<BoardPages>().SendMissingAsync(http)
            : Of(context.HttpContext.Response.StatusCode) is { } problem
                ? problem.ExecuteAsync(context.HttpContext)
                : Task.CompletedTask);
        return app;
    }

    private static Problem? Of(int status) => status switch
    {
        404 => new Problem(ProblemKinds.NotFound, $"Nothing is served at this address. The document /openapi/v1.json lists what is."),
        405 => new Problem(ProblemKinds.MethodNotAllowed, $"This address does not take that method. The document /openapi/v1.json lists what it takes."),
        413 => TooLarge(),
        415 => new Problem(ProblemKinds.MediaType, $"Send application/json, or text/csv where an entry list is taken, and say so in Content-Type."),
        _ => null,
    };

    /// <summary>Whether the store refused something and is not itself to blame, so that the transaction left nothing behind.</summary>
    public static bool IsRefusedByStore(Exception exception) => ToldByPostgres(exception) is { } refused && !IsStoreFailure(refused.SqlState);

    /// <summary>The problem that an exception stands for.</summary>
    public static Problem Of(Exception exception) => exception switch
    {
        BadHttpRequestException { StatusCode: 413 } => TooLarge(),
        BadHttpRequestException { StatusCode: 415 } => Of(415)!,
        BadHttpRequestException { InnerException: JsonException json } => Of(json),
        JsonException json => Of(json),
        BadHttpRequestException bad => BadParameter(bad),
        InvalidDataException => Problem.Invalid("$", $"The form cannot be read. Load its page anew, and send it again."),
        // The framework takes an encoding that it does not know for a mistake of the program.
        InvalidOperationException when exception.Message.Contains("charset", StringComparison.Ordinal) => Of(415)!,
        _ when IsDiskFull(exception) => new Problem(
            ProblemKinds.StoreUnavailable,
            $"The disk that the data is on is full, so nothing can be kept. Make room on it at the desk; then repeat what you sent with the same Idempotency-Key, and it counts once.") { RetryAfter = 10 },
        _ when IsStoreFailure(exception) => new Problem(
            ProblemKinds.StoreUnavailable,
            $"The store does not answer just now. What you sent may or may not have been kept; repeat it with the same Idempotency-Key and it counts once.") { RetryAfter = 2 },
        OperationCanceledException => new Problem(ProblemKinds.StoreUnavailable, $"The request was broken off.") { RetryAfter = 1 },
        _ => new Problem(ProblemKinds.Internal, $"The service made a mistake. Nothing was kept. The log at the desk says more."),
    };

    private static Problem TooLarge() =>
        new(ProblemKinds.TooLarge, $"A request may have 1 MiB, an entry list 5 MiB. Send it in parts.");

    private static Problem Of(JsonException json)
    {
        var path = json.Path ?? "$";
        var message = json.Message;
        if (MissingProperties().Match(message) is { Success: true } missing)
        {
            var errors = new FieldErrors();
            foreach (Match name in QuotedNames().Matches(missing.Groups[1].Value))
            {
                errors.Add(Field(path, name.Groups[1].Value), $"Is needed.");
            }

            return errors.ToProblem()!;
        }

        if (UnknownProperty().Match(message) is { Success: true } unknown)
        {
            return Problem.Invalid(Field(path, unknown.Groups[1].Value), $"There is no field {unknown.Groups[1].Value} here. Check its spelling in the document /openapi/v1.json.");
        }

        return Problem.Invalid(Field(path, null), message switch
        {
            _ when message.StartsWith("Must be one of", StringComparison.Ordinal) => $"{message.Split(" Path:")[0]}",
            _ when NullRefused().IsMatch(message) => $"Must not be null. Give a value, or leave the field out where it has a default.",
            _ when message.Contains("System.Int32", StringComparison.Ordinal) => $"Must be a whole number of usual size.",
            _ when message.Contains("System.Int64", StringComparison.Ordinal) => $"Must be a whole number.",
            _ when message.Contains("System.DateOnly", StringComparison.Ordinal) => $"Must be a date such as 2026-11-28.",
            _ when message.Contains("System.DateTimeOffset", StringComparison.Ordinal) => $"Must be a time with its offset, such as 2026-11-28T09:30:00+01:00.",
            _ when message.Contains("System.String", StringComparison.Ordinal) => $"Must be a text.",
            _ when message.Contains("System.Boolean", StringComparison.Ordinal) => $"Must be true or false.",
            _ when message.StartsWith("The JSON value could not be converted", StringComparison.Ordinal) => $"Has the wrong type. Compare with the document /openapi/v1.json.",
            _ when message.Contains("Duplicate propert", StringComparison.OrdinalIgnoreCase) => $"Stands twice. Give each field once.",
            _ when message.Contains("configured depth", StringComparison.Ordinal) => $"Is nested too deeply. Compare with the document /openapi/v1.json.",
            _ => $"The body is no valid JSON. Look at line {json.LineNumber + 1}, character {json.BytePositionInLine + 1}.",
        });
    }

    private static Problem BadParameter(BadHttpRequestException bad)
    {
        if (bad.Message.Contains("body", StringComparison.Ordinal))
        {
            return Problem.Invalid("$", $"A body in JSON is needed. Send one with Content-Type: application/json.");
        }

        return ParameterName().Match(bad.Message) is { Success: true } parameter
            ? Problem.Invalid(parameter.Groups[2].Value, parameter.Groups[1].Value switch
            {
                "bool" => $"Must be true or false.",
                "int" or "Nullable<int>" or "Nullable<long>" => $"Must be a whole number of usual size.",
                _ => $"Has the wrong type. Compare with the document /openapi/v1.json.",
            })
            : Problem.Invalid("$", $"The request cannot be read. Look at how it is sent: method, headers and length of the body.");
    }

    private static string Field(string path, string? name)
    {
        var field = path.TrimStart('$').TrimStart('.');
        if (name is null)
        {
            return field.Length == 0 ? "$" : field;
        }

        return field.Length == 0 || field == name || field.EndsWith("." + name, StringComparison.Ordinal) ? (field.Length == 0 ? name : field) : $"{field}.{name}";
    }

    private static bool IsDiskFull(Exception exception) => ToldByPostgres(exception)?.SqlState == PostgresErrorCodes.DiskFull;

    private static PostgresException? ToldByPostgres(Exception? exception) =>
        exception is null ? null : exception as PostgresException ?? ToldByPostgres(exception.InnerException);

    /// <summary>Whether the store could not do its work just now, so that the same may succeed later.</summary>
    private static bool IsStoreFailure(Exception? exception) => exception switch
    {
        null => false,
        PostgresException postgres => IsStoreFailure(postgres.SqlState),
        UnconfirmedException or NotOpenException or NpgsqlException or SocketException or EndOfStreamException or ObjectDisposedException => true,
        // What its client says of a transaction that broke before it could be rolled back.
        InvalidOperationException { Source: "Npgsql" } => true,
        _ => IsStoreFailure(exception.InnerException),
    };

    // By class: connection, state of the transaction, rolled back, resources, state of an object, intervention, system, internal.
    private static bool IsStoreFailure(string state) => state[..2] is "08" or "25" or "40" or "53" or "55" or "57" or "58" or "XX";

    [LoggerMessage(Level = LogLevel.Warning, Message = "Answered that the store is not available: {Why}")]
    private static partial void StoreFailed(ILogger logger, string why);

    [GeneratedRegex("missing required properties including: (.*)")]
    private static partial Regex MissingProperties();

    [GeneratedRegex("'([^']+)'")]
    private static partial Regex QuotedNames();

    [GeneratedRegex("The JSON property '([^']+)' could not be mapped")]
    private static partial Regex UnknownProperty();

    [GeneratedRegex("doesn't allow (?:setting )?null values")]
    private static partial Regex NullRefused();

    [GeneratedRegex("parameter \"([^\" ]+) ([^\" ]+)\"")]
    private static partial Regex ParameterName();
}
