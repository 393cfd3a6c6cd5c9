using System.Buffers;
using System.Text;
using System.Text.Json;
using Rinsewright.Handouts;
using Rinsewright.Quantities;
using Rinsewright.Records.Forecasts;
using Spectre.Console;

namespace Rinsewright.Cli;

/// <summary>Everything that a command sees of the world outside: where it reads and writes, and how wide that is.</summary>
internal sealed class Terminal : IDisposable
{
    private static readonly UTF8Encoding Utf8 = new(encoderShouldEmitUTF8Identifier: false);
    private readonly Lazy<IAnsiConsole> _styled;
    private readonly Lazy<IAnsiConsole> _progress;

    public Terminal(TextReader input, TextWriter output, TextWriter error)
    {
        Input = input;
        Output = output;
        Error = error;
        _styled = new(() => CreateConsole(Output, Color));
        _progress = new(() => CreateConsole(Error, Color));
    }

    public TextReader Input { get; }

    public TextWriter Output { get; }

    public TextWriter Error { get; }

    /// <summary>Columns of text.</summary>
    public int Width { get; init; } = 100;

    /// <summary>Whether the output may carry colour. Meaning never rests on colour alone.</summary>
    public bool Color { get; init; }

    /// <summary>Whether the output shows box and Braille characters.</summary>
    public bool Unicode { get; init; } = true;

    /// <summary>Whether someone watches <see cref="Error"/> as it is written.</summary>
    public bool ShowsProgress { get; init; }

    /// <summary>Lives that were simulated for forecasts.</summary>
    public LifeLibraries Libraries { get; init; } = new();

    public TimeProvider Clock { get; init; } = TimeProvider.System;

    /// <summary>Looks up an environment variable.</summary>
    public Func<string, string?> Variable { get; init; } = _ => null;

    /// <summary>For tables and styled text. Made on first use: programs that ask for JSON do not wait for it.</summary>
    public IAnsiConsole Styled => _styled.Value;

    public static Terminal OfThisProcess()
    {
        Func<string, string?> variable = Environment.GetEnvironmentVariable;
        bool shown = !Console.IsOutputRedirected;
        bool dumb = string.Equals(variable("TERM"), "dumb", StringComparison.Ordinal);
        return new Terminal(
            new StreamReader(Console.OpenStandardInput(), Utf8),
            new StreamWriter(Console.OpenStandardOutput(), Utf8, bufferSize: 16384),
            new StreamWriter(Console.OpenStandardError(), Utf8) { AutoFlush = true }
        )
        {
            Width = shown && Console.WindowWidth > 0 ? Math.Clamp(Console.WindowWidth, 40, 160) : 100,
            Color = shown && !dumb && string.IsNullOrEmpty(variable("NO_COLOR")),
            Unicode = !dumb && HoldsUnicode(variable),
            ShowsProgress = !Console.IsErrorRedirected && !dumb,
            Variable = variable,
        };
    }

    /// <summary>Prints every problem as <c>place: text: what would be right</c>; returns the code for bad input.</summary>
    public int Refuse(IReadOnlyList<InputProblem> problems)
    {
        foreach (InputProblem problem in problems)
        {
            Error.WriteLine(problem.ToString());
        }

        return ExitCode.BadInput;
    }

    /// <summary>Prints why good input gave no result; returns the code for failed work.</summary>
    public int Fail(string reason)
    {
        Error.WriteLine("rinsewright: " + reason);
        return ExitCode.Failed;
    }

    /// <summary>Prints one JSON object, whole or not at all.</summary>
    public int WriteJson(Action<Utf8JsonWriter> members)
    {
        var buffer = new ArrayBufferWriter<byte>(4096);
        using (
            var writer = new Utf8JsonWriter(
                buffer,
                new JsonWriterOptions { Indented = true, Encoder = JsonOutput.Encoder }
            )
        )
        {
            writer.WriteStartObject();
            members(writer);
            writer.WriteEndObject();
        }

        Output.WriteLine(Encoding.UTF8.GetString(buffer.WrittenSpan));
        return ExitCode.Done;
    }

    /// <summary>Prints a heading, bold where styles are shown.</summary>
    public void WriteHeading(string text) =>
        Styled.Write(new Paragraph(text + "\n", new Style(decoration: Decoration.Bold)));

    /// <summary>Prints lines of text, wrapped to the width.</summary>
    public void WriteText(string text) => Styled.Write(new Paragraph(text + "\n"));

