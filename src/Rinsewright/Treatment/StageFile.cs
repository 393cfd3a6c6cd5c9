using System.Collections.Immutable;
using System.Text.Json;
using Rinsewright.Quantities;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Treatment;

/// <summary>Reads one stage of a rig file by its kind (docs/formats/rig.md).</summary>
internal static class StageFile
{
    private const double LeastPositive = 1e-9;

    /// <summary>The kinds of stage that a rig file may have.</summary>
    public static string Kinds =>
        "sediment, carbon-block, softener, exchange-bed, parallel, lead-lag, reverse-osmosis, blend, tank";

    /// <summary>Reads a stage, or adds its problems and returns nothing.</summary>
    public static Stage? Read(JsonElement element, string place, List<InputProblem> problems)
    {
        string kind =
            element.ValueKind == JsonValueKind.Object
            && element.TryGetProperty("kind", out JsonElement value)
            && value.ValueKind == JsonValueKind.String
                ? value.GetString()!
                : "";
        int before = problems.Count;
        Stage? stage = kind switch
        {
            "sediment" => Sediment(element, place, problems),
            "carbon-block" => Carbon(element, place, problems),
            "softener" => Softener(element, place, problems),
            "parallel" => Group(element, place, problems, BedArrangement.Parallel),
            "lead-lag" => Group(element, place, problems, BedArrangement.LeadLag),
            "reverse-osmosis" => Osmosis(element, place, problems),
            "blend" => Around(element, place, problems),
            "tank" => Tank(element, place, problems),
            _ => Bed(element, place, problems),
        };
        return problems.Count == before ? stage : null;
    }

    private static SedimentStage Sediment(JsonElement element, string place, List<InputProblem> problems)
    {
        var usual = new SedimentFilter();
        var reading = new JsonReading(
            element,
            place,
            problems,
            "kind",
            "name",
            "ratedFlow",
            "cleanLoss",
            "fullLoss",
            "holdingCapacity",
            "removal",
            "longestServiceMonths"
        );
        var filter = new SedimentFilter
        {
            RatedFlow = reading.AboveZero<VolumeFlow>("ratedFlow", usual.RatedFlow),
            CleanLoss = reading.AboveZero<Pressure>("cleanLoss", usual.CleanLoss),
            FullLoss = reading.AboveZero<Pressure>("fullLoss", usual.FullLoss),
            HoldingCapacity = reading.AboveZero<Mass>("holdingCapacity", usual.HoldingCapacity),
            Removal = reading.Number("removal", 0.0, 1.0, usual.Removal),
        };
        if (filter.FullLoss <= filter.CleanLoss)
        {
            reading.Refuse("fullLoss", $"a pressure above cleanLoss, {filter.CleanLoss}");
        }

        return new SedimentStage(reading.Text("name", "sediment"), filter)
        {
            LongestServiceMonths = Months(reading, PlannedTrain.Calendar),
        };
    }

    private static CarbonStage Carbon(JsonElement element, string place, List<InputProblem> problems)
    {
        var usual = new CarbonBlock(Volume.FromLiters(1.0));
        MeasuredLoss loss = PlannedTrain.CarbonLoss;
        var reading = new JsonReading(
            element,
            place,
            problems,
            "kind",
            "name",
            "carbon",
            "rate_1_s",
            "chloramineShare",
            "capacity_kg_kg",
            "line",
            "lossFlow",
            "loss",
            "longestServiceMonths"
        );
        string name = reading.Text("name", "carbon");
        CarbonBlock block = usual with
        {
            Carbon = reading.AboveZero<Volume>("carbon"),
            Rate_1_s = reading.Number("rate_1_s", LeastPositive, 100.0, usual.Rate_1_s),
            ChloramineShare = reading.Number("chloramineShare", 0.0, 1.0, usual.ChloramineShare),
            Capacity_kg_kg = reading.Number("capacity_kg_kg", LeastPositive, 10.0, usual.Capacity_kg_kg),
        };
        return new CarbonStage(
            name,
            block,
            reading.AboveZero<MassConcentration>("line", CarbonBlock.UsualLine),
            new MeasuredLoss(
                name,
                reading.AboveZero<VolumeFlow>("lossFlow", loss.Flow),
                reading.AboveZero<Pressure>("loss", loss.Loss),
                1.0
            )
        )
        {
            LongestServiceMonths = Months(reading, PlannedTrain.Calendar),
        };
    }

    private static BedStage? Softener(JsonElement element, string place, List<InputProblem> problems)
    {
        int before = problems.Count;
        var reading = new JsonReading(element, place, problems, "kind", "name", "volume", "innerDiameter");
        string name = reading.Text("name", "softener");
        Volume volume = reading.AboveZero<Volume>("volume");
        Length diameter = reading.AboveZero<Length>("innerDiameter");
        if (problems.Count > before)
        {
            return null;
        }

        var resin = new Resin(ResinKind.StrongCation, 1.0);
        var bed = new ExchangeBed(volume, diameter, resin.WithForm((Component.Sodium, 1.0))) { Name = name };
        return new BedStage(name, [bed], BedArrangement.Series, ExitLine.Softened);
    }

    private static BedStage? Bed(JsonElement element, string place, List<InputProblem> problems) =>
        RigFile.ReadBed(element, place, problems) is { } bed
            ? new BedStage(
                bed.Name.Length > 0 ? bed.Name : "bed",
                [bed],
                BedArrangement.Series,
                Line(element, place, problems) ?? LineOf(bed)
            )
            : null;

