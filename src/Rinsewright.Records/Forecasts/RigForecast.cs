using System.Collections.Concurrent;
using System.Collections.Immutable;
using Rinsewright.Forecasting;
using Rinsewright.Quantities;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Trust;
using Rinsewright.Treatment;
using Rinsewright.Water;
using Meter = Rinsewright.Records.Logbook.Meter;
using Stage = Rinsewright.Records.Logbook.Stage;

namespace Rinsewright.Records.Forecasts;

/// <summary>What a change costs, and what it costs to be late, in any one money.</summary>
/// <param name="Fill">Filling one bed anew with all that goes with it.</param>
/// <param name="SpotPerLiter">A litre used past the line [1/L].</param>
public sealed record ChangeCosts(double Fill, double SpotPerLiter);

/// <summary>What a rig's record says of the fill in its last bed, made into a forecast.</summary>
public sealed record RigForecast
{
    private const int EarlierFills = 3;
    private const int LeastReadings = 3;
    private const int EarlierMembers = 300;
    private const int WaterMembers = 128;
    private const double UsualFlow_L_min = 8;
    private const double LitersPerCubicMeter = 1000;
    private static readonly TimeSpan MostAfter = TimeSpan.FromDays(1);
    private const double MicrosiemensPerSiemens = 1e4; // µS/cm per S/m

    /// <summary>The record it rests on.</summary>
    public required RigHistory History { get; init; }

    /// <summary>The bed.</summary>
    public required StageHistory Stage { get; init; }

    /// <summary>The fill in it.</summary>
    public required FillHistory Fill { get; init; }

    /// <summary>The first of the beds that are forecast together.</summary>
    public required StageHistory FirstBed { get; init; }

    /// <summary>What the forecast was told.</summary>
    public required FillCase Case { get; init; }

    /// <summary>The answers.</summary>
    public required FillForecast Answers { get; init; }

    /// <summary>What it rests on and what would sharpen it, in words.</summary>
    public required ImmutableArray<Sentence> Remarks { get; init; }

    /// <summary>The moment of asking.</summary>
    public required DateTimeOffset At { get; init; }

    /// <summary>Everything that its library of lives depends on.</summary>
    private string LibraryKey { get; init; } = "";

    private ImmutableArray<Id<Meter>?> MetersRead { get; init; }

    private int Seed { get; init; }

    /// <summary>What was computed of rotation: readings do not change it, so the forecasts after this one share it.</summary>
    private ConcurrentDictionary<(ChangeOutLine Line, double MeterFactor), Rotation?> Rotations { get; } =
        new();

    /// <summary>Litres that a wash takes through the bed; nothing when the record does not say [L].</summary>
    public double? LitersPerWash
    {
        get
        {
            int washes = Fill.Draws.Sum(d => d.Washes ?? 0);
            return washes > 0
                ? LitersPerCubicMeter * Fill.Draws.Where(d => d.Washes is > 0).Sum(d => d.Volume_m3) / washes
                : null;
        }
    }

