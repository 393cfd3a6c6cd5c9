using System.Reflection;
using System.Text.RegularExpressions;
using System.Xml.Linq;

namespace Rinsewright.Tests.House;

/// <summary>The doc comments of the science: every number that crosses its surface says its unit.</summary>
public sealed partial class DocumentationTests
{
    private static readonly Assembly Science = typeof(PhysicalConstants).Assembly;

    private static readonly Dictionary<string, XElement> Members = XDocument
        .Load(Path.ChangeExtension(Science.Location, ".xml"))
        .Descendants("member")
        .ToDictionary(m => m.Attribute("name")!.Value, StringComparer.Ordinal);

    [Fact]
    public void Every_public_number_that_goes_in_has_a_bracketed_unit()
    {
        List<string> bare = [];
        foreach (Type type in Science.GetExportedTypes().Where(t => !IsQuantity(t)))
        {
            foreach (MethodBase method in MethodsOf(type))
            {
                foreach (
                    ParameterInfo parameter in method.GetParameters().Where(p => IsNumber(p.ParameterType))
                )
                {
                    if (!Unit().IsMatch(TextOf(method, parameter)))
                    {
                        bare.Add($"{type.FullName}.{method.Name}({parameter.Name})");
                    }
                }
            }
        }

        SourceTree.ExpectNone(bare);
    }

    [Fact]
    public void Every_public_number_that_comes_out_has_a_bracketed_unit()
    {
        List<string> bare = [];
        foreach (Type type in Science.GetExportedTypes().Where(t => !IsQuantity(t)))
        {
            string typeId = "T:" + IdOf(type);
            IEnumerable<(string Id, string Name)> members = type.GetProperties(Flags)
                .Where(p => IsNumber(p.PropertyType) && p.GetIndexParameters().Length == 0)
                .Select(p => ($"P:{IdOf(type)}.{p.Name}", p.Name))
                .Concat(
                    type.GetFields(Flags)
                        .Where(f => IsNumber(f.FieldType))
                        .Select(f => ($"F:{IdOf(type)}.{f.Name}", f.Name))
                )
                .Concat(
                    MethodsOf(type)
                        .OfType<MethodInfo>()
                        .Where(m => IsNumber(m.ReturnType))
                        .Select(m => (IdOf(m), m.Name))
                );
            foreach ((string id, string name) in members)
            {
                // A positional property of a record is documented as a parameter of its type.
                string text = Members.GetValueOrDefault(id)?.Value + ParameterText(typeId, name);
                if (!Unit().IsMatch(text))
                {
                    bare.Add($"{type.FullName}.{name}");
                }
            }
        }

        SourceTree.ExpectNone(bare);
    }

    private const BindingFlags Flags =
        BindingFlags.Public | BindingFlags.Instance | BindingFlags.Static | BindingFlags.DeclaredOnly;

    /// <summary>Quantities carry the unit in the names of their factories and properties.</summary>
    private static bool IsQuantity(Type type) =>
        string.Equals(type.Namespace, "Rinsewright.Quantities", StringComparison.Ordinal);

    private static IEnumerable<MethodBase> MethodsOf(Type type) =>
        type.GetMethods(Flags)
            .Where(m =>
                !m.IsSpecialName
                && m.GetCustomAttribute<System.Runtime.CompilerServices.CompilerGeneratedAttribute>() is null
            )
            .Where(m => m.GetBaseDefinition() == m)
            .Cast<MethodBase>()
            .Concat(type.GetConstructors());

    private static bool IsNumber(Type type)
    {
        if (type.IsByRef)
        {
            type = type.GetElementType()!;
        }

        if (type == typeof(double) || type == typeof(double[]) || type == typeof(double?))
        {
            return true;
        }

        return type.IsGenericType
            && type.GetGenericArguments() is [Type element]
            && element == typeof(double)
            && (
                type.GetGenericTypeDefinition() == typeof(Span<>)
                || type.GetGenericTypeDefinition() == typeof(ReadOnlySpan<>)
                || type.GetGenericTypeDefinition() == typeof(ReadOnlyMemory<>)
                || type.GetGenericTypeDefinition() == typeof(IReadOnlyList<>)
            );
    }

    private static string TextOf(MethodBase method, ParameterInfo parameter)
    {
        string own = ParameterText(IdOf(method), parameter.Name!);
        // The primary constructor of a record is documented on its type.
        return own.Length > 0 ? own : ParameterText("T:" + IdOf(method.DeclaringType!), parameter.Name!);
    }

    private static string ParameterText(string id, string parameter)
    {
        XElement? text = Members
            .GetValueOrDefault(id)
            ?.Elements("param")
            .FirstOrDefault(p =>
                string.Equals(p.Attribute("name")?.Value, parameter, StringComparison.Ordinal)
            );
        // "in <paramref name="Unit"/>": the unit stands beside the value.
        bool beside = text?.Elements("paramref").Any(r => r.Attribute("name")?.Value is "Unit") == true;
        return beside ? "[unit]" : text?.Value ?? "";
    }

    private static string IdOf(Type type) => type.FullName!.Replace('+', '.');

    private static string IdOf(MethodBase method)
    {
        string name = method.IsConstructor ? "#ctor" : method.Name;
        string generic = method.IsGenericMethod ? $"``{method.GetGenericArguments().Length}" : "";
        ParameterInfo[] parameters = method.GetParameters();
        string list =
            parameters.Length == 0
                ? ""
                : $"({string.Join(',', parameters.Select(p => NameOf(p.ParameterType)))})";
        return $"M:{IdOf(method.DeclaringType!)}.{name}{generic}{list}";
    }

    private static string NameOf(Type type)
    {
        if (type.IsByRef)
        {
            return NameOf(type.GetElementType()!) + "@";
        }

        if (type.IsArray)
        {
            return NameOf(type.GetElementType()!) + "[]";
        }

        if (type.IsGenericParameter)
        {
            return (type.DeclaringMethod is null ? "`" : "``") + type.GenericParameterPosition;
        }

        if (!type.IsGenericType)
        {
            return IdOf(type);
        }

        string definition = IdOf(type.GetGenericTypeDefinition());
        return $"{definition[..definition.IndexOf('`')]}{{{string.Join(',', type.GetGenericArguments().Select(NameOf))}}}";
    }

    // Products, quotients and powers of unit symbols, or a dash for a pure number.
    [GeneratedRegex(
        @"\[(?:-|%|1|[A-Za-z°µΩ1][\w°µΩ/·²³⁻¹⁴()^.⁰ −-]*)\]",
        RegexOptions.ExplicitCapture,
        10_000
    )]
    private static partial Regex Unit();
}
