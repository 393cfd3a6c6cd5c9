using Rinsewright.Records.Histories;
using Rinsewright.Records.Trust;
using Rinsewright.Treatment;
using Rinsewright.Web.Estimates;
using ScottPlot;

namespace Rinsewright.Web.Pictures;

/// <summary>Charts of a rig.</summary>
internal sealed class Charts(Speech speech, Ink ink)
{
    private const int Wide = 440;
    private const int High = 400;
    private const double NineInTen = 1.645; // standard deviations
    private const double LeastAhead_days = 30;

    /// <summary>What leaves the bed over its life: what is to be expected with its range, and what was read.</summary>
    public string Breakthrough(Outlook outlook)
    {
        LifeQuestion question = outlook.Question!;
        FillLife life = outlook.Life!;
        double factor = question.MeterFactor;
        Plot plot = ink.NewPlot(
            speech.IsUs ? speech["gallons through this fill"] : speech["litres through this fill"],
            speech["meter [ppm], silica [mg/L]"]
        );
        if (outlook.Forecast is { } forecast)
        {
            Band(
                plot,
                [
                    .. forecast.Curve.Select(c => new Coordinates(
                        Of(c.Liters),
                        factor * c.Conductance_uS_cm.P05
                    )),
                ],
                [
                    .. forecast.Curve.Select(c => new Coordinates(
                        Of(c.Liters),
                        factor * c.Conductance_uS_cm.P95
                    )),
                ]
            );
            Curve(
                plot,
                forecast.Curve.Select(c => (Of(c.Liters), factor * c.Conductance_uS_cm.Median)),
                speech["meter, to be expected"],
                ink.Main,
                LinePattern.Solid
            );
        }
        else
        {
            Band(plot, [.. Along(life.Early, factor)], [.. Along(life.Late, factor)]);
            Curve(
                plot,
                Along(life.Report, factor).Select(c => (c.X, c.Y)),
                speech["meter, by the model"],
                ink.Main,
                LinePattern.Solid
            );
        }

        Curve(
            plot,
            life.Report.Samples.Select(s => (Of(s.Liters), s.Silica)),
            speech["silica, which no meter sees"],
            Ink.Vermilion,
            LinePattern.Dashed
        );
        Line(plot, question);
        plot.Add.VerticalLine(Of(outlook.Drawn_L), 2, Color.FromHex(Ink.Green)).LegendText = speech["now"];
        Points(
            plot,
            outlook.OutletReads,
            r => Of(1e3 * outlook.Fill!.Draws.Where(d => d.At <= r.Reading.At).Sum(d => d.Volume_m3)),
            factor
        );
        double end = outlook.Forecast is { } known
            ? Math.Max(known.Logged_L, known.Logged_L + known.Line.Liters.Median)
            : Math.Max(life.Liters.Middle, outlook.Drawn_L);
        plot.Axes.SetLimits(
            0,
            1.1 * Of(double.IsFinite(end) ? end : outlook.Drawn_L),
            0,
            2.5 * LineInPpm(question)
        );
        plot.ShowLegend(Edge.Bottom);
        return Ink.ToSvg(plot, Wide, High);
    }

    /// <summary>Readings behind the bed over the months, the change-outs, and what is to be expected of this fill.</summary>
    public string Readings(Outlook outlook, int days)
    {
        Plot plot = ink.NewPlot("", speech["behind the bed [ppm]"]);
        double factor = outlook.MeterFactor;
        DateTimeOffset since = outlook.Now.AddDays(-days);
        StageHistory bed = outlook.Bed!;
        double At(DateTimeOffset at) =>
            TimeZoneInfo.ConvertTime(at, outlook.History.Zone).DateTime.ToOADate();
        DateTimeOffset until = outlook.Now;
        if (outlook.Forecast is { } forecast)
        {
            ExpectedOutlet[] curve = [.. forecast.Curve.Where(c => c.At >= since)];
            DateTimeOffset ahead = outlook.Now.AddDays(Math.Max(days, LeastAhead_days));
            until = forecast.Curve[^1].At < ahead ? forecast.Curve[^1].At : ahead;
            Band(
                plot,
                [.. curve.Select(c => new Coordinates(At(c.At), factor * c.Conductance_uS_cm.P05))],
                [.. curve.Select(c => new Coordinates(At(c.At), factor * c.Conductance_uS_cm.P95))]
            );
            Curve(
                plot,
                curve.Select(c => (At(c.At), factor * c.Conductance_uS_cm.Median)),
                speech["to be expected of this fill"],
                ink.Main,
                LinePattern.Solid
            );
            plot.Add.VerticalLine(At(outlook.Now), 2, Color.FromHex(Ink.Green)).LegendText = speech["now"];
        }

        TrustedReading[] shown =
        [
            .. outlook
                .History.StrengthAt(Records.Logbook.Place.Outlet, bed.Stage.Id)
                .Where(r => r.Reading.At >= since && r.Reading.At <= outlook.Now),
        ];
        Points(plot, shown, r => At(r.Reading.At), factor);
        bool isFirst = true;
        foreach (FillHistory fill in bed.Fills.Where(f => f.Fill.PutInAt >= since))
        {
            var change = plot.Add.VerticalLine(
                At(fill.Fill.PutInAt),
                2,
                Color.FromHex(ink.Quiet),
                LinePattern.Dashed
            );
            if (isFirst)
            {
                change.LegendText = speech["new fill"];
                isFirst = false;
            }
        }

        double most = shown
            .Select(r => 1.1 * factor * r.Corrected!.Conductance_uS_cm.Mean)
            .DefaultIfEmpty(0)
            .Max();
        if (outlook.Question is { } question)
        {
            Line(plot, question);
            most = Math.Max(most, 1.5 * LineInPpm(question));
        }

        var dates = plot.Axes.DateTimeTicksBottom();
        ((ScottPlot.TickGenerators.DateTimeAutomatic)dates.TickGenerator).LabelFormatter = at =>
            speech.DayOfYear(DateOnly.FromDateTime(at));
        plot.Axes.Color(Color.FromHex(ink.Text));
        plot.Axes.SetLimits(At(since), At(until), 0, Math.Max(most, 1));
        plot.ShowLegend(Edge.Bottom);
        return Ink.ToSvg(plot, Wide, High);
    }

