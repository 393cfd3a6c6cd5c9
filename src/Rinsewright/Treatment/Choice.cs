using Rinsewright.Quantities;

namespace Rinsewright.Treatment;

/// <summary>
/// Looks for the cheapest train that holds a line, and shows what is given up for what (docs/models/choice.md): every
/// plan over generic sizes gets quick figures, the best of them are run in full.
/// </summary>
public static class Choice
{
    private const double ProgressOfPlans = 0.5;
    private const decimal LeastMoney = 0.01m;
    private static readonly Sentence TooRisky = Sentence.Of("over the risk allowed");

    /// <summary>Searches.</summary>
    /// <param name="request">What the train is wanted for.</param>
    /// <param name="progress">Told the share of the work that is done [-].</param>
    /// <param name="cancellation">Stops the search.</param>
    /// <exception cref="OperationCanceledException">It was stopped.</exception>
    public static ChoiceResult Search(
        ChoiceRequest request,
        IProgress<double>? progress = null,
        CancellationToken cancellation = default
    )
    {
        var quick = new QuickTrain(request);
        var risk = new ChoiceRisk(request, quick);
        Dictionary<Sentence, int> rejected = [];
        List<TrainChoice> holding = [];
        List<TrainPlan> plans = [.. Plans()];
        for (int i = 0; i < plans.Count; i++)
        {
            cancellation.ThrowIfCancellationRequested();
            (TrainChoice? choice, Sentence? reason) = quick.Judge(plans[i]);
            choice = choice is null ? null : risk.Judge(choice);
            if (choice?.Risk > request.MostRisk)
            {
                (choice, reason) = (null, TooRisky);
            }

            if (choice is not null)
            {
                holding.Add(choice);
            }
            else if (reason is not null)
            {
                rejected[reason] = rejected.GetValueOrDefault(reason) + 1;
            }

            if (i % 1000 == 0)
            {
                progress?.Report(ProgressOfPlans * i / plans.Count);
            }
        }

        List<TrainChoice> front = Front(holding);
        List<TrainChoice> full = RunBest(request, holding, front, risk, rejected, progress, cancellation);
        TrainChoice? best = full.Count > 0 ? full[0] : null;
        TrainChoice? second = full.Count > 1 ? full[1] : null;
        Dictionary<TrainPlan, TrainChoice> run = full.ToDictionary(c => c.Plan);
        return new ChoiceResult(
            best,
            second,
            best is not null && second is not null ? WhyLost(best, second, request) : null,
            [.. front.Select(c => run.GetValueOrDefault(c.Plan, c)).OrderBy(c => c.PerYear)],
            plans.Count,
            rejected
        );
    }

    /// <summary>Every plan over the generic sizes.</summary>
    internal static IEnumerable<TrainPlan> Plans()
    {
        Housing?[] carbons = [null, .. HousingCatalog.All.Where(h => h.CarbonBlock is not null)];
        Housing?[] softeners = [null, .. HousingCatalog.All.Where(h => h.CarbonBlock is null)];
        List<OsmosisPlan?> osmoses = [null];
        foreach (int elements in (int[])[1, 2, 3])
        {
            foreach (double recovery in (double[])[0.25, 0.5, 0.75])
            {
                osmoses.Add(new OsmosisPlan(elements, recovery, Boosted: false));
                osmoses.Add(new OsmosisPlan(elements, recovery, Boosted: true));
            }
        }

        List<(Housing?, int, BedArrangement)> beds = [(null, 0, BedArrangement.Series)];
        foreach (Housing housing in HousingCatalog.All)
        {
            beds.Add((housing, 1, BedArrangement.Series));
            foreach (int count in (int[])[2, 3])
            {
                beds.Add((housing, count, BedArrangement.Series));
                beds.Add((housing, count, BedArrangement.Parallel));
            }

            beds.Add((housing, 2, BedArrangement.LeadLag));
        }

        return from sediment in (bool[])[true, false]
            from carbon in carbons
            from softener in softeners
            from osmosis in osmoses
            from bed in beds
            select new TrainPlan(sediment, carbon, softener, osmosis, bed.Item1, bed.Item2, bed.Item3);
    }

