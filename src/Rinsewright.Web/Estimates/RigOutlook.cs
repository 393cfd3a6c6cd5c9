using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Treatment;
using Rig = Rinsewright.Records.Logbook.Rig;
using Stage = Rinsewright.Records.Logbook.Stage;

namespace Rinsewright.Web.Estimates;

/// <summary>How urgent a rig is.</summary>
public enum Urgency
{
    /// <summary>Nothing is known of its bed.</summary>
    Unknown,

    /// <summary>Plenty left.</summary>
    Good,

    /// <summary>Due within two weeks, or a fifth of its life is left.</summary>
    Soon,

    /// <summary>The estimate is used up, or the meter stands at the line.</summary>
    Due,
}

/// <summary>What is left in the last bed of a rig, from a plain run of the bed model and the record.</summary>
public sealed record Outlook
{
    public required RigRecord Record { get; init; }

    /// <summary>The life from new; nothing when the water or the bed is not known, or could not be computed.</summary>
    public FillLife? Life { get; init; }

    public LifeQuestion? Question { get; init; }

    /// <summary>The water, completed.</summary>
    public Completed? Water { get; init; }

    /// <summary>Litres that have passed the bed since it was filled [L].</summary>
    public double Drawn_L { get; init; }

    /// <summary>Litres left to the line, never below zero [L].</summary>
    public Interval? Left_L { get; init; }

    /// <summary>Litres through the bed in a usual week [L/week]; nothing when none was drawn lately.</summary>
    public Interval? Weekly_L { get; init; }

    /// <summary>Days until the line [d].</summary>
    public Interval? Days { get; init; }

    public Urgency Urgency { get; init; }

    /// <summary>What the estimate rests on, in words.</summary>
    public IReadOnlyList<Reason> Reasons { get; init; } = [];

    /// <summary>What would make the range narrower, or what is missing.</summary>
    public IReadOnlyList<Reason> Sharpen { get; init; } = [];
}

/// <summary>A sentence with places for values, kept apart so that it can be put in any language and unit.</summary>
/// <param name="Text">The sentence in English, a key of the texts.</param>
/// <param name="Values">Its values: litres, dates, words.</param>
public sealed record Reason(string Text, params object[] Values);

/// <summary>
/// Estimates what is left in a rig. It is the one place that the pages ask; it takes the record as it stands and runs
/// the bed model from new.
/// </summary>
public sealed class RigOutlook(LogbookStore store, SourceWaters waters, FillLives lives)
{
    private const double UsualFlow_L_min = 8;
    private const int WeeksLookedBack = 8;
    private const double DaysPerWeek = 7;
    private const double MicrosiemensPerSiemens = 1e4; // µS/cm per S/m
    private const string UsualLine = "10 ppm";

    /// <summary>The outlook of one rig, or nothing when there is no such rig.</summary>
    public async Task<Outlook?> OfAsync(Id<Rig> rig, CancellationToken cancel)
    {
        await using LogbookContext context = store.Read();
        RigRecord? record = await RigRecord.LoadAsync(context, rig, store.Clock.GetUtcNow(), cancel);
        return record is null ? null : Of(record);
    }

    /// <summary>The outlooks of all rigs, the most urgent first.</summary>
    public async Task<IReadOnlyList<Outlook>> AllAsync(CancellationToken cancel)
    {
        List<Id<Rig>> rigs;
        await using (LogbookContext context = store.Read())
        {
            rigs = await context.Live<Rig>().Select(r => r.Id).ToListAsync(cancel);
        }

        List<Outlook> found = [];
        foreach (Id<Rig> rig in rigs)
        {
            if (await OfAsync(rig, cancel) is { } outlook)
            {
                found.Add(outlook);
            }
        }

        return [.. found.OrderByDescending(o => o.Urgency).ThenBy(o => o.Days?.Middle ?? double.MaxValue)];
    }

