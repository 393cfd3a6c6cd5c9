using System.Collections.Concurrent;

namespace Rinsewright.Tests.Evidence;

public sealed class EvidenceTests
{
    public static TheoryData<string> Sets => [.. All.Select(s => s.GetType().Name)];

    internal static IReadOnlyList<IEvidenceSet> All { get; } =
    [
        .. typeof(EvidenceTests)
            .Assembly.GetTypes()
            .Where(t => !t.IsAbstract && t.IsAssignableTo(typeof(IEvidenceSet)))
            .OrderBy(t => t.Name, StringComparer.Ordinal)
            .Select(t => (IEvidenceSet)Activator.CreateInstance(t)!),
    ];

    private static readonly ConcurrentDictionary<IEvidenceSet, Lazy<IReadOnlyList<EvidenceRow>>> Computed =
        new();

    /// <summary>The rows of a set, computed once in a run of the tests.</summary>
    internal static IReadOnlyList<EvidenceRow> RowsOf(IEvidenceSet set) =>
        Computed.GetOrAdd(set, s => new Lazy<IReadOnlyList<EvidenceRow>>(() => [.. s.Rows()])).Value;

    [Theory]
    [MemberData(nameof(Sets))]
    public void Every_row_of_the_set_is_within_its_tolerance(string set)
    {
        IReadOnlyList<EvidenceRow> rows = RowsOf(
            All.Single(s => string.Equals(s.GetType().Name, set, StringComparison.Ordinal))
        );
        Assert.NotEmpty(rows);
        Assert.All(rows, row => Assert.True(row.Holds, row.ToString()));
    }

    [Fact]
    public void An_error_that_is_not_a_number_is_the_worst()
    {
        double[] errors = [0.1, double.NaN, 0.2];
        Assert.Equal(double.PositiveInfinity, errors.Worst());
        Assert.Equal(double.PositiveInfinity, errors.Worst(e => 100 * e));
        Assert.Equal([0.1, 0.2, double.PositiveInfinity], errors.WorstLast());
        EvidenceRow row = new("water", "pH", EvidenceKind.Identity, "identity", 3, errors.Worst(), 1, "pH");
        Assert.False(row.Holds);
    }
}
