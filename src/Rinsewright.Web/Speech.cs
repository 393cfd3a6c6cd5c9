using System.Globalization;
using Microsoft.Extensions.Localization;
using Microsoft.Extensions.Logging;
using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Trust;
using Rinsewright.Treatment;
using Rinsewright.Water;
using Rinsewright.Web.Estimates;

namespace Rinsewright.Web;

/// <summary>The texts of the pages (Texts.resx); its keys are the English texts themselves.</summary>
public sealed class Texts
{
    private Texts() { }

    /// <summary>Words of the models and the record that the pages show.</summary>
    internal static IReadOnlyList<string> OfModels { get; } =
    [
        Key("black"),
        Key("dark"),
        Key("red"),
        Key("blue"),
        Key("yellow"),
        Key("silver"),
        Key("white"),
        Key("sheeting"),
        Key("beading"),
        Key("sodium"),
        Key("potassium"),
        Key("calcium"),
        Key("magnesium"),
        Key("strontium"),
        Key("barium"),
        Key("iron"),
        Key("manganese"),
        Key("phosphate"),
        Key("fluoride"),
        Key("chloride"),
        Key("nitrate"),
        Key("dissolved solids"),
        Key("tds"),
        Key("specific conductance"),
        Key("conductivity"),
        Key("water temperature"),
        Key("temperature"),
        Key("free chlorine"),
        Key("total chlorine"),
        Key("pressure"),
        Key("flow"),
        Key("meter total"),
        Key("viewer"),
        Key("technician"),
        Key("owner"),
    ];

    /// <summary>What refusals call the fields of the forms.</summary>
    internal static IReadOnlyList<string> OfForms { get; } =
    [
        Key("size"),
        Key("flow"),
        Key("volume"),
        Key("factor"),
        Key("line"),
        Key("water"),
        Key("weekly"),
        Key("origin"),
        Key("per wash"),
        Key("washes"),
        Key("resin price"),
        Key("visit"),
        Key("water price"),
        Key("resin"),
        Key("budget"),
        Key("rinse"),
        Key("height"),
        Key("humidity"),
        Key("air"),
        Key("wind"),
        Key("sun"),
        Key("paint"),
        Key("film"),
        Key("rinse, flow"),
        Key("rig"),
        Key("rigs"),
        Key("what-if"),
        Key("temperature"),
        Key("hardness"),
        Key("reading"),
        Key("alkalinity"),
        Key("stage"),
        Key("amount"),
        Key("kind"),
        Key("place"),
        Key("task"),
        Key("value"),
        Key("at"),
        Key("meter"),
        Key("invitation"),
        Key("password"),
        Key("passkey"),
        Key("name"),
        Key("right"),
        Key("role"),
        Key("organisation"),
        Key("limit"),
        Key("note"),
        Key("alarm"),
        Key("route"),
        Key("address"),
        Key("most per hour"),
        Key("time zone"),
        Key("quiet"),
        Key("currency"),
        Key("days"),
        Key("edit"),
        Key("undo"),
        Key("task name"),
        Key("task volume"),
        Key("task flow"),
        Key("times per week"),
        Key("draw volume"),
        Key("draw flow"),
        Key("purchase"),
        Key("purchase count"),
        Key("purchase volume"),
        Key("purchase amount"),
        Key("price"),
        Key("price amount"),
        Key("reading value"),
        Key("reading temperature"),
        Key("reading flow"),
        Key("rig name"),
        Key("rig site"),
        Key("rig van"),
        Key("link name"),
        Key("photograph"),
    ];

    /// <summary>Fields of files and addresses that are a field of a form by another name.</summary>
    internal static IReadOnlyDictionary<string, string> Fields { get; } =
        new Dictionary<string, string>(StringComparer.Ordinal)
        {
            ["waterprice"] = Key("water price"),
            ["watertemperature"] = Key("water temperature"),
            ["times_per_week"] = Key("times per week"),
            ["tds.reading"] = Key("reading"),
        };

    /// <summary>The months, short, in their order.</summary>
    internal static IReadOnlyList<string> Months { get; } =
    [
        Key("Jan"),
        Key("Feb"),
        Key("Mar"),
        Key("Apr"),
        Key("May"),
        Key("Jun"),
        Key("Jul"),
        Key("Aug"),
        Key("Sep"),
        Key("Oct"),
        Key("Nov"),
        Key("Dec"),
    ];

    /// <summary>The days of the week, Sunday first as <see cref="DayOfWeek"/> counts them.</summary>
    internal static IReadOnlyList<string> Weekdays { get; } =
    [
        Key("Sunday"),
        Key("Monday"),
        Key("Tuesday"),
        Key("Wednesday"),
        Key("Thursday"),
        Key("Friday"),
        Key("Saturday"),
    ];

    /// <summary>Marks a text that is put into words elsewhere; a test sees to it that the file has it.</summary>
    public static string Key(string text) => text;
}

