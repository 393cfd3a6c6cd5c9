namespace Rinsewright.Shared;

/// <summary>Waits for what others bring about, as long as a loaded machine may need for it.</summary>
internal static class Until
{
    private static readonly TimeSpan Limit = TimeSpan.FromMinutes(4);
    private static readonly TimeSpan Pause = TimeSpan.FromMilliseconds(25);

    /// <summary>Looks again and again until something holds; in between does what moves it on.</summary>
    public static async Task HoldsAsync(
        Func<Task<bool>> holds,
        Action? between = null,
        Func<string>? told = null
    ) => await FoundAsync(async () => await holds() ? new object() : null, between, told);

    /// <summary>Looks again and again until there is something to return; in between does what moves it on.</summary>
    public static async Task<T> FoundAsync<T>(
        Func<Task<T?>> look,
        Action? between = null,
        Func<string>? told = null
    )
        where T : class
    {
        CancellationToken stop = TestContext.Current.CancellationToken;
        long start = TimeProvider.System.GetTimestamp();
        while (true)
        {
            if (await look() is { } found)
            {
                return found;
            }

            if (TimeProvider.System.GetElapsedTime(start) > Limit)
            {
                Assert.Fail($"It did not come to be in {Limit}. {told?.Invoke()}");
            }

            between?.Invoke();
            await Task.Delay(Pause, TimeProvider.System, stop);
        }
    }
}
