using System.Globalization;
using System.Reflection;
using Rinsewright.Quantities;
using Rinsewright.Tests.Evidence;

namespace Rinsewright.Tests.Quantities;

public sealed class ConversionTests
{
    private const string Table = "data/published/unit-definitions/conversions.csv";

    private static readonly Type[] Types =
    [
        .. typeof(IQuantity<>)
            .Assembly.GetExportedTypes()
            .Where(t =>
                t.IsValueType
                && t.GetInterfaces()
                    .Any(i => i.IsGenericType && i.GetGenericTypeDefinition() == typeof(IQuantity<>))
            ),
    ];

    public static TheoryData<string, string, string, double, double> Rows
    {
        get
        {
            TheoryData<string, string, string, double, double> rows = [];
            foreach (var row in DataTable.Read(Table).Rows)
            {
                rows.Add(
                    row.Text("type"),
                    row.Text("member"),
                    row.Text("symbol"),
                    row.Number("si_size_of_one"),
                    row.Number("si_value_of_zero")
                );
            }

            return rows;
        }
    }

    [Fact]
    public void Every_factory_has_its_property_and_its_row_in_the_table()
    {
        string[] members =
        [
            .. Types
                .SelectMany(t =>
                    t.GetMethods(BindingFlags.Public | BindingFlags.Static)
                        .Where(m => m.Name.StartsWith("From", StringComparison.Ordinal))
                        .Select(m => $"{t.Name}.{m.Name[4..]}")
                )
                .Order(StringComparer.Ordinal),
        ];
        string[] properties =
        [
            .. Types
                .SelectMany(t =>
                    t.GetProperties(BindingFlags.Public | BindingFlags.Instance)
                        .Where(p => p.PropertyType == typeof(double))
                        .Select(p => $"{t.Name}.{p.Name}")
                )
                .Order(StringComparer.Ordinal),
        ];
        string[] rows =
        [
            .. DataTable
                .Read(Table)
                .Rows.Select(r => $"{r.Text("type")}.{r.Text("member")}")
                .Order(StringComparer.Ordinal),
        ];

        Assert.Equal(14, Types.Length);
        Assert.Equal(members, properties);
        Assert.Equal(members, rows);
    }

    [Theory]
    [MemberData(nameof(Rows))]
    public void Factories_properties_and_texts_agree_with_the_definitions(
        string typeName,
        string member,
        string symbol,
        double size,
        double zero
    )
    {
        Type type = Types.Single(t => string.Equals(t.Name, typeName, StringComparison.Ordinal));
        MethodInfo check = typeof(ConversionTests)
            .GetMethod(nameof(Check), BindingFlags.NonPublic | BindingFlags.Static)!
            .MakeGenericMethod(type);
        check.Invoke(null, [member, symbol, size, zero]);
    }

    private static void Check<T>(string member, string symbol, double size, double zero)
        where T : struct, IQuantity<T>
    {
        MethodInfo factory = typeof(T).GetMethod($"From{member}")!;
        PropertyInfo property = typeof(T).GetProperty(member)!;
        foreach (double number in (double[])[0, 1, 0.3, 7, 1234.5])
        {
            double expected = zero + (number * size);
            T value = (T)factory.Invoke(null, [number])!;
            AssertClose(expected, value.SI, 1e-15);
            AssertClose(number, (double)property.GetValue(value)!, zero == 0 ? 1e-15 : 1e-12);

            string text = string.Create(CultureInfo.InvariantCulture, $"{number} {symbol}");
            Assert.True(
                QuantityText.TryParse("here", text, out Stated<T> stated, out InputProblem? problem),
                problem?.ToString()
            );
            Assert.Equal(StatementKind.Exactly, stated.Kind);
            AssertClose(value.SI, stated.High.SI, 1e-15);
            Assert.Equal(text, QuantityText.Format(stated.High, symbol));
        }
    }

    [Theory]
    [MemberData(nameof(TypeNames))]
    public void Quantities_are_ordered_by_their_size_and_described_by_their_name(string typeName)
    {
        Type type = Types.Single(t => string.Equals(t.Name, typeName, StringComparison.Ordinal));
        typeof(ConversionTests)
            .GetMethod(nameof(CheckOrder), BindingFlags.NonPublic | BindingFlags.Static)!
            .MakeGenericMethod(type)
            .Invoke(null, []);
    }

