using Microsoft.AspNetCore.OpenApi;
using Microsoft.OpenApi;

namespace Rinsewright.Web.Api;

/// <summary>What the description of the API says of itself.</summary>
internal static class OpenApiText
{
    public static void Describe(OpenApiOptions options)
    {
        options.OpenApiVersion = OpenApiSpecVersion.OpenApi3_1;
        options.AddDocumentTransformer(
            (document, _, _) =>
            {
                document.Info.Title = "Rinsewright";
                document.Info.Version = "1";
                document.Info.Description =
                    "Everything that the pages do. Quantities in requests are texts with their units, as people write them; numbers in answers carry their unit in their name. Refusals are problem+json (RFC 9457) with every problem. Figures are estimates; the water is not for drinking.";
                return Task.CompletedTask;
            }
        );
        options.AddOperationTransformer(
            (operation, context, _) =>
            {
                foreach (
                    OpenApiParameter parameter in (operation.Parameters ?? []).OfType<OpenApiParameter>()
                )
                {
                    parameter.Example = ApiExamples.Of(parameter.Name ?? "");
                }

                // A water file has no schema of its own here: docs/formats/water.schema.json describes it.
                if (
                    context.Description.RelativePath is { } path
                    && path.EndsWith("water", StringComparison.Ordinal)
                    && operation.RequestBody?.Content is { } body
                )
                {
                    foreach (OpenApiMediaType content in body.Values.OfType<OpenApiMediaType>())
                    {
                        content.Example = ApiExamples.WaterFile.DeepClone();
                    }
                }

                if (
                    operation.RequestBody?.Content?.TryGetValue("text/csv", out var csv) is true
                    && csv is OpenApiMediaType table
                )
                {
                    table.Example = ApiExamples.Table;
                }

                return Task.CompletedTask;
            }
        );
        options.AddSchemaTransformer(
            (schema, context, _) =>
            {
                if (
                    context.JsonPropertyInfo is null
                    && ApiExamples.Of(context.JsonTypeInfo.Type) is { } example
                )
                {
                    schema.Examples = [example];
                }

                return Task.CompletedTask;
            }
        );
    }
}
