namespace Rinsewright.App.Tests;

public sealed class HelpTests
{
    [Fact]
    public void Help_exists() => Assert.NotNull(typeof(HelpTests).Assembly);
}
