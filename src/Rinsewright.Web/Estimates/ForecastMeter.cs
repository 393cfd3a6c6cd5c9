using System.Diagnostics.Metrics;

namespace Rinsewright.Web.Estimates;

/// <summary>What is measured of making forecasts, for whoever listens.</summary>
internal sealed class ForecastMeter : IDisposable
{
    public const string Name = "Rinsewright.Forecasts";

    private readonly Meter _meter;
    private readonly Histogram<double> _making_s;

    public ForecastMeter()
    {
        _meter = new Meter(Name, version: null, tags: null, this);
        _making_s = _meter.CreateHistogram<double>(
            "rinsewright.forecast.duration",
            "s",
            "Time to make a forecast of one rig, by how: anew, or going on from the last of the day."
        );
    }

    public void Made(TimeSpan duration, bool isContinued) =>
        _making_s.Record(
            duration.TotalSeconds,
            new KeyValuePair<string, object?>("how", isContinued ? "continued" : "anew")
        );

    public void Dispose() => _meter.Dispose();
}
