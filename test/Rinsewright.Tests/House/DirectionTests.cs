using System.Reflection;
using System.Text.RegularExpressions;
using ArchUnitNET.Loader;
using ArchUnitNET.xUnitV3;
using static ArchUnitNET.Fluent.ArchRuleDefinition;
using Architecture = ArchUnitNET.Domain.Architecture;
using Assembly = System.Reflection.Assembly;
using Type = System.Type;

namespace Rinsewright.Tests.House;

/// <summary>Which part of the science may use which.</summary>
public sealed partial class DirectionTests
{
    private static readonly Assembly Science = typeof(PhysicalConstants).Assembly;
    private static readonly Architecture Built = new ArchLoader().LoadAssemblies(Science).Build();

    /// <summary>From the bottom to the top; each may use those before it, with the exceptions of <see cref="Apart"/>.</summary>
    private static readonly string[] Order =
    [
        "Numerics",
        "Quantities",
        "Water",
        "Drying",
        "Treatment",
        "Forecasting",
    ];

    /// <summary>Neighbours that do not know each other, in the order (user, used).</summary>
    private static readonly HashSet<(string, string)> Apart = [("Quantities", "Numerics")];

    public static TheoryData<string, string> Forbidden
    {
        get
        {
            var pairs = new TheoryData<string, string>();
            for (int i = 0; i < Order.Length; i++)
            {
                for (int j = 0; j < Order.Length; j++)
                {
                    if (j > i || (j < i && Apart.Contains((Order[i], Order[j]))))
                    {
                        pairs.Add(Order[i], Order[j]);
                    }
                }
            }

            return pairs;
        }
    }

    [Theory]
    [MemberData(nameof(Forbidden))]
    public void A_lower_part_does_not_know_a_higher_one(string user, string used) =>
        Types()
            .That()
            .ResideInNamespaceMatching($@"^Rinsewright\.{user}(\..+)?$")
            .Should()
            .NotDependOnAny(Types().That().ResideInNamespaceMatching($@"^Rinsewright\.{used}(\..+)?$"))
            .WithoutRequiringPositiveResults()
            .Check(Built);

    [Fact]
    public void Beds_are_used_by_the_train_and_do_not_know_it() =>
        Types()
            .That()
            .ResideInNamespaceMatching(@"^Rinsewright\.Treatment\.Beds$")
            .Should()
            .NotDependOnAny(Types().That().ResideInNamespaceMatching(@"^Rinsewright\.Treatment$"))
            .WithoutRequiringPositiveResults()
            .Check(Built);

    [Fact]
    public void Every_type_of_the_science_lives_in_a_part()
    {
        string[] strays =
        [
            .. Science
                .GetTypes()
                .Where(t => t is { IsNested: false, Namespace: not null } && IsOurs(t))
                .Where(t => !Order.Any(o => InPart(t.Namespace!, o)) && t.Namespace is not "Rinsewright")
                .Select(t => t.FullName!),
        ];
        SourceTree.ExpectNone(strays);
    }

    [Fact]
    public void Numerics_is_internal() =>
        SourceTree.ExpectNone(
            Science.GetExportedTypes().Where(t => InPart(t.Namespace!, "Numerics")).Select(t => t.FullName!)
        );

    [Fact]
    public void The_science_needs_nothing_but_the_base_library() =>
        Assert.All(
            Science.GetReferencedAssemblies(),
            a => Assert.StartsWith("System.", a.Name!, StringComparison.Ordinal)
        );

    [Fact]
    public void The_science_does_no_input_or_output_and_reads_no_clock() =>
        Types()
            .Should()
            .NotDependOnAny(
                Types(includeReferenced: true)
                    .That()
                    .HaveFullNameMatching(
                        @"^System\.(Console|IO\.(File|Directory|FileStream|FileInfo|DirectoryInfo)|Environment|Net\..*|Diagnostics\.(Process|Stopwatch))$"
                    )
            )
            .Check(Built);

    [Fact]
    public void No_type_is_named_after_an_empty_word()
    {
        // Told from the text, so that it holds for every part and not for the science alone.
        string[] words =
        [
            "Manager",
            "Helper",
            "Util",
            "Utils",
            "Service",
            "Processor",
            "Engine",
            "Data",
            "Info",
            "Impl",
        ];
        SourceTree.ExpectNone(
            SourceTree
                .Code("src")
                .SelectMany(f => TypeName().Matches(f.Text).Select(m => m.Groups["name"].Value))
                .Where(t => words.Any(w => t.EndsWith(w, StringComparison.Ordinal)))
        );
    }

    private static bool InPart(string name, string part) =>
        string.Equals(name, $"Rinsewright.{part}", StringComparison.Ordinal)
        || name.StartsWith($"Rinsewright.{part}.", StringComparison.Ordinal);

    [GeneratedRegex(
        @"\b(class|record|struct|interface|enum) (?<name>[A-Z]\w*)",
        RegexOptions.ExplicitCapture,
        10_000
    )]
    private static partial Regex TypeName();

    private static bool IsOurs(Type type) =>
        type.Namespace?.StartsWith("Rinsewright", StringComparison.Ordinal) == true
        && type.GetCustomAttribute<System.Runtime.CompilerServices.CompilerGeneratedAttribute>() is null;
}
