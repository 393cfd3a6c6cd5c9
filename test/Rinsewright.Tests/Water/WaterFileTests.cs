using System.Text.Json;
using CsCheck;
using Rinsewright.Quantities;
using Rinsewright.Water;

namespace Rinsewright.Tests.Water;

public sealed class WaterFileTests
{
    private static WaterAnalysis Read(string json, out IReadOnlyList<Sentence> remarks)
    {
        bool read = WaterFile.TryRead(
            json,
            out WaterAnalysis? analysis,
            out IReadOnlyList<InputProblem> problems,
            out remarks
        );
        Assert.True(read, string.Join('\n', problems));
        return analysis!;
    }

    private static IReadOnlyList<InputProblem> Refuse(string json)
    {
        Assert.False(
            WaterFile.TryRead(
                json,
                out WaterAnalysis? analysis,
                out IReadOnlyList<InputProblem> problems,
                out _
            )
        );
        Assert.Null(analysis);
        Assert.NotEmpty(problems);
        return problems;
    }

    [Fact]
    public void Every_property_is_read_with_comments_and_trailing_commas()
    {
        WaterAnalysis water = Read(
            """
            { // a comment
              "name": "Tap", "temperature": "64 degF", "pH": "7.2-7.6-8.0", "calcium": "62 mg/L",
              "alkalinity": "171 mg/L as CaCO3", "carbonDioxide": "10 mg/L", "hardness": "9.6 gr/gal",
              "freeChlorine": "0.8 mg/L", "combinedChlorine": "<0.1 mg/L", "conductivity": "398 uS/cm",
              "tds": { "reading": "231 ppm", "factor": 0.5, }, /* another */
            }
            """,
            out IReadOnlyList<Sentence> remarks
        );
        Assert.Empty(remarks);
        Assert.Equal("Tap", water.Name);
        Assert.Equal(64, water.Temperature!.Value.High.DegreesFahrenheit, 1e-9);
        Assert.Equal((7.2, 7.6, 8.0), (water.PH!.Value.Low, water.PH.Value.Middle, water.PH.Value.High));
        Assert.Equal(1.547, water.Totals[Component.Calcium].High.MolesPerCubicMeter, 1e-3);
        Assert.Equal(171, water.Alkalinity!.Value.High.MilligramsPerLiterAsCaCO3, 1e-9);
        Assert.Equal(9.6, water.Hardness!.Value.High.GrainsPerUsGallonAsCaCO3, 1e-9);
        Assert.Equal(StatementKind.Below, water.CombinedChlorine!.Value.Kind);
        Assert.Equal(0.8 / 70.9, water.FreeChlorine!.Value.High.MolesPerCubicMeter, 1e-5);
        Assert.Equal(398, water.ConductanceOrReading!.Value.High.MicrosiemensPerCentimeter, 1e-9);
        Assert.Equal(462, water.Tds!.Conductance.High.MicrosiemensPerCentimeter, 1e-9);
    }

    [Fact]
    public void Bicarbonate_stands_for_alkalinity_where_that_is_missing()
    {
        WaterAnalysis water = Read("""{ "bicarbonate": "122.032 mg/L" }""", out _);
        Assert.Equal(2, water.Alkalinity!.Value.High.MilliequivalentsPerLiter, 1e-3);
        WaterAnalysis both = Read(
            """{ "bicarbonate": "122 mg/L", "alkalinity": "150 mg/L" }""",
            out IReadOnlyList<Sentence> remarks
        );
        Assert.Equal(150, both.Alkalinity!.Value.High.MilligramsPerLiterAsCaCO3, 1e-9);
        Assert.Equal(
            "Both alkalinity and bicarbonate are stated: alkalinity is used.",
            Assert.Single(remarks).ToString()
        );
    }

    [Theory]
    [InlineData("0 degC", 0)]
    [InlineData("45 degC", 45)]
    [InlineData("32 degF", 0)]
    [InlineData("113 degF", 45)]
    public void The_ends_of_the_range_of_temperature_are_in_it(string written, double celsius) =>
        Assert.Equal(
            celsius,
            Read($$"""{ "temperature": "{{written}}" }""", out _).Temperature!.Value.High.DegreesCelsius,
            1e-9
        );

    [Fact]
    public void The_factor_that_is_stated_is_the_meters() =>
        Assert.Equal(
            100,
            Read(
                """{ "tds": { "reading": "70 ppm", "factor": 0.7 } }""",
                out _
            ).Tds!.Conductance.High.MicrosiemensPerCentimeter,
            1e-9
        );