    /// <summary>Forecasts the fill in a rig's last bed.</summary>
    /// <param name="history">The record of the rig.</param>
    /// <param name="now">The moment of asking.</param>
    /// <param name="members">Members of the forecast.</param>
    /// <param name="seed">Seed; the same record, moment and seed give the same answers.</param>
    /// <param name="problems">Why there is no forecast; empty when there is one.</param>
    /// <param name="libraries">Where libraries of lives are kept from forecast to forecast; empty to simulate anew.</param>
    /// <param name="progress">Told the fraction done [-].</param>
    /// <param name="cancel">Stops it.</param>
    public static RigForecast? Of(
        RigHistory history,
        DateTimeOffset now,
        int members,
        int seed,
        out IReadOnlyList<InputProblem> problems,
        LifeLibraries? libraries = null,
        IProgress<double>? progress = null,
        CancellationToken cancel = default
    )
    {
        List<InputProblem> found = [];
        problems = found;
        if (history.Polisher is not { } stage)
        {
            found.Add(RigProblems.NoBed(history.Rig));
            return null;
        }

        if (stage.FillAt(now) is not { } fill)
        {
            found.Add(RigProblems.Empty(stage.Stage));
            return null;
        }

        if (BedLine.Of(history, stage, fill.Fill) is not { } beds)
        {
            found.Add(RigProblems.NoVolume(stage.Stage));
            return null;
        }

        List<Sentence> remarks = [];
        if (WaterAt(history, now, remarks, found) is not { } source)
        {
            return null;
        }

        WaterComposition?[] feeds = [.. source.Members.Select(beds.Feed)];
        if (feeds.Contains(null))
        {
            found.Add(
                new InputProblem(
                    history.Rig.Name,
                    Sentence.Of("its membrane"),
                    "a water that the membrane can be worked out for"
                )
            );
            return null;
        }

        if (beds.Beds.Length > 1)
        {
            remarks.Add(Sentence.Of("The beds before the last count as filled together with it."));
        }

        ImmutableArray<WaterComposition> waters = [.. feeds!];
        VolumeFlow flow = FlowOf(fill, remarks);
        string key = KeyOf(history, beds, now, flow, seed);
        LifeLibrary library = (libraries ?? new LifeLibraries()).Of(
            key,
            () => LifeLibrary.Build(beds.Beds, waters, flow, LifeLibrary.UsualCount, seed, progress, cancel)
        );
        FillCase CaseOf(FillHistory of, DateTimeOffset at, StretchPrior stretch) =>
            new()
            {
                Beds = beds.Beds,
                Waters = waters,
                Flow = flow,
                Draws = [.. DrawsOf(history, of, at, now)],
                Readings = [.. ReadingsOf(history, beds, of, at)],
                Meters = MetersOf(history, beds, of, at),
                Stretch = stretch,
                Now = (at - of.Fill.PutInAt).TotalDays,
                Usage = PastUse.Of(history, stage, at),
            };

        List<(double, double)> earlier = [];
        foreach (
            FillHistory past in stage
                .Fills.Where(f => f.Fill.TakenOutAt <= fill.Fill.PutInAt)
                .TakeLast(EarlierFills)
        )
        {
            FillCase of = CaseOf(past, past.Fill.TakenOutAt!.Value, StretchPrior.Usual);
            if (of.Readings.Length >= LeastReadings && past.Fill.Volume_m3 == fill.Fill.Volume_m3)
            {
                earlier.Add(FillForecast.Of(of, library, EarlierMembers, seed).Stretch);
            }
        }

        if (earlier.Count > 0)
        {
            remarks.Add(
                earlier.Count == 1
                    ? Sentence.Of("The fill before has taught how far fills of this bed go.")
                    : Sentence.Of(
                        $"{earlier.Count} earlier fills of this bed have taught how far its fills go."
                    )
            );
        }

        FillCase current = CaseOf(fill, now, StretchPrior.After(earlier));
        if (current.Readings.Length == 0)
        {
            remarks.Add(
                Sentence.Of("No reading of this fill yet: one at the outlet would sharpen the answer.")
            );
        }

        return new RigForecast
        {
            History = history,
            Stage = stage,
            Fill = fill,
            FirstBed = beds.Stages[0],
            Case = current,
            Answers = FillForecast.Of(current, library, members, seed),
            Remarks = [.. remarks],
            At = now,
            LibraryKey = key,
            MetersRead = [.. MetersIn(history, beds, fill, now)],
            Seed = seed,
        };
    }

    /// <summary>
    /// What moving up the beds gives instead of filling all of them at a line; nothing where there is one alone, or where they
    /// cannot change places.
    /// </summary>
    /// <param name="line">The line.</param>
    /// <param name="meterFactor">Factor from conductivity to TDS for lines in ppm [-].</param>
    public Rotation? RotationAt(ChangeOutLine line, double meterFactor) =>
        Rotations.GetOrAdd((line, meterFactor), at => Rotation.Of(Case, at.Line, at.MeterFactor, Seed));

    /// <summary>When to change the beds at the least expected cost.</summary>
    /// <param name="line">The line past which washes spot.</param>
    /// <param name="meterFactor">Factor from conductivity to TDS for lines in ppm [-].</param>
    /// <param name="costs">What it costs.</param>
    public ChangeAdvice WhenToChange(ChangeOutLine line, double meterFactor, ChangeCosts costs) =>
        Answers.WhenToChange(line, meterFactor, costs.Fill * Case.Beds.Length, costs.SpotPerLiter);

