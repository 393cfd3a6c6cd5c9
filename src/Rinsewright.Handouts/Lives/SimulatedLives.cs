using Rinsewright.Records.Forecasts;

namespace Rinsewright.Handouts.Lives;

/// <summary>
/// What was simulated and is kept for whoever asks the same again. It depends on what was asked alone, not on the record, so
/// hosts of several records may share one.
/// </summary>
public sealed class SimulatedLives
{
    /// <summary>Nothing simulated yet.</summary>
    public SimulatedLives() => Fills = new FillLives(Waters);

    /// <summary>Waters that were completed.</summary>
    public SourceWaters Waters { get; } = new();

    /// <summary>Lives of fills.</summary>
    public FillLives Fills { get; }

    /// <summary>Lives of forecasts.</summary>
    public LifeLibraries Libraries { get; } = new();
}
