using System.Text.Json;
using CsCheck;
using Rinsewright.Quantities;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;
using Rinsewright.Water;

namespace Rinsewright.Tests.Treatment;

public sealed class RigFileTests
{
    private static readonly JsonDocumentOptions Commented = new()
    {
        CommentHandling = JsonCommentHandling.Skip,
        AllowTrailingCommas = true,
    };

    public static TheoryData<string> Examples =>
        [
            .. Directory
                .EnumerateFiles(Repository.PathOf("examples/rigs"), "*.json")
                .Select(f => Path.GetFileName(f)),
        ];

    [Theory]
    [MemberData(nameof(Examples))]
    public void Every_example_is_a_rig(string file)
    {
        (Rig? rig, string[] problems) = Read(File.ReadAllText(Repository.PathOf("examples/rigs/" + file)));
        Assert.Empty(problems);
        Assert.NotEmpty(rig!.Name);
        Assert.NotEmpty(rig.Beds);
    }

    [Fact]
    public void A_bed_is_read_with_all_that_is_said_of_it()
    {
        (Rig? rig, string[] problems) = Read(
            """
            { "name": "r", "stages": [ { "kind": "exchange-bed", "name": "b", "volume": "4.5 L", "innerDiameter": "105 mm",
              "voidFraction": 0.4, "bypass": 0.01, "equilibrium": true,
              "kinetics": { "film": "carberry", "filmFactor": 0.5, "particle": false },
              "resins": [
                { "kind": "strong-cation", "share": 0.4, "capacity": "1.8 eq/L", "bead": "0.7 mm",
                  "form": { "H": 0.75, "Na": 0.25 }, "selectivity": { "Na": 1.6 } },
                { "kind": "strong-anion-1", "share": 0.6 } ] } ] }
            """
        );
        Assert.Empty(problems);
        ExchangeBed bed = Assert.Single(rig!.Beds);
        Assert.Equal(4.5e-3, bed.Volume.CubicMeters, 1e-12);
        Assert.Equal(0.105, bed.InnerDiameter.Meters, 1e-12);
        Assert.Equal(0.4, bed.VoidFraction);
        Assert.Equal(0.01, bed.Bypass);
        Assert.True(bed.Equilibrium);
        Assert.Equal(FilmCorrelation.Carberry, bed.Kinetics.Film);
        Assert.Equal(0.5, bed.Kinetics.FilmFactor);
        Assert.False(bed.Kinetics.Particle);
        Assert.Equal(1800, bed.Resins[0].Capacity.EquivalentsPerCubicMeter, 1e-9);
        Assert.Equal(0.7e-3, bed.Resins[0].Bead.Meters, 1e-12);
        Assert.Equal(0.25, bed.Resins[0].Form[Component.Sodium]);
        Assert.Equal(0.75, bed.Resins[0].ReferenceFraction, 1e-12);
        Assert.Equal(1.6, bed.Resins[0].Selectivity[Component.Sodium]);
        Assert.Equal(
            new Resin(ResinKind.StrongCation, 0.4).Selectivity[Component.Calcium],
            bed.Resins[0].Selectivity[Component.Calcium]
        );
        Assert.Equal(new Resin(ResinKind.StrongAnion1, 0.6).Capacity, bed.Resins[1].Capacity);
        Assert.Equal(1, bed.Resins[1].ReferenceFraction);
    }