    /// <summary>Those that no other beats.</summary>
    internal static List<TrainChoice> Front(List<TrainChoice> choices)
    {
        // In this order no later one beats an earlier one.
        List<TrainChoice> front = [];
        IEnumerable<TrainChoice> ordered = choices
            .OrderBy(c => c.PerYear)
            .ThenBy(c => c.FirstCost)
            .ThenBy(c => c.VisitsPerYear)
            .ThenBy(c => c.Risk);
        foreach (TrainChoice choice in ordered)
        {
            if (!front.Exists(f => f.Beats(choice)))
            {
                front.Add(choice);
            }
        }

        return front;
    }

    private static List<TrainChoice> RunBest(
        ChoiceRequest request,
        List<TrainChoice> holding,
        List<TrainChoice> front,
        ChoiceRisk risk,
        Dictionary<Sentence, int> rejected,
        IProgress<double>? progress,
        CancellationToken cancellation
    )
    {
        List<TrainChoice> candidates =
        [
            .. holding.OrderBy(c => c.Total(request.WriteOffYears)).Take(request.FullRuns),
            .. front.OrderBy(c => c.Total(request.WriteOffYears)).Take(request.FullRuns / 2),
        ];
        TrainPlan[] distinct = [.. candidates.Select(c => c.Plan).Distinct()];
        var run = new TrainChoice?[distinct.Length];
        int done = 0;
        Parallel.For(
            0,
            distinct.Length,
            new ParallelOptions { CancellationToken = cancellation },
            i =>
            {
                run[i] = FullFigures(request, distinct[i], cancellation);
                double share = Interlocked.Increment(ref done) / (double)distinct.Length;
                progress?.Report(ProgressOfPlans + ((1.0 - ProgressOfPlans) * share));
            }
        );
        List<TrainChoice> full = [];
        foreach (TrainChoice? choice in run)
        {
            Sentence reason = Sentence.Of("misses the line when run in full");
            if (choice is not null && risk.Judge(choice) is { } judged)
            {
                if (!(judged.Risk > request.MostRisk))
                {
                    full.Add(judged);
                    continue;
                }

                reason = TooRisky;
            }

            rejected[reason] = rejected.GetValueOrDefault(reason) + 1;
        }

        return [.. full.OrderBy(c => c.Total(request.WriteOffYears))];
    }

    private static TrainChoice? FullFigures(
        ChoiceRequest request,
        TrainPlan plan,
        CancellationToken cancellation
    )
    {
        Train train = PlannedTrain.Build(plan, request);
        if (
            train.Walk(request.Source, request.Habit, rests: false, cancellation: cancellation)
                is not { } report
            || report.Stages.Any(s => s.Life is { CubicMeters: 0.0 })
        )
        {
            return null;
        }

        StageReport? bed = report.Stages.FirstOrDefault(s =>
            s.Stage is BedStage && string.Equals(s.Stage.Name, PlannedTrain.BedName, StringComparison.Ordinal)
        );
        double? weeks = bed?.Life is { } life ? life.CubicMeters / bed.Duty.Weekly_m3 : null;
        return PlannedTrain.Figures(
            plan,
            request,
            report.Consumptions,
            report.YearlyUse(request.Habit),
            weeks,
            full: true
        );
    }

    private static Sentence WhyLost(TrainChoice best, TrainChoice second, ChoiceRequest request)
    {
        string currency = request.Prices.Currency;
        decimal total = second.Total(request.WriteOffYears) - best.Total(request.WriteOffYears);
        decimal yearly = second.PerYear - best.PerYear;
        decimal first = second.FirstCost - best.FirstCost;
        double visits = second.VisitsPerYear - best.VisitsPerYear;
        List<Sentence> reasons = [];
        if (decimal.Abs(yearly) >= LeastMoney)
        {
            reasons.Add(
                yearly > 0m
                    ? Sentence.Of($"it costs {yearly:F2} {currency} more a year to run")
                    : Sentence.Of($"it costs {-yearly:F2} {currency} less a year to run")
            );
        }

        if (decimal.Abs(first) >= LeastMoney)
        {
            reasons.Add(
                first > 0m
                    ? Sentence.Of($"it costs {first:F2} {currency} more at first")
                    : Sentence.Of($"it costs {-first:F2} {currency} less at first")
            );
        }

        if (double.Abs(visits) > 0.5)
        {
            reasons.Add(
                visits > 0
                    ? Sentence.Of($"it wants {visits:F1} more change-outs a year")
                    : Sentence.Of($"it wants {-visits:F1} fewer change-outs a year")
            );
        }

        return Sentence.Of(
            $"{second.Plan.Description} comes {total:F2} {currency} a year dearer in all: {Sentence.Join(", ", reasons)}."
        );
    }
}