    [Theory]
    [InlineData("""{ "nitrate": "4 mg/L" }""", "read as NO3")]
    [InlineData("""{ "ammonium": "4 mg/L" }""", "read as NH4")]
    [InlineData("""{ "tds": { "reading": "62 ppm" } }""", "0.5")]
    public void What_custom_decides_is_remarked(string json, string remark)
    {
        _ = Read(json, out IReadOnlyList<Sentence> remarks);
        Assert.Contains(remark, Assert.Single(remarks).ToString(), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("""{ "calcum": "62 mg/L" }""", "calcum", "calcium")]
    [InlineData("""{ "sulphate": "62 mg/L" }""", "sulphate", "sulfate")]
    [InlineData("""{ "ph": 7 }""", "ph", "pH")]
    [InlineData("""{ "tds": { "reading": "62 ppm", "factr": 0.5 } }""", "tds.factr", "factor")]
    [InlineData("""{ "calcium": "1 mg/L", "calcium": "2 mg/L" }""", "calcium", "once")]
    [InlineData("""{ "calcium": 62 }""", "calcium", "quotation marks")]
    [InlineData("""{ "calcium": "62" }""", "calcium", "mg/L")]
    [InlineData("""{ "calcium": "62 mg/L as N" }""", "calcium", "as CaCO3")]
    [InlineData("""{ "pH": 15 }""", "pH", "from 0 to 14")]
    [InlineData("""{ "pH": "acid" }""", "pH", "from 0 to 14")]
    [InlineData("""{ "temperature": "50 degC" }""", "temperature", "0 to 45 °C")]
    [InlineData("""{ "temperature": "-1 degC" }""", "temperature", "0 to 45 °C")]
    [InlineData("""{ "tds": { "reading": "62 ppm", "factor": 5 } }""", "tds.factor", "from 0.3 to 1")]
    [InlineData("""{ "tds": { "reading": "62 ppm", "factor": "0.5-0.7" } }""", "tds.factor", "one number")]
    [InlineData("""{ "tds": { "factor": 0.5 } }""", "tds.reading", "231 ppm")]
    [InlineData("""{ "tds": { "reading": "62 uS/cm" } }""", "tds.reading", "mg/L")]
    [InlineData("""{ "tds": "62 ppm" }""", "tds", "reading")]
    [InlineData("[1]", "file", "object")]
    public void Wrong_properties_are_refused_with_place_and_what_would_be_right(
        string json,
        string place,
        string expected
    )
    {
        InputProblem problem = Assert.Single(Refuse(json));
        Assert.Equal(place, problem.Place);
        Assert.Contains(expected, problem.Expected.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public void All_problems_come_together() =>
        Assert.Equal(3, Refuse("""{ "calcum": "1 mg/L", "sodium": "7,3 mg/L", "pH": -1 }""").Count);

    [Fact]
    public void Broken_text_is_refused_with_its_line()
    {
        InputProblem problem = Assert.Single(Refuse("{\n  \"pH\": 7.6,\n  calcium\n}"));
        Assert.Equal("line 3, byte 3", problem.Place);
        Assert.Equal("calcium", problem.Text.ToString());
        Assert.Contains("docs/formats/water.md", problem.Expected.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public void No_text_makes_the_reader_throw()
    {
        Gen<string> values = Gen.OneOf(
            "null",
            "1",
            "\"x\"",
            "[]",
            "{}",
            "\"1 mg/L\"",
            "\"<1 mg/L\"",
            "true",
            "1e999",
            "\"\""
        );
        Gen<string> names = Gen.OneOf([.. WaterFile.PropertyNames, "x", ""]);
        Gen<string> file = Gen.Select(names, values)
            .Array[0, 6]
            .Select(pairs => "{" + string.Join(',', pairs.Select(p => $"\"{p.Item1}\":{p.Item2}")) + "}");
        Gen.OneOf(Gen.String, file)
            .Repeat()
            .Sample(
                text =>
                {
                    bool read = WaterFile.TryRead(
                        text,
                        out _,
                        out IReadOnlyList<InputProblem> problems,
                        out _
                    );
                    Assert.Equal(read, problems.Count == 0);
                },
                iter: 5_000
            );
    }

    [Fact]
    public void The_schema_and_the_page_name_every_property()
    {
        using var schema = JsonDocument.Parse(
            File.ReadAllText(Repository.PathOf("docs/formats/water.schema.json"))
        );
        string[] inSchema =
        [
            .. schema.RootElement.GetProperty("properties").EnumerateObject().Select(p => p.Name),
        ];
        Assert.Equal(
            WaterFile.PropertyNames.Order(StringComparer.Ordinal),
            inSchema.Order(StringComparer.Ordinal)
        );
        string page = File.ReadAllText(Repository.PathOf("docs/formats/water.md"));
        Assert.All(
            WaterFile.PropertyNames.Where(n => !n.StartsWith('$')),
            name => Assert.Contains($"`{name}`", page, StringComparison.Ordinal)
        );
    }
}
