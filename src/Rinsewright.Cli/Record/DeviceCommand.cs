using System.CommandLine;
using System.Globalization;
using System.Text.Json;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Quantities;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Cli.Record;

/// <summary><c>rinsewright device</c>: what reports by itself, its key, and what it did not deliver.</summary>
internal static class DeviceCommand
{
    private const int UsualCount = 20;
    private const int MostDays = 36_500;

    public static Command Create(Terminal terminal)
    {
        var device = new Command(
            "device",
            "Let a probe, a meter or a gateway report by itself, take its key away, and see what did not come."
        );
        device.Subcommands.Add(CreateAdd(terminal));
        device.Subcommands.Add(CreateList(terminal));
        device.Subcommands.Add(CreateRevoke(terminal));
        device.Subcommands.Add(CreateRefused(terminal));
        device.Subcommands.Add(CreateGaps(terminal));
        device.Subcommands.Add(DeviceThin.Create(terminal));
        return device;
    }

    private static Verb CreateAdd(Terminal terminal)
    {
        var verb = new Verb(
            "add",
            "Add a device and print its key, once. It may report on one rig or on those of an organisation.",
            "rinsewright device add \"Bay probe\" --rig \"Yard bay\" --pulses-per-liter 10"
        );
        Argument<string> name = verb.Takes<string>("NAME", "What the device is called.");
        Option<string?> rigName = verb.Has<string?>("--rig", "The rig it reports on.");
        Option<string?> organisationName = verb.Has<string?>(
            "--organisation",
            "The organisation on whose rigs it reports."
        );
        Option<double?> pulses = verb.Has<double?>(
            "--pulses-per-liter",
            "Pulses of its water meter in a litre."
        );
        Option<long?> size = verb.Has<long?>(
            "--counter-size",
            "Count at which its counter starts again at 0, such as 65536. Default: it never does."
        );
        Option<double> pause = verb.Has<double>(
            "--pause-minutes",
            "Pulses belong to one draw until none comes for so long.",
            o => o.DefaultValueFactory = _ => DeviceDraft.UsualPause.TotalMinutes
        );
        Option<double> interval = verb.Has<double>(
            "--interval-minutes",
            "How much time of what it samples becomes one reading.",
            o => o.DefaultValueFactory = _ => DeviceDraft.UsualInterval.TotalMinutes
        );
        var record = new RecordOptions(verb, terminal, writes: false);
        verb.SetAction(
            async (line, cancel) =>
            {
                await using LogbookStore store = await record.OpenAsync(line, cancel);
                var problems = new ProblemList();
                Rig? rig;
                Organisation? organisation;
                await using (LogbookContext context = store.Read())
                {
                    rig = line.GetValue(rigName) is { } r
                        ? (await RecordNames.LoadAsync(context, cancel)).FindRig(r, "--rig", problems)
                        : null;
                    organisation = line.GetValue(organisationName) is { } o
                        ? await FindAsync(context, o, problems, cancel)
                        : null;
                }

                if (problems.Problems.Count > 0)
                {
                    return terminal.Refuse(problems.Problems);
                }

                (AddedDevice? added, IReadOnlyList<InputProblem> refused) = await new DeviceRegister(
                    store
                ).AddAsync(
                    new DeviceDraft(line.GetValue(name)!, rig?.Id, organisation?.Id)
                    {
                        PulsesPerLiter = line.GetValue(pulses),
                        CounterSize = line.GetValue(size),
                        Pause = Minutes(line.GetValue(pause)),
                        Interval = Minutes(line.GetValue(interval)),
                    },
                    cancel
                );
                if (added is null)
                {
                    return terminal.Refuse(refused);
                }

                if (Verb.WantsJson(line))
                {
                    return terminal.WriteJson(json =>
                    {
                        json.WriteString("device", added.Device.Name);
                        json.WriteString("key", added.Key);
                    });
                }

                terminal.WriteText($"Added: {added.Device.Name}. Its key, which is not shown again:");
                terminal.Output.WriteLine(added.Key);
                terminal.WriteCaution(
                    "Whoever has the key can report in the device's name. Send it over https or in a network that you trust."
                );
                return ExitCode.Done;
            }
        );
        return verb;
    }

