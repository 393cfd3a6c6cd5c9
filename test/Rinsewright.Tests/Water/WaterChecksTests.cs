using System.Globalization;
using Rinsewright.Water;

namespace Rinsewright.Tests.Water;

/// <summary>What an analysis is told that does not fit together, by the limits of Standard Methods 1030 E (key standardmethods).</summary>
public sealed class WaterChecksTests
{
    // 0.2 meq/L up to 3 meq/L of anions, 2 % of the sum up to 10, 5 % above.
    [Theory]
    [InlineData(2, 0, null)]
    [InlineData(2, 0.19, null)]
    [InlineData(2, 0.21, "+5.0 % (cations")]
    [InlineData(2, -0.21, "-5.5 % (anions")]
    [InlineData(2.9, 0.19, null)]
    [InlineData(2.9, -0.19, null)]
    [InlineData(3.1, 0.19, "+3.0 % (cations")]
    [InlineData(8, 0.3, null)]
    [InlineData(8, 0.35, "+2.1 % (cations")]
    [InlineData(9.9, -0.45, "-2.3 % (anions")]
    [InlineData(10.1, 0.45, null)]
    [InlineData(14, 1.3, null)]
    [InlineData(14, 1.6, "+5.4 % (cations")]
    [InlineData(14, -1.6, "-6.1 % (anions")]
    public void Ions_balance_within_what_the_standard_accepts(double anions, double over, string? warned)
    {
        string said = string.Join('\n', Warnings(Sodium(anions + over), Chloride(anions - 1)));
        if (warned is null)
        {
            Assert.Empty(said);
        }
        else
        {
            Assert.StartsWith($"The ions do not balance: {warned}", said, StringComparison.Ordinal);
        }
    }

    [Theory]
    [InlineData("\"111 mg/L as CaCO3\"", false)]
    [InlineData("\"113 mg/L as CaCO3\"", true)]
    [InlineData("\"89 mg/L as CaCO3\"", false)]
    [InlineData("\"87 mg/L as CaCO3\"", true)]
    [InlineData("\"90-150 mg/L as CaCO3\"", false)]
    [InlineData("\"115-150 mg/L as CaCO3\"", true)]
    [InlineData("\"<110 mg/L as CaCO3\"", false)]
    [InlineData("\"<80 mg/L as CaCO3\"", true)]
    public void Hardness_is_that_of_calcium_and_magnesium_within_a_tenth(string stated, bool isWarned)
    {
        const string Hard = "\"calcium\": \"0.7 mmol/L\", \"magnesium\": \"0.299 mmol/L\"";
        string said = string.Join('\n', Warnings(Hard, Chloride(0.998), $"\"hardness\": {stated}"));
        Assert.Equal(
            isWarned,
            said.Contains("does not fit calcium and magnesium, which give 100.", StringComparison.Ordinal)
        );
        Assert.Equal(isWarned, said.Length > 0);
    }

    // 0.01 mol/L of potassium chloride conducts 1413 uS/cm at 25 degC (key iso7888), here with a tenth of it as bicarbonate.
    [Theory]
    [InlineData("1413 uS/cm", false)]
    [InlineData("1500 uS/cm", false)]
    [InlineData("1560 uS/cm", true)]
    [InlineData("1280 uS/cm", false)]
    [InlineData("1230 uS/cm", true)]
    public void Conductivity_is_that_of_the_ions_within_a_tenth(string stated, bool isWarned)
    {
        string said = string.Join(
            '\n',
            Warnings("\"potassium\": \"10 mmol/L\"", Chloride(9), $"\"conductivity\": \"{stated}\"")
        );
        Assert.Equal(isWarned, said.Contains("does not fit the ions", StringComparison.Ordinal));
        Assert.Equal(isWarned, said.Length > 0);
    }

    [Fact]
    public void What_is_left_open_is_told_instead() =>
        Assert.StartsWith(
            "The analysis leaves something open",
            Assert
                .Single(
                    WaterText
                        .Complete(
                            """{ "temperature": "15 degC", "tds": { "reading": "120 ppm", "factor": 0.5 }, "hardness": "250 mg/L as CaCO3" }"""
                        )
                        .Warnings
                )
                .ToString(),
            StringComparison.Ordinal
        );

    private static string Sodium(double millimoles) => Ion("sodium", millimoles);

    private static string Chloride(double millimoles) => Ion("chloride", millimoles);

    private static string Ion(string name, double millimoles) =>
        string.Create(CultureInfo.InvariantCulture, $"\"{name}\": \"{millimoles} mmol/L\"");

    /// <summary>What is said of a water with an alkalinity of 1 meq/L, the properties given and nothing else in it.</summary>
    private static IEnumerable<string> Warnings(params string[] properties)
    {
        string[] all =
        [
            "calcium",
            "magnesium",
            "sodium",
            "potassium",
            "chloride",
            "sulfate",
            "nitrate",
            "silica",
        ];
        IEnumerable<string> absent = all.Where(name =>
                !properties.Any(p => p.Contains($"\"{name}\"", StringComparison.Ordinal))
            )
            .Select(name => Ion(name, 0));
        SourceWater water = WaterText.Complete(
            $$"""{ "temperature": "25 degC", "pH": 7.5, "alkalinity": "50.0435 mg/L as CaCO3", {{string.Join(", ", properties.Concat(absent))}} }"""
        );
        Assert.True(water.IsSingle);
        return water.Warnings.Select(w => w.ToString());
    }
}
