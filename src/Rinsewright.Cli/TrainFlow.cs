using System.Globalization;
using System.Text.Json;
using Rinsewright.Treatment;

namespace Rinsewright.Cli;

/// <summary>What each tool of a rig gets, for people and for programs.</summary>
internal static class TrainFlow
{
    public static void Write(Terminal terminal, IReadOnlyList<FlowSolution> tools)
    {
        if (tools.Count == 0)
        {
            return;
        }

        terminal.WriteHeading("What the tools get, each alone");
        terminal.WriteTable(
            [Heading.Words("tool"), Heading.Number("L/min"), Heading.Number("at the tool [kPa]")],
            tools.Select(t =>
                (IReadOnlyList<string>)
                    [
                        t.Tool.Name,
                        Number(t.Flow.LitersPerMinute, "F1"),
                        Number(t.ToolPressure.Kilopascals, "F0"),
                    ]
            )
        );
        FlowSolution thirsty = tools.MaxBy(t => t.Flow)!;
        terminal.WriteTable(
            [
                Heading.Words($"along the line to {thirsty.Tool.Name}"),
                Heading.Number("before it [kPa]"),
                Heading.Number("lost in it [kPa]"),
                Heading.Number("tool shut [kPa]"),
            ],
            thirsty.Elements.Select(e =>
                (IReadOnlyList<string>)
                    [
                        e.Name,
                        Number(e.Inlet.Kilopascals, "F0"),
                        Number(e.Loss.Kilopascals, "F1"),
                        Number(e.Resting.Kilopascals, "F0"),
                    ]
            )
        );
    }

    public static void WriteJson(Utf8JsonWriter writer, IReadOnlyList<FlowSolution> tools)
    {
        writer.WriteStartArray("tools");
        foreach (FlowSolution tool in tools)
        {
            writer.WriteStartObject();
            writer.WriteString("name", tool.Tool.Name);
            writer.WriteNumber("flow_L_min", tool.Flow.LitersPerMinute, 5);
            writer.WriteNumber("pressure_kPa", tool.ToolPressure.Kilopascals, 5);
            writer.WriteStartArray("along");
            foreach (ElementPressure element in tool.Elements)
            {
                writer.WriteStartObject();
                writer.WriteString("place", element.Name);
                writer.WriteNumber("inlet_kPa", element.Inlet.Kilopascals, 5);
                writer.WriteNumber("loss_kPa", element.Loss.Kilopascals, 5);
                writer.WriteNumber("resting_kPa", element.Resting.Kilopascals, 5);
                writer.WriteEndObject();
            }

            writer.WriteEndArray();
            writer.WriteEndObject();
        }

        writer.WriteEndArray();
    }

    private static string Number(double value, string format) =>
        value.ToString(format, CultureInfo.InvariantCulture);
}
