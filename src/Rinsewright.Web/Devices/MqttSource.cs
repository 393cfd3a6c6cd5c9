namespace Rinsewright.Web.Devices;

/// <summary>A broker that devices publish to.</summary>
public sealed record MqttSource
{
    /// <summary><c>mqtt://host:1883</c> or, encrypted, <c>mqtts://host:8883</c>.</summary>
    public required Uri Broker { get; init; }

    public string? User { get; init; }

    public string? Password { get; init; }

    /// <summary>First level of every topic.</summary>
    public string Prefix { get; init; } = "rinsewright";

    /// <summary>
    /// Name under which the broker keeps what comes while this program is away; every program at one broker has its own.
    /// </summary>
    public string ClientId { get; init; } = $"rinsewright-{Environment.MachineName}";

    /// <summary>Where devices publish rows; the last level is their own.</summary>
    public string RowTopics => $"{Prefix}/rows/+";

    /// <summary>Below it answers are published, where a message asks for one.</summary>
    public string AnswerTopics => $"{Prefix}/answers/";
}
