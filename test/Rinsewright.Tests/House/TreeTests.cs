namespace Rinsewright.Tests.House;

public sealed class TreeTests
{
    [Fact]
    public void The_launchers_and_the_solution_stand_at_the_root()
    {
        Assert.All(
            ["rinsewright", "verify", "Rinsewright.slnx", "global.json"],
            f => Assert.True(File.Exists(Repository.PathOf(f)), f)
        );
    }
}
