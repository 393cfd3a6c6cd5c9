using System.CommandLine;
using Rinsewright.Quantities;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright log reading</c>.</summary>
internal static class LogReading
{
    public static Command Create(Terminal terminal)
    {
        var verb = new Verb(
            "reading",
            "Write what a meter, strip or gauge shows.",
            "rinsewright log reading tds \"3 ppm\" --rig \"Van 1\" --stage Polisher --meter \"Pocket meter\" --temperature \"12 °C\""
        );
        Argument<string> what = verb.Takes<string>(
            "WHAT",
            "tds, conductivity, specific conductance, free chlorine, total chlorine, pressure, flow, temperature, hardness, silica, ph or meter total."
        );
        Argument<string> value = verb.Takes<string>(
            "VALUE",
            "The value with its unit, such as \"3 ppm\" or \"<0.1 mg/L\"."
        );
        Option<string?> rig = verb.Has<string?>("--rig", "The rig; not needed when there is one only.");
        Option<string?> stage = verb.Has<string?>("--stage", "The stage whose outlet it is.");
        Option<Place?> place = verb.Has<Place?>(
            "--place",
            "Source, Inlet, Outlet or Nozzle. Default: Outlet of the stage, otherwise Nozzle."
        );
        Option<string?> meter = verb.Has<string?>("--meter", "The meter.");
        Option<string?> temperature = verb.Has<string?>(
            "--temperature",
            "Water temperature, such as \"12 °C\"."
        );
        Option<string?> flow = verb.Has<string?>("--flow", "Flow while it was read, such as \"8 L/min\".");
        Option<bool> moving = verb.Has<bool>("--unsettled", "The display was still moving.");
        Option<string?> at = verb.Has<string?>("--at", "When, in the rig's time zone. Default: now.");
        var record = new RecordOptions(verb, terminal);
        verb.SetAction(
            (line, cancel) =>
                record.WriteAsync(
                    line,
                    (store, names, problems) =>
                    {
                        Rig? ofRig = names.FindRig(line.GetValue(rig), "--rig", problems);
                        Stage? ofStage =
                            ofRig is not null && line.GetValue(stage) is { } stageName
                                ? names.FindStage(ofRig, stageName, "--stage", problems)
                                : null;
                        Meter? byMeter = line.GetValue(meter) is { } meterName
                            ? names.FindMeter(meterName, "--meter", problems)
                            : null;
                        Measurand? measurand = WrittenText.WhatOf("WHAT", line.GetValue(what)!, problems);
                        WrittenValue? written = measurand is { } known
                            ? WrittenText.Value("VALUE", known, line.GetValue(value)!, problems)
                            : null;
                        Temperature? warmth = WrittenText.Quantity<Temperature>(
                            "--temperature",
                            line.GetValue(temperature),
                            problems
                        );
                        VolumeFlow? speed = WrittenText.Quantity<VolumeFlow>(
                            "--flow",
                            line.GetValue(flow),
                            problems
                        );
                        DateTimeOffset when = record.At(line.GetValue(at), ofRig, problems);
                        if (ofRig is null || written is null)
                        {
                            return Task.FromResult<IReadOnlyList<Entry>>([]);
                        }

                        var reading = new Reading
                        {
                            Id = store.Ids.Next<Reading>(),
                            RigId = ofRig.Id,
                            Place = line.GetValue(place) ?? (ofStage is null ? Place.Nozzle : Place.Outlet),
                            StageId = ofStage?.Id,
                            MeterId = byMeter?.Id,
                            At = when,
                            Measurand = measurand!.Value,
                            Value_SI = written.Value_SI,
                            Written = written.Written,
                            Unit = written.Unit,
                            IsBelowLimit = written.IsBelowLimit,
                            Temperature_K = warmth?.Kelvins,
                            Flow_m3_s = speed?.CubicMetersPerSecond,
                            IsSettled = !line.GetValue(moving),
                        };
                        return Task.FromResult<IReadOnlyList<Entry>>([reading]);
                    },
                    cancel
                )
        );
        return verb;
    }
}
