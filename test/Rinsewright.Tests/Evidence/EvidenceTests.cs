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

    [Theory(SkipTestWithoutData = true)]
    [MemberData(nameof(Sets))]
    public void Every_row_of_the_set_is_within_its_tolerance(string set)
    {
        List<EvidenceRow> rows =
        [
            .. All.Single(s => string.Equals(s.GetType().Name, set, StringComparison.Ordinal)).Rows(),
        ];
        Assert.NotEmpty(rows);
        Assert.All(rows, row => Assert.True(row.Holds, row.ToString()));
    }
}
