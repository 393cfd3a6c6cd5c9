using System.Diagnostics.CodeAnalysis;
using Rinsewright.Quantities;
using Rinsewright.Treatment;
using Rinsewright.Treatment.Beds;

namespace Rinsewright.Web.Estimates;

/// <summary>What a person would change about a rig; what is left out stays as it is.</summary>
public sealed record WhatIfQuestion
{
    public string? Flow { get; init; }

    public string? Temperature { get; init; }

    public string? Volume { get; init; }

    public string? Line { get; init; }

    /// <summary>Which water goes through the bed: <c>now</c>, <c>all</c> (everything drawn from the rig), or an amount a week.</summary>
    public string? Weekly { get; init; }
}

/// <summary>The life as it would be, beside what it is.</summary>
public sealed record WhatIfAnswer(
    LifeQuestion Question,
    FillLife Life,
    FillLife Now,
    Interval? Days,
    double? Weekly_L
);

/// <summary>Asks the bed model again with something changed.</summary>
public sealed class WhatIf(FillLives lives)
{
    private const double DaysPerWeek = 7;

    /// <summary>The answer, or nothing with everything that is wrong with the question.</summary>
    public WhatIfAnswer? Of(Outlook outlook, WhatIfQuestion asked, out IReadOnlyList<InputProblem> problems)
    {
        List<InputProblem> found = [];
        problems = found;
        if (outlook is not { Question: { } now, Life: { } life })
        {
            found.Add(
                new InputProblem("rig", outlook.History.Rig.Name, "a rig whose bed and water are known")
            );
            return null;
        }

        VolumeFlow? flow = FirstMinute.Quantity<VolumeFlow>("flow", asked.Flow, "L/min", found);
        Temperature? temperature = FirstMinute.Quantity<Temperature>(
            "temperature",
            asked.Temperature,
            "degC",
            found
        );
        Volume? volume = FirstMinute.Quantity<Volume>("volume", asked.Volume, "L", found);
        Require(
            flow is null or { LitersPerMinute: >= 0.1 and <= 200 },
            "flow",
            asked.Flow,
            found,
            "0.1 to 200 L/min"
        );
        Require(
            temperature is null or { DegreesCelsius: >= 0 and <= 45 },
            "temperature",
            asked.Temperature,
            found,
            "0 to 45 °C"
        );
        Require(
            volume is null or { Liters: >= 0.1 and <= 2000 },
            "volume",
            asked.Volume,
            found,
            "0.1 to 2000 L of resin"
        );
        ChangeOutLine? line = now.Line;
        if (
            !string.IsNullOrWhiteSpace(asked.Line)
            && !ChangeOutLine.TryParse("line", asked.Line, out line, out InputProblem? wrong)
        )
        {
            found.Add(wrong);
        }

        double? weekly = Weekly(outlook, asked.Weekly, found);
        if (found.Count > 0)
        {
            return null;
        }

        LifeQuestion changed = now with
        {
            Flow_L_min = flow?.LitersPerMinute ?? now.Flow_L_min,
            Temperature_degC = temperature?.DegreesCelsius ?? now.Temperature_degC,
            Line = line!,
            Beds = volume is { } size
                ? [.. now.Beds.SkipLast(1), now.Beds[^1] with { Liters = size.Liters }]
                : now.Beds,
        };
        FillLife? then = lives.Of(changed, BedDetail.Lines);
        if (then is null)
        {
            found.Add(new InputProblem("what-if", changed.Line.Text, "a change that the bed model can run"));
            return null;
        }

        return new WhatIfAnswer(
            changed,
            then,
            life,
            weekly is > 0 ? then.Liters.Select(l => DaysPerWeek * l / weekly.Value) : null,
            weekly
        );
    }

    /// <summary>The answer in one sentence.</summary>
    public static string InWords(WhatIfAnswer answer, Speech speech)
    {
        double change = 100 * ((answer.Life.Liters.Middle / answer.Now.Liters.Middle) - 1);
        string beside =
            !double.IsFinite(change) || Math.Abs(change) < 2 ? speech["about as now"]
            : change > 0 ? speech["{0} % more than now", Speech.Rounded(change)]
            : speech["{0} % less than now", Speech.Rounded(-change)];
        string life = speech[
            "A fresh fill would give about {0} ({1}), {2}.",
            speech.Volume(answer.Life.Liters.Middle),
            speech.VolumeRange(answer.Life.Liters),
            beside
        ];
        return answer.Days is { } days
            ? $"{life} {speech["That is about {0} ({1} to {2}) at {3} a week.", speech.Span(days.Middle), speech.Span(days.Low), speech.Span(days.High), speech.Volume(answer.Weekly_L!.Value)]}"
            : life;
    }

    private static double? Weekly(Outlook outlook, string? asked, List<InputProblem> problems) =>
        asked switch
        {
            null or "" or "now" => outlook.Weekly_L?.Middle,
            "all" => outlook.WeeklyAll_L,
            _ => FirstMinute.Quantity<Volume>("weekly", asked, "L", problems)?.Liters,
        };

    private static void Require(
        bool holds,
        string place,
        string? text,
        List<InputProblem> problems,
        [ConstantExpected] string expected
    )
    {
        if (!holds)
        {
            problems.Add(new InputProblem(place, text ?? "", expected));
        }
    }
}