    /// <summary>Prints something that the reader must not miss.</summary>
    public void WriteCaution(string text) =>
        Styled.Write(new Paragraph("! " + text + "\n", new Style(foreground: Palette.Vermilion)));

    /// <summary>
    /// Prints a table. Cells are plain text; numbers stand under right-aligned headings. What is too wide wraps between words, and
    /// what is too wide even so is printed line by line.
    /// </summary>
    public void WriteTable(IReadOnlyList<Heading> headings, IEnumerable<IReadOnlyList<string>> rows)
    {
        IReadOnlyList<IReadOnlyList<string>> cells = [.. rows];
        if (TableWidths.Of(headings, cells, Width) is not { } widths)
        {
            WriteRecords(headings, cells);
            return;
        }

        Table table = new Table().Border(Unicode ? TableBorder.Simple : TableBorder.Ascii2);
        foreach ((Heading heading, int width) in headings.Zip(widths))
        {
            table.AddColumn(
                new TableColumn(new Text(heading.Text, new Style(decoration: Decoration.Bold)))
                {
                    Alignment = heading.Right ? Justify.Right : Justify.Left,
                    Width = width,
                }
            );
        }

        foreach (IReadOnlyList<string> row in cells)
        {
            table.AddRow(row.Select(cell => new Text(cell)));
        }

        Styled.Write(table);
    }

    private void WriteRecords(IReadOnlyList<Heading> headings, IReadOnlyList<IReadOnlyList<string>> rows)
    {
        foreach (IReadOnlyList<string> row in rows)
        {
            WriteHeading(row[0]);
            foreach ((Heading heading, string cell) in headings.Zip(row).Skip(1))
            {
                WriteText($"  {heading.Text}: {cell}");
            }

            WriteText("");
        }
    }

    /// <summary>Prints a chart.</summary>
    public void WritePlot(TextPlot plot) => Styled.Write(plot.Draw(Width, Unicode));

    /// <summary>Runs long numerics under a progress bar on the error stream, or silently where nobody watches.</summary>
    /// <exception cref="UnsolvedException">They failed.</exception>
    public T WithProgress<T>(string what, Func<IProgress<double>, T> work)
    {
        return ShowsProgress
            ? _progress
                .Value.Progress()
                .AutoClear(true)
                .Start(context => Solve(new Bar(context.AddTask(Markup.Escape(what)))))
            : Solve(new Progress<double>());

        T Solve(IProgress<double> progress) => UnsolvedException.Unless(what, () => work(progress));
    }

    public void Dispose()
    {
        try
        {
            Output.Dispose();
        }
        catch (IOException)
        {
            // The reader of a pipe has gone: nobody is left to tell.
        }

        Error.Dispose();
        Input.Dispose();
    }

    private static bool HoldsUnicode(Func<string, string?> variable)
    {
        string[] names = ["LC_ALL", "LC_CTYPE", "LANG"];
        string? locale = names.Select(variable).FirstOrDefault(v => !string.IsNullOrEmpty(v));
        return OperatingSystem.IsWindows()
            || locale is null
            || locale.Contains("utf-8", StringComparison.OrdinalIgnoreCase)
            || locale.Contains("utf8", StringComparison.OrdinalIgnoreCase);
    }

    private IAnsiConsole CreateConsole(TextWriter writer, bool color)
    {
        IAnsiConsole console = AnsiConsole.Create(
            new AnsiConsoleSettings
            {
                Out = new AnsiConsoleOutput(writer),
                Ansi = color ? AnsiSupport.Yes : AnsiSupport.No,
                ColorSystem = color ? ColorSystemSupport.TrueColor : ColorSystemSupport.NoColors,
                Interactive = InteractionSupport.No,
                Enrichment = new ProfileEnrichment { UseDefaultEnrichers = false },
            }
        );
        console.Profile.Width = Width;
        console.Profile.Capabilities.Unicode = Unicode;
        return console;
    }

    private sealed class Bar(ProgressTask task) : IProgress<double>
    {
        public void Report(double value) => task.Value = 100 * value;
    }
}

/// <summary>The head of a column of text (left) or of numbers (right).</summary>
internal readonly record struct Heading(string Text, bool Right)
{
    public static Heading Words(string text) => new(text, Right: false);

    public static Heading Number(string text) => new(text, Right: true);
}
