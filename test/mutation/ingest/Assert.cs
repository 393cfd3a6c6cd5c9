namespace Rinsewright.App.Tests;

/// <summary>What the older framework lacks, which the mutation tool can look into.</summary>
internal sealed class Assert : Xunit.Assert
{
    public static void SkipWhen(bool condition, string reason)
    {
        if (condition)
        {
            throw new InvalidOperationException(reason);
        }
    }

    public static void SkipUnless(bool condition, string reason) => SkipWhen(!condition, reason);
}
