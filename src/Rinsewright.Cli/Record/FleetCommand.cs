using System.CommandLine;
using Rinsewright.Quantities;
using Rinsewright.Records.Fleet;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright fleet</c>: all rigs by urgency, the rounds of the week, what each van loads.</summary>
internal static class FleetCommand
{
    private const int UsualCount = 50;

    public static Command Create(Terminal terminal)
    {
        var verb = new Verb(
            "fleet",
            "Show all rigs, the most urgent first, from the forecasts that are kept in the record; or the rounds of the week.",
            "rinsewright fleet",
            "rinsewright fleet --renew --reason due_this_week",
            "rinsewright fleet --van \"Jon's round\" --route --stock"
        );
        Option<string?> find = verb.Has<string?>("--find", "Only rigs with this in their name, site or van.");
        Option<string?> reason = verb.Has<string?>(
            "--reason",
            $"Only rigs of which this is to be said: {string.Join(", ", FleetList.Reasons.Select(FleetList.NameOf))}."
        );
        Option<string?> van = verb.Has<string?>(
            "--van",
            "Only rigs of this van or round; \"\" for those that none sees to. 'rinsewright log edit rig ID van=NAME' gives a rig to one."
        );
        Option<double?> due = verb.Has<double?>(
            "--due",
            "Only rigs with a change-out due within so many days."
        );
        Option<int> count = verb.Has<int>(
            "--count",
            "How many rigs at most.",
            o => o.DefaultValueFactory = _ => UsualCount
        );
        Option<bool> route = verb.Has<bool>("--route", "The rounds of the coming week, by van and day.");
        Option<bool> stock = verb.Has<bool>("--stock", "What each van loads for the coming week.");
        Option<string?> csv = verb.Has<string?>(
            "--csv",
            "Write all that is found to this file as a table (RFC 4180)."
        );
        Option<bool> renew = verb.Has<bool>(
            "--renew",
            "First forecast every rig that has no forecast of today, and keep it, as a served record does each day."
        );
        var record = new RecordOptions(verb, terminal, writes: false);
        verb.SetAction(
            async (line, cancel) =>
            {
                var problems = new ProblemList();
                FleetReasons? named = line.GetValue(reason) is { } r ? FleetList.Named(r) : FleetReasons.None;
                problems.Require(
                    named is not null,
                    "--reason",
                    $"{line.GetValue(reason)}",
                    $"one of {string.Join(", ", FleetList.Reasons.Select(FleetList.NameOf))}"
                );
                problems.Require(
                    line.GetValue(due) is null or (>= 0 and <= 36_500),
                    "--due",
                    $"{line.GetValue(due)}",
                    "days, 0 to 36500"
                );
                problems.Require(
                    line.GetValue(count) >= 1,
                    "--count",
                    $"{line.GetValue(count)}",
                    "1 or more"
                );
                bool isOfRounds = line.GetValue(route) || line.GetValue(stock);
                Option[] idle =
                    line.GetValue(csv) is not null ? [route, stock]
                    : isOfRounds ? [find, reason, due]
                    : [];
                List<InputProblem> wrong =
                [
                    .. problems.Problems,
                    .. Given.Idle(
                        line,
                        line.GetValue(csv) is not null
                            ? Sentence.Of("--csv alone or this")
                            : Sentence.Of("rounds alone or this: they are narrowed by --van"),
                        idle
                    ),
                ];
                PaperFile.Checked("--csv", line.GetValue(csv), [], wrong);
                if (wrong.Count > 0)
                {
                    return terminal.Refuse(wrong);
                }

                await using LogbookStore store = await record.OpenAsync(line, cancel);
                if (line.GetValue(renew))
                {
                    await FleetRenewal.RunAsync(store, terminal, cancel);
                }

                await new FleetBoard(store).FollowAsync(cancel);
                DateTimeOffset now = Instant.Now(store.Clock);
                var query = new FleetQuery
                {
                    Text = line.GetValue(find),
                    Reason = named!.Value,
                    Van = line.GetValue(van),
                    DueBefore = line.GetValue(due) is { } days ? now.AddDays(days) : null,
                };
                await using LogbookContext context = store.Read();
                if (line.GetValue(csv) is { } file)
                {
                    using var table = new MemoryStream();
                    int written = await FleetCsv.WriteAsync(context, query, now, table, cancel);
                    OutputFile.Replace(file, table.WriteTo);
                    return FleetOutput.WriteFile(terminal, Verb.WantsJson(line), file, written);
                }

                if (isOfRounds)
                {
                    IReadOnlyList<FleetRound> rounds = await FleetRoute.OfAsync(
                        context,
                        query.Van,
                        now,
                        cancel
                    );
                    bool both = line.GetValue(route) == line.GetValue(stock);
                    return FleetOutput.WriteRounds(
                        terminal,
                        Verb.WantsJson(line),
                        rounds,
                        both || line.GetValue(route),
                        both || line.GetValue(stock)
                    );
                }

                FleetPart page = await FleetList.PageAsync(
                    context,
                    query,
                    0,
                    line.GetValue(count),
                    now,
                    cancel
                );
                return Verb.WantsJson(line)
                    ? FleetOutput.WriteJson(terminal, page, now)
                    : FleetOutput.WriteText(terminal, page, now);
            }
        );
        return verb;
    }
}
