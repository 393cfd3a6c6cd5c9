using ScottPlot;

namespace Rinsewright.Handouts.Paper;

/// <summary>What is to be printed: blocks one below the other.</summary>
/// <param name="Title">What it is.</param>
/// <param name="Blocks">The blocks.</param>
public sealed record PaperText(string Title, IReadOnlyList<Block> Blocks);

/// <summary>A part of a paper.</summary>
public abstract record Block;

/// <summary>A heading; 1 is the title.</summary>
public sealed record Heading(int Level, string Text) : Block;

/// <summary>A paragraph.</summary>
public sealed record Paragraph(string Text, bool IsCaution = false) : Block;

/// <summary>A table. Columns from <paramref name="FirstNumber"/> on hold numbers and are set to the right.</summary>
public sealed record PaperTable(
    IReadOnlyList<string> Headings,
    IReadOnlyList<IReadOnlyList<string>> Rows,
    int FirstNumber
) : Block;

/// <summary>A chart with its text for those who do not see it.</summary>
/// <param name="Plot">The chart.</param>
/// <param name="Alternative">What it shows, in words.</param>
/// <param name="Height_pt">Height on paper [pt]; as wide as the paper allows.</param>
public sealed record ChartBlock(Plot Plot, string Alternative, double Height_pt) : Block;
