using Microsoft.EntityFrameworkCore;
using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Records.Exchange;

/// <summary>Finds rigs, stages, meters and tasks by the names that people use; case does not matter.</summary>
public sealed class RecordNames
{
    private RecordNames(List<Rig> rigs, List<Stage> stages, List<Meter> meters, List<WashTask> tasks)
    {
        Rigs = rigs;
        Stages = stages;
        Meters = meters;
        Tasks = tasks;
    }

    public IReadOnlyList<Rig> Rigs { get; }

    public IReadOnlyList<Stage> Stages { get; }

    public IReadOnlyList<Meter> Meters { get; }

    public IReadOnlyList<WashTask> Tasks { get; }

    public static async Task<RecordNames> LoadAsync(LogbookContext context, CancellationToken cancel) =>
        new(
            await context.Live<Rig>().ToListAsync(cancel),
            await context.Live<Stage>().OrderBy(s => s.Position).ToListAsync(cancel),
            await context.Live<Meter>().ToListAsync(cancel),
            await context.Live<WashTask>().ToListAsync(cancel)
        );

    /// <summary>Finds the rig, or the only one there is when no name is given.</summary>
    public Rig? FindRig(string? name, string place, ProblemList problems) =>
        name is null && Rigs.Count == 1
            ? Rigs[0]
            : Find(Rigs, r => r.Name, name ?? "", place, () => Sentence.Of("a rig"), problems);

    /// <summary>Finds a stage of a rig.</summary>
    public Stage? FindStage(Rig rig, string name, string place, ProblemList problems) =>
        Find(
            [.. Stages.Where(s => s.RigId == rig.Id)],
            s => s.Name,
            name,
            place,
            () => Sentence.Of($"a stage of {rig.Name}"),
            problems
        );

    public Meter? FindMeter(string name, string place, ProblemList problems) =>
        Find(Meters, m => m.Name, name, place, () => Sentence.Of("a meter"), problems);

    public WashTask? FindTask(string name, string place, ProblemList problems) =>
        Find(Tasks, t => t.Name, name, place, () => Sentence.Of("a task"), problems);

    private static T? Find<T>(
        IReadOnlyList<T> all,
        Func<T, string> nameOf,
        string name,
        string place,
        Func<Sentence> what,
        ProblemList problems
    )
        where T : class
    {
        List<T> found =
        [
            .. all.Where(e => string.Equals(nameOf(e), name, StringComparison.OrdinalIgnoreCase)),
        ];
        if (found.Count == 1)
        {
            return found[0];
        }

        Sentence known =
            all.Count == 0
                ? Sentence.Of("none yet")
                : Sentence.Written(string.Join(", ", all.Select(nameOf).Take(12)));
        problems.Add(
            place,
            name,
            found.Count == 0
                ? Sentence.Of($"{what()} of the record ({known})")
                : Sentence.Of($"{what()} with a name of its own")
        );
        return null;
    }
}
