namespace Rinsewright.Handouts;

/// <summary>Numerics that failed on good input: nothing is told from what they left.</summary>
/// <param name="message">What was not solved, and how it ended.</param>
/// <param name="inner">What the numerics said.</param>
public sealed class UnsolvedException(string message, Exception? inner = null) : Exception(message, inner)
{
    /// <summary>Runs numerics, which tell their failure by an invalid operation, alone or from several threads.</summary>
    /// <param name="what">What they work on, as people know it.</param>
    /// <param name="solve">The numerics alone: neither a record nor a file.</param>
    public static T Unless<T>(string what, Func<T> solve)
    {
        try
        {
            return solve();
        }
        catch (AggregateException e) when (e.InnerExceptions.All(IsOfNumerics))
        {
            throw new UnsolvedException($"{what}: {e.InnerExceptions[0].Message}", e);
        }
        catch (InvalidOperationException e) when (IsOfNumerics(e))
        {
            throw new UnsolvedException($"{what}: {e.Message}", e);
        }
    }

    private static bool IsOfNumerics(Exception e) =>
        e is InvalidOperationException and not ObjectDisposedException;
}
