using BenchmarkDotNet.Attributes;
using Rinsewright.Drying;
using Rinsewright.Quantities;

namespace Rinsewright.Benchmarks;

/// <summary>The minutes until one rinsed panel is dry.</summary>
[MemoryDiagnoser]
public class PanelDrying
{
    private readonly RinsedPanel _panel = new(
        new DryingWeather(
            Temperature.FromDegreesCelsius(24),
            50,
            Speed.FromMetersPerSecond(2),
            SunExposure.Full,
            DryingWeather.SummerNoon,
            Length.FromMeters(0)
        ),
        PanelCatalog.Paints[0],
        PanelCatalog.Materials[0],
        PanelCatalog.Films[0],
        Temperature.FromDegreesCelsius(15),
        0
    );

    [Benchmark]
    public TimeSpan? One_panel() => _panel.Dry().TimeToDry;
}