    /// <summary>
    /// The forecast a little later: draws and readings that came since are counted without starting from nothing. Nothing when
    /// it has to be made anew: after a day, when anything else was written, or when another meter was read.
    /// </summary>
    /// <param name="history">The record of the rig as it is now.</param>
    /// <param name="now">The moment of asking.</param>
    public RigForecast? After(RigHistory history, DateTimeOffset now)
    {
        if (
            now < At
            || now - At > MostAfter
            || history.StateUntil(At) != History.StateUntil(At)
            || history.Polisher is not { } stage
            || stage.FillAt(now) is not { } fill
            || fill.Fill.Id != Fill.Fill.Id
            || BedLine.Of(history, stage, fill.Fill) is not { } beds
            || !string.Equals(
                KeyOf(history, beds, now, FlowOf(fill, []), Seed),
                LibraryKey,
                StringComparison.Ordinal
            )
            || !MetersRead.SequenceEqual(MetersIn(history, beds, fill, now))
        )
        {
            return null;
        }

        FillCase later = Case with
        {
            Draws = [.. DrawsOf(history, fill, now, now)],
            Readings = [.. ReadingsOf(history, beds, fill, now)],
            Now = (now - fill.Fill.PutInAt).TotalDays,
            Usage = PastUse.Of(history, stage, now),
        };
        return this with
        {
            History = history,
            Stage = stage,
            Fill = fill,
            Case = later,
            Answers = Answers.With(later),
            At = now,
        };
    }

    internal static SourceWater? WaterAt(
        RigHistory history,
        DateTimeOffset now,
        List<Sentence> remarks,
        List<InputProblem> problems
    )
    {
        SourceAt at = history.SourceAt(now);
        if (at.BestWaterFile is not { } file)
        {
            problems.Add(RigProblems.NoWater(history.Rig));
            return null;
        }

        if (at.OldReadAt is { } old)
        {
            remarks.Add(
                Sentence.Of(
                    $"The raw water was last read on {old:yyyy-MM-dd}: a new reading at the tap would sharpen the answer."
                )
            );
        }

        if (at.WaterFile is null)
        {
            remarks.Add(
                Sentence.Of(
                    "Only the strength of the source is known; hardness and silica drops would narrow the range."
                )
            );
        }

        if (
            !WaterFile.TryRead(
                file,
                out WaterAnalysis? analysis,
                out IReadOnlyList<InputProblem> found,
                out IReadOnlyList<Sentence> said
            )
        )
        {
            problems.AddRange(found);
            return null;
        }

        SourceWater? source = SourceWater.Complete(
            analysis,
            new WaterMode(),
            WaterMembers,
            seed: 1,
            out found
        );
        problems.AddRange(found);
        remarks.AddRange(said);
        return source;
    }

    /// <summary>Everything that the lives depend on.</summary>
    private static string KeyOf(
        RigHistory history,
        BedLine beds,
        DateTimeOffset now,
        VolumeFlow flow,
        int seed
    ) =>
        string.Join(
            '|',
            [
                history.Rig.RigFile ?? "",
                .. beds.Stages.Zip(
                    beds.Beds,
                    (s, b) => FormattableString.Invariant($"{s.Stage.Kind}:{b.Volume.CubicMeters:R}")
                ),
                beds.Membrane is null ? "" : "membrane",
                history.SourceAt(now).BestWaterFile,
                FormattableString.Invariant($"{flow.CubicMetersPerSecond:R}:{seed}"),
            ]
        );

    internal static VolumeFlow FlowOf(FillHistory fill, List<Sentence> remarks)
    {
        if (fill.UsualFlow is { } flow)
        {
            return flow;
        }

        remarks.Add(Sentence.Of("No flow is written down: 8 L/min is taken."));
        return VolumeFlow.FromLitersPerMinute(UsualFlow_L_min);
    }

    private static IEnumerable<LoggedDraw> DrawsOf(
        RigHistory history,
        FillHistory fill,
        DateTimeOffset at,
        DateTimeOffset now
    )
    {
        double? usual = StatedAt(history, now);
        return Passed(history, fill)
            .Where(d => d.At <= at)
            .OrderBy(d => d.At)
            .Select(d => new LoggedDraw(
                (d.At - fill.Fill.PutInAt).TotalDays,
                LitersPerCubicMeter * d.Volume_m3,
                usual is { } u && StatedAt(history, d.At) is { } then ? then / u : 1
            ));
    }

