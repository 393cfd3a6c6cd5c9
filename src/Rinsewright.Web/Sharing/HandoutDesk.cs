using System.Collections.Immutable;
using System.Text;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Handouts.Charts;
using Rinsewright.Handouts.Labels;
using Rinsewright.Handouts.Paper;
using Rinsewright.Handouts.Plan;
using Rinsewright.Handouts.Report;
using Rinsewright.Quantities;
using Rinsewright.Records.Forecasts;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Treatment;
using Rinsewright.Web.Estimates;
using Rig = Rinsewright.Records.Logbook.Rig;

namespace Rinsewright.Web.Sharing;

/// <summary>A file to hand to others.</summary>
internal sealed record Handout(string Name, string MediaType, byte[] Content);

/// <summary>What came of asking for a handout: it, or everything that is wrong with the question.</summary>
internal sealed record Made(Handout? Handout, IReadOnlyList<InputProblem> Problems)
{
    public static Made Refused(IReadOnlyList<InputProblem> problems) => new(null, problems);
}

/// <summary>The one turn in which handouts are made.</summary>
internal sealed class HandoutTurn : IDisposable
{
    public SemaphoreSlim Semaphore { get; } = new(1, 1);

    public void Dispose() => Semaphore.Dispose();
}

/// <summary>Makes handouts of a rig, one at a time: each may take a second or two of bed model, and pages are to stay quick.</summary>
internal sealed class HandoutDesk(
    LogbookStore store,
    SourceWaters waters,
    LifeLibraries libraries,
    RigOutlook outlooks,
    HandoutTurn turn
)
{
    public const string Pdf = "application/pdf";
    public const string SvgPicture = "image/svg+xml";
    public const string Html = "text/html; charset=utf-8";
    public const string Calendar = "text/calendar; charset=utf-8";
    private const int MostCurves = 4; // colours and patterns that are told apart

    /// <summary>The chart for the wall; nothing when there is no such rig.</summary>
    public async Task<Made?> LifeChartAsync(
        Id<Rig> rig,
        string? format,
        string? paper,
        IReadOnlyList<string> flows,
        IReadOnlyList<string> lines,
        CancellationToken cancel
    )
    {
        if (await outlooks.OfAsync(rig, cancel) is not { } outlook)
        {
            return null;
        }

        List<InputProblem> wrong = [];
        bool isPdf = Format(format, "svg", wrong) is "pdf";
        Sheet sheet = SheetOf(paper, wrong);
        ImmutableArray<VolumeFlow> askedFlows = Flows(flows, wrong);
        ImmutableArray<ChangeOutLine> askedLines = Lines(lines, wrong);
        if (
            RigBed.Of(outlook.History, outlook.Now, waters, out IReadOnlyList<InputProblem> missing)
            is not { } bed
        )
        {
            wrong.AddRange(missing);
            return Made.Refused(wrong);
        }

        if (wrong.Count > 0)
        {
            return Made.Refused(wrong);
        }

        return await InTurnAsync(
            async () =>
            {
                LifeChart? chart = await Task.Run(
                    () =>
                        LifeChart.Of(
                            bed,
                            askedFlows.IsEmpty ? LifeChart.UsualFlows(bed) : askedFlows,
                            askedLines.IsEmpty ? LifeChart.UsualLines(bed) : askedLines,
                            cancel
                        ),
                    cancel
                );
                string name = $"{outlook.History.Rig.Name} life chart";
                return chart is null
                        ? Made.Refused([
                            new InputProblem("rig", outlook.History.Rig.Name, "beds that the model can run"),
                        ])
                    : isPdf
                        ? Of($"{name}.pdf", Pdf, stream => LifeChartPicture.WritePdf(stream, chart, sheet))
                    : Of($"{name}.svg", SvgPicture, LifeChartPicture.ToSvg(chart, sheet));
            },
            cancel
        );
    }

    /// <summary>The report over a period; nothing when there is no such rig.</summary>
    public async Task<Made?> ReportAsync(
        Id<Rig> rig,
        string? format,
        string? paper,
        string? from,
        string? to,
        CancellationToken cancel
    )
    {
        if (await outlooks.OfAsync(rig, cancel) is not { } outlook)
        {
            return null;
        }

        List<InputProblem> wrong = [];
        bool isPdf = Format(format, "html", wrong) is "pdf";
        Sheet sheet = SheetOf(paper, wrong);
        var period = ReportPeriod.Read(
            ("from", from),
            ("to", to),
            outlook.History.Zone,
            store.Clock.GetUtcNow(),
            wrong
        );
        if (wrong.Count > 0)
        {
            return Made.Refused(wrong);
        }

        return await InTurnAsync(
            async () =>
            {
                await using LogbookContext context = store.Read();
                PaperText text = ReportPaper.Of(
                    (
                        await Task.Run(
                            () =>
                                RigReport.OfAsync(
                                    context,
                                    rig,
                                    period.From,
                                    period.To,
                                    libraries,
                                    cancel: cancel
                                ),
                            cancel
                        )
                    )!
                );
                string name = $"{outlook.History.Rig.Name} report";
                return isPdf
                    ? Of($"{name}.pdf", Pdf, stream => PdfPaper.Write(stream, text, sheet, text.Title))
                    : Of($"{name}.html", Html, stream => HtmlPaper.Write(stream, text));
            },
            cancel
        );
    }

    /// <summary>Labels for the housings; nothing when there is no such rig.</summary>
    /// <param name="rig">The rig.</param>
    /// <param name="site">Where phones reach the pages.</param>
    /// <param name="format">pdf or svg.</param>
    /// <param name="paper">A4 or Letter.</param>
    /// <param name="cancel">Stops it.</param>
    public async Task<Made?> LabelsAsync(
        Id<Rig> rig,
        Uri site,
        string? format,
        string? paper,
        CancellationToken cancel
    )
    {
        if (await outlooks.OfAsync(rig, cancel) is not { } outlook)
        {
            return null;
        }

        List<InputProblem> wrong = [];
        bool isPdf = Format(format, "svg", wrong) is "pdf";
        var labels = LabelSheet.Of(outlook.History, site, SheetOf(paper, wrong));
        if (labels.Labels.Count == 0)
        {
            wrong.Add(
                new InputProblem(outlook.History.Rig.Name, Sentence.Of("no stage"), "a rig with its stages")
            );
        }

        string name = $"{outlook.History.Rig.Name} labels";
        return wrong.Count > 0 ? Made.Refused(wrong)
            : isPdf ? Of($"{name}.pdf", Pdf, labels.WritePdf)
            : Of($"{name}.svg", SvgPicture, labels.ToSvg());
    }

    /// <summary>The calendar file; nothing when there is no such rig.</summary>
    public async Task<Made?> CalendarAsync(Id<Rig> rig, string? hemisphere, CancellationToken cancel)
    {
        if (await PlanAsync(rig, hemisphere, cancel) is not { } made)
        {
            return null;
        }

        return made.Plan is { } plan
            ? Of(
                $"{plan.Rig} calendar.ics",
                Calendar,
                PlanCalendar.Write(plan, PlanCalendar.RevisionAt(plan.At))
            )
            : Made.Refused(made.Problems);
    }

    /// <summary>What must be done to a rig and when, by its forecast as soon as that is ready.</summary>
    public async Task<(MaintenancePlan? Plan, IReadOnlyList<InputProblem> Problems)?> PlanAsync(
        Id<Rig> rig,
        string? hemisphere,
        CancellationToken cancel
    )
    {
        if (await outlooks.SettledAsync(rig, cancel) is not { } outlook)
        {
            return null;
        }

        Hemisphere place = MaintenancePlan.HemisphereOf(outlook.History.Zone, outlook.Now.Year);
        if (
            !string.IsNullOrWhiteSpace(hemisphere)
            && !(Enum.TryParse(hemisphere, ignoreCase: true, out place) && Enum.IsDefined(place))
        )
        {
            return (null, [new InputProblem("hemisphere", hemisphere, "north, south or tropics")]);
        }

        return (await PlanOfAsync(outlook, place, cancel), []);
    }

    /// <summary>What must be done by an outlook as it stands.</summary>
    public async Task<MaintenancePlan> PlanOfAsync(
        Outlook outlook,
        Hemisphere? place,
        CancellationToken cancel
    )
    {
        Id<Rig> rig = outlook.History.Rig.Id;
        await using LogbookContext context = store.Read();
        List<Upkeep> own = await context.Live<Upkeep>().Where(u => u.RigId == rig).ToListAsync(cancel);
        return MaintenancePlan.Of(
            outlook.History,
            own,
            outlook.Forecast?.Line,
            outlook.Now,
            place ?? MaintenancePlan.HemisphereOf(outlook.History.Zone, outlook.Now.Year)
        );
    }

    private async Task<Made> InTurnAsync(Func<Task<Made>> make, CancellationToken cancel)
    {
        await turn.Semaphore.WaitAsync(cancel);
        try
        {
            return await make();
        }
        finally
        {
            turn.Semaphore.Release();
        }
    }

    private static Made Of(string name, string mediaType, Action<Stream> write)
    {
        using var content = new MemoryStream();
        write(content);
        return new Made(new Handout(name, mediaType, content.ToArray()), []);
    }

    private static Made Of(string name, string mediaType, string text) =>
        new(new Handout(name, mediaType, Encoding.UTF8.GetBytes(text)), []);

    private static string Format(string? asked, string other, List<InputProblem> problems)
    {
        string format = string.IsNullOrWhiteSpace(asked) ? "pdf" : asked.Trim().ToLowerInvariant();
        if (format is not "pdf" && !string.Equals(format, other, StringComparison.Ordinal))
        {
            problems.Add(new InputProblem("format", asked!, $"pdf or {other}"));
        }

        return format;
    }

    private static Sheet SheetOf(string? asked, List<InputProblem> problems)
    {
        if (string.IsNullOrWhiteSpace(asked))
        {
            return Sheet.A4;
        }

        if (
            Sheet.All.FirstOrDefault(s =>
                string.Equals(s.Word, asked.Trim(), StringComparison.OrdinalIgnoreCase)
            ) is
            { } sheet
        )
        {
            return sheet;
        }

        problems.Add(new InputProblem("paper", asked, "A4 or Letter"));
        return Sheet.A4;
    }

    private static ImmutableArray<VolumeFlow> Flows(IReadOnlyList<string> asked, List<InputProblem> problems)
    {
        List<VolumeFlow> flows = [];
        foreach (string text in Said("flow", asked, problems))
        {
            if (FirstMinute.Quantity<VolumeFlow>("flow", text, "L/min", problems) is { } flow)
            {
                if (flow.LitersPerMinute > 0)
                {
                    flows.Add(flow);
                }
                else
                {
                    problems.Add(new InputProblem("flow", text, "a flow above zero"));
                }
            }
        }

        return [.. flows];
    }

    private static ImmutableArray<ChangeOutLine> Lines(
        IReadOnlyList<string> asked,
        List<InputProblem> problems
    )
    {
        List<ChangeOutLine> lines = [];
        foreach (string text in Said("line", asked, problems))
        {
            if (ChangeOutLine.TryParse("line", text, out ChangeOutLine? line, out InputProblem? problem))
            {
                lines.Add(line);
            }
            else
            {
                problems.Add(problem);
            }
        }

        return [.. lines];
    }

    private static string[] Said(string place, IReadOnlyList<string> asked, List<InputProblem> problems)
    {
        string[] said = [.. asked.Where(a => !string.IsNullOrWhiteSpace(a))];
        if (said.Length > MostCurves)
        {
            problems.Add(
                new InputProblem(place, Sentence.Of($"{said.Length} of them"), $"at most {MostCurves}")
            );
        }

        return said;
    }
}
