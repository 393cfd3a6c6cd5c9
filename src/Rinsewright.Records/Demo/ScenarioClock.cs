namespace Rinsewright.Records.Demo;

/// <summary>The clock of a told story: it shows what the story says.</summary>
internal sealed class ScenarioClock(DateTimeOffset start) : TimeProvider
{
    public DateTimeOffset Now { get; set; } = start;

    public override DateTimeOffset GetUtcNow() => Now;
}
