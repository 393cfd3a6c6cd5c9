using System.Globalization;
using CsCheck;
using Rinsewright.Quantities;
using Rinsewright.Tests.Evidence;

namespace Rinsewright.Tests.Quantities;

public sealed class QuantityTextTests
{
    private static readonly Analyte[] Analytes =
    [
        .. typeof(Analyte)
            .GetProperties()
            .Where(p => p.PropertyType == typeof(Analyte))
            .Select(p => (Analyte)p.GetValue(null)!),
    ];

    private static Analyte Find(string name) =>
        Analytes.Single(a => string.Equals(a.Name.ToString(), name, StringComparison.Ordinal));

    [Theory]
    [InlineData("62 mg/L", "calcium", 1.5470)]
    [InlineData("62 ppm", "calcium", 1.5470)]
    [InlineData("62mg/l", "calcium", 1.5470)]
    [InlineData("62000 µg/L", "calcium", 1.5470)] // U+00B5
    [InlineData("62000 μg/L", "calcium", 1.5470)] // U+03BC
    [InlineData("62000 ug/L", "calcium", 1.5470)]
    [InlineData("0.062 g/L", "calcium", 1.5470)]
    [InlineData("1.547 mmol/L", "calcium", 1.547)]
    [InlineData("0.001547 mol/L", "calcium", 1.547)]
    [InlineData("3.094 meq/L", "calcium", 1.547)]
    [InlineData("0.003094 eq/L", "calcium", 1.547)]
    [InlineData("154.8 mg/L as CaCO3", "calcium", 1.5467)]
    [InlineData("154.8 mg/L (as CaCO3)", "calcium", 1.5467)]
    [InlineData("154.8 mg/L CaCO₃", "calcium", 1.5467)]
    [InlineData("154.8 mg CaCO3/L", "calcium", 1.5467)]
    [InlineData("154.8 ppm as CaCO3", "calcium", 1.5467)]
    [InlineData("9.6 gr/gal", "hardness", 1.6420)]
    [InlineData("9.6 gpg", "hardness", 1.6420)]
    [InlineData("7 °dH", "hardness", 1.2483)]
    [InlineData("7 dH", "hardness", 1.2483)]
    [InlineData("12.5 °fH", "hardness", 1.2489)]
    [InlineData("12.5 °f", "hardness", 1.2489)]
    [InlineData("8.8 °e", "hardness", 1.2533)]
    [InlineData("8.8 Clark", "hardness", 1.2533)]
    [InlineData("50 mg/L as Ca", "hardness", 1.2476)]
    [InlineData("171 mg/L", "alkalinity", 3.4171)]
    [InlineData("171 mg/L as CaCO3", "alkalinity", 3.4171)]
    [InlineData("208 mg/L as HCO3", "alkalinity", 3.4089)]
    [InlineData("3.4 mmol/L", "alkalinity", 3.4)]
    [InlineData("1 mg/L as N", "nitrate", 0.071393)]
    [InlineData("1 mg/L NO3-N", "nitrate", 0.071393)]
    [InlineData("1 mg N/L", "nitrate", 0.071393)]
    [InlineData("1 mg/L-N", "nitrate", 0.071393)]
    [InlineData("1 mg/L as NO3-", "nitrate", 0.016128)]
    [InlineData("1 mg/L", "nitrate", 0.016128)]
    [InlineData("1 mg/L as SO4", "sulfate", 0.010410)]
    [InlineData("1 mg/L as SO4 2-", "sulfate", 0.010410)]
    [InlineData("9.8 mg/L as SiO2", "silica", 0.16311)]
    [InlineData("9.8 mg/L as Si", "silica", 0.34894)]
    [InlineData("1 mg/L as P", "phosphate", 0.032285)]
    [InlineData("1 mg/L as PO4", "phosphate", 0.010530)]
    [InlineData("0.8 mg/L as Cl2", "free chlorine", 0.011283)]
    [InlineData("4 mg/L as N", "ammonium", 0.28557)]
    public void Concentrations_are_read_on_every_basis(string text, string analyte, double molesPerCubicMeter)
    {
        bool parsed = QuantityText.TryParseConcentration(
            "here",
            text,
            Find(analyte),
            out Stated<MolarConcentration> stated,
            out InputProblem? problem
        );

        Assert.True(parsed, problem?.ToString());
        Assert.Equal(StatementKind.Exactly, stated.Kind);
        Assert.Equal(1, stated.High.MolesPerCubicMeter / molesPerCubicMeter, 1e-4);
    }