/// <summary>Says things in the person's words and units. Estimates keep two digits; what was written stays as written.</summary>
public sealed partial class Speech(
    IStringLocalizer<Texts> texts,
    Preferences preferences,
    ILogger<Speech> log
)
{
    internal const double LitersPerUsGallon = 3.785411784;
    private const double NineInTen = 1.645; // standard deviations
    private const double LeastShown_uS_cm = 0.2;

    public bool IsUs => preferences.UsCustomary;

    public string? Theme => preferences.Theme;

    /// <summary>A text; where the file has it with the other case of its first letter only, that one with its case changed.</summary>
    public string this[string text]
    {
        get
        {
            LocalizedString found = texts[text];
            if (!found.ResourceNotFound || text.Length == 0)
            {
                return found;
            }

            LocalizedString other = texts[Turned(text)];
            if (!other.ResourceNotFound)
            {
                return Turned(other);
            }

            LogMissing(text);
            return text;
        }
    }

    public string this[string text, params object[] values] => texts[text, values];

    /// <summary>A sentence of the models.</summary>
    public string Say(Sentence sentence) => Say(sentence, text => this[text], Word);

    /// <summary>A sentence in a language and in units; what has no words of its own needs no text in the file.</summary>
    internal static string Say(Sentence sentence, Func<string, string> text, Func<object, object> value) =>
        string.Format(
            CultureInfo.InvariantCulture,
            sentence.HasWords ? text(sentence.Text) : sentence.Text,
            [.. sentence.Values.Select(v => v is Sentence inner ? Say(inner, text, value) : value(v))]
        );

    public string VolumeUnit => IsUs ? "gal" : "L";

    /// <summary>How many of these units make a cubic metre.</summary>
    public double VolumesInCubicMeter => IsUs ? 1000 / LitersPerUsGallon : 1000;

    /// <summary>A volume with its unit, two digits.</summary>
    public string Volume(double liters) => $"{VolumeNumber(liters)} {VolumeUnit}";

    /// <summary>The number of a volume, without its unit.</summary>
    public string VolumeNumber(double liters) => Rounded(IsUs ? liters / LitersPerUsGallon : liters);

    /// <summary>A volume's range without unit: <c>240–390</c>.</summary>
    public string VolumeRange(Interval liters) => $"{VolumeNumber(liters.Low)}–{VolumeNumber(liters.High)}";

    /// <summary>A volume as exact as it is known, for the logbook.</summary>
    public string Written(double cubicMeters) =>
        IsUs
            ? string.Create(
                CultureInfo.InvariantCulture,
                $"{1e3 * cubicMeters / LitersPerUsGallon:#,0.#} gal"
            )
            : string.Create(CultureInfo.InvariantCulture, $"{1e3 * cubicMeters:#,0.#} L");

    public string Flow(double liters_min) =>
        IsUs
            ? string.Create(CultureInfo.InvariantCulture, $"{liters_min / LitersPerUsGallon:0.0} gpm")
            : string.Create(CultureInfo.InvariantCulture, $"{liters_min:0.#} L/min");

    public string Temperature(double celsius) =>
        IsUs
            ? string.Create(CultureInfo.InvariantCulture, $"{(1.8 * celsius) + 32:0} °F")
            : string.Create(CultureInfo.InvariantCulture, $"{celsius:0} °C");

    /// <summary>A bare number of a form in the person's units, with its unit; what has a unit stays.</summary>
    public string? Given(string? text, string us, string metric) =>
        string.IsNullOrWhiteSpace(text) ? null : WaterStatement.WithUnit(text.Trim(), IsUs ? us : metric);

    public string Pressure(double bars) =>
        IsUs
            ? string.Create(CultureInfo.InvariantCulture, $"{14.503774 * bars:0} psi")
            : string.Create(CultureInfo.InvariantCulture, $"{bars:0.0} bar");

    /// <summary>A change-out line as people read it off their meter: <c>10 ppm</c>.</summary>
    public string Line(LifeQuestion question) => Line(question.Line, question.MeterFactor);

    /// <summary>A line as people read it off a meter with this factor; those that no meter shows in their own units.</summary>
    public string Line(ChangeOutLine line, double meterFactor) =>
        line.Kind switch
        {
            LineKind.Conductivity => $"{Number(meterFactor * line.Value)} ppm",
            LineKind.Silica => texts["{0} mg/L silica", Number(line.Value)],
            LineKind.Residue => texts["{0} mg/L residue", Number(line.Value)],
            LineKind.Spots => $"{Number(line.Value)} mg/m²",
            _ => line.Text,
        };

    private static string Number(double value) => value.ToString("0.##", CultureInfo.InvariantCulture);

    /// <summary>A share in whole percent, never quite none or all: <c>37 %</c>, <c>under 1 %</c>.</summary>
    public string Chance(double share) =>
        share < 0.01 ? texts["under 1 %"]
        : share > 0.99 ? texts["over 99 %"]
        : string.Create(CultureInfo.InvariantCulture, $"{100 * share:0} %");

    /// <summary>A conductance as a meter with this factor shows it, in ppm.</summary>
    public static string Ppm(double conductance_uS_cm, double factor)
    {
        double ppm = factor * conductance_uS_cm;
        return ppm.ToString(ppm < 20 ? "0.0" : "0", CultureInfo.InvariantCulture);
    }

    /// <summary>What a reading stands for, nine times in ten, as a meter with this factor shows it: <c>2.4 ± 0.6 ppm</c>.</summary>
    public string Ppm(NormalEstimate conductance_uS_cm, double factor)
    {
        double half = NineInTen * conductance_uS_cm.StandardDeviation;
        return conductance_uS_cm.Mean > half
            ? $"{Ppm(conductance_uS_cm.Mean, factor)} ± {Ppm(half, factor)} ppm"
            : texts["under {0} ppm", Ppm(Math.Max(conductance_uS_cm.Mean + half, LeastShown_uS_cm), factor)];
    }

    public string Day(DateOnly day) => texts["{0} {1} {2}", N(day.Day), Month(day), N(day.Year)];

    /// <summary>A day whose year is plain: <c>3 May</c>.</summary>
    public string DayOfYear(DateOnly day) => texts["{0} {1}", N(day.Day), Month(day)];

    /// <summary>The day of the week.</summary>
    public string Weekday(DateOnly day) => texts[Texts.Weekdays[(int)day.DayOfWeek]];

    /// <summary>A span of days in the unit that fits.</summary>
    public string Span(double days) =>
        days switch
        {
            >= 3650 => texts["more than ten years"],
            >= 730 => texts["{0} years", (days / 365).ToString("0", CultureInfo.InvariantCulture)],
            >= 91 => texts["{0} months", (days / 30.4).ToString("0", CultureInfo.InvariantCulture)],
            >= 14 => texts["{0} weeks", (days / 7).ToString("0", CultureInfo.InvariantCulture)],
            >= 0.5 and < 1.5 => texts["{0} day", "1"],
            _ => texts["{0} days", Math.Max(0, days).ToString("0", CultureInfo.InvariantCulture)],
        };

    /// <summary>An ion in words.</summary>
    public string Ion(Component ion) =>
        ion switch
        {
            Component.InorganicCarbon => texts["bicarbonate"],
            Component.Ammonium => texts["ammonium"],
            _ => this[ion.ToString().ToLowerInvariant()],
        };

    public string Stage(StageKind kind) =>
        kind switch
        {
            StageKind.Sediment => texts["sediment filter"],
            StageKind.CarbonBlock => texts["carbon block"],
            StageKind.Softener => texts["softener"],
            StageKind.ReverseOsmosis => texts["reverse osmosis"],
            StageKind.MixedBed => texts["mixed bed"],
            StageKind.CationBed => texts["cation bed"],
            _ => texts["anion bed"],
        };

    /// <summary>A name: what the program itself called a thing, in the person's language; what people called it, as they did.</summary>
    public string Name(string name) =>
        RecordedTrain.OwnNames.Contains(name, StringComparer.Ordinal) ? texts[name] : name;

    public string Fault(ReadingFault fault) =>
        fault switch
        {
            ReadingFault.Unsettled => texts["not settled"],
            ReadingFault.Cold => texts["cold water"],
            ReadingFault.CarbonDioxide => texts["carbon dioxide in it"],
            _ => texts["perhaps dirtied"],
        };

    /// <summary>Where something refused stands: a field of a form in the person's language, else its name in a file or the record.</summary>
    public string Place(string place) =>
        Texts.Fields.TryGetValue(place, out string? field) ? this[field]
        : Texts.OfForms.Contains(place, StringComparer.Ordinal) ? this[place]
        : place;

    /// <summary>Two digits, grouped: <c>1,200</c>.</summary>
    public static string Rounded(double value)
    {
        if (!double.IsFinite(value))
        {
            return "∞";
        }

        if (value < 1)
        {
            return value.ToString("0.##", CultureInfo.InvariantCulture);
        }

        double step = Math.Pow(10, Math.Floor(Math.Log10(value)) - 1);
        double rounded = Math.Round(value / step) * step;
        return rounded.ToString(rounded < 10 ? "0.#" : "#,0", CultureInfo.InvariantCulture);
    }

    [LoggerMessage(Level = LogLevel.Warning, Message = "The text file has no entry for: {Text}")]
    private partial void LogMissing(string text);

    private string Month(DateOnly day) => texts[Texts.Months[day.Month - 1]];

    private static string N(int number) => number.ToString(CultureInfo.InvariantCulture);

    private static string Turned(string text) =>
        (char.IsUpper(text[0]) ? char.ToLowerInvariant(text[0]) : char.ToUpperInvariant(text[0])) + text[1..];

    private object Word(object value) =>
        value switch
        {
            Volume volume => Volume(volume.Liters),
            VolumeFlow flow => Flow(flow.LitersPerMinute),
            Temperature temperature => Temperature(temperature.DegreesCelsius),
            Pressure pressure => Pressure(pressure.Bars),
            SpecificConductance strength => string.Create(
                CultureInfo.InvariantCulture,
                $"{strength.MicrosiemensPerCentimeter:0} µS/cm"
            ),
            DateOnly day => Day(day),
            IFormattable number => number.ToString(null, CultureInfo.InvariantCulture),
            _ => value,
        };
}