    [Fact]
    public void All_problems_are_told_at_once_each_with_its_place()
    {
        (_, string[] problems) = Read(
            """
            { "nmae": "r", "stages": [
              { "kind": "exchange-bad", "volume": "4.5 kg", "bypass": 1.5,
                "resins": [ { "kind": "strong-cation", "share": 0, "form": { "H": 0.5 } },
                            { "kind": "strong-anion-1", "share": 0.6, "form": { "Na": 1 } },
                            { "share": "0.4" } ] },
              { "kind": "exchange-bed", "volume": "-1 L", "innerDiameter": 105, "resins": [] } ] }
            """
        );
        string[] places =
        [
            "nmae",
            "stages[0].kind",
            "stages[0].volume",
            "stages[0].innerDiameter",
            "stages[0].bypass",
            "stages[0].resins[0].share",
            "stages[0].resins[1].form.Na",
            "stages[0].resins[1].form",
            "stages[0].resins[2].kind",
            "stages[0].resins[2].share",
            "stages[1].volume",
            "stages[1].innerDiameter",
            "stages[1].resins",
        ];
        Assert.All(
            places,
            p => Assert.Contains(problems, line => line.StartsWith(p + ": ", StringComparison.Ordinal))
        );
        Assert.Contains(
            problems,
            p => p.StartsWith("nmae: unknown name: perhaps \"name\"", StringComparison.Ordinal)
        );
        Assert.Contains(problems, p => p.Contains("one of sediment, carbon-block", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("[]", "file: Array: one object { … }")]
    [InlineData("{ \"stages\": 3 }", "stages: 3: a list [ … ]")]
    [InlineData("{ }", "stages: missing: at least one stage, see docs/formats/rig.md")]
    public void A_file_that_is_no_rig_says_why(string json, string problem) =>
        Assert.Equal(problem, Assert.Single(Read(json).Problems));

    [Fact]
    public void Shares_and_fractions_must_sum_to_one()
    {
        string json = """
            { "stages": [ { "kind": "exchange-bed", "volume": "1 L", "innerDiameter": "8 cm", "resins": [
              { "kind": "strong-cation", "share": 0.5, "form": { "H": 0.5, "Na": 0.4 } } ] } ] }
            """;
        string[] problems = Read(json).Problems;
        Assert.Contains(
            problems,
            p => p.EndsWith("fractions that sum to 1; these sum to 0.9", StringComparison.Ordinal)
        );
        problems = Read(json.Replace("0.4 }", "0.5 }", StringComparison.Ordinal)).Problems;
        Assert.Contains(
            problems,
            p => p.EndsWith("shares that sum to 1; these sum to 0.5", StringComparison.Ordinal)
        );
    }

    [Fact]
    public void No_change_of_one_character_makes_reading_throw()
    {
        string good = File.ReadAllText(Repository.PathOf("examples/rigs/small-cartridge.json"));
        Gen.Select(Gen.Int[0, good.Length - 1], Gen.Char.AlphaNumeric)
            .Repeat()
            .Sample(
                (at, letter) =>
                {
                    string changed = good[..at] + letter + good[(at + 1)..];
                    try
                    {
                        (Rig? rig, string[] problems) = Read(changed);
                        return rig is null == problems.Length > 0;
                    }
                    catch (JsonException)
                    {
                        return true;
                    }
                }
            );
    }

    [Fact]
    public void The_reader_knows_every_name_of_the_schema()
    {
        using var schema = JsonDocument.Parse(
            File.ReadAllText(Repository.PathOf("docs/formats/rig.schema.json"))
        );
        JsonElement defs = schema.RootElement.GetProperty("$defs");
        JsonElement bed = defs.GetProperty("exchangeBed").GetProperty("properties");
        JsonElement resin = defs.GetProperty("resin").GetProperty("properties");
        Assert.Equal<IEnumerable<string>>(
            [.. Enum.GetValues<ResinKind>().Select(ResinCatalog.NameOf)],
            [.. resin.GetProperty("kind").GetProperty("enum").EnumerateArray().Select(e => e.GetString()!)]
        );
        foreach (
            (JsonElement names, int depth) in ((JsonElement, int)[])
                [(schema.RootElement.GetProperty("properties"), 0), (bed, 1), (resin, 2)]
        )
        {
            foreach (JsonProperty name in names.EnumerateObject())
            {
                string wrong = Wrapped(depth == 2, depth == 1, name.Name);
                Assert.DoesNotContain(
                    Read(wrong).Problems,
                    p => p.Contains("unknown name", StringComparison.Ordinal)
                );
            }
        }
    }

    /// <summary>A file that says one name, with a value of no type that it could have.</summary>
    private static string Wrapped(bool inResin, bool inBed, string name)
    {
        string field = $"{{ \"{name}\": null }}";
        string bed = inResin ? $"{{ \"resins\": [ {field} ] }}" : field;
        return inResin || inBed ? $"{{ \"stages\": [ {bed} ] }}" : field;
    }

    private static (Rig? Rig, string[] Problems) Read(string json)
    {
        using var document = JsonDocument.Parse(json, Commented);
        RigFile.TryRead(document.RootElement, out Rig? rig, out IReadOnlyList<InputProblem> problems);
        return (rig, [.. problems.Select(p => p.ToString())]);
    }
}
