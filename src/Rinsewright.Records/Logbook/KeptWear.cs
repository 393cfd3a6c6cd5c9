namespace Rinsewright.Records.Logbook;

/// <summary>
/// What was forecast of a carbon block or a sediment cartridge at one moment, kept when it says something new: what has to be
/// known of many rigs at once is then read rather than computed.
/// </summary>
public sealed record KeptWear : Entry<KeptWear>
{
    public required Id<Rig> RigId { get; init; }
    public required Id<Stage> StageId { get; init; }
    public required Id<Fill> FillId { get; init; }

    /// <summary>The moment of asking: nothing later was known.</summary>
    public required DateTimeOffset At
    {
        get;
        init => field = Instant.Round(value);
    }
    public required int Seed { get; init; }

    /// <summary>What ends it, in words with its limit.</summary>
    public required string EndedBy { get; init; }

    /// <summary>Quantiles of the days from <see cref="At"/> to that, as of a <see cref="KeptForecast"/> [d]; empty where it is not reached.</summary>
    public required double?[] DaysQuantiles_d { get; init; }

    /// <summary>When it is changed by the calendar, even when it is not spent.</summary>
    public required DateTimeOffset ServiceUntil
    {
        get;
        init => field = Instant.Round(value);
    }

    internal override void Check(ProblemList problems)
    {
        problems.Require(EndedBy.Length > 0, "wear ended by", $"{EndedBy}", "what ends it");
        KeptForecast.CheckQuantiles("wear quantiles", DaysQuantiles_d, problems);
    }
}