    private static BedStage? Group(
        JsonElement element,
        string place,
        List<InputProblem> problems,
        BedArrangement arrangement
    )
    {
        int before = problems.Count;
        var reading = new JsonReading(element, place, problems, "kind", "name", "line", "beds");
        string name = reading.Text("name", "beds");
        List<ExchangeBed?> beds =
        [
            .. reading.Items("beds").Select(i => RigFile.ReadBed(i.Element, i.Place, problems, alone: false)),
        ];
        if (beds.Count < 2 && problems.Count == before)
        {
            reading.Refuse("beds", "two beds or more");
        }

        if (beds.TrueForAll(b => b is not null) && !beds.TrueForAll(b => AreAlike(beds[0]!, b!)))
        {
            reading.Refuse("beds", "beds all alike: the same housing and the same resins in the same order");
        }

        ExitLine? line = Line(element, place, problems);
        return problems.Count == before
            ? new BedStage(name, [.. beds.Select(b => b!)], arrangement, line ?? LineOf(beds[^1]!))
            : null;
    }

    /// <summary>Whether two beds are the same but for their names.</summary>
    private static bool AreAlike(ExchangeBed one, ExchangeBed other) =>
        one.Volume == other.Volume
        && one.InnerDiameter == other.InnerDiameter
        && one.VoidFraction.Equals(other.VoidFraction)
        && one.Bypass.Equals(other.Bypass)
        && one.Kinetics == other.Kinetics
        && one.Equilibrium == other.Equilibrium
        && one.Resins.Length == other.Resins.Length
        && one.Resins.Zip(other.Resins).All(r => AreAlike(r.First, r.Second));

    private static bool AreAlike(Resin one, Resin other) =>
        one with { Form = other.Form, Selectivity = other.Selectivity } == other
        && AreAlike(one.Form, other.Form)
        && AreAlike(one.Selectivity, other.Selectivity);

    private static bool AreAlike(
        ImmutableDictionary<Component, double> one,
        ImmutableDictionary<Component, double> other
    ) => one.Keys.Union(other.Keys).All(c => one.GetValueOrDefault(c).Equals(other.GetValueOrDefault(c)));

    /// <summary>The line that the user drew, or nothing when there is none.</summary>
    private static ExitLine? Line(JsonElement element, string place, List<InputProblem> problems)
    {
        if (!element.TryGetProperty("line", out JsonElement value))
        {
            return null;
        }

        string text = value.ValueKind == JsonValueKind.String ? value.GetString()! : value.GetRawText();
        if (ChangeOutLine.TryParse($"{place}.line", text, out ChangeOutLine? line, out InputProblem? problem))
        {
            return ExitLine.Of(line);
        }

        problems.Add(problem);
        return null;
    }

    /// <summary>A bed that holds both signs of ions is watched by conductivity, a sodium bed by hardness.</summary>
    private static ExitLine LineOf(ExchangeBed bed) =>
        bed.Resins.All(r => r.Sign > 0 && r.Form.GetValueOrDefault(Component.Sodium) > 0.5)
            ? ExitLine.Softened
            : ExitLine.Deionised;

    private static OsmosisStage Osmosis(JsonElement element, string place, List<InputProblem> problems)
    {
        var usual = new ReverseOsmosis();
        var reading = new JsonReading(
            element,
            place,
            problems,
            "kind",
            "name",
            "elements",
            "elementArea_m2",
            "recovery",
            "feedPressure",
            "boosted",
            "longestServiceMonths"
        );
        const double MostElements = 100.0;
        double stated = reading.Number("elements", 1.0, MostElements, 1.0);
        int elements = (int)stated;
        if (stated > elements)
        {
            reading.Refuse("elements", $"a whole number from 1 to {MostElements}");
        }

        ReverseOsmosis membrane = usual with
        {
            Area_m2 = elements * reading.Number("elementArea_m2", 0.05, 50.0, usual.Area_m2),
            Recovery = reading.Number("recovery", 0.01, 0.95, usual.Recovery),
            FeedPressure = reading.AboveZero<Pressure>("feedPressure", usual.FeedPressure),
        };
        return new OsmosisStage(reading.Text("name", "reverse osmosis"), membrane)
        {
            Elements = elements,
            Boosted = reading.Flag("boosted", absent: false),
            LongestServiceMonths = Months(reading, PlannedTrain.MembraneCalendar),
        };
    }

    private static BlendStage? Around(JsonElement element, string place, List<InputProblem> problems)
    {
        var reading = new JsonReading(element, place, problems, "kind", "name", "share", "around");
        string name = reading.Text("name", "blend");
        double share = reading.Number("share", 0.0, 0.99);
        if (reading.Element("around") is not { } inner)
        {
            reading.Refuse("around", "the stage that the by-pass goes around");
            return null;
        }

        return Read(inner, reading.Join("around"), problems) is { } stage
            ? new BlendStage(name, share, stage)
            : null;
    }

    private static TankStage Tank(JsonElement element, string place, List<InputProblem> problems)
    {
        var reading = new JsonReading(
            element,
            place,
            problems,
            "kind",
            "name",
            "volume",
            "surface_m2",
            "deliveryPressure"
        );
        var usual = new StorageTank(reading.AboveZero<Volume>("volume"), 0.25);
        return new TankStage(
            reading.Text("name", "tank"),
            usual with
            {
                Surface_m2 = reading.Number("surface_m2", 0.0, 100.0, usual.Surface_m2),
                DeliveryPressure = reading.AboveZero<Pressure>("deliveryPressure", usual.DeliveryPressure),
            }
        );
    }

    private static double? Months(JsonReading reading, double usual) =>
        reading.Number("longestServiceMonths", 0.1, 240.0, usual);
}
