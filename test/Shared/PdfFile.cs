using System.Diagnostics;
using System.Globalization;
using System.Text.RegularExpressions;

namespace Rinsewright.Shared;

/// <summary>What a program that did not write it reads from a PDF (pdfinfo, pdftotext, pdffonts, pdfimages, pdftoppm of poppler).</summary>
internal sealed record PdfFile(
    string Path,
    int Pages,
    (int Width, int Height) Size_pt,
    bool IsTagged,
    string Title,
    string Text,
    IReadOnlyList<PdfFont> Fonts,
    IReadOnlyList<string> Images
)
{
    public static PdfFile Read(string path)
    {
        Assert.SkipUnless(IsThere(), "pdfinfo is missing: install poppler-utils");
        string info = Run("pdfinfo", path);
        Match size = Regex.Match(
            info,
            @"Page size:\s+(?<width>[\d.]+) x (?<height>[\d.]+)",
            RegexOptions.ExplicitCapture,
            TimeSpan.FromSeconds(1)
        );
        int Rounded(string group) =>
            (int)Math.Round(double.Parse(size.Groups[group].Value, CultureInfo.InvariantCulture));
        return new PdfFile(
            path,
            int.Parse(Field(info, "Pages"), CultureInfo.InvariantCulture),
            (Rounded("width"), Rounded("height")),
            Field(info, "Tagged") is "yes",
            Field(info, "Title"),
            Run("pdftotext", "-layout", path, "-"),
            [.. Rows(Run("pdffonts", path)).Select(PdfFont.Of)],
            [.. Rows(Run("pdfimages", "-list", path))]
        );
    }

    /// <summary>A page as a picture; gives the path of the PNG.</summary>
    public string Render(int page, int dotsPerInch)
    {
        string stem = $"{Path}-{page}";
        string number = page.ToString(CultureInfo.InvariantCulture);
        Run(
            "pdftoppm",
            "-r",
            dotsPerInch.ToString(CultureInfo.InvariantCulture),
            "-f",
            number,
            "-l",
            number,
            "-singlefile",
            "-png",
            Path,
            stem
        );
        return $"{stem}.png";
    }

    private static bool IsThere()
    {
        try
        {
            Run("pdfinfo", "-v");
            return true;
        }
        catch (System.ComponentModel.Win32Exception)
        {
            return false;
        }
    }

    private static string Field(string info, string name) =>
        info.Split('\n')
            .Where(l => l.StartsWith($"{name}:", StringComparison.Ordinal))
            .Select(l => l[(name.Length + 1)..].Trim())
            .FirstOrDefault("");

    private static IEnumerable<string> Rows(string table) =>
        table.Split('\n', StringSplitOptions.RemoveEmptyEntries).Skip(2);

    private static string Run(string program, params string[] args)
    {
        using Process process = Process.Start(
            new ProcessStartInfo(program, args) { RedirectStandardOutput = true, UseShellExecute = false }
        )!;
        string output = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        Assert.True(process.ExitCode == 0, $"{program} {string.Join(' ', args)}: {process.ExitCode}");
        return output;
    }
}

/// <summary>A font of a PDF, from a row of pdffonts: name, type, encoding, then emb, sub and uni.</summary>
internal sealed record PdfFont(string Name, bool IsEmbedded, bool HasUnicode)
{
    public static PdfFont Of(string row)
    {
        string[] words = row.Split(' ', StringSplitOptions.RemoveEmptyEntries);
        return new PdfFont(words[0], words[^5] is "yes", words[^3] is "yes");
    }
}
