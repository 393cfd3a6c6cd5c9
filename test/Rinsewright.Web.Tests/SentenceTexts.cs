using System.Globalization;
using System.Reflection;
using System.Reflection.Emit;
using System.Runtime.CompilerServices;
using System.Text;
using Rinsewright.Quantities;

namespace Rinsewright.Web.Tests;

/// <summary>
/// Finds the English text of every <see cref="Sentence"/> that compiled code can say. It reads what the compiler made of a text
/// that is handed to a <see cref="SentenceText"/> or its like, as in <c>Sentence.Of($"…")</c>, or to a parameter that takes a
/// constant, as in <c>Sentence.Of("…")</c>: a text counts by the type that takes it, wherever and however it is written.
/// </summary>
internal sealed class SentenceTexts
{
    private const BindingFlags All =
        BindingFlags.Public
        | BindingFlags.NonPublic
        | BindingFlags.Instance
        | BindingFlags.Static
        | BindingFlags.DeclaredOnly;

    private static readonly Dictionary<short, OpCode> Codes = typeof(OpCodes)
        .GetFields(BindingFlags.Public | BindingFlags.Static)
        .Select(f => (OpCode)f.GetValue(null)!)
        .ToDictionary(c => c.Value);

    private readonly Dictionary<(Module, int), MethodBase?> _methods = [];
    private readonly SortedSet<string> _found = new(StringComparer.Ordinal);

    /// <summary>The texts that the program's own assemblies can say, from the science up to the one given.</summary>
    public static IReadOnlySet<string> Of(Assembly top)
    {
        var texts = new SentenceTexts();
        var assemblies = new Dictionary<string, Assembly>(StringComparer.Ordinal);
        Gather(top, assemblies);
        foreach (Assembly assembly in assemblies.Values)
        {
            foreach (Type type in assembly.GetTypes().Where(t => t != typeof(Sentence) && !IsHandler(t)))
            {
                foreach (
                    MethodBase method in type.GetMethods(All).Concat<MethodBase>(type.GetConstructors(All))
                )
                {
                    texts.Read(method);
                }

                if (type.TypeInitializer is { } initializer)
                {
                    texts.Read(initializer);
                }
            }
        }

        return texts._found;
    }

    private static void Gather(Assembly assembly, Dictionary<string, Assembly> known)
    {
        if (known.TryAdd(assembly.GetName().Name!, assembly))
        {
            foreach (AssemblyName name in assembly.GetReferencedAssemblies())
            {
                if (name.Name!.StartsWith("Rinsewright", StringComparison.Ordinal))
                {
                    Gather(Assembly.Load(name), known);
                }
            }
        }
    }

    /// <summary>Follows the instructions of a method; within one another, sentences close in the order in which they are nested.</summary>
    private void Read(MethodBase method)
    {
        if (method.GetMethodBody()?.GetILAsByteArray() is not { } code)
        {
            return;
        }

        string? loaded = null;
        Stack<(StringBuilder Text, int Values)> open = [];
        for (int at = 0; at < code.Length; )
        {
            short value = code[at++];
            if (value == 0xFE)
            {
                value = unchecked((short)((0xFE << 8) | code[at++]));
            }

            OpCode op = Codes[value];
            if (op.OperandType is OperandType.InlineString)
            {
                loaded = method.Module.ResolveString(BitConverter.ToInt32(code, at));
            }
            else
            {
                if (op.OperandType is OperandType.InlineMethod)
                {
                    Call(Resolve(method, BitConverter.ToInt32(code, at)), loaded, open);
                }

                loaded = null;
            }

            at += SizeOf(op, code, at);
        }
    }

    private void Call(MethodBase? called, string? loaded, Stack<(StringBuilder Text, int Values)> open)
    {
        if (called is { DeclaringType: { } handler } && IsHandler(handler))
        {
            switch (called.Name)
            {
                case ".ctor":
                    open.Push((new StringBuilder(), 0));
                    break;
                case nameof(SentenceText.AppendLiteral):
                    open.Peek().Text.Append(Escaped(loaded!));
                    break;
                case nameof(SentenceText.AppendFormatted):
                    (StringBuilder text, int values) = open.Pop();
                    open.Push((text.Append(CultureInfo.InvariantCulture, $"{{{values}}}"), values + 1));
                    break;
            }

            return;
        }

        ParameterInfo[] parameters = called?.GetParameters() ?? [];
        int taken = parameters.Count(p => IsHandler(p.ParameterType));
        // One that was handed to the method itself counts where it was written.
        while (taken-- > 0 && open.TryPop(out (StringBuilder Text, int Values) closed))
        {
            Add(closed.Text.ToString());
        }

        if (
            parameters is [.., { Member.DeclaringType: { } owner } last]
            && last.ParameterType == typeof(string)
            && last.IsDefined(typeof(System.Diagnostics.CodeAnalysis.ConstantExpectedAttribute))
            && IsOwn(owner)
            && loaded is not null
        )
        {
            Add(Escaped(loaded));
        }
    }

    /// <summary>Whether a type takes the text of a sentence apart, by itself or by reference.</summary>
    private static bool IsHandler(Type type) =>
        (type.IsByRef ? type.GetElementType()! : type) is var taken
        && taken.IsDefined(typeof(InterpolatedStringHandlerAttribute), inherit: false)
        && IsOwn(taken);

    private static bool IsOwn(Type type) =>
        type.Assembly.GetName().Name!.StartsWith("Rinsewright", StringComparison.Ordinal);

    /// <summary>A text without a letter of its own only puts its values in a row.</summary>
    private void Add(string text)
    {
        if (text.Any(char.IsLetter))
        {
            _found.Add(text);
        }
    }

    private MethodBase? Resolve(MethodBase method, int token)
    {
        (Module, int) key = (method.Module, token);
        if (!_methods.TryGetValue(key, out MethodBase? called))
        {
            Type[]? ofType = method.DeclaringType is { IsGenericType: true } type
                ? type.GetGenericArguments()
                : null;
            Type[]? ofMethod = method.IsGenericMethod ? method.GetGenericArguments() : null;
            called = method.Module.ResolveMethod(token, ofType, ofMethod);
            _methods.Add(key, called);
        }

        return called;
    }

    private static int SizeOf(OpCode op, byte[] code, int at) =>
        op.OperandType switch
        {
            OperandType.InlineNone => 0,
            OperandType.ShortInlineBrTarget or OperandType.ShortInlineI or OperandType.ShortInlineVar => 1,
            OperandType.InlineVar => 2,
            OperandType.InlineI8 or OperandType.InlineR => 8,
            OperandType.InlineSwitch => 4 + (4 * BitConverter.ToInt32(code, at)),
            _ => 4,
        };

    private static string Escaped(string text) =>
        text.Replace("{", "{{", StringComparison.Ordinal).Replace("}", "}}", StringComparison.Ordinal);
}
