namespace Rinsewright.Web.Operations;

/// <summary>Where traces and metrics are sent (OTLP). Nothing is sent unless somebody says where.</summary>
public sealed record Telemetry
{
    private const string Off = "OTEL_SDK_DISABLED";

    private static readonly string[] Places =
    [
        "OTEL_EXPORTER_OTLP_ENDPOINT",
        "OTEL_EXPORTER_OTLP_TRACES_ENDPOINT",
        "OTEL_EXPORTER_OTLP_METRICS_ENDPOINT",
    ];

    /// <summary>The standard variables that are heeded.</summary>
    public static IReadOnlyList<string> Variables { get; } =
    [
        .. Places,
        Off,
        "OTEL_EXPORTER_OTLP_HEADERS",
        "OTEL_EXPORTER_OTLP_PROTOCOL",
        "OTEL_EXPORTER_OTLP_TIMEOUT",
        "OTEL_METRIC_EXPORT_INTERVAL",
        "OTEL_RESOURCE_ATTRIBUTES",
        "OTEL_SERVICE_NAME",
        "OTEL_TRACES_SAMPLER",
        "OTEL_TRACES_SAMPLER_ARG",
    ];

    /// <summary>Base address of a collector that takes OTLP over HTTP; above what the variables say.</summary>
    public Uri? Collector { get; init; }

    /// <summary>What the standard variables say.</summary>
    public IReadOnlyDictionary<string, string> Stated { get; init; } =
        new Dictionary<string, string>(StringComparer.Ordinal);

    /// <summary>Whether anything is to be sent.</summary>
    public bool IsAskedFor =>
        !(Stated.GetValueOrDefault(Off) is { } off && bool.TryParse(off, out bool isOff) && isOff)
        && (Collector is not null || Places.Any(Stated.ContainsKey));
}
