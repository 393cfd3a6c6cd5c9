using System.CommandLine;
using System.Globalization;
using Rinsewright.Cli.Record;
using Rinsewright.Drying;
using Rinsewright.Quantities;
using Rinsewright.Treatment;
using Rinsewright.Water;

namespace Rinsewright.Cli;

/// <summary>What dries on the panel, and how soon.</summary>
internal sealed class DryCommand
{
    private const double MostMinutes = 600;

    private static readonly string[] Moments =
    [
        "yyyy-MM-dd'T'HH:mmzzz",
        "yyyy-MM-dd'T'HH:mm:sszzz",
        "yyyy-MM-dd'T'HH:mm'Z'",
        "yyyy-MM-dd'T'HH:mm:ss'Z'",
    ];

    private readonly Terminal _terminal;
    private readonly Verb _verb;
    private readonly Argument<string> _file;
    private readonly Option<string?> _after;
    private readonly Option<string?> _liters;
    private readonly Option<string?> _flow;
    private readonly Option<string> _air;
    private readonly Option<double> _humidity;
    private readonly Option<string> _wind;
    private readonly Option<string> _sun;
    private readonly Option<string> _place;
    private readonly Option<string> _time;
    private readonly Option<string> _altitude;
    private readonly Option<string> _paint;
    private readonly Option<string> _panel;
    private readonly Option<string> _film;
    private readonly Option<string> _thickness;
    private readonly Option<string> _water;
    private readonly Option<double> _tilt;
    private readonly Option<double> _rinse;
    private readonly Option<double> _towel;
    private readonly Option<string> _plot;
    private readonly Option<string> _residuePlot;

    private DryCommand(Terminal terminal)
    {
        _terminal = terminal;
        _verb = new Verb(
            "dry",
            "Say how soon a rinsed panel dries, whether the towel comes in time, and what the water leaves.",
            "rinsewright dry --air \"28 degC\" --humidity 45 --wind \"2 m/s\" --sun full --paint black",
            "rinsewright dry examples/waters/chalk-tap.json --sun shade",
            "rinsewright dry examples/waters/chalk-tap.json --after examples/rigs/large-tank.json --liters 1500",
            "rinsewright dry --air \"82 degF\" --sun shade --film beading --json"
        ).AnswersInJson();
        _file = _verb.Takes<string>(
            "WATER",
            "The water file (docs/formats/water.md), to say what it leaves; - reads standard input.",
            a =>
            {
                a.Arity = ArgumentArity.ZeroOrOne;
                a.DefaultValueFactory = _ => "";
            }
        );
        _after = _verb.Has<string?>(
            "--after",
            "Rig file (docs/formats/rig.md): say what the water behind this rig leaves. With --liters."
        );
        _liters = _verb.Has<string?>(
            "--liters",
            "Water drawn through the rig since it was new: \"1500\" litres, or \"400 gal\"."
        );
        _flow = _verb.Has<string?>("--flow", "Flow through the rig; 5 L/min if not given.");
        _air = Text("--air", "Temperature of the air, such as \"28 degC\" or \"82 degF\".", "20 degC");
        _humidity = Number("--humidity", "Relative humidity in %.", 50);
        _wind = Text("--wind", "Wind over the panel, such as \"2 m/s\" or \"5 mph\".", "1 m/s");
        _sun = Text("--sun", $"The light on the panel: {Names<SunExposure>()}.", "full");
        _place = Text(
            "--place",
            "Latitude and longitude in degrees, north and east positive: \"48.1, 11.6\". With --time.",
            ""
        );
        _time = Text(
            "--time",
            "Date, hour and offset from UTC: \"2027-06-12T14:30+02:00\". With --place.",
            ""
        );
        _altitude = Text("--altitude", "Altitude above the sea.", "0 m");
        _paint = Text("--paint", $"Colour: {Keys(PanelCatalog.Paints.Select(p => p.Key))}.", "dark");
        _panel = Text("--panel", $"Panel: {Keys(PanelCatalog.Materials.Select(p => p.Key))}.", "steel");
        _film = Text(
            "--film",
            $"How water stays on it: {Keys(PanelCatalog.Films.Select(p => p.Key))}.",
            "sheeting"
        );
        _thickness = Text("--thickness", "Mean depth of the film or drops, such as \"0.1 mm\".", "");
        _water = Text("--water-temperature", "Temperature of the rinse water.", "15 degC");
        _tilt = Number("--tilt", "Tilt of the panel in degrees: 0 roof, 90 door facing the sun.", 0);
        _rinse = Number("--rinse", "Minutes that the last rinse of the vehicle takes.", 3);
        _towel = Number("--towel", "Minutes that towelling the vehicle takes.", 6);
        _plot = Text("--plot", "Draw the drying clock into this file, .svg or .png.", "");
        _residuePlot = Text(
            "--residue-plot",
            "Draw what the water lays down into this file, .svg or .png. With WATER.",
            ""
        );
        _verb.SetAction(Run);
    }

