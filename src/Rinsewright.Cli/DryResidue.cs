using System.Globalization;
using System.Text.Json;
using Rinsewright.Drying;
using Rinsewright.Water;

namespace Rinsewright.Cli;

/// <summary>What a water leaves on the panel: the residue of its middle member, and the range of the spot index over all.</summary>
/// <param name="Dried">The dry-down whose spot index is the median.</param>
/// <param name="Low">Spot index that one water in twenty stays below.</param>
/// <param name="High">Spot index that one water in twenty exceeds.</param>
internal sealed record DryResidue(DryDown Dried, SpotIndex Low, SpotIndex High)
{
    private const int MostMembers = 32;
    private const double Least_mg_L = 0.001; // less of a solid is not worth a line
    private const double Least_mg_m2 = 0.01;

    private static readonly WaterFilm Sheet = PanelCatalog.Films.Single(f => f.Coverage >= 1);
    private static readonly WaterFilm Drop = PanelCatalog.Films.Single(f => f.Coverage < 1);

    private SpotIndex Index => SpotIndex.Of(Dried);

    /// <summary>Dries waters, all as likely, at the temperature of the panel.</summary>
    public static DryResidue Of(IReadOnlyList<WaterComposition> waters, double panelKelvin)
    {
        double kelvin = Math.Clamp(panelKelvin, 274.15, 317.15);
        int every = 1 + ((waters.Count - 1) / MostMembers);
        DryDown[] dried =
        [
            .. waters
                .Where((_, i) => i % every == 0)
                .Select(m => DryDown.Of(m.AtTemperature(kelvin)))
                .OrderBy(d => SpotIndex.Of(d).MilligramsPerSquareMeter),
        ];
        return new(
            dried[dried.Length / 2],
            SpotIndex.Of(dried[(int)(0.05 * (dried.Length - 1))]),
            SpotIndex.Of(dried[(int)Math.Ceiling(0.95 * (dried.Length - 1))])
        );
    }

    public void Print(Terminal terminal, string heading)
    {
        terminal.WriteHeading(heading);
        terminal.WriteText(Summary);
        List<ResidueItem> shown = [.. Dried.Residue.Where(r => r.MilligramsPerLiter >= Least_mg_L)];
        if (shown.Count == 0)
        {
            terminal.WriteText("No solid comes to 0.001 mg/L.");
            return;
        }

        terminal.WriteTable(
            [
                Heading.Words("solid"),
                Heading.Words("formula"),
                Heading.Number("mg/L"),
                Heading.Number("mg/m² in a sheet"),
                Heading.Number("mg/m² under drops"),
                Heading.Number("appears at"),
                Heading.Words("comes off"),
            ],
            shown.Select(
                IReadOnlyList<string> (r) =>
                    [
                        r.Solid.Name,
                        r.Solid.Formula,
                        Number(r.MilligramsPerLiter),
                        Number(SpotIndex.MilligramsPerSquareMeterOf(r.MilligramsPerLiter, Sheet)),
                        Number(SpotIndex.MilligramsPerSquareMeterOf(r.MilligramsPerLiter, Drop)),
                        r.OnsetFactor is { } onset ? $"{Number(onset)} ×" : "the end",
                        ComesOff(r.Solid.Removal),
                    ]
            )
        );
        foreach (
            ResidueItem item in shown
                .Where(r => r.Solid.IsHard)
                .OrderByDescending(r => r.MilligramsPerLiter)
                .Take(3)
        )
        {
            terminal.WriteText($"{item.Solid.Name}: {item.Solid.Reason}.");
        }
    }

    public void WriteJson(Utf8JsonWriter json)
    {
        json.WriteStartObject("residue");
        json.WriteStartObject("spot_index_mg_m2");
        json.WriteNumber("median", Index.MilligramsPerSquareMeter, 4);
        json.WriteNumber("p05", Low.MilligramsPerSquareMeter, 4);
        json.WriteNumber("p95", High.MilligramsPerSquareMeter, 4);
        json.WriteString("grade", Index.Grade.ToString().ToLowerInvariant());
        json.WriteEndObject();
        json.WriteNumber("hard_mg_L", Dried.HardMilligramsPerLiter, 4);
        json.WriteNumber("soft_mg_L", Dried.SoftMilligramsPerLiter, 4);
        json.WriteNumber("cut_off_factor", Dried.CutOffFactor, 4);
        json.WriteStartArray("solids");
        foreach (ResidueItem item in Dried.Residue)
        {
            json.WriteStartObject();
            json.WriteString("solid", item.Solid.Key);
            json.WriteString("formula", item.Solid.Formula);
            json.WriteNumber("residue_mg_L", item.MilligramsPerLiter, 4);
            json.WriteNumber(
                "sheeting_mg_m2",
                SpotIndex.MilligramsPerSquareMeterOf(item.MilligramsPerLiter, Sheet),
                4
            );
            json.WriteNumber(
                "beading_mg_m2",
                SpotIndex.MilligramsPerSquareMeterOf(item.MilligramsPerLiter, Drop),
                4
            );
            json.WriteNumber("onset_factor", item.OnsetFactor ?? double.NaN, 4);
            json.WriteString("removal", item.Solid.Removal.ToString().ToLowerInvariant());
            json.WriteString("reason", item.Solid.Reason);
            json.WriteEndObject();
        }

        json.WriteEndArray();
        json.WriteEndObject();
    }

    private string Summary
    {
        get
        {
            string range =
                High.MilligramsPerSquareMeter < Least_mg_m2
                    ? "below 0.01 mg/m²"
                    : string.Create(
                        CultureInfo.InvariantCulture,
                        $"{Index.MilligramsPerSquareMeter:G3} mg/m² ({Low.MilligramsPerSquareMeter:G3} to {High.MilligramsPerSquareMeter:G3})"
                    );
            string shows = Index.Grade switch
            {
                SpotGrade.None => "nothing to see",
                SpotGrade.Faint => "faint rings on dark paint",
                SpotGrade.Plain => "plain spots",
                _ => "heavy spots",
            };
            return $"Spot index {range}: {shows} where a drop dries.";
        }
    }

    private static string ComesOff(RemovalClass removal) =>
        removal switch
        {
            RemovalClass.Rinses => "rinses off",
            RemovalClass.Wipes => "soak and wipe",
            _ => "stays: etches or stains",
        };

    private static string Number(double value) => value.ToString("G3", CultureInfo.InvariantCulture);
}