    private static Verb CreateList(Terminal terminal)
    {
        var verb = new Verb(
            "list",
            "Show the devices, and when each was last heard.",
            "rinsewright device list"
        );
        var record = new RecordOptions(verb, terminal, writes: false);
        verb.SetAction(
            async (line, cancel) =>
            {
                await using LogbookStore store = await record.OpenAsync(line, cancel);
                IReadOnlyList<Device> devices = await new DeviceRegister(store).ListAsync(cancel);
                Dictionary<Guid, string> owners;
                await using (LogbookContext context = store.Read())
                {
                    owners = await context
                        .Set<Rig>()
                        .AsNoTracking()
                        .ToDictionaryAsync(r => r.Id.Value, r => r.Name, cancel);
                    foreach (Organisation o in await context.Set<Organisation>().ToListAsync(cancel))
                    {
                        owners.Add(o.Id.Value, o.Name);
                    }
                }

                string Of(Device d) => owners[d.RigId?.Value ?? d.OrganisationId!.Value.Value];
                if (Verb.WantsJson(line))
                {
                    return terminal.WriteJson(json =>
                    {
                        json.WriteStartArray("devices");
                        foreach (Device device in devices)
                        {
                            json.WriteStartObject();
                            json.WriteString("name", device.Name);
                            json.WriteString(device.RigId is null ? "organisation" : "rig", Of(device));
                            json.WriteString("added_at", device.AddedAt);
                            WriteAt(json, "last_heard_at", device.LastHeardAt);
                            WriteAt(json, "revoked_at", device.RevokedAt);
                            json.WriteEndObject();
                        }

                        json.WriteEndArray();
                    });
                }

                if (devices.Count == 0)
                {
                    terminal.WriteText("No device reports here. 'rinsewright device add' lets one.");
                    return ExitCode.Done;
                }

                terminal.WriteTable(
                    [
                        Heading.Words("Device"),
                        Heading.Words("of"),
                        Heading.Words("last heard"),
                        Heading.Words("key"),
                    ],
                    devices.Select(d =>
                        (IReadOnlyList<string>)
                            [
                                d.Name,
                                Of(d),
                                Text(d.LastHeardAt) ?? "never",
                                d.RevokedAt is { } at ? $"revoked {Text(at)}" : "valid",
                            ]
                    )
                );
                return ExitCode.Done;
            }
        );
        return verb;
    }

    private static Verb CreateRevoke(Terminal terminal)
    {
        var verb = new Verb(
            "revoke",
            "Take a device's key away, at once and for good; what it delivered stays."
        );
        Argument<string> name = verb.Takes<string>("NAME", "The device.");
        var record = new RecordOptions(verb, terminal, writes: false);
        verb.SetAction(
            async (line, cancel) =>
            {
                await using LogbookStore store = await record.OpenAsync(line, cancel);
                string called = line.GetValue(name)!;
                if (!await new DeviceRegister(store).RevokeAsync(called, cancel))
                {
                    return terminal.Refuse([new("NAME", called, "a device whose key is valid")]);
                }

                if (Verb.WantsJson(line))
                {
                    return terminal.WriteJson(json => json.WriteString("revoked", called));
                }

                terminal.WriteText($"Revoked: {called} can report no more.");
                return ExitCode.Done;
            }
        );
        return verb;
    }

    private static Verb CreateRefused(Terminal terminal)
    {
        var verb = new Verb(
            "refused",
            "Show the rows that were refused, with the reason, the last first.",
            "rinsewright device refused"
        );
        Argument<string?> name = verb.Takes<string?>(
            "NAME",
            "One device. Default: all.",
            a => a.Arity = ArgumentArity.ZeroOrOne
        );
        Option<int> last = verb.Has<int>("--last", "How many.", o => o.DefaultValueFactory = _ => UsualCount);
        var record = new RecordOptions(verb, terminal, writes: false);
        verb.SetAction(
            async (line, cancel) =>
            {
                await using LogbookStore store = await record.OpenAsync(line, cancel);
                if (
                    line.GetValue(name) is { } called
                    && !(await new DeviceRegister(store).ListAsync(cancel)).Any(d =>
                        string.Equals(d.Name, called, StringComparison.Ordinal)
                    )
                )
                {
                    return terminal.Refuse([new("NAME", called, "a device, see 'rinsewright device list'")]);
                }

                IReadOnlyList<(Device Device, RefusedRow Row)> refused = await new DeviceListing(
                    store
                ).RefusedAsync(line.GetValue(name), Math.Max(1, line.GetValue(last)), cancel);
                if (Verb.WantsJson(line))
                {
                    return terminal.WriteJson(json =>
                    {
                        json.WriteStartArray("refused");
                        foreach ((Device device, RefusedRow row) in refused)
                        {
                            json.WriteStartObject();
                            json.WriteString("device", device.Name);
                            json.WriteString("text", row.Text);
                            json.WriteString("reason", row.Reason);
                            json.WriteNumber("times", row.Times);
                            json.WriteString("last_at", row.LastAt);
                            json.WriteEndObject();
                        }

                        json.WriteEndArray();
                    });
                }

                if (refused.Count == 0)
                {
                    terminal.WriteText("No row was refused.");
                }

                foreach ((Device device, RefusedRow row) in refused)
                {
                    terminal.WriteHeading(
                        $"{Text(row.LastAt)} {device.Name}{(row.Times > 1 ? $", {row.Times} times" : "")}"
                    );
                    terminal.WriteText(row.Reason);
                    terminal.WriteText(row.Text);
                }

                return ExitCode.Done;
            }
        );
        return verb;
    }

