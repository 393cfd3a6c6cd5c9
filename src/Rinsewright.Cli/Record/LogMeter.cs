using System.CommandLine;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Logbook;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright log meter</c>: a new meter.</summary>
internal static class LogMeter
{
    public static Command Create(Terminal terminal)
    {
        var verb = new Verb(
            "meter",
            "Write a new meter.",
            "rinsewright log meter \"Inline probe\" tds --factor 0.5"
        );
        Argument<string> name = verb.Takes<string>("NAME", "What the meter is called.");
        Argument<string> what = verb.Takes<string>("WHAT", "What it shows: tds, conductivity, pressure …");
        Option<double?> factor = verb.Has<double?>("--factor", "TDS factor in ppm per µS/cm, 0.3 to 1.");
        Option<double?> compensation = verb.Has<double?>(
            "--compensation",
            "Its temperature compensation in % per °C; 0 for none."
        );
        var record = new RecordOptions(verb, terminal);
        verb.SetAction(
            (line, cancel) =>
                record.WriteAsync(
                    line,
                    (store, names, problems) =>
                    {
                        string called = line.GetValue(name)!;
                        problems.Require(
                            !names.Meters.Any(m =>
                                string.Equals(m.Name, called, StringComparison.OrdinalIgnoreCase)
                            ),
                            "NAME",
                            $"{called}",
                            "a name that no other meter has"
                        );
                        Measurand? measurand = WrittenText.WhatOf("WHAT", line.GetValue(what)!, problems);
                        var meter = new Meter
                        {
                            Id = store.Ids.Next<Meter>(),
                            Name = called,
                            Measurand = measurand.GetValueOrDefault(),
                            // 1 ppm per µS/cm is 10⁻³ kg/m³ per 10⁻⁴ S/m.
                            TdsFactor_kg_m3_per_S_m = line.GetValue(factor) * 10,
                            Compensation_per_K = line.GetValue(compensation) / 100,
                        };
                        return Task.FromResult<IReadOnlyList<Entry>>([meter]);
                    },
                    cancel
                )
        );
        return verb;
    }
}
