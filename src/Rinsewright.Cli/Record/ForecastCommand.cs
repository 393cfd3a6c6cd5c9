using System.Collections.Immutable;
using System.CommandLine;
using Rinsewright.Forecasting;
using Rinsewright.Handouts;
using Rinsewright.Quantities;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Forecasts;
using Rinsewright.Records.Histories;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Treatment;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright forecast</c>: what is left of a fill, when to change it, and why the meter reads what it reads.</summary>
internal static class ForecastCommand
{
    internal const double MeterFactor = 0.5;
    private const int UsualMembers = 1000;
    private const int MostMembers = 20_000;
    private const int UsualSeed = 1;
    private const double UsualSpotCost = 0.5;
    private static readonly string[] UsualLines = ["10 ppm", "1 mg/L silica"];

    public static Command Create(Terminal terminal)
    {
        var verb = new Verb(
            "forecast",
            "Say what is left of the fill in a rig's last bed, when to change it, and why the meter reads what it reads.",
            "rinsewright forecast \"Van 1\"",
            "rinsewright forecast \"Van 1\" --line \"10 ppm\" --fill-cost 80 --spot-cost 0.5 --json",
            "rinsewright forecast \"Van 1\" --keep",
            "rinsewright forecast \"Van 1\" --scores"
        );
        Argument<string?> rig = verb.Takes<string?>(
            "RIG",
            "Name of the rig in the record; not needed when there is only one.",
            a => a.DefaultValueFactory = _ => null
        );
        Option<string[]> lines = verb.Has<string[]>(
            "--line",
            "A line to change out at, as for bed. May be repeated; else \"10 ppm\" and \"1 mg/L silica\"."
        );
        Option<string?> at = verb.Has<string?>("--at", "The moment of asking; now if not given.");
        Option<int?> members = verb.Has<int?>("--members", "Members of the forecast; 1000 if not given.");
        Option<int?> seed = verb.Has<int?>("--seed", "Seed of the chance in them; 1 if not given.");
        Option<double?> fillCost = verb.Has<double?>(
            "--fill-cost",
            "What filling one bed anew costs with all that goes with it, in your money: adds when a change is cheapest."
        );
        Option<double?> spotCost = verb.Has<double?>(
            "--spot-cost",
            "What a litre used past the first line costs you, in the same money; 0.5 if not given."
        );
        Option<bool> keep = verb.Has<bool>(
            "--keep",
            "Keep the forecast in the record, so that it is scored when the truth is known."
        );
        Option<bool> scores = verb.Has<bool>(
            "--scores",
            "Print instead how the kept forecasts have fared, each whose truth is known."
        );
        var record = new RecordOptions(verb, terminal);
        verb.SetAction(
            async (line, cancel) =>
            {
                var problems = new ProblemList();
                ImmutableArray<ChangeOutLine> asked = LinesOf(line.GetValue(lines), problems);
                int count = line.GetValue(members) ?? UsualMembers;
                problems.Require(
                    count is >= 10 and <= MostMembers,
                    "--members",
                    $"{count}",
                    $"a whole number from 10 to {MostMembers}"
                );
                foreach (
                    (string name, double? cost) in new[]
                    {
                        ("--fill-cost", line.GetValue(fillCost)),
                        ("--spot-cost", line.GetValue(spotCost)),
                    }
                )
                {
                    problems.Require(cost is null or > 0, name, $"{cost}", "more than zero");
                }

                problems.AddAll(
                    line.GetValue(fillCost) is null
                        ? Given.Idle(line, Sentence.Of("--fill-cost beside it"), spotCost)
                        : []
                );

                bool keeps = line.GetValue(keep);
                problems.Require(
                    !keeps || !line.GetValue(scores),
                    "--keep",
                    $"with --scores",
                    "one of the two"
                );
                await using LogbookStore store = await record.OpenAsync(line, cancel);
                await using LogbookContext context = store.Read();
                RecordNames names = await RecordNames.LoadAsync(context, cancel);
                Records.Logbook.Rig? found = names.FindRig(line.GetValue(rig), "RIG", problems);
                DateTimeOffset moment = record.At(line.GetValue(at), found, problems);
                if (problems.Problems.Count > 0)
                {
                    return terminal.Refuse(problems.Problems);
                }

                if (line.GetValue(scores))
                {
                    RigHistory all = (await RigHistory.LoadAsync(context, found!.Id, until: null, cancel))!;
                    ForecastScores fared = await ForecastScores.OfAsync(context, all, cancel);
                    return Verb.WantsJson(line)
                        ? ForecastScoring.WriteJson(terminal, all, fared)
                        : ForecastScoring.WriteText(terminal, all, fared);
                }

                RigHistory history = (await RigHistory.LoadAsync(context, found!.Id, moment, cancel))!;
                IReadOnlyList<InputProblem> missing = [];
                RigForecast? forecast = terminal.WithProgress(
                    found.Name,
                    progress =>
                        RigForecast.Of(
                            history,
                            moment,
                            count,
                            line.GetValue(seed) ?? UsualSeed,
                            out missing,
                            terminal.Libraries,
                            progress,
                            cancel
                        )
                );
                if (forecast is null)
                {
                    return terminal.Refuse(missing);
                }

                int chance = line.GetValue(seed) ?? UsualSeed;
                ChangeCosts? costs = line.GetValue(fillCost) is { } fill
                    ? new ChangeCosts(fill, line.GetValue(spotCost) ?? UsualSpotCost)
                    : null;
                (ForecastAnswer answer, KeptForecast[] entries) = UnsolvedException.Unless(
                    found.Name,
                    () =>
                    {
                        Rotation? rotation = costs is null
                            ? null
                            : forecast.RotationAt(asked[0], MeterFactor);
                        KeptForecast[] kept =
                        [
                            .. (keeps ? asked : []).Select(l =>
                                ForecastKeeping.Of(
                                    store.Ids,
                                    forecast,
                                    forecast.Answers.To(l, MeterFactor),
                                    MeterFactor,
                                    moment,
                                    chance,
                                    l == asked[0] ? costs : null,
                                    l == asked[0] ? rotation : null
                                )
                            ),
                        ];
                        return (
                            new ForecastAnswer(
                                forecast,
                                WearForecast.Of(history, moment, chance),
                                moment,
                                chance,
                                [.. kept.Select(e => e.Id)],
                                [.. asked.Select(l => forecast.Answers.To(l, MeterFactor))],
                                costs is null ? null : forecast.WhenToChange(asked[0], MeterFactor, costs),
                                rotation
                            ),
                            kept
                        );
                    }
                );
                if (
                    entries.Length > 0
                    && await store.WriteAsync(record.Draft(line, "forecast kept"), entries, cancel)
                        is { Problems: { Count: > 0 } refused }
                )
                {
                    return terminal.Refuse(refused);
                }

                return Verb.WantsJson(line)
                    ? ForecastOutput.WriteJson(terminal, answer)
                    : ForecastOutput.WriteText(terminal, answer);
            }
        );
        return verb;
    }

    private static ImmutableArray<ChangeOutLine> LinesOf(string[]? texts, ProblemList problems)
    {
        var read = ImmutableArray.CreateBuilder<ChangeOutLine>();
        foreach (string text in texts is { Length: > 0 } ? texts : UsualLines)
        {
            if (ChangeOutLine.TryParse("--line", text, out ChangeOutLine? parsed, out InputProblem? problem))
            {
                read.Add(parsed);
            }
            else
            {
                problems.Add(problem);
            }
        }

        return read.ToImmutable();
    }
}