    [Fact]
    public void Trade_units_convert_as_the_handbooks_print_them()
    {
        foreach (
            DataTable.Row row in DataTable.Read("data/published/unit-definitions/hardness-units.csv").Rows
        )
        {
            Analyte analyte = Find(row.Text("analyte"));
            double half = 0.5 * Math.Pow(10, -row.Number("digits"));
            double ratio =
                Moles(row.Text("text"), analyte) / Moles($"1 {row.Text("expected_text")}", analyte);
            Assert.True(Math.Abs(ratio - row.Number("expected")) <= half, $"{row.Text("text")}: {ratio}");
        }
    }

    private static double Moles(string text, Analyte analyte) =>
        ReadConcentration.Of(text, analyte).High.MolesPerCubicMeter;

    [Theory]
    [InlineData("18 degC", 291.15)]
    [InlineData("18 °C", 291.15)]
    [InlineData("18 ºC", 291.15)]
    [InlineData("18 ℃", 291.15)]
    [InlineData("18C", 291.15)]
    [InlineData("64 degF", 290.9278)]
    [InlineData("64 F", 290.9278)]
    [InlineData("291.15 K", 291.15)]
    [InlineData("-5 °C", 268.15)]
    [InlineData("−5 °C", 268.15)]
    public void Temperatures_are_read(string text, double kelvins)
    {
        Assert.True(
            QuantityText.TryParseExactly("t", text, out Temperature value, out InputProblem? problem),
            problem?.ToString()
        );
        Assert.Equal(kelvins, value.Kelvins, 1e-4);
    }

    [Theory]
    [InlineData("2.1 gpm", 1.3249e-4)]
    [InlineData("8 L/min", 1.33333e-4)]
    [InlineData("480 L/h", 1.33333e-4)]
    [InlineData("0.48 m³/h", 1.33333e-4)]
    [InlineData("8 l/min", 1.33333e-4)]
    public void Flows_are_read(string text, double cubicMetersPerSecond)
    {
        Assert.True(
            QuantityText.TryParseExactly("t", text, out VolumeFlow value, out InputProblem? problem),
            problem?.ToString()
        );
        Assert.Equal(1, value.CubicMetersPerSecond / cubicMetersPerSecond, 1e-4);
    }

    [Fact]
    public void Other_units_of_the_trade_are_read()
    {
        Assert.Equal(0.1143, Exactly<Length>("4.5 in").Meters, 1e-12);
        Assert.Equal(0.1143, Exactly<Length>("4.5\"").Meters, 1e-12);
        Assert.Equal(1500 * 3.785411784, Exactly<Volume>("1500 gal").Liters, 1e-9);
        Assert.Equal(4.54609, Exactly<Volume>("1 imp gal").Liters, 1e-12);
        Assert.Equal(28.316846592, Exactly<Volume>("1 ft3").Liters, 1e-9);
        Assert.Equal(398, Exactly<SpecificConductance>("398 uS/cm").MicrosiemensPerCentimeter, 1e-9);
        Assert.Equal(398, Exactly<SpecificConductance>("0.398 mS/cm").MicrosiemensPerCentimeter, 1e-9);
        Assert.Equal(398, Exactly<SpecificConductance>("0.0398 S/m").MicrosiemensPerCentimeter, 1e-9);
        Assert.Equal(398, Exactly<SpecificConductance>("398 µmho/cm").MicrosiemensPerCentimeter, 1e-9);
        Assert.Equal(4.1369, Exactly<Pressure>("60 psi").Bars, 1e-4);
        Assert.Equal(6, Exactly<Pressure>("0.6 MPa").Bars, 1e-12);
        Assert.Equal(1.9, Exactly<ExchangeCapacity>("1.9 eq/L").EquivalentsPerLiter, 1e-12);
    }