    internal Outlook Of(RigRecord record)
    {
        (string? waterFile, Reason? fromWater) = record.WaterFile();
        List<Reason> sharpen = [];
        if (record.Bed is not { Volume_m3: not null } bed || record.Fill is not { } fill)
        {
            sharpen.Add(new Reason("Say which bed the rig has and when it was filled."));
            return new Outlook { Record = record, Sharpen = sharpen };
        }

        if (waterFile is null)
        {
            sharpen.Add(new Reason("Log one reading of the raw water."));
            return new Outlook { Record = record, Sharpen = sharpen };
        }

        LifeQuestion question = Question(record, bed, fill, waterFile);
        Completed water = waters.Of(waterFile);
        double drawn = record.Drawn_L;
        FillLife? life = lives.Of(question);
        Interval? left = life?.Liters.Select(l => Math.Max(0, l - drawn));
        Interval? weekly = Weekly(record);
        List<Reason> reasons =
        [
            fromWater!,
            new Reason(
                "The fill is from {0}; {1} have passed it since.",
                record.Local(fill.PutInAt),
                new Liters(drawn)
            ),
        ];
        if (weekly is { } week)
        {
            reasons.Add(new Reason("You draw about {0} a week through it.", new Liters(week.Middle)));
        }
        else
        {
            sharpen.Add(new Reason("Log what you draw, or the water meter, so that a date can be given."));
        }

        if (water.IsStrengthOnly)
        {
            sharpen.Add(
                new Reason(
                    "A hardness test or the utility's report narrows the range most: a meter alone does not say what is in the water."
                )
            );
        }

        if (record.LastOutlet is null)
        {
            sharpen.Add(new Reason("A reading behind the bed shows whether it still holds."));
        }

        Interval? days =
            left is { } l && weekly is { Middle: > 0 } w
                ? new Interval(
                    l.Low / w.High * DaysPerWeek,
                    l.Middle / w.Middle * DaysPerWeek,
                    w.Low > 0 ? l.High / w.Low * DaysPerWeek : double.PositiveInfinity
                )
                : null;
        return new Outlook
        {
            Record = record,
            Question = question,
            Life = life,
            Water = water,
            Drawn_L = drawn,
            Left_L = left,
            Weekly_L = weekly,
            Days = days,
            Urgency = UrgencyOf(record, question, life, left, days),
            Reasons = reasons,
            Sharpen = sharpen,
        };
    }

    private static LifeQuestion Question(RigRecord record, Stage bed, Fill fill, string waterFile)
    {
        int membrane =
            record.Stages.Where(s => s.Kind is StageKind.ReverseOsmosis).Max(s => (int?)s.Position) ?? 0;
        List<BedDesign> beds =
        [
            .. record
                .Stages.Where(s =>
                    BedDesign.IsBed(s.Kind)
                    && s.Position > membrane
                    && s.Position <= bed.Position
                    && s.Volume_m3 > 0
                )
                .Select(s => new BedDesign(
                    s.Kind,
                    1e3 * (s.Id == bed.Id ? fill.Volume_m3 ?? s.Volume_m3!.Value : s.Volume_m3!.Value),
                    s.Name
                )),
        ];
        string text = bed.ChangeOutLine_S_m is { } line
            ? FormattableString.Invariant($"{line * MicrosiemensPerSiemens:0.##} uS/cm")
            : UsualLine;
        _ = ChangeOutLine.TryParse("line", text, out ChangeOutLine? read, out _);
        return new LifeQuestion
        {
            WaterFile = waterFile,
            Beds = beds,
            Flow_L_min = record.UsualFlow_L_min ?? UsualFlow_L_min,
            Line = read!,
            MeterFactor = record.MeterFactor,
            BehindOsmosis = membrane > 0,
        };
    }

    /// <summary>Water through the bed in a week: the mean of the last weeks and how far it is known.</summary>
    private static Interval? Weekly(RigRecord record)
    {
        double[] weeks = [.. record.WeeklyDrawn_L(WeeksLookedBack)];
        double mean = weeks.DefaultIfEmpty().Average();
        if (!(mean > 0))
        {
            return null;
        }

        double spread = Math.Sqrt(weeks.Sum(w => (w - mean) * (w - mean)) / Math.Max(1, weeks.Length - 1));
        double error = 1.645 * spread / Math.Sqrt(weeks.Length);
        return new Interval(Math.Max(0.1 * mean, mean - error), mean, mean + error);
    }

    private static Urgency UrgencyOf(
        RigRecord record,
        LifeQuestion question,
        FillLife? life,
        Interval? left,
        Interval? days
    )
    {
        double? shown = record.LastOutlet is { } last ? record.InUnitOf(last, question) : null;
        if (shown >= question.Line.Value || left is { Middle: <= 0 })
        {
            return Urgency.Due;
        }

        if (life is null || left is not { } rest)
        {
            return Urgency.Unknown;
        }

        return days is { Low: < 14 } || rest.Middle < 0.2 * life.Liters.Middle ? Urgency.Soon : Urgency.Good;
    }
}

/// <summary>A volume in a sentence.</summary>
/// <param name="Value">[L]</param>
public readonly record struct Liters(double Value);
