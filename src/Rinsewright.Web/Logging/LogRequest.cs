using System.ComponentModel;

namespace Rinsewright.Web.Logging;

/// <summary>What a person or a program wants to write into the record; texts with their units, as on the command line.</summary>
public sealed record LogRequest
{
    [Description("What it is: reading, draw, change, note or check.")]
    public string Kind { get; init; } = "";

    [Description("The rig's id; not needed with a stage, or when there is one rig only.")]
    public Guid? Rig { get; init; }

    [Description(
        "The stage's id. Of a reading: its outlet, if no place is said; of a draw: the last stage the water passed."
    )]
    public Guid? Stage { get; init; }

    [Description(
        "Of a reading: tds, conductivity, specific conductance, free chlorine, pressure, flow, temperature, hardness, ph or meter total."
    )]
    public string? What { get; init; }

    [Description(
        "The value with its unit: \"3 ppm\", \"<0.1 mg/L\"; of a draw its volume, \"40 L\"; of a change the volume put in."
    )]
    public string? Value { get; init; }

    [Description("Of a reading: source, inlet, outlet or nozzle.")]
    public string? Place { get; init; }

    [Description("Water temperature at a reading, \"12 °C\".")]
    public string? Temperature { get; init; }

    [Description("Flow, \"8 L/min\".")]
    public string? Flow { get; init; }

    [Description("The meter's id.")]
    public Guid? Meter { get; init; }

    [Description("What a draw was for: the task's id.")]
    public Guid? Task { get; init; }

    [Description("How many washes a draw served.")]
    public int? Washes { get; init; }

    [Description("Of a change: the medium that was put in. Of a check: the reference solution.")]
    public string? Medium { get; init; }

    [Description("Of a check: what the solution is worth, \"84 µS/cm\".")]
    public string? Reference { get; init; }

    [Description("Of a note: the words.")]
    public string? Text { get; init; }

    [Description("When: ISO 8601, with an offset or in the rig's time zone. Left out: now.")]
    public string? At { get; init; }

    [Description("Who writes it.")]
    public string? By { get; init; }

    /// <summary>With a bare number of a draw taken in the units of who writes it.</summary>
    internal LogRequest In(Speech speech) =>
        Kind is "draw" ? this with { Value = speech.Given(Value, "gal", "L") } : this;
}