    private static T Exactly<T>(string text)
        where T : struct, IQuantity<T>
    {
        Assert.True(
            QuantityText.TryParseExactly("t", text, out T value, out InputProblem? problem),
            problem?.ToString()
        );
        return value;
    }

    [Theory]
    [InlineData("40-55-71 mg/L", 40, 55.0, 71)]
    [InlineData("40–55–71 mg/L", 40, 55.0, 71)]
    [InlineData("40 – 55 — 71 mg/L", 40, 55.0, 71)]
    [InlineData("40 to 71 mg/L", 40, null, 71)]
    [InlineData("40-71 mg/L", 40, null, 71)]
    [InlineData("40 mg/L - 71 mg/L", 40, null, 71)]
    [InlineData("40 mg/L to 71 mg/L", 40, null, 71)]
    [InlineData("40...71 mg/L", 40, null, 71)]
    [InlineData("40..71 mg/L", 40, null, 71)]
    [InlineData("40 - +71 mg/L", 40, null, 71)]
    [InlineData(".5-.9 mg/L", 0.5, null, 0.9)]
    [InlineData("40-40 mg/L", 40, null, 40)]
    [InlineData("40-40-71 mg/L", 40, 40.0, 71)]
    [InlineData("4e1-71 mg/L", 40, null, 71)]
    [InlineData("<40-71 mg/L", 0, null, 71)]
    public void Ranges_are_read(string text, double low, double? middle, double high)
    {
        Assert.True(
            QuantityText.TryParse("t", text, out Stated<MassConcentration> stated, out InputProblem? problem),
            problem?.ToString()
        );
        Assert.Equal(StatementKind.Between, stated.Kind);
        Assert.Equal(low, stated.Low.MilligramsPerLiter, 1e-9);
        Assert.Equal(middle is not null, stated.Middle is not null);
        Assert.Equal(middle ?? 0, stated.Middle?.MilligramsPerLiter ?? 0, 1e-9);
        Assert.Equal(high, stated.High.MilligramsPerLiter, 1e-9);
    }

    [Theory]
    [InlineData("<0.05 mg/L as N")]
    [InlineData("< 0.05 mg/L NO3-N")]
    [InlineData("≤0.05 mg/L as N")]
    [InlineData("<= 50 µg/L as N")]
    public void Limits_are_read(string text)
    {
        Assert.True(
            QuantityText.TryParseConcentration(
                "t",
                text,
                Analyte.Nitrate,
                out Stated<MolarConcentration> stated,
                out InputProblem? problem
            ),
            problem?.ToString()
        );
        Assert.Equal(StatementKind.Below, stated.Kind);
        Assert.Equal(0, stated.Low.MolesPerCubicMeter);
        Assert.Equal(0.05 / 14.007, stated.High.MolesPerCubicMeter, 1e-9);
    }

    [Theory]
    [InlineData("62 mg/L", 1)]
    [InlineData("62.0 mg/L", 0.1)]
    [InlineData("0.0620 g/L", 0.1)]
    [InlineData("6.2e1 mg/L", 1)]
    [InlineData("40-55.5 mg/L", 0.1)]
    public void The_last_digit_written_is_kept(string text, double milligramsPerLiter)
    {
        Assert.True(QuantityText.TryParse("t", text, out Stated<MassConcentration> stated, out _));
        Assert.Equal(milligramsPerLiter, stated.LastDigit * 1e3, 1e-9);
    }

