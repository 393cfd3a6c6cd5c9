using System.Collections.Concurrent;
using System.Collections.Frozen;
using System.Globalization;
using Rinsewright.Quantities;
using Rinsewright.Treatment;

namespace Rinsewright.Web.Estimates;

/// <summary>A train that is wanted, as a form states it: texts, what is left out is usual.</summary>
public sealed record TrainQuestion
{
    public WaterStatement Water { get; init; } = new();
    public string? Washes { get; init; }
    public string? Rinse { get; init; }
    public string? Flow { get; init; }
    public string? Budget { get; init; }
    public string? Height { get; init; }
    public string? Resin { get; init; }
    public string? WaterPrice { get; init; }
    public string? Visit { get; init; }
}

/// <summary>Searches trains, and keeps what it found.</summary>
public sealed class TrainSearch(SourceWaters waters)
{
    private const int MostKept = 50;
    private const double UsualSolids_mg_L = 0.3; // data/parameters/sediment.json, tapSolids
    private readonly ConcurrentDictionary<TrainQuestion, ChoiceResult> _known = new();

    /// <summary>Prices of parts of our own invention, for a first comparison; a person's own go through a file.</summary>
    private static readonly FrozenDictionary<string, PricedItem> Parts = new Dictionary<string, PricedItem>(
        StringComparer.Ordinal
    )
    {
        ["softener-resin"] = new(5m, 0.4m, 5m, 36),
        ["sediment-cartridge"] = new(6m, 0.2m, 2m, null),
        ["carbon"] = new(14m, 0.5m, 1m, null),
        ["membrane"] = new(55m, 1m, 1m, null),
        ["housing-2.5x10"] = new(22m, 0m, 1m, null),
        ["housing-2.5x20"] = new(30m, 0m, 1m, null),
        ["housing-4.5x10"] = new(45m, 0m, 1m, null),
        ["housing-4.5x20"] = new(65m, 0m, 1m, null),
        ["tank-6x13"] = new(70m, 0m, 1m, null),
        ["tank-6x18"] = new(80m, 0m, 1m, null),
        ["tank-8x18"] = new(110m, 0m, 1m, null),
        ["tank-8x44"] = new(190m, 0m, 1m, null),
        ["tank-10x54"] = new(260m, 0m, 1m, null),
        ["membrane-housing"] = new(40m, 0m, 1m, null),
        ["storage-tank"] = new(120m, 0m, 1m, null),
        ["pump"] = new(140m, 0m, 1m, null),
        ["meter"] = new(25m, 0m, 1m, null),
    }.ToFrozenDictionary(StringComparer.Ordinal);

    /// <summary>What the search finds, or nothing with everything that is wrong with the question.</summary>
    public ChoiceResult? Of(TrainQuestion asked, out IReadOnlyList<InputProblem> problems)
    {
        List<InputProblem> found = [];
        problems = found;
        if (_known.TryGetValue(asked, out ChoiceResult? known))
        {
            return known;
        }

        ChoiceRequest? request = Request(asked, found);
        if (request is null)
        {
            return null;
        }

        if (_known.Count >= MostKept)
        {
            _known.Clear();
        }

        return _known.GetOrAdd(asked, _ => Choice.Search(request));
    }

    private ChoiceRequest? Request(TrainQuestion asked, List<InputProblem> problems)
    {
        Completed water = waters.Of(asked.Water.ToWaterFile());
        problems.AddRange(water.Problems);
        Volume rinse = FirstMinute.Quantity<Volume>("rinse", Or(asked.Rinse, "30"), "L", problems) ?? default;
        VolumeFlow flow =
            FirstMinute.Quantity<VolumeFlow>("flow", Or(asked.Flow, "6"), "L/min", problems) ?? default;
        Length? height = FirstMinute.Quantity<Length>("height", asked.Height, "mm", problems);
        decimal washes = Number("washes", Or(asked.Washes, "3"), 0.1m, 1000m, problems);
        decimal resin = Number("resin", Or(asked.Resin, "9.50"), 0m, 1000m, problems);
        decimal waterPrice = Number("waterprice", Or(asked.WaterPrice, "2.10"), 0m, 1000m, problems);
        decimal visit = Number("visit", Or(asked.Visit, "8.00"), 0m, 10_000m, problems);
        decimal? budget = string.IsNullOrWhiteSpace(asked.Budget)
            ? null
            : Number("budget", asked.Budget, 1m, 1_000_000m, problems);
        if (problems.Count == 0 && (flow.LitersPerMinute < 0.1 || rinse.Liters < 0.1))
        {
            problems.Add(
                new InputProblem(
                    "rinse, flow",
                    $"{asked.Rinse} {asked.Flow}",
                    "a volume and a flow above zero"
                )
            );
        }

        if (problems.Count > 0 || water.Source is not { } source)
        {
            return null;
        }

        Dictionary<string, PricedItem> items = new(Parts, StringComparer.Ordinal)
        {
            ["mixed-bed-resin"] = new(resin, 0.4m, 5m, 12),
            ["cation-resin"] = new(resin, 0.4m, 5m, 36),
            ["anion-resin"] = new(resin, 0.4m, 5m, 12),
        };
        return new ChoiceRequest(
            new TrainWater(
                source.Members[source.Members.Length / 2],
                new Oxidants(MassConcentration.FromMilligramsPerLiter(0.5), default),
                MassConcentration.FromMilligramsPerLiter(UsualSolids_mg_L)
            ),
            new Habit(
                "asked",
                (double)washes,
                [
                    new WashTask(
                        "last rinse",
                        rinse,
                        flow,
                        (double)washes,
                        Outlet.Deionised,
                        DriesOnPanel: true
                    ),
                ]
            ),
            new Prices
            {
                Currency = "",
                WaterPerCubicMeter = waterPrice,
                DisposalPerCubicMeter = waterPrice,
                ElectricityPerKilowattHour = 0.3m,
                Visit = visit,
                Items = items.ToFrozenDictionary(StringComparer.Ordinal),
            }
        )
        {
            Budget = budget,
            Height = height,
        };
    }

    private static string Or(string? text, string usual) => string.IsNullOrWhiteSpace(text) ? usual : text;

    private static decimal Number(
        string place,
        string text,
        decimal least,
        decimal most,
        List<InputProblem> problems
    )
    {
        if (
            decimal.TryParse(text, NumberStyles.Number, CultureInfo.InvariantCulture, out decimal value)
            && value >= least
            && value <= most
        )
        {
            return value;
        }

        problems.Add(new InputProblem(place, text, $"a number from {least} to {most}"));
        return least;
    }
}