    /// <summary>Water through a fill: what was logged, and what the water meter counted beyond that while the fill was in.</summary>
    internal static IEnumerable<(DateTimeOffset At, double Volume_m3)> Passed(
        RigHistory history,
        FillHistory fill
    ) =>
        fill
            .Draws.Select(d => (d.At, d.Volume_m3))
            .Concat(Unlogged(history, fill).Select(p => (p.To, p.Unlogged_m3)));

    /// <summary>What the water meter counted while a fill was in, and nobody wrote down.</summary>
    internal static IEnumerable<MeteredPeriod> Unlogged(RigHistory history, FillHistory fill) =>
        history.Metered.Where(p => p.Unlogged_m3 > 0 && fill.WasInAt(p.From) && fill.WasInAt(p.To));

    private static double? StatedAt(RigHistory history, DateTimeOffset at) =>
        history.SeasonAt(at)?.SpecificConductance_S_m is { } s and > 0 ? MicrosiemensPerSiemens * s : null;

    /// <summary>Whether a reading was taken of what leaves a stage: behind it, or at the nozzle when it is the last.</summary>
    internal static bool IsOfOutlet(RigHistory history, Stage stage, Reading reading) =>
        reading.Place is Place.Outlet && reading.StageId == stage.Id
        || reading.Place is Place.Nozzle && history.Stages[^1].Stage.Id == stage.Id;

    private static IEnumerable<(TrustedReading Reading, ReadingSide Side)> Strengths(
        RigHistory history,
        BedLine beds,
        FillHistory fill,
        DateTimeOffset at
    )
    {
        Stage last = beds.Stages[^1].Stage;
        return history
            .Readings.Where(r => r.Corrected is not null && r.Reading.At <= at && fill.WasInAt(r.Reading.At))
            .SelectMany(r =>
                (IEnumerable<(TrustedReading, ReadingSide)>)(
                    IsOfOutlet(history, last, r.Reading) ? [(r, ReadingSide.Outlet)]
                    : beds.IsOfFeed(r.Reading) ? [(r, ReadingSide.Inlet)]
                    : []
                )
            );
    }

    private static IEnumerable<FillReading> ReadingsOf(
        RigHistory history,
        BedLine beds,
        FillHistory fill,
        DateTimeOffset at
    )
    {
        List<Id<Meter>?> meters = [.. MetersIn(history, beds, fill, at)];
        return Strengths(history, beds, fill, at)
            .Select(r =>
            {
                Reading reading = r.Reading.Reading;
                DateTimeOffset? before = fill
                    .Draws.Where(d => d.At < reading.At)
                    .Select(d => (DateTimeOffset?)d.At)
                    .LastOrDefault();
                return new FillReading(
                    (reading.At - fill.Fill.PutInAt).TotalDays,
                    r.Side,
                    Math.Max(r.Reading.Corrected!.Conductance_uS_cm.Mean, 0),
                    r.Reading.Corrected.Resolution_uS_cm,
                    reading.IsBelowLimit,
                    meters.IndexOf(reading.MeterId)
                )
                {
                    Flow = reading.Flow_m3_s is { } f and > 0 ? VolumeFlow.FromCubicMetersPerSecond(f) : null,
                    HoursStanding = before is { } last ? (reading.At - last).TotalHours : null,
                    IsSettled = reading.IsSettled,
                };
            });
    }

    private static IEnumerable<Id<Meter>?> MetersIn(
        RigHistory history,
        BedLine beds,
        FillHistory fill,
        DateTimeOffset at
    ) => Strengths(history, beds, fill, at).Select(r => r.Reading.Reading.MeterId).Distinct();

    /// <summary>The readings are already corrected by the bench checks, so what is left is what those leave open.</summary>
    private static ImmutableArray<MeterPrior> MetersOf(
        RigHistory history,
        BedLine beds,
        FillHistory fill,
        DateTimeOffset at
    )
    {
        ImmutableArray<MeterPrior> used =
        [
            .. MetersIn(history, beds, fill, at)
                .Select(id =>
                {
                    MeterCalibration known = (
                        id is { } named && history.Meters.TryGetValue(named, out MeterTrust? trust)
                            ? trust
                            : MeterTrust.OfNoMeter
                    ).At(at);
                    return new MeterPrior(
                        GainSd: Math.Sqrt(known.GainVariance) / known.Gain,
                        OffsetSd: Math.Sqrt(known.OffsetVariance)
                    );
                }),
        ];
        return used.IsEmpty ? [new MeterPrior()] : used;
    }
}
