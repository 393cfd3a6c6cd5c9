using System.Text.Json;
using Rinsewright.Quantities;
using Rinsewright.Treatment;

namespace Rinsewright.Tests.Treatment;

public sealed class StageFileTests
{
    private const string Bed = """
        {"kind": "exchange-bed", "name": "b", "volume": "2 L", "innerDiameter": "100 mm",
         "resins": [{"kind": "strong-cation", "share": 0.4}, {"kind": "strong-anion-1", "share": 0.6}]}
        """;

    [Fact]
    public void Every_kind_of_stage_is_read_in_its_order()
    {
        (Rig? rig, _) = Read(
            $$$"""
            {"stages": [
              {"kind": "sediment", "removal": 0.8},
              {"kind": "carbon-block", "carbon": "1.5 L", "line": "0.05 mg/L"},
              {"kind": "softener", "volume": "10 L", "innerDiameter": "200 mm"},
              {"kind": "blend", "share": 0.2, "around": {"kind": "reverse-osmosis", "elements": 2, "recovery": 0.6, "boosted": true}},
              {"kind": "tank", "volume": "150 L", "deliveryPressure": "3 bar"},
              {"kind": "lead-lag", "beds": [{{{Bed}}}, {{{Bed}}}]},
              {"kind": "parallel", "beds": [{{{Bed}}}, {{{Bed}}}, {{{Bed}}}]},
              {{{Bed}}}]}
            """
        );
        Assert.Equal(
            "SedimentStage CarbonStage BedStage BlendStage TankStage BedStage BedStage BedStage",
            string.Join(' ', rig!.Stages.Select(s => s.GetType().Name))
        );
        Assert.Equal(0.8, ((SedimentStage)rig.Stages[0]).Filter.Removal);
        Assert.Equal(0.05, ((CarbonStage)rig.Stages[1]).Line.MilligramsPerLiter, 12);
        Assert.Equal("softener-resin", rig.Stages[2].Consumable!.Value.Item);
        var osmosis = (OsmosisStage)((BlendStage)rig.Stages[3]).Around;
        Assert.Equal(2, osmosis.Elements);
        Assert.Equal(0.6, osmosis.Membrane.Recovery);
        Assert.Equal(3.0, ((TankStage)rig.Stages[4]).Tank.DeliveryPressure.Bars, 12);
        Assert.Equal(BedArrangement.LeadLag, ((BedStage)rig.Stages[5]).Arrangement);
        Assert.Equal(3, ((BedStage)rig.Stages[6]).Beds.Length);
        Assert.Equal(1 + 2 + 3 + 1, rig.Beds.Length);
    }

    [Theory]
    [InlineData("10 ppm", 20.0, null, null)]
    [InlineData("1 mg/L silica", null, 1.0, null)]
    [InlineData("20 mg/m2", null, null, 20.0)]
    public void A_bed_or_a_group_may_have_its_line(
        string text,
        double? conductivity,
        double? silica,
        double? spots
    )
    {
        string lined = Bed.Replace("\"name\": \"b\"", $"\"line\": \"{text}\"", StringComparison.Ordinal);
        (Rig? rig, string places) = Read(
            $$$"""
            {"stages": [{{{lined}}}, {"kind": "lead-lag", "line": "{{{text}}}", "beds": [{{{Bed}}}, {{{Bed}}}]}]}
            """
        );
        Assert.Equal("", places);
        var expected = new ExitLine(conductivity, null, null, silica, spots);
        Assert.All(rig!.Stages, s => Assert.Equal(expected, ((BedStage)s).Line));
    }

    [Fact]
    public void A_line_is_refused_where_it_is_wrong_or_where_the_group_has_it()
    {
        string lined = Bed.Replace("\"name\": \"b\"", "\"line\": \"ten\"", StringComparison.Ordinal);
        (_, string places) = Read(
            $$$"""{"stages": [{{{lined}}}, {"kind": "parallel", "beds": [{{{lined}}}, {{{Bed}}}]}]}"""
        );
        Assert.Contains("stages[0].line", places, StringComparison.Ordinal);
        Assert.Contains("stages[1].beds[0].line", places, StringComparison.Ordinal);
    }

