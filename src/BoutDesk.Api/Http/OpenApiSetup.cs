using BoutDesk.Api.Passes;
using Microsoft.OpenApi;
using Swashbuckle.AspNetCore.SwaggerGen;

namespace BoutDesk.Api.Http;

/// <summary>The OpenAPI document at <c>/openapi/v1.json</c> and its interactive page at <c>/openapi</c>.</summary>
internal static class OpenApiSetup
{
    private const string Bearer = "pass";

    public static void AddOpenApiDocument(this IServiceCollection services)
    {
        services.AddEndpointsApiExplorer();
        services.AddSwaggerGen(document =>
        {
            document.SwaggerDoc("v1", new OpenApiInfo
            {
                Title = "BoutDesk",
                Version = "v1",
                Description =
                    "The desk of a fencing tournament day: from the entry list to the classification. Reads are public; writes carry a pass. "
                    + "Every refusal is a problem document (RFC 9457) with a stable type. A POST or PUT with an Idempotency-Key counts once, however often it is sent.",
            });
            document.AddSecurityDefinition(Bearer, new OpenApiSecurityScheme
            {
                Type = SecuritySchemeType.Http,
                Scheme = "bearer",
                Description = "A pass of kind desk, armourer or referee.",
            });
            foreach (var assembly in new[] { typeof(OpenApiSetup).Assembly, typeof(Domain.Decision).Assembly })
            {
                document.IncludeXmlComments(assembly, includeControllerXmlComments: false);
            }

            document.SupportNonNullableReferenceTypes();
            document.NonNullableReferenceTypesAsRequired();
            document.OperationFilter<Conventions>();
            document.CustomSchemaIds(type => SchemaId(type));
        });
    }

    public static void UseOpenApiDocument(this WebApplication app)
    {
        app.UseSwagger(document => document.RouteTemplate = "openapi/{documentName}.json");
        app.UseSwaggerUI(page =>
        {
            page.RoutePrefix = "openapi";
            page.DocumentTitle = "BoutDesk API";
            page.SwaggerEndpoint("/openapi/v1.json", "BoutDesk v1");
        });
    }

    private static string SchemaId(Type type)
    {
        var name = type.Name.Split('`')[0];
        name = name.EndsWith("View", StringComparison.Ordinal) ? name[..^4] : name;
        return string.Concat(type.GetGenericArguments().Select(SchemaId)) + name;
    }

    /// <summary>Adds what holds for every operation: passes, repeats, versions.</summary>
    private sealed class Conventions : IOperationFilter
    {
        public void Apply(OpenApiOperation operation, OperationFilterContext context)
        {
            var needs = context.ApiDescription.ActionDescriptor.EndpointMetadata.OfType<NeedsPass>().FirstOrDefault();
            if (needs is null)
            {
                return;
            }

            operation.Security = [new OpenApiSecurityRequirement { [new OpenApiSecuritySchemeReference(Bearer, context.Document)] = [] }];
            operation.Description = $"Pass: {string.Join(" or ", needs.Kinds.Select(k => k.ToString().ToLowerInvariant()))}. {operation.Description}".TrimEnd();
            if (context.ApiDescription.HttpMethod == "GET")
            {
                return;
            }

            operation.Parameters ??= [];
            operation.Parameters.Add(Header("Idempotency-Key", "A key made by the client for this action. A repeat with the same key and body gets the first answer again; the key with another body is refused."));
            if (operation.Responses?.ContainsKey("412") == true)
            {
                operation.Parameters.Add(Header("If-Match", "The ETag that was read last; refused with 412 when somebody changed it meanwhile."));
            }
        }

        private static OpenApiParameter Header(string name, string description) => new()
        {
            Name = name,
            In = ParameterLocation.Header,
            Required = false,
            Description = description,
            Schema = new OpenApiSchema { Type = JsonSchemaType.String },
        };
    }
}
