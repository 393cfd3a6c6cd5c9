using System.CommandLine;

namespace Rinsewright.Cli;

/// <summary>A command with examples, which --help prints, and with --json when it answers programs too.</summary>
internal sealed class Verb : Command
{
    private static readonly Option<bool> JsonOption = new("--json")
    {
        Description = "Print one JSON object instead of text for people.",
    };

    /// <summary>Names the command and shows how it is used.</summary>
    /// <param name="name">What the user types.</param>
    /// <param name="description">One sentence in the imperative.</param>
    /// <param name="examples">Whole command lines, each run by a test.</param>
    public Verb(string name, string description, params string[] examples)
        : base(name, description)
    {
        Examples = examples;
    }

    public IReadOnlyList<string> Examples { get; }

    /// <summary>How long it may take to end when it is told to stop.</summary>
    public TimeSpan StopsWithin { get; init; } = TimeSpan.FromSeconds(2);

    /// <summary>Adds an argument and returns it.</summary>
    public Argument<T> Takes<T>(string name, string description, Action<Argument<T>>? more = null)
    {
        var argument = new Argument<T>(name) { Description = description };
        if (OptionValue.ReaderOf<T>() is { } reader)
        {
            argument.CustomParser = reader;
        }

        more?.Invoke(argument);
        Arguments.Add(argument);
        return argument;
    }

    /// <summary>Adds an option and returns it.</summary>
    public Option<T> Has<T>(string name, string description, Action<Option<T>>? more = null)
    {
        var option = new Option<T>(name) { Description = description };
        if (OptionValue.ReaderOf<T>() is { } reader)
        {
            option.CustomParser = reader;
        }

        more?.Invoke(option);
        Options.Add(option);
        return option;
    }

    /// <summary>Adds --json; <see cref="WantsJson"/> tells whether it was given.</summary>
    public Verb AnswersInJson()
    {
        Options.Add(JsonOption);
        return this;
    }

    public static bool WantsJson(ParseResult line) => line.GetValue(JsonOption);
}
