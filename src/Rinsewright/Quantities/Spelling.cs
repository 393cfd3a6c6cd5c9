namespace Rinsewright.Quantities;

/// <summary>Finds the right name behind a misspelt one.</summary>
public static class Spelling
{
    /// <summary>The candidate that differs from a word by the fewest letters (case does not count).</summary>
    /// <param name="word">What was written.</param>
    /// <param name="candidates">The right names; at least one.</param>
    public static string Nearest(string word, IReadOnlyList<string> candidates) =>
        candidates.MinBy(c => Distance(word.ToUpperInvariant(), c.ToUpperInvariant()))
        ?? throw new ArgumentException("there is at least one right name", nameof(candidates));

    /// <summary>Letters to insert, drop or replace (Levenshtein distance) [letters].</summary>
    private static int Distance(string left, string right)
    {
        int[] row = [.. Enumerable.Range(0, right.Length + 1)];
        for (int i = 1; i <= left.Length; i++)
        {
            int diagonal = row[0];
            row[0] = i;
            for (int j = 1; j <= right.Length; j++)
            {
                int replaced = diagonal + (left[i - 1] == right[j - 1] ? 0 : 1);
                diagonal = row[j];
                row[j] = Math.Min(replaced, Math.Min(row[j], row[j - 1]) + 1);
            }
        }

        return row[^1];
    }
}