    [Fact]
    public void Problems_of_nested_stages_carry_their_places()
    {
        (Rig? rig, string places) = Read(
            """
            {"stages": [
              {"kind": "blend", "share": 2, "around": {"kind": "tank", "volume": "big"}},
              {"kind": "lead-lag", "beds": []},
              {"kind": "carbon-block"},
              {"kind": "magnet"}]}
            """
        );
        Assert.Null(rig);
        foreach (
            string place in (string[])
                [
                    "stages[0].share",
                    "stages[0].around.volume",
                    "stages[1].beds",
                    "stages[2].carbon",
                    "stages[3].kind",
                ]
        )
        {
            Assert.Contains(place, places, StringComparison.Ordinal);
        }
    }

    [Theory]
    [InlineData("""{"kind": "sediment", "cleanLoss": "1 bar", "fullLoss": "1 bar"}""", "stages[0].fullLoss")]
    [InlineData("""{"kind": "sediment", "fullLoss": "1 kPa"}""", "stages[0].fullLoss")]
    [InlineData("""{"kind": "reverse-osmosis", "elements": 2.9}""", "stages[0].elements")]
    public void What_a_stage_cannot_be_is_refused(string stage, string place) =>
        Assert.Equal(place, Read($$"""{"stages": [{{stage}}]}""").Places);

    [Theory]
    [InlineData("\"2 L\"", "\"2.5 L\"")]
    [InlineData("\"100 mm\"", "\"150 mm\"")]
    [InlineData(
        "0.4}, {\"kind\": \"strong-anion-1\", \"share\": 0.6",
        "0.5}, {\"kind\": \"strong-anion-1\", \"share\": 0.5"
    )]
    [InlineData("strong-anion-1", "strong-anion-2")]
    [InlineData("\"share\": 0.4", "\"share\": 0.4, \"form\": {\"H\": 0.5, \"Na\": 0.5}")]
    [InlineData("\"share\": 0.4", "\"share\": 0.4, \"selectivity\": {\"Na\": 3}")]
    public void Beds_of_a_group_must_be_alike(string said, string otherwise)
    {
        string unlike = Bed.Replace(said, otherwise, StringComparison.Ordinal);
        foreach (string kind in (string[])["parallel", "lead-lag"])
        {
            Assert.Equal(
                "stages[0].beds",
                Read($$$"""{"stages": [{"kind": "{{{kind}}}", "beds": [{{{Bed}}}, {{{unlike}}}]}]}""").Places
            );
            string named = Bed.Replace("\"b\"", "\"c\"", StringComparison.Ordinal);
            Assert.Equal(
                "",
                Read(
                    $$$"""{"stages": [{"kind": "{{{kind}}}", "beds": [{{{unlike}}}, {{{unlike}}}]}]}"""
                ).Places
            );
            Assert.Equal(
                "",
                Read($$$"""{"stages": [{"kind": "{{{kind}}}", "beds": [{{{Bed}}}, {{{named}}}]}]}""").Places
            );
        }
    }

    [Fact]
    public void A_group_offers_the_one_kind_of_stage_that_it_can_hold()
    {
        using JsonDocument document = JsonDocument.Parse(
            $$$"""{"stages": [{"kind": "parallel", "beds": [{"kind": "softener", {{{Bed[(Bed.IndexOf(',') + 1)..]}}}, {{{Bed}}}]}]}"""
        );
        Assert.False(RigFile.TryRead(document.RootElement, out _, out IReadOnlyList<InputProblem> problems));
        InputProblem problem = Assert.Single(problems);
        Assert.Equal("stages[0].beds[0].kind", problem.Place);
        Assert.Equal("\"exchange-bed\"", problem.Expected.ToString());
    }

    private static (Rig? Rig, string Places) Read(string json)
    {
        using JsonDocument document = JsonDocument.Parse(json);
        RigFile.TryRead(document.RootElement, out Rig? rig, out IReadOnlyList<InputProblem> problems);
        return (rig, string.Join(' ', problems.Select(p => p.Place)));
    }
}
