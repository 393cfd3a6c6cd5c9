using System.Globalization;
using System.Text.Json;
using Rinsewright.Drying;

namespace Rinsewright.Cli;

/// <summary>The answer of the dry command, for people and for programs.</summary>
internal sealed record DryReport(RinsedPanel Panel, DryingOutlook Outlook, DryResidue? Residue)
{
    /// <summary>The rig behind which the water was taken, if any.</summary>
    public DryAfter? After { get; init; }

    private DryingRun Central => Outlook.Central;

    public void Print(Terminal terminal)
    {
        terminal.WriteHeading(Question);
        terminal.WriteText(Answer);
        terminal.WriteText(Clock);
        List<IReadOnlyList<string>> rows =
        [
            ["sunlight", Text($"{Panel.SunlightWattsPerSquareMeter:F0} W/m²")],
            ["settles, while wet, at", Celsius(Central.WetSteadyKelvin)],
            ["wet bulb of the air", Celsius(Panel.Weather.WetBulb.Kelvins)],
            ["dew point of the air", Celsius(Panel.Weather.DewPoint.Kelvins)],
            [
                "water when the rinse stops",
                Text($"{1000 * Central.Curve[0].WaterKilogramsPerSquareMeter:F0} g/m²"),
            ],
        ];
        if (Central.Status == DryingStatus.Dry)
        {
            rows.Insert(2, ["when dry", Celsius(Central.Curve[^1].PanelKelvin)]);
        }

        terminal.WriteTable([Heading.Words("On this panel"), Heading.Number("")], rows);
        Residue?.Print(
            terminal,
            After is { } after
                ? Text($"What it leaves when it dries, {after.Drawn.Liters:#,0} L into {after.Rig.Name}")
                : "What it leaves when it dries"
        );
        terminal.WriteCaution(
            "An estimate for steady weather. Do not spray cold water on hot glass, and mind wet floors and electric tools."
        );
    }

    public void WriteJson(Utf8JsonWriter json)
    {
        json.WriteStartObject("drying");
        json.WriteString("status", StatusName);
        json.WriteNumber("minutes", Central.TimeToDry?.TotalMinutes ?? double.NaN, 4);
        json.WriteNumber("minutes_early", Outlook.Early?.TotalMinutes ?? double.NaN, 4);
        json.WriteNumber("minutes_late", Outlook.Late?.TotalMinutes ?? double.NaN, 4);
        json.WriteNumber("wait_minutes", Outlook.Wait.TotalMinutes, JsonOutput.Digits);
        json.WriteNumber("dry_before_towel_share", Outlook.DryBeforeTowelShare, 3);
        json.WriteString("verdict", VerdictName);
        json.WriteNumber("sections", Outlook.Sections);
        json.WriteNumber("sunlight_W_m2", Panel.SunlightWattsPerSquareMeter, 4);
        json.WriteNumber("wet_panel_C", Central.WetSteadyKelvin - PhysicalConstants.ZeroCelsius, 4);
        json.WriteNumber("dew_point_C", Panel.Weather.DewPoint.DegreesCelsius, 4);
        json.WriteNumber("wet_bulb_C", Panel.Weather.WetBulb.DegreesCelsius, 4);
        json.WriteNumbers("time_s", [.. Central.Curve.Select(m => m.Seconds)]);
        json.WriteNumbers(
            "panel_C",
            [.. Central.Curve.Select(m => m.PanelKelvin - PhysicalConstants.ZeroCelsius)]
        );
        json.WriteNumbers(
            "water_g_m2",
            [.. Central.Curve.Select(m => 1000 * m.WaterKilogramsPerSquareMeter)]
        );
        json.WriteEndObject();
        if (After is { } after)
        {
            json.WriteStartObject("after");
            json.WriteString("rig", after.Rig.Name);
            json.WriteNumber("drawn_L", after.Drawn.Liters, JsonOutput.Digits);
            json.WriteNumber("flow_L_min", after.Flow.LitersPerMinute, JsonOutput.Digits);
            json.WriteEndObject();
        }

        Residue?.WriteJson(json);
    }

    private string Question =>
        Panel.Weather.Exposure is SunExposure.Full
            ? "Can I wash in direct sun?"
            : "Does the towel come in time?";

    private string Answer =>
        Outlook.Verdict switch
        {
            TowelVerdict.InTime => Text(
                $"Yes: the longest wait from rinse to towel is {Minutes(Outlook.Wait)}, and at most one panel in ten dries before that."
            ),
            TowelVerdict.Close => Text(
                $"Just: {Outlook.DryBeforeTowelShare:P0} of such panels dry within the {Minutes(Outlook.Wait)} from rinse to towel. {Advice}"
            ),
            null => "Not known: none of the panels computed came to an end.",
            _ => Text(
                $"No: {Outlook.DryBeforeTowelShare:P0} of such panels dry within the {Minutes(Outlook.Wait)} from rinse to towel. {Advice}"
            ),
        };

    private string Advice =>
        Outlook.Sections > 12
            ? "Find shade or wait for cooler hours."
            : Text($"Rinse and towel in {Outlook.Sections} sections, or find shade.");

    private string Clock =>
        Central.Status switch
        {
            DryingStatus.Dry => Text(
                $"The panel dries in {Minutes(Central.TimeToDry!.Value)} ({Range}; eight panels in ten)."
            ),
            DryingStatus.NeverDries =>
                "The panel does not dry by itself in this weather: it settles at or below the dew point.",
            _ => "The panel is still wet after a day.",
        };

    private string Range =>
        (Outlook.Early, Outlook.Late) switch
        {
            ({ } early, { } late) => $"{Minutes(early)} to {Minutes(late)}",
            ({ } early, null) => $"{Minutes(early)} or more",
            _ => "no upper end",
        };

    private string StatusName =>
        Central.Status switch
        {
            DryingStatus.Dry => "dry",
            DryingStatus.NeverDries => "never-dries",
            _ => "still-wet",
        };

    private string VerdictName =>
        Outlook.Verdict switch
        {
            TowelVerdict.InTime => "in-time",
            TowelVerdict.Close => "close",
            TowelVerdict.TooLate => "too-late",
            _ => "unknown",
        };

    private static string Minutes(TimeSpan time) =>
        time.TotalMinutes switch
        {
            < 10 => Text($"{time.TotalMinutes:0.#} min"),
            < 120 => Text($"{time.TotalMinutes:0} min"),
            _ => Text($"{time.TotalHours:0.#} h"),
        };

    private static string Celsius(double kelvin) => Text($"{kelvin - PhysicalConstants.ZeroCelsius:F1} °C");

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
