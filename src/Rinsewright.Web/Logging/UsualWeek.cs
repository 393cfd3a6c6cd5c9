using System.ComponentModel;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Web.Logging;

/// <summary>A task to add to a usual week; texts with their units.</summary>
public sealed record NewTask
{
    [Description("What it is: pre-rinse, foam, wheels, last rinse.")]
    public string? Name { get; init; }

    [Description("Water that it takes each time, \"40 L\".")]
    public string? Volume { get; init; }

    [Description("Flow while it runs, \"8 L/min\".")]
    public string? Flow { get; init; }

    [Description("How often in a usual week.")]
    public double? TimesPerWeek { get; init; }

    [Description("The last stage that its water passes, by id; left out for raw water.")]
    public Guid? Stage { get; init; }

    [Description("Who writes it.")]
    public string? By { get; init; }

    /// <summary>With bare numbers taken in the units of who writes it.</summary>
    internal NewTask In(Speech speech) =>
        this with
        {
            Volume = speech.Given(Volume, "gal", "L"),
            Flow = speech.Given(Flow, "gpm", "L/min"),
        };
}

/// <summary>Writes the usual week of a rig: what is done with water again and again.</summary>
public sealed class UsualWeek(LogbookStore store)
{
    /// <summary>Adds a task; nothing when there is no such rig.</summary>
    public async Task<WriteOutcome?> AddAsync(Id<Rig> rig, NewTask asked, CancellationToken cancel)
    {
        List<InputProblem> problems = [];
        await using LogbookContext context = store.Read();
        if (await context.Live<Rig>().FirstOrDefaultAsync(r => r.Id == rig, cancel) is null)
        {
            return null;
        }

        Stage? stage = asked.Stage is { } id
            ? await context
                .Live<Stage>()
                .FirstOrDefaultAsync(s => s.Id == new Id<Stage>(id) && s.RigId == rig, cancel)
            : null;
        if (asked.Stage is not null && stage is null)
        {
            problems.Add(new InputProblem("stage", $"{asked.Stage}", "a stage of this rig"));
        }

        Volume? volume = FirstMinute.Quantity<Volume>("volume", asked.Volume, "L", problems);
        VolumeFlow? flow = FirstMinute.Quantity<VolumeFlow>("flow", asked.Flow, "L/min", problems);
        if (volume is null && problems.Count == 0)
        {
            problems.Add(new InputProblem("volume", "", "the water it takes each time, such as \"40 L\""));
        }

        if (asked.TimesPerWeek is not { } times || times is not (> 0 and <= 1000))
        {
            times = 0;
            problems.Add(
                new InputProblem("times_per_week", $"{asked.TimesPerWeek}", "a number above 0, at most 1000")
            );
        }

        if (problems.Count > 0)
        {
            return new WriteOutcome(null, problems);
        }

        var task = new WashTask
        {
            Id = store.Ids.Next<WashTask>(),
            Name = asked.Name?.Trim() ?? "",
            Volume_m3 = volume!.Value.CubicMeters,
            VolumeWritten = asked.Volume,
            Flow_m3_s = flow?.CubicMetersPerSecond,
        };
        return await store.WriteAsync(
            new EditDraft(LogEntries.Author(asked.By)),
            [
                task,
                new Habit
                {
                    Id = store.Ids.Next<Habit>(),
                    RigId = rig,
                    WashTaskId = task.Id,
                    StageId = stage?.Id,
                    TimesPerWeek = times,
                },
            ],
            cancel
        );
    }
}