    private static Verb CreateGaps(Terminal terminal)
    {
        var verb = new Verb(
            "gaps",
            "Show what a device did not deliver: numbers left out, times of silence, and pulses that are no water."
        );
        Argument<string> name = verb.Takes<string>("NAME", "The device.");
        Option<int> days = verb.Has<int>(
            "--days",
            "How far back silences and pulses are looked for.",
            o => o.DefaultValueFactory = _ => 7
        );
        var record = new RecordOptions(verb, terminal, writes: false);
        verb.SetAction(
            async (line, cancel) =>
            {
                int back = line.GetValue(days);
                if (back is < 1 or > MostDays)
                {
                    return terminal.Refuse([new("--days", $"{back}", $"days, 1 to {MostDays}")]);
                }

                await using LogbookStore store = await record.OpenAsync(line, cancel);
                string called = line.GetValue(name)!;
                Device? device = (await new DeviceRegister(store).ListAsync(cancel)).FirstOrDefault(d =>
                    string.Equals(d.Name, called, StringComparison.Ordinal)
                );
                if (device is null)
                {
                    return terminal.Refuse([new("NAME", called, "a device, see 'rinsewright device list'")]);
                }

                var listing = new DeviceListing(store);
                IReadOnlyList<MissingRows> missing = await listing.MissingAsync(device, cancel);
                DateTimeOffset since = terminal.Clock.GetUtcNow().AddDays(-back);
                IReadOnlyList<SilentTime> silences = await listing.SilencesAsync(device, since, cancel);
                IReadOnlyList<DroppedPulses> dropped = await listing.DroppedAsync(device, since, cancel);
                if (Verb.WantsJson(line))
                {
                    return terminal.WriteJson(json =>
                    {
                        json.WriteStartArray("missing");
                        foreach (MissingRows rows in missing)
                        {
                            json.WriteStartObject();
                            json.WriteNumber("boot", rows.Boot);
                            json.WriteNumber("from", rows.From);
                            json.WriteNumber("to", rows.To);
                            json.WriteEndObject();
                        }

                        json.WriteEndArray();
                        json.WriteStartArray("silences");
                        foreach (SilentTime silence in silences)
                        {
                            json.WriteStartObject();
                            json.WriteString("kind", silence.Channel.Kind.ToString().ToLowerInvariant());
                            json.WriteString("from", silence.From);
                            json.WriteString("to", silence.To);
                            json.WriteEndObject();
                        }

                        json.WriteEndArray();
                        json.WriteStartArray("dropped");
                        foreach (DroppedPulses pulses in dropped)
                        {
                            json.WriteStartObject();
                            json.WriteString("from", pulses.From);
                            json.WriteString("to", pulses.To);
                            json.WriteNumber("pulses", pulses.Pulses);
                            json.WriteEndObject();
                        }

                        json.WriteEndArray();
                    });
                }

                foreach (MissingRows rows in missing)
                {
                    terminal.WriteText(
                        FormattableString.Invariant(
                            $"Missing: {rows.From} to {rows.To}{(rows.Boot > 0 ? $" of start {rows.Boot}" : "")}"
                        )
                    );
                }

                foreach (SilentTime silence in silences)
                {
                    terminal.WriteText($"Silent: {Text(silence.From)} to {Text(silence.To)}");
                }

                foreach (DroppedPulses pulses in dropped)
                {
                    terminal.WriteText(
                        FormattableString.Invariant(
                            $"No water: {pulses.Pulses:0} pulses from {Text(pulses.From)} to {Text(pulses.To)}, more than any hose gives"
                        )
                    );
                }

                if (missing.Count + silences.Count + dropped.Count == 0)
                {
                    terminal.WriteText("Nothing is missing.");
                }

                return ExitCode.Done;
            }
        );
        return verb;
    }

    internal static async Task<Organisation?> FindAsync(
        LogbookContext context,
        string name,
        ProblemList problems,
        CancellationToken cancel
    )
    {
        List<Organisation> all = await context.Live<Organisation>().ToListAsync(cancel);
        Organisation? found = all.Find(o => string.Equals(o.Name, name, StringComparison.OrdinalIgnoreCase));
        problems.Require(
            found is not null,
            "--organisation",
            $"{name}",
            all.Count == 0
                ? Sentence.Of("an organisation; there is none yet: 'rinsewright log add organisation name=…'")
                : Sentence.Of($"one of {string.Join(", ", all.Select(o => o.Name))}")
        );
        return found;
    }

    private static TimeSpan Minutes(double minutes) =>
        TimeSpan.FromMinutes(double.IsFinite(minutes) ? Math.Clamp(minutes, -1e6, 1e6) : 0);

    private static void WriteAt(Utf8JsonWriter json, string name, DateTimeOffset? at)
    {
        if (at is { } moment)
        {
            json.WriteString(name, moment);
        }
        else
        {
            json.WriteNull(name);
        }
    }

    private static string? Text(DateTimeOffset? at) =>
        at?.UtcDateTime.ToString("yyyy-MM-dd HH:mm'Z'", CultureInfo.InvariantCulture);
}
