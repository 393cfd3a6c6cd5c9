using Rinsewright.Records.Logbook;
using Rinsewright.Treatment;
using Rinsewright.Web.Estimates;
using ScottPlot;

namespace Rinsewright.Web.Pictures;

/// <summary>Charts of a rig.</summary>
internal sealed class Charts(Speech speech, Ink ink)
{
    private const int Wide = 440;
    private const int High = 400;
    private const double LitersPerUsGallon = 3.785411784;

    /// <summary>What leaves the bed over its life: the model's curves with their range, and what was read.</summary>
    public string Breakthrough(Outlook outlook)
    {
        LifeQuestion question = outlook.Question!;
        FillLife life = outlook.Life!;
        double factor = question.MeterFactor;
        Plot plot = ink.NewPlot(
            speech.IsUs ? speech["gallons through this fill"] : speech["litres through this fill"],
            speech["meter [ppm], silica [mg/L]"]
        );
        double most = 2.5 * LineInPpm(question);
        Band(plot, life, factor);
        Curve(
            plot,
            life.Report,
            s => factor * s.Conductivity25,
            speech["meter, by the model"],
            ink.Main,
            LinePattern.Solid
        );
        Curve(
            plot,
            life.Report,
            s => s.Silica,
            speech["silica, which no meter sees"],
            Ink.Vermilion,
            LinePattern.Dashed
        );
        var line = plot.Add.HorizontalLine(
            LineInPpm(question),
            2,
            Color.FromHex(ink.Text),
            LinePattern.Dotted
        );
        line.LegendText = speech["change-out line"];
        var now = plot.Add.VerticalLine(Of(outlook.Drawn_L), 2, Color.FromHex(Ink.Green));
        now.LegendText = speech["now"];
        (double[] xs, double[] ys) = Readings(outlook);
        if (xs.Length > 0)
        {
            var points = plot.Add.ScatterPoints(xs, ys);
            points.MarkerShape = MarkerShape.FilledDiamond;
            points.MarkerSize = 10;
            points.Color = Color.FromHex(Ink.Orange);
            points.LegendText = speech["read"];
        }

        plot.Axes.SetLimits(0, 1.1 * Of(Math.Max(life.Liters.Middle, outlook.Drawn_L)), 0, most);
        plot.ShowLegend(Edge.Bottom);
        return Ink.ToSvg(plot, Wide, High);
    }

    /// <summary>Readings behind the bed over the months, with the change-outs.</summary>
    public string Readings(
        RigRecord record,
        IReadOnlyList<Reading> readings,
        IReadOnlyList<Fill> fills,
        double? line_ppm
    )
    {
        Plot plot = ink.NewPlot("", speech["behind the bed [ppm]"]);
        DateTime[] times = [.. readings.Select(r => Local(record, r.At))];
        double[] shown = [.. readings.Select(r => record.MeterFactor * record.Conductance_uS_cm(r))];
        var points = plot.Add.Scatter(times, shown);
        points.Color = Color.FromHex(ink.Main);
        points.LegendText = speech["read"];
        points.MarkerSize = 7;
        foreach (Fill fill in fills)
        {
            var change = plot.Add.VerticalLine(
                Local(record, fill.PutInAt).ToOADate(),
                2,
                Color.FromHex(Ink.Green),
                LinePattern.Dashed
            );
            if (fill == fills[0])
            {
                change.LegendText = speech["new fill"];
            }
        }

        if (line_ppm is { } ppm)
        {
            plot.Add.HorizontalLine(ppm, 2, Color.FromHex(ink.Text), LinePattern.Dotted).LegendText = speech[
                "change-out line"
            ];
        }

        var dates = plot.Axes.DateTimeTicksBottom();
        ((ScottPlot.TickGenerators.DateTimeAutomatic)dates.TickGenerator).LabelFormatter = at =>
            at.ToString("d MMM", System.Globalization.CultureInfo.InvariantCulture);
        plot.Axes.Color(Color.FromHex(ink.Text));
        plot.Axes.SetLimitsY(
            0,
            Math.Max(
                1.2 * (line_ppm ?? 10),
                readings
                    .Select(r => 1.1 * record.MeterFactor * record.Conductance_uS_cm(r))
                    .DefaultIfEmpty(0)
                    .Max()
            )
        );
        plot.ShowLegend(Edge.Bottom);
        return Ink.ToSvg(plot, Wide, High);
    }

    private static DateTime Local(RigRecord record, DateTimeOffset at) =>
        TimeZoneInfo.ConvertTime(at, record.Zone).DateTime;

    private void Band(Plot plot, FillLife life, double factor)
    {
        double[] low = [.. life.Early.Samples.Select(s => factor * s.Conductivity25)];
        double[] early = [.. life.Early.Samples.Select(s => Of(s.Liters))];
        double[] high = [.. life.Late.Samples.Select(s => factor * s.Conductivity25)];
        double[] late = [.. life.Late.Samples.Select(s => Of(s.Liters))];
        Coordinates[] outline =
        [
            .. early.Zip(low, (x, y) => new Coordinates(x, y)),
            .. late.Zip(high, (x, y) => new Coordinates(x, y)).Reverse(),
        ];
        var band = plot.Add.Polygon(outline);
        band.FillColor = Color.FromHex(ink.Main).WithAlpha(60);
        band.LineWidth = 0;
        band.LegendText = speech["its range, nine times in ten"];
    }

    private void Curve(
        Plot plot,
        EffluentReport report,
        Func<EffluentSample, double> value,
        string name,
        string color,
        LinePattern pattern
    )
    {
        double[] xs = [.. report.Samples.Select(s => Of(s.Liters))];
        double[] ys = [.. report.Samples.Select(value)];
        var curve = plot.Add.ScatterLine(xs, ys);
        curve.Color = Color.FromHex(color);
        curve.LineWidth = 3;
        curve.LinePattern = pattern;
        curve.LegendText = name;
    }

    private static (double[] X, double[] Y) Unzip(IEnumerable<(double X, double Y)> points)
    {
        (double X, double Y)[] all = [.. points];
        return ([.. all.Select(p => p.X)], [.. all.Select(p => p.Y)]);
    }

    /// <summary>Readings of this fill against the litres that had passed when they were taken.</summary>
    private (double[] X, double[] Y) Readings(Outlook outlook) =>
        Unzip(
            outlook.Record.OutletReads.Select(r =>
                (
                    Of(
                        1e3
                            * outlook
                                .Record.Draws.Where(d => d.At >= outlook.Record.Fill!.PutInAt && d.At <= r.At)
                                .Sum(d => d.Volume_m3)
                    ),
                    outlook.Question!.MeterFactor * outlook.Record.Conductance_uS_cm(r)
                )
            )
        );

    private static double LineInPpm(LifeQuestion question) =>
        question.Line.Kind is LineKind.Conductivity
            ? question.MeterFactor * question.Line.Value
            : question.Line.Value;

    private double Of(double liters) => speech.IsUs ? liters / LitersPerUsGallon : liters;
}
