namespace Rinsewright.Web.Tests;

/// <summary>The demonstration, served once for all tests that only read it.</summary>
public sealed class DemoSite : IAsyncLifetime
{
    private Site? _site;

    internal Site Site => _site!;

    public async ValueTask InitializeAsync() => _site = await Site.DemoAsync();

    public ValueTask DisposeAsync() => _site?.DisposeAsync() ?? ValueTask.CompletedTask;
}
