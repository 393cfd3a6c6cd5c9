using System.Globalization;
using Rinsewright.Drying;
using Rinsewright.Quantities;

namespace Rinsewright.Web.Estimates;

/// <summary>A panel and its weather as a form states them; what is left out is usual.</summary>
public sealed record DryingQuestion(
    string? Air,
    string? Humidity,
    string? Wind,
    string? Sun,
    string? Paint,
    string? Film
)
{
    public const string UsualPaint = "dark";
    public const string UsualFilm = "sheeting";

    /// <summary>Coldest and warmest panel that the dry-down model follows [K].</summary>
    public const double ColdestDried_K = 274.15;

    /// <inheritdoc cref="ColdestDried_K"/>
    public const double WarmestDried_K = 317.15;
    private const double UsualHumidity_percent = 50;

    /// <summary>How long the last rinse and the towelling of a vehicle usually take; our choice, as on the command line.</summary>
    public static TimeSpan Rinse { get; } = TimeSpan.FromMinutes(3);

    /// <inheritdoc cref="Rinse"/>
    public static TimeSpan Towel { get; } = TimeSpan.FromMinutes(6);

    /// <summary>The panel, or nothing with everything that is wrong.</summary>
    public RinsedPanel? ToPanel(out List<InputProblem> problems)
    {
        problems = [];
        Temperature air =
            FirstMinute.Quantity<Temperature>("air", Or(Air, "22"), "degC", problems) ?? default;
        Speed wind = FirstMinute.Quantity<Speed>("wind", Or(Wind, "2"), "m/s", problems) ?? default;
        double humidity = UsualHumidity_percent;
        if (
            !string.IsNullOrWhiteSpace(Humidity)
            && !(
                double.TryParse(Humidity, NumberStyles.Float, CultureInfo.InvariantCulture, out humidity)
                && humidity is >= 1 and <= 100
            )
        )
        {
            problems.Add(new InputProblem("humidity", Humidity, "a number from 1 to 100"));
        }

        if (problems.Count == 0 && air.DegreesCelsius is not (>= -5 and <= 55))
        {
            problems.Add(new InputProblem("air", Air ?? "", "an air temperature from -5 to 55 °C"));
        }

        if (wind.MetersPerSecond > 10)
        {
            problems.Add(new InputProblem("wind", Wind ?? "", "a wind of at most 10 m/s"));
        }

        PaintColor? paint = Choose("paint", Or(Paint, UsualPaint), PanelCatalog.Paints, p => p.Key, problems);
        WaterFilm? film = Choose("film", Or(Film, UsualFilm), PanelCatalog.Films, f => f.Key, problems);
        SunExposure exposure = SunExposure.Full;
        if (
            !string.IsNullOrWhiteSpace(Sun)
            && (!Enum.TryParse(Sun, ignoreCase: true, out exposure) || !Enum.IsDefined(exposure))
        )
        {
            problems.Add(new InputProblem("sun", Sun, $"{string.Join(", ", Enum.GetNames<SunExposure>())}"));
        }

        return problems.Count > 0
            ? null
            : new RinsedPanel(
                new DryingWeather(air, humidity, wind, exposure, DryingWeather.SummerNoon, default),
                paint!,
                PanelCatalog.Materials[0],
                film!,
                Temperature.FromDegreesCelsius(15),
                0
            );
    }

    private static string Or(string? text, string usual) => string.IsNullOrWhiteSpace(text) ? usual : text;

    private static T? Choose<T>(
        string place,
        string text,
        IReadOnlyList<T> items,
        Func<T, string> key,
        List<InputProblem> problems
    )
        where T : class
    {
        T? item = items.FirstOrDefault(i => string.Equals(key(i), text, StringComparison.OrdinalIgnoreCase));
        if (item is null)
        {
            problems.Add(new InputProblem(place, text, $"one of {string.Join(", ", items.Select(key))}"));
        }

        return item;
    }
}
