using System.ComponentModel;
using Rinsewright.Records.Fleet;

namespace Rinsewright.Web.Fleet;

/// <summary>Some rigs of the board.</summary>
/// <param name="Total">How many were found in all.</param>
/// <param name="Reasons">How many there are for each reason, without regard to the one that was asked for.</param>
/// <param name="Vans">The names of all vans.</param>
/// <param name="Rigs">The rigs, the most urgent first.</param>
internal sealed record FleetAnswer(
    int Total,
    IReadOnlyDictionary<string, int> Reasons,
    IReadOnlyList<string> Vans,
    IReadOnlyList<FleetRigAnswer> Rigs
)
{
    public static FleetAnswer Of(FleetPart page, DateTimeOffset now) =>
        new(
            page.Total,
            page.Counts.ToDictionary(c => FleetList.NameOf(c.Key), c => c.Value, StringComparer.Ordinal),
            page.Vans,
            [.. page.Rows.Select(r => FleetRigAnswer.Of(r, now))]
        );
}

/// <summary>One rig on the board.</summary>
/// <param name="Id">Its id.</param>
/// <param name="Name">Its name.</param>
/// <param name="Organisation">Whom it belongs to.</param>
/// <param name="Site">Where it stands.</param>
/// <param name="Van">The van or round that sees to it.</param>
/// <param name="Urgency">past_line, due, silent, unknown or fine.</param>
/// <param name="Reasons">past_line, due_this_week, silent, no_water, no_fill, no_forecast.</param>
/// <param name="NextStage">The stage that is changed next.</param>
/// <param name="DueFrom">One time in twenty it is due before.</param>
/// <param name="DueAt">As likely before as after, or by the calendar.</param>
/// <param name="DueTo">One time in twenty it is due after.</param>
/// <param name="PassedNow">Probability that that stage is past its end now [-].</param>
/// <param name="PastSince">Since when it is more likely than not that a line is passed.</param>
/// <param name="LastReading">The last strength of what leaves it, as written.</param>
/// <param name="LastReadingAt">When.</param>
/// <param name="HeardAt">The last reading or draw of any kind.</param>
/// <param name="ForecastAt">The moment of the forecast.</param>
internal sealed record FleetRigAnswer(
    Guid Id,
    string Name,
    string? Organisation,
    string? Site,
    string? Van,
    string Urgency,
    IReadOnlyList<string> Reasons,
    string? NextStage,
    DateTimeOffset? DueFrom,
    DateTimeOffset? DueAt,
    DateTimeOffset? DueTo,
    double? PassedNow,
    DateTimeOffset? PastSince,
    string? LastReading,
    DateTimeOffset? LastReadingAt,
    DateTimeOffset? HeardAt,
    DateTimeOffset? ForecastAt
)
{
    public static FleetRigAnswer Of(FleetRow row, DateTimeOffset now) =>
        new(
            row.Rig.RigId.Value,
            row.Rig.Name,
            row.Organisation,
            row.Rig.Site,
            row.Rig.Van,
            FleetList.NameOf(row.Rig.Urgency),
            [.. FleetList.Each(row.Rig.Reasons).Select(FleetList.NameOf)],
            row.Rig.DueStage,
            row.Rig.DueFrom,
            row.Rig.DueAt,
            row.Rig.DueTo,
            row.PassedNow,
            row.Rig.PastAt <= now ? row.Rig.PastAt : null,
            row.Rig.ReadWritten,
            row.Rig.ReadAt,
            row.Rig.HeardAt,
            row.Rig.ForecastAt
        );
}

/// <summary>What a van has to do and to carry in the coming week.</summary>
/// <param name="Van">Its name; nothing for rigs that no van sees to.</param>
/// <param name="Days">Its days.</param>
/// <param name="Stock">What it loads.</param>
internal sealed record RoundAnswer(
    string? Van,
    IReadOnlyList<RoundDayAnswer> Days,
    IReadOnlyList<StockAnswer> Stock
)
{
    public static RoundAnswer Of(FleetRound round) =>
        new(
            round.Van,
            [
                .. round.Days.Select(d => new RoundDayAnswer(
                    d.Day,
                    [
                        .. d.Visits.Select(v => new VisitAnswer(
                            v.Rig.RigId.Value,
                            v.Rig.Name,
                            v.Rig.Site,
                            FleetList.NameOf(v.Rig.Urgency),
                            [
                                .. v.Stages.Select(s => new ChangeAnswer(
                                    s.Name,
                                    FleetList.NameOf(s.Kind),
                                    s.Medium,
                                    s.Volume_m3 * LitersPerCubicMeter,
                                    s.DueAt!.Value
                                )),
                            ]
                        )),
                    ]
                )),
            ],
            [
                .. round.Stock.Select(s => new StockAnswer(
                    FleetList.NameOf(s.Kind),
                    s.Medium,
                    s.Planned,
                    s.Expected,
                    s.NineInTen,
                    s.Planned_L,
                    s.Expected_L,
                    s.NineInTen_L
                )),
            ]
        );

    private const double LitersPerCubicMeter = 1000;
}

/// <summary>The visits of a day, in their order.</summary>
/// <param name="Day">The day.</param>
/// <param name="Visits">The visits.</param>
internal sealed record RoundDayAnswer(DateOnly Day, IReadOnlyList<VisitAnswer> Visits);

/// <summary>A rig that is gone to.</summary>
/// <param name="Id">Its id.</param>
/// <param name="Name">Its name.</param>
/// <param name="Site">Where it stands.</param>
/// <param name="Urgency">How urgent it is.</param>
/// <param name="Changes">What is changed there.</param>
internal sealed record VisitAnswer(
    Guid Id,
    string Name,
    string? Site,
    string Urgency,
    IReadOnlyList<ChangeAnswer> Changes
);

/// <summary>A fill that is changed.</summary>
/// <param name="Stage">Name of the stage.</param>
/// <param name="Kind">Its kind.</param>
/// <param name="Medium">What is put in.</param>
/// <param name="Volume_L">How much of it; nothing for what is counted [L].</param>
/// <param name="DueAt">When it is due.</param>
internal sealed record ChangeAnswer(
    string Stage,
    string Kind,
    string Medium,
    double? Volume_L,
    DateTimeOffset DueAt
);

/// <summary>What of one medium is carried.</summary>
/// <param name="Kind">Kind of the stages.</param>
/// <param name="Medium">The medium.</param>
/// <param name="Planned">Fills that the round changes.</param>
/// <param name="Expected">Fills to be expected, with those that may become due besides.</param>
/// <param name="NineInTen">Fills that are enough nine times in ten.</param>
/// <param name="Planned_L">Litres that the round takes [L].</param>
/// <param name="Expected_L">Litres to be expected [L].</param>
/// <param name="NineInTen_L">Litres that are enough nine times in ten [L].</param>
internal sealed record StockAnswer(
    string Kind,
    string Medium,
    int Planned,
    double Expected,
    int NineInTen,
    double? Planned_L,
    double? Expected_L,
    double? NineInTen_L
);

/// <summary>Where a rig stands and who sees to it.</summary>
internal sealed record RigPlace
{
    [Description("Where it stands, for who drives there; left out, it stays, empty, it is taken away.")]
    public string? Site { get; init; }

    [Description("Name of the van or round that sees to it; left out, it stays, empty, it is taken away.")]
    public string? Van { get; init; }

    [Description("Who writes it.")]
    public string? By { get; init; }
}
