namespace Rinsewright.Cli;

/// <summary>How wide the columns of a table are, so that it fits and no word is broken.</summary>
internal static class TableWidths
{
    private const int BetweenColumns = 3;
    private const int AtTheEdges = 4;

    /// <summary>The width of each column; none when the longest words beside one another are wider than all there is.</summary>
    public static int[]? Of(
        IReadOnlyList<Heading> headings,
        IReadOnlyList<IReadOnlyList<string>> rows,
        int width
    )
    {
        int columns = headings.Count;
        int[] natural = new int[columns];
        int[] least = new int[columns];
        for (int c = 0; c < columns; c++)
        {
            natural[c] = headings[c].Text.Length;
            least[c] = LongestWord(headings[c].Text);
            foreach (IReadOnlyList<string> row in rows)
            {
                natural[c] = Math.Max(natural[c], row[c].Length);
                least[c] = Math.Max(least[c], headings[c].Right ? row[c].Length : LongestWord(row[c]));
            }
        }

        int room = width - AtTheEdges - (BetweenColumns * (columns - 1));
        if (natural.Sum() <= room)
        {
            return natural;
        }

        int spare = room - least.Sum();
        if (spare < 0)
        {
            return null;
        }

        int wanted = natural.Sum() - least.Sum();
        return [.. natural.Zip(least, (n, l) => l + (spare * (n - l) / wanted))];
    }

    private static int LongestWord(string text)
    {
        int longest = 0;
        foreach (Range word in text.AsSpan().Split(' '))
        {
            (int _, int length) = word.GetOffsetAndLength(text.Length);
            longest = Math.Max(longest, length);
        }

        return longest;
    }
}