    public static Command Create(Terminal terminal) => new DryCommand(terminal)._verb;

    private int Run(ParseResult line)
    {
        List<InputProblem> problems = [];
        RinsedPanel? panel = ReadPanel(line, problems);
        TimeSpan rinse = Minutes(line, _rinse, problems);
        TimeSpan towel = Minutes(line, _towel, problems);
        string file = line.GetValue(_file)!;
        List<string> remarks = [];
        var mode = new WaterMode(false, false, ActivityModel.TruesdellJones);
        SourceWater? water =
            file.Length == 0 ? null : WaterInput.Read(_terminal, file, mode, problems, remarks);
        if (file.Length == 0 && line.GetResult(_file) is { Implicit: false })
        {
            problems.Add(new("WATER", file, "the path of a water file"));
        }

        remarks.AddRange(water?.Warnings.Select(w => w.ToString()) ?? []);
        DryAfter? after = ReadAfter(line, problems);
        if (line.GetValue(_after) is { } behind && file.Length == 0)
        {
            problems.Add(new("--after", behind, "a water file before it"));
        }

        string plot = PictureName(line, _plot, problems);
        string residuePlot = PictureName(line, _residuePlot, problems);
        if (residuePlot.Length > 0 && file.Length == 0)
        {
            problems.Add(new("--residue-plot", residuePlot, "a water file before it"));
        }

        if (problems.Count > 0 || panel is null)
        {
            return _terminal.Refuse(problems);
        }

        var outlook = DryingOutlook.Of(panel, rinse, towel);
        if (outlook.Central.Status == DryingStatus.Failed)
        {
            return _terminal.Fail("the heat balance of the panel could not be integrated");
        }

        IReadOnlyList<WaterComposition>? drying = water?.Members;
        if (water is not null && after is not null)
        {
            drying = _terminal.WithProgress(after.Rig.Name, progress => after.Waters(water, progress));
            if (drying is null)
            {
                return _terminal.Fail("the rig could not be run to there: please report the files");
            }
        }

        var report = new DryReport(
            panel,
            outlook,
            drying is null ? null : DryResidue.Of(drying, outlook.Central.WetSteadyKelvin)
        )
        {
            After = after,
        };
        if (plot.Length > 0)
        {
            OutputFile.Replace(plot, stream => DryPicture.WriteClock(stream, plot, report));
        }

        if (residuePlot.Length > 0)
        {
            OutputFile.Replace(
                residuePlot,
                stream => DryPicture.WriteResidue(stream, residuePlot, report.Residue!)
            );
        }

        if (Verb.WantsJson(line))
        {
            return _terminal.WriteJson(json =>
            {
                report.WriteJson(json);
                json.WriteStartArray("warnings");
                foreach (string remark in remarks)
                {
                    json.WriteStringValue(remark);
                }

                json.WriteEndArray();
            });
        }

        report.Print(_terminal);
        foreach (string remark in remarks)
        {
            _terminal.WriteText(remark);
        }

        return ExitCode.Done;
    }

    private static string PictureName(ParseResult line, Option<string> option, List<InputProblem> problems)
    {
        string name = line.GetValue(option)!;
        if (line.GetResult(option) is { Implicit: false })
        {
            PaperFile.Checked(option.Name, name, [".svg", ".png"], problems);
        }

        return name;
    }

    private DryAfter? ReadAfter(ParseResult line, List<InputProblem> problems)
    {
        string? path = line.GetValue(_after);
        string? liters = line.GetValue(_liters);
        string? flow = line.GetValue(_flow);
        if (path is null)
        {
            foreach (
                (string name, string? text) in (ReadOnlySpan<(string, string?)>)
                    [(_liters.Name, liters), (_flow.Name, flow)]
            )
            {
                if (text is not null)
                {
                    problems.Add(new(name, text, "a rig after --after"));
                }
            }

            return null;
        }

        if (liters is null)
        {
            problems.Add(new("--liters", "missing", "the water drawn through the rig so far"));
        }
        else if (double.TryParse(liters, NumberStyles.Float, CultureInfo.InvariantCulture, out _))
        {
            liters += " L";
        }

        Rig? rig = TrainInput.Rig(_terminal, path, problems);
        Volume? drawn = Given.AboveZero<Volume>(_liters.Name, liters, problems);
        VolumeFlow? through = Given.AboveZero<VolumeFlow>(_flow.Name, flow, problems);
        return rig is null || drawn is null
            ? null
            : new DryAfter(rig, drawn.Value, through ?? DryAfter.UsualFlow);
    }