    [Theory]
    [InlineData("7,3 mg/L", "7.3 (a point before the decimals)")]
    [InlineData("1,250 mg/L", "1250 if the comma parts thousands, 1.250 if it stands before decimals")]
    [InlineData("1'250 mg/L", "1250 (nothing between thousands)")]
    [InlineData("1 250 mg/L", "1250 (nothing between thousands)")]
    [InlineData("1.250.000 mg/L", "one decimal point")]
    [InlineData("-3 mg/L", "a concentration of zero or more")]
    [InlineData("62", "a concentration of calcium in mg/L")]
    [InlineData("62 mg", "a concentration of calcium in mg/L")]
    [InlineData("62 mg/L as N", "as Ca\" or \"10 mg/L as CaCO3\"")]
    [InlineData("", "a number and its unit")]
    [InlineData("none", "a number and its unit")]
    [InlineData("71-40 mg/L", "a range from the least to the greatest")]
    [InlineData("40-80-71 mg/L", "a range from the least to the greatest")]
    [InlineData("1-2-3-4 mg/L", "at most three numbers")]
    [InlineData(">5 mg/L", "an upper limit")]
    [InlineData("40 mg/L - 3 mmol/L", "one unit for the whole range")]
    [InlineData("<1-2-3 mg/L", "not both")]
    [InlineData("1e999 mg/L", "beyond all bounds")]
    [InlineData("1e308 g/L", "a concentration of zero or more")]
    public void Bad_concentrations_are_refused_with_what_would_be_right(string text, string expected)
    {
        Assert.False(
            QuantityText.TryParseConcentration(
                "calcium",
                text,
                Analyte.Calcium,
                out _,
                out InputProblem? problem
            )
        );
        Assert.Equal("calcium", problem.Place);
        Assert.Equal(text, problem.Text.ToString());
        Assert.Contains(expected, problem.Expected.ToString(), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("-300 °C", "not below -273.15 °C")]
    [InlineData("-500 °F", "not below -459.67 °F")]
    [InlineData("18 mg/L", "a temperature in K, °C or °F")]
    [InlineData("18-20 °C", "one temperature, not a limit or a range")]
    public void Bad_temperatures_are_refused_with_what_would_be_right(string text, string expected)
    {
        Assert.False(
            QuantityText.TryParseExactly<Temperature>("temperature", text, out _, out InputProblem? problem)
        );
        Assert.Contains(expected, problem.Expected.ToString(), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("7 furlongs", "a {0} in {1}")]
    [InlineData("-300 °C", "a {0} not below {1} {2}")]
    [InlineData("7,5 °C", "{0}; {1}")]
    public void What_would_be_right_keeps_its_values_apart_and_the_name_of_the_quantity_is_one(
        string text,
        string expected
    )
    {
        Assert.False(
            QuantityText.TryParse("temperature", text, out Stated<Temperature> _, out InputProblem? problem)
        );
        Assert.Equal(Sentence.Written(text), problem.Text);
        Assert.Equal(expected, problem.Expected.Text);
        Assert.IsType<Sentence>(problem.Expected.Values[0]);
    }

    [Theory]
    [InlineData("0.1 mg/L – 2 meq/L – 5 meq/L", "mg/L", "meq/L")]
    [InlineData("0.1 mg/L – 2 meq/L – 5 mg/L", "mg/L", "meq/L")]
    [InlineData("0.1 mg/L – 2 mg/L – 5 meq/L", "mg/L", "meq/L")]
    public void A_range_has_one_unit(string text, string first, string other)
    {
        Assert.False(
            QuantityText.TryParseConcentration(
                "here",
                text,
                Analyte.Calcium,
                out _,
                out InputProblem? problem
            )
        );
        Assert.Contains(
            $"not both \"{first}\" and \"{other}\"",
            problem.ToString(),
            StringComparison.Ordinal
        );
    }

    [Theory]
    [InlineData("10^3 L")]
    [InlineData("10³ L")]
    [InlineData("1.5² L")]
    [InlineData("2⁻³ L")]
    [InlineData("1e3² L")]
    [InlineData("1 – 10^3 L")]
    public void A_number_with_a_power_is_not_read_as_another_number(string text)
    {
        Assert.False(QuantityText.TryParse("here", text, out Stated<Volume> _, out InputProblem? problem));
        Assert.Contains("1e3", problem.ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public void Powers_of_units_and_charges_of_ions_are_no_powers_of_numbers()
    {
        Assert.True(QuantityText.TryParse("here", "0.1 m^3", out Stated<Volume> volume, out _));
        Assert.Equal(0.1, volume.High.CubicMeters, 1e-12);
        Assert.True(QuantityText.TryParse("here", "0.1 – 0.2m³", out volume, out _));
        Assert.Equal(0.2, volume.High.CubicMeters, 1e-12);
        Assert.False(UnitSpelling.RaisesNumber("48 mg/L as SO4²⁻"));
        Assert.False(UnitSpelling.RaisesNumber("48 mg/L as CO3^2-"));
    }

    [Theory]
    [InlineData("60", "a temperature in K, °C or °F")]
    [InlineData("null", "a temperature in K, °C or °F")]
    public void A_quantity_that_is_no_text_is_answered_with_its_units(string json, string expected)
    {
        List<InputProblem> problems = [];
        using var document = System.Text.Json.JsonDocument.Parse($"{{\"water\":{json}}}");
        _ = new JsonReading(document.RootElement, "", problems, "water").Quantity<Temperature>("water");
        Assert.Contains(expected, Assert.Single(problems).ToString(), StringComparison.Ordinal);
    }

    [Fact]
    public void Equivalents_need_a_charge()
    {
        Assert.False(QuantityText.TryParseConcentration("t", "1 meq/L", Analyte.Phosphate, out _, out _));
        Assert.False(QuantityText.TryParse<TemperatureDifference>("t", "<3 K", out _, out _));
        Assert.True(
            QuantityText.TryParseEquivalents(
                "t",
                "1 °dH",
                Analyte.Hardness,
                out Stated<EquivalentConcentration> stated,
                out _
            )
        );
        Assert.Equal(1, stated.High.GermanDegrees, 1e-12);
        Assert.Throws<ArgumentException>(() =>
            QuantityText.TryParseEquivalents("t", "1 mg/L", Analyte.Phosphate, out _, out _)
        );
    }

    [Theory]
    [InlineData("7.6", true)]
    [InlineData("7.2-7.6-8.1", true)]
    [InlineData("0", true)]
    [InlineData("14", true)]
    [InlineData("14.1", false)]
    [InlineData("-1", false)]
    [InlineData("7,6", false)]
    [InlineData("7.6 pH", false)]
    [InlineData("neutral", false)]
    public void Bare_numbers_keep_to_their_range(string text, bool right)
    {
        bool parsed = QuantityText.TryParseNumber(
            "pH",
            text,
            0,
            14,
            out Stated<double> _,
            out InputProblem? problem
        );
        Assert.Equal(right, parsed);
        Assert.True(right || problem!.Expected.ToString().Contains("from 0 to 14", StringComparison.Ordinal));
    }

    [Fact]
    public void Parsing_and_printing_do_not_depend_on_the_culture()
    {
        CultureInfo before = CultureInfo.CurrentCulture;
        try
        {
            var contrary = (CultureInfo)CultureInfo.InvariantCulture.Clone();
            contrary.NumberFormat.NumberDecimalSeparator = ",";
            contrary.NumberFormat.NumberGroupSeparator = ".";
            contrary.NumberFormat.NegativeSign = "~";
            CultureInfo.CurrentCulture = contrary;
            Assert.Equal(-3.5, Exactly<TemperatureDifference>("-3.5 K").Kelvins);
            Assert.Equal("-3.5 K", TemperatureDifference.FromKelvins(-3.5).ToString());
            Assert.False(QuantityText.TryParse<Length>("t", "3,5 mm", out _, out _));
        }
        finally
        {
            CultureInfo.CurrentCulture = before;
        }
    }

    [Fact]
    public void No_text_makes_the_parsers_throw()
    {
        Gen<string> anything = Gen.String;
        Gen<string> nearly = Gen.Select(
                Gen.OneOf("<", "≤", ">", "", " ", "-", "~"),
                Gen.OneOf("0", "7", "62", ".5", "5.", "1e3", "1e-3", "1e", "9e999", "1,2", "٣", "-", "."),
                Gen.OneOf("-", "–", " to ", "..", "", " ", "--", "mg/L-", "e", " mg/L to "),
                Gen.OneOf("71", "", ".", "-4", "1e5", "4-5", "4–5–6"),
                Gen.OneOf(
                    "mg/L",
                    " mg/L as CaCO3",
                    "°dH",
                    " as ",
                    "mg/L as",
                    "()",
                    "mg/",
                    "K",
                    "\0",
                    "℃",
                    "mg/L-",
                    "-N",
                    " - - "
                )
            )
            .Select((a, b, c, d, e) => a + b + c + d + e);
        Gen.OneOf(anything, nearly)
            .Repeat()
            .Sample(
                text =>
                {
                    foreach (Analyte analyte in Analytes)
                    {
                        AssertEither(
                            QuantityText.TryParseConcentration(
                                "t",
                                text,
                                analyte,
                                out _,
                                out InputProblem? problem
                            ),
                            problem
                        );
                        _ = QuantityText.NamesBasis(text, analyte);
                    }

                    AssertEither(
                        QuantityText.TryParse<Temperature>("t", text, out _, out InputProblem? cold),
                        cold
                    );
                    AssertEither(
                        QuantityText.TryParse<TemperatureDifference>(
                            "t",
                            text,
                            out _,
                            out InputProblem? step
                        ),
                        step
                    );
                    AssertEither(
                        QuantityText.TryParse<Volume>("t", text, out _, out InputProblem? volume),
                        volume
                    );
                    AssertEither(
                        QuantityText.TryParseNumber("t", text, 0, 14, out _, out InputProblem? pH),
                        pH
                    );
                },
                iter: 20_000
            );
    }

    private static void AssertEither(bool parsed, InputProblem? problem) =>
        Assert.Equal(parsed, problem is null);

    [Fact]
    public void What_is_printed_is_read_back()
    {
        Gen.Select(Gen.Double[0, 1e6], Gen.OneOf("L", "US gal", "ft³", "mL", "imp gal"))
            .Repeat()
            .Sample(
                (number, unit) =>
                {
                    string text = $"{number.ToString("R", CultureInfo.InvariantCulture)} {unit}";
                    Volume value = Exactly<Volume>(text);
                    Volume again = Exactly<Volume>(QuantityText.Format(value, unit, 15));
                    Assert.True(Math.Abs(again.CubicMeters - value.CubicMeters) <= 1e-14 * value.CubicMeters);
                },
                iter: 5_000
            );
    }

    [Fact]
    public void Unknown_units_to_print_in_are_misuse() =>
        Assert.Throws<ArgumentException>(() => QuantityText.Format(Volume.FromLiters(1), "mg/L"));

    [Fact]
    public void Formulas_weigh_what_their_atoms_weigh()
    {
        Assert.Equal(0.100086, ChemicalFormula.MolarMass("CaCO3"), 1e-12);
        Assert.Equal(0.061016, ChemicalFormula.MolarMass("HCO3"), 1e-12);
        Assert.Throws<ArgumentException>(() => ChemicalFormula.MolarMass("Xx2"));
        Assert.Throws<ArgumentException>(() => ChemicalFormula.MolarMass("ca"));
        Assert.Throws<ArgumentException>(() => ChemicalFormula.MolarMass(""));
    }

    [Fact]
    public void Only_a_named_basis_counts_as_named()
    {
        Assert.True(QuantityText.NamesBasis("1 mg/L as N", Analyte.Nitrate));
        Assert.True(QuantityText.NamesBasis("1 mmol/L", Analyte.Nitrate));
        Assert.False(QuantityText.NamesBasis("1 mg/L", Analyte.Nitrate));
        Assert.False(QuantityText.NamesBasis("what", Analyte.Nitrate));
    }
}