    private static void CheckOrder<T>()
        where T : struct, IQuantity<T>
    {
        T less = T.FromSI(1);
        T more = T.FromSI(2);
        Assert.Equal((true, false, false), Operator("op_LessThan"));
        Assert.Equal((false, false, true), Operator("op_GreaterThan"));
        Assert.Equal((true, true, false), Operator("op_LessThanOrEqual"));
        Assert.Equal((false, true, true), Operator("op_GreaterThanOrEqual"));
        Assert.Equal((-1, 0, 1), (Order(less, more), Order(less, less), Order(more, less)));
        string described = QuantityText.Describe<T>().ToString();
        Assert.Contains($"a {T.Name} in ", described, StringComparison.Ordinal);
        Assert.NotEmpty(T.Name.ToString());
        Assert.All(T.Units, u => Assert.Contains(u.Symbol, described, StringComparison.Ordinal));

        (bool, bool, bool) Operator(string name)
        {
            MethodInfo operation = typeof(T).GetMethod(name, [typeof(T), typeof(T)])!;
            bool Of(T left, T right) => (bool)operation.Invoke(null, [left, right])!;
            return (Of(less, more), Of(less, less), Of(more, less));
        }

        static int Order(T left, T right) => Math.Sign(((IComparable<T>)left).CompareTo(right));
    }

    private static void AssertClose(double expected, double actual, double relative) =>
        Assert.True(
            Math.Abs(actual - expected) <= relative * Math.Max(Math.Abs(expected), 1e-300),
            string.Create(CultureInfo.InvariantCulture, $"{actual:R} instead of {expected:R}")
        );

    public static TheoryData<string> TypeNames => [.. Types.Select(t => t.Name)];

    [Theory]
    [MemberData(nameof(TypeNames))]
    public void Factories_refuse_what_cannot_be(string typeName)
    {
        Type type = Types.Single(t => string.Equals(t.Name, typeName, StringComparison.Ordinal));
        bool mayBeNegative =
            type == typeof(Pressure) || type == typeof(TemperatureDifference) || type == typeof(Temperature);
        foreach (
            MethodInfo factory in type.GetMethods(BindingFlags.Public | BindingFlags.Static)
                .Where(m => m.Name.StartsWith("From", StringComparison.Ordinal))
        )
        {
            double[] impossible =
            [
                double.NaN,
                double.PositiveInfinity,
                double.NegativeInfinity,
                .. mayBeNegative ? Array.Empty<double>() : [-1e-9],
                .. type == typeof(Temperature) ? [-459.68] : Array.Empty<double>(),
            ];
            foreach (double number in impossible)
            {
                var thrown = Assert.Throws<TargetInvocationException>(() => factory.Invoke(null, [number]));
                var range = Assert.IsType<ArgumentOutOfRangeException>(thrown.InnerException);
                Assert.Equal(factory.GetParameters()[0].Name, range.ParamName);
            }
        }
    }

    [Fact]
    public void Absolute_zero_is_the_coldest_on_every_scale()
    {
        Assert.Equal(0, Temperature.FromDegreesCelsius(-273.15).Kelvins);
        Assert.Equal(0, Temperature.FromDegreesFahrenheit(-459.67).Kelvins, 1e-12);
        Assert.Throws<ArgumentOutOfRangeException>(() => Temperature.FromDegreesCelsius(-273.16));
        Assert.Throws<ArgumentOutOfRangeException>(() => Temperature.FromDegreesFahrenheit(-459.68));
    }

    [Fact]
    public void Quantities_order_and_print_with_their_unit_whatever_the_culture()
    {
        Assert.True(Volume.FromUsGallons(1) < Volume.FromImperialGallons(1));
        Assert.True(Volume.FromLiters(3) >= Volume.FromLiters(3));
        Assert.Equal("4.5 L", Volume.FromLiters(4.5).ToString());
        Assert.Equal("398 µS/cm", SpecificConductance.FromMicrosiemensPerCentimeter(398).ToString());
        Assert.Equal("18 °C", Temperature.FromDegreesFahrenheit(64.4).ToString());
    }

    [Fact]
    public void Products_of_quantities_are_quantities()
    {
        VolumeFlow flow = VolumeFlow.FromLitersPerMinute(8);
        Assert.Equal(120, (flow * TimeSpan.FromMinutes(15)).Liters, 1e-9);
        Assert.Equal(15, (Volume.FromLiters(120) / flow).TotalMinutes, 1e-7);
        Assert.Equal(5.5, (Volume.FromLiters(4.5) + Volume.FromLiters(1)).Liters, 1e-12);

        MolarConcentration calcium = MassConcentration.FromMilligramsPerLiter(40.078).ToMolar(0.040078);
        Assert.Equal(1, calcium.MillimolesPerLiter, 1e-12);
        Assert.Equal(2, calcium.ToEquivalents(2).MilliequivalentsPerLiter, 1e-12);
        Assert.Equal(1, calcium.ToEquivalents(2).ToMolar(2).MillimolesPerLiter, 1e-12);
        Assert.Equal(40.078, calcium.ToMass(0.040078).MilligramsPerLiter, 1e-9);

        TemperatureDifference rise =
            Temperature.FromDegreesFahrenheit(68) - Temperature.FromDegreesFahrenheit(50);
        Assert.Equal(18, rise.FahrenheitDegrees, 1e-9);
        Assert.Equal(68, (Temperature.FromDegreesFahrenheit(50) + rise).DegreesFahrenheit, 1e-9);
    }
}
