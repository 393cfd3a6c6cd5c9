namespace Rinsewright.Treatment;

/// <summary>
/// How likely water behind a plan misses the line, over the waters that an analysis allows (docs/models/choice.md).
/// </summary>
internal sealed class ChoiceRisk
{
    private const int MostWaters = 16;
    private const double LookedAtEvery_weeks = 1.0;

    private readonly QuickTrain _usual;
    private readonly QuickTrain[] _others;

    /// <summary>Spreads the request's waters evenly over a few that are judged.</summary>
    public ChoiceRisk(ChoiceRequest request, QuickTrain usual)
    {
        _usual = usual;
        IReadOnlyList<TrainWater> waters = request.Waters;
        int count = int.Min(MostWaters, waters.Count);
        _others =
        [
            .. Enumerable
                .Range(0, count)
                .Select(i => waters[(int)((i + 0.5) * waters.Count / count)])
                .Select(w => new QuickTrain(request with { Source = w })),
        ];
    }

    /// <summary>
    /// A choice with its risk. Each water's life is its quick one, in proportion to the choice's own life over its quick one.
    /// </summary>
    public TrainChoice Judge(TrainChoice choice)
    {
        if (_others.Length == 0)
        {
            return choice with { Risk = PastLine(choice.Plan, choice.LifeWeeks ?? double.PositiveInfinity) };
        }

        double scale =
            choice.LifeWeeks is { } weeks && choice.Full ? weeks / _usual.WeeksKept(choice.Plan) : 1.0;
        double risk = 0.0;
        double misses = 0.0;
        foreach (QuickTrain water in _others)
        {
            double kept = water.WeeksKept(choice.Plan);
            misses += kept <= 0.0 ? 1.0 : 0.0;
            risk += kept <= 0.0 ? 1.0 : PastLine(choice.Plan, scale * kept);
        }

        return choice with
        {
            Risk = risk / _others.Length,
            Misses = misses / _others.Length,
        }; // eq. choice-7
    }

    /// <summary>
    /// Share of the water past the line when the outlet is looked at every week: on average half of the time between two
    /// looks, each life; none when a lag bed catches it.
    /// </summary>
    private static double PastLine(TrainPlan plan, double weeks) =>
        plan.Arrangement == BedArrangement.LeadLag ? 0.0 : double.Min(1.0, 0.5 * LookedAtEvery_weeks / weeks); // eq. choice-5
}
