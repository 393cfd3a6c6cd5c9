using System.Globalization;
using CsCheck;
using Rinsewright.Cli;

namespace Rinsewright.App.Tests.CommandLine;

/// <summary>Numbers for programs, tables and charts for people.</summary>
public sealed class OutputTests
{
    [Theory]
    [InlineData(6.5, "6.5")]
    [InlineData(0.055, "0.055")]
    [InlineData(1234567.8, "1234570")]
    [InlineData(1.23456789e-9, "1.23457E-09")]
    [InlineData(0, "0")]
    [InlineData(double.NaN, "null")]
    [InlineData(double.PositiveInfinity, "null")]
    public async Task Numbers_carry_six_digits_and_null_where_there_is_none(double value, string text)
    {
        CliRun run = await CliRun.OfAsync(t =>
            Task.FromResult(t.WriteJson(j => j.WriteNumber("x", value, 6)))
        );
        Assert.Equal($"{{\n  \"x\": {text}\n}}\n", run.Output);
    }

    [Fact]
    public void Numbers_survive_within_their_digits_in_any_culture() =>
        Gen
            .Double.Where(double.IsNormal)
            .Repeat()
            .Sample(value =>
            {
                CultureInfo before = CultureInfo.CurrentCulture;
                CultureInfo.CurrentCulture = new CultureInfo("")
                {
                    NumberFormat = { NumberDecimalSeparator = "," },
                };
                try
                {
                    using var output = new StringWriter();
                    using var terminal = new Terminal(TextReader.Null, output, TextWriter.Null);
                    terminal.WriteJson(j => j.WriteNumbers("x", [value]));
                    string text = output.ToString().Split('[', ']')[1];
                    double read = double.Parse(text, CultureInfo.InvariantCulture);
                    return !double.IsFinite(read) || Math.Abs(read - value) <= 5e-6 * Math.Abs(value);
                }
                finally
                {
                    CultureInfo.CurrentCulture = before;
                }
            });

    [Fact]
    public async Task Intervals_and_arrays_have_their_shape()
    {
        CliRun run = await CliRun.OfAsync(t =>
            Task.FromResult(
                t.WriteJson(j =>
                {
                    j.WriteInterval("pH", 7.6, 7.2, 8.01);
                    j.WriteNumbers("liters", [0, 1.5, double.NaN]);
                })
            )
        );
        Assert.Equal(8.01, run.Json.GetProperty("pH").GetProperty("p95").GetDouble());
        Assert.Contains("\"liters\": [0, 1.5, null]", run.Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_table_prints_brackets_as_they_are_and_numbers_to_the_right()
    {
        CliRun run = await CliRun.OfAsync(
            t =>
            {
                t.WriteTable(
                    [Heading.Words("Ion"), Heading.Number("[mg/L]")],
                    [
                        ["Na", "1.25"],
                        ["SiO2", "12"],
                    ]
                );
                return Task.FromResult(ExitCode.Done);
            },
            unicode: false
        );
        Assert.Contains("| SiO2 |     12 |", run.Output, StringComparison.Ordinal);
        Assert.Contains("| Ion  | [mg/L] |", run.Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_chart_in_ascii_draws_each_curve_in_its_letter_between_its_axes()
    {
        CliRun run = await CliRun.OfAsync(
            t =>
            {
                t.WritePlot(
                    new TextPlot("liters", "mg/L") { Height = 10 }
                        .Add("rising", [0, 100], [0, 30])
                        .Add("flat", [0, 100], [10, 10])
                        .AddLevel("change out", 20)
                );
                return Task.FromResult(ExitCode.Done);
            },
            unicode: false
        );
        string[] lines = run.Output.Split('\n');
        Assert.All(run.Output, c => Assert.True(char.IsAscii(c)));
        Assert.All(lines, line => Assert.True(line.Length <= 100, line));
        Assert.Equal("mg/L", lines[0].Trim());
        string[] field = lines[1..11];
        Assert.Contains("A", field[0][90..], StringComparison.Ordinal);
        Assert.Contains("A", field[9][..12], StringComparison.Ordinal);
        Assert.Single(field, line => line.Count(c => c == 'B') > 60);
        Assert.Contains(field, line => line.Contains("--------", StringComparison.Ordinal));
        Assert.Contains("A rising  B flat  - change out", run.Output, StringComparison.Ordinal);
    }

    [Fact]
    public void A_chart_takes_any_points_without_failing() =>
        Gen
            .Double.Array[0, 30]
            .Select(Gen.Int[10, 200], Gen.Bool)
            .Repeat()
            .Sample(
                (values, width, unicode) =>
                {
                    using var output = new StringWriter();
                    using var terminal = new Terminal(TextReader.Null, output, TextWriter.Null)
                    {
                        Width = width,
                        Unicode = unicode,
                    };
                    double[] scaled = [.. values.Select(v => v / 1e10)];
                    terminal.WritePlot(new TextPlot("x", "y").Add("any", scaled, scaled));
                    return output.ToString().Length > 0;
                }
            );

    [Theory]
    [InlineData(0, 1, 5, new[] { 0, 0.2, 0.4, 0.6, 0.8, 1 })]
    [InlineData(-3, 7.2, 4, new[] { -5.0, 0, 5, 10 })]
    [InlineData(5, 5, 5, new[] { 2.0, 4, 6, 8 })]
    public void Ticks_are_round_numbers_that_hold_every_value(
        double low,
        double high,
        int most,
        double[] ticks
    ) => Assert.Equal(ticks, AxisScale.Covering(low, high, most).Ticks, (a, b) => Math.Abs(a - b) < 1e-9);
}