    private RinsedPanel? ReadPanel(ParseResult line, List<InputProblem> problems)
    {
        T Within<T>(Option<string> option, Predicate<T> admits, Sentence expected)
            where T : struct, IQuantity<T> =>
            Given.Quantity(option.Name, line.GetValue(option)!, admits, expected, problems) ?? default;

        Temperature air = Within<Temperature>(
            _air,
            t => t.DegreesCelsius is >= -5 and <= 55,
            Sentence.Of("an air temperature from -5 to 55 degC")
        );
        Speed wind = Within<Speed>(
            _wind,
            w => w.MetersPerSecond <= 10,
            Sentence.Of("a wind of at most 10 m/s")
        );
        Length altitude = Within<Length>(
            _altitude,
            a => a.Meters <= 5000,
            Sentence.Of("an altitude of at most 5000 m")
        );
        Temperature water = Within<Temperature>(
            _water,
            t => t.DegreesCelsius is >= 0 and <= 60,
            Sentence.Of("a water temperature from 0 to 60 degC")
        );
        double humidity = Given.Number(_humidity.Name, line.GetValue(_humidity), 1, 100, problems);
        double tilt = Given.Number(_tilt.Name, line.GetValue(_tilt), 0, 90, problems);
        SunExposure exposure = ReadExposure(line, problems);
        SolarPosition sun = ReadSun(line, problems);
        PaintColor? paint = Choose(line, _paint, PanelCatalog.Paints, p => p.Key, problems);
        PanelMaterial? material = Choose(line, _panel, PanelCatalog.Materials, m => m.Key, problems);
        WaterFilm? film = Choose(line, _film, PanelCatalog.Films, f => f.Key, problems);
        if (film is not null && line.GetValue(_thickness)!.Length > 0)
        {
            Length thickness = Within<Length>(
                _thickness,
                t => t.Millimeters is >= 0.001 and <= 5,
                Sentence.Of("a thickness from 0.001 to 5 mm")
            );
            film = film with { Thickness = thickness };
        }

        return problems.Count > 0
            ? null
            : new RinsedPanel(
                new DryingWeather(air, humidity, wind, exposure, sun, altitude),
                paint!,
                material!,
                film!,
                water,
                tilt
            );
    }

    private SunExposure ReadExposure(ParseResult line, List<InputProblem> problems)
    {
        string text = line.GetValue(_sun)!;
        if (Given.Word<SunExposure>(text) is { } exposure)
        {
            return exposure;
        }

        problems.Add(new("--sun", text, $"one of {Names<SunExposure>()}"));
        return default;
    }

    private SolarPosition ReadSun(ParseResult line, List<InputProblem> problems)
    {
        string place = line.GetValue(_place)!;
        string time = line.GetValue(_time)!;
        if (place.Length == 0 && time.Length == 0)
        {
            return DryingWeather.SummerNoon;
        }

        double[] degrees =
        [
            .. place
                .Split(',')
                .Select(t =>
                    double.TryParse(t, NumberStyles.Float, CultureInfo.InvariantCulture, out double d)
                        ? d
                        : double.NaN
                ),
        ];
        bool isPlace = degrees.Length == 2 && Math.Abs(degrees[0]) <= 90 && Math.Abs(degrees[1]) <= 180;
        if (!isPlace)
        {
            problems.Add(new("--place", place, "latitude and longitude in degrees, such as \"48.1, 11.6\""));
        }

        bool isTime = DateTimeOffset.TryParseExact(
            time,
            Moments,
            CultureInfo.InvariantCulture,
            DateTimeStyles.AssumeUniversal,
            out DateTimeOffset instant
        );
        if (!isTime)
        {
            problems.Add(
                new("--time", time, "date, hour and offset from UTC, such as \"2027-06-12T14:30+02:00\"")
            );
        }

        return isPlace && isTime ? SolarPosition.At(instant, degrees[0], degrees[1]) : default;
    }

    private static T? Choose<T>(
        ParseResult line,
        Option<string> option,
        IReadOnlyList<T> items,
        Func<T, string> key,
        List<InputProblem> problems
    )
        where T : class => Given.OneOf(option.Name, line.GetValue(option)!, items, key, problems);

    private static TimeSpan Minutes(ParseResult line, Option<double> option, List<InputProblem> problems)
    {
        double minutes = Given.Number(option.Name, line.GetValue(option), 0, MostMinutes, problems);
        return minutes is >= 0 and <= MostMinutes ? TimeSpan.FromMinutes(minutes) : TimeSpan.Zero;
    }

    private static string Names<T>()
        where T : struct, Enum => Keys(Enum.GetNames<T>().Select(n => n.ToLowerInvariant()));

    private static string Keys(IEnumerable<string> keys) => string.Join(", ", keys);

    private Option<string> Text(string name, string description, string absent) =>
        _verb.Has<string>(name, description, o => o.DefaultValueFactory = _ => absent);

    private Option<double> Number(string name, string description, double absent) =>
        _verb.Has<double>(name, description, o => o.DefaultValueFactory = _ => absent);
}