    /// <summary>Corrected readings with their uncertainty; those with a doubt are hollow.</summary>
    private void Points(
        Plot plot,
        IEnumerable<TrustedReading> readings,
        Func<TrustedReading, double> x,
        double factor
    )
    {
        foreach (IGrouping<bool, TrustedReading> group in readings.GroupBy(IsDoubtful).OrderBy(g => g.Key))
        {
            double[] xs = [.. group.Select(x)];
            double[] ys = [.. group.Select(r => factor * r.Corrected!.Conductance_uS_cm.Mean)];
            var bars = plot.Add.ErrorBar(
                xs,
                ys,
                [.. group.Select(r => NineInTen * factor * r.Corrected!.Conductance_uS_cm.StandardDeviation)]
            );
            bars.Color = Color.FromHex(Ink.Orange);
            var points = plot.Add.ScatterPoints(xs, ys);
            points.MarkerShape = group.Key ? MarkerShape.OpenDiamond : MarkerShape.FilledDiamond;
            points.MarkerSize = 10;
            points.MarkerLineWidth = 2;
            points.Color = Color.FromHex(Ink.Orange);
            points.LegendText = group.Key
                ? speech["read, but doubtful"]
                : speech["read, corrected for the meter"];
        }
    }

    /// <summary>Cold water and carbon dioxide are taken into account; a slip is not.</summary>
    private static bool IsDoubtful(TrustedReading reading) =>
        reading.Remarks.Any(r => r.Fault is ReadingFault.Unsettled or ReadingFault.Contaminated);

    private void Line(Plot plot, LifeQuestion question)
    {
        if (question.Line.Kind is LineKind.Conductivity or LineKind.MeterReading)
        {
            plot
                .Add.HorizontalLine(LineInPpm(question), 2, Color.FromHex(ink.Text), LinePattern.Dotted)
                .LegendText = speech["change-out line"];
        }
    }

    private void Band(Plot plot, Coordinates[] low, Coordinates[] high)
    {
        var band = plot.Add.Polygon([.. low, .. high.Reverse()]);
        band.FillColor = Color.FromHex(ink.Main).WithAlpha(60);
        band.LineWidth = 0;
        band.LegendText = speech["its range, nine times in ten"];
    }

    private static void Curve(
        Plot plot,
        IEnumerable<(double X, double Y)> points,
        string name,
        string color,
        LinePattern pattern
    )
    {
        (double X, double Y)[] all = [.. points];
        var curve = plot.Add.ScatterLine(all.Select(p => p.X).ToArray(), all.Select(p => p.Y).ToArray());
        curve.Color = Color.FromHex(color);
        curve.LineWidth = 3;
        curve.LinePattern = pattern;
        curve.LegendText = name;
    }

    private IEnumerable<Coordinates> Along(EffluentReport report, double factor) =>
        report.Samples.Select(s => new Coordinates(Of(s.Liters), factor * s.Conductivity25));

    private static double LineInPpm(LifeQuestion question) =>
        question.Line.Kind is LineKind.Conductivity
            ? question.MeterFactor * question.Line.Value
            : question.Line.Value;

    private double Of(double liters) => speech.IsUs ? liters / Speech.LitersPerUsGallon : liters;
}
