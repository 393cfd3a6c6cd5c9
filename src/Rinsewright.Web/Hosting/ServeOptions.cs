using System.Net;
using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.Localization;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Alarms;
using Rinsewright.Web.Devices;
using Rinsewright.Web.Operations;

namespace Rinsewright.Web.Hosting;

/// <summary>What a host is asked to serve, and to whom.</summary>
public sealed record ServeOptions
{
    /// <summary>The port that is used when none is named.</summary>
    public const int UsualPort = 5170;

    /// <summary>How long requests under way may take when nothing else is said.</summary>
    public static readonly TimeSpan UsualDrain = TimeSpan.FromSeconds(20);

    /// <summary>Where the record is.</summary>
    public required StoreAddress Address { get; init; }

    public TimeProvider Clock { get; init; } = TimeProvider.System;

    /// <summary>Addresses to listen on; this machine alone if not said.</summary>
    public IReadOnlyList<IPAddress> Listen { get; init; } = [IPAddress.Loopback];

    /// <summary>Port, or 0 for any that is free.</summary>
    public int Port { get; init; } = UsualPort;

    /// <summary>What everyone must give who opens the pages; nothing when only this machine can.</summary>
    public string? Passphrase { get; init; }

    /// <summary>Whether anyone may use the page For your water without the passphrase.</summary>
    public bool IsYourWaterOpen { get; init; }

    /// <summary>A broker that devices publish to, if there is one.</summary>
    public MqttSource? Mqtt { get; init; }

    /// <summary>The name under which others reach the pages through a proxy, if they do.</summary>
    public PublicSite? Public { get; init; }

    /// <summary>Names under which the pages may be asked for; a page of elsewhere cannot reach them under another.</summary>
    public IReadOnlyList<string> HostNames { get; init; } = ["localhost", "127.0.0.1", "[::1]"];

    /// <summary>Lives that were simulated.</summary>
    public SimulatedLives Simulated { get; init; } = new();

    /// <summary>Every name under which the pages may be asked for.</summary>
    internal IEnumerable<string> Names =>
        Public is { } site ? HostNames.Append(site.Address.Host) : HostNames;

    /// <summary>How often every rig is forecast, asked for or not.</summary>
    public TimeSpan ForecastEvery { get; init; } = TimeSpan.FromDays(1);

    /// <summary>Lets the host share its work with other machines; nothing when it works alone.</summary>
    public Action<WebApplicationBuilder>? Join { get; init; }

    /// <summary>How alarms are looked for and sent.</summary>
    public AlarmOptions Alarms { get; init; } = new();

    /// <summary>The texts of the pages, where they are not those of the file.</summary>
    internal IStringLocalizer<Texts>? Texts { get; init; }

    /// <summary>How much one device may deliver.</summary>
    public DeviceRate DeviceRate { get; init; } = new();

    /// <summary>Where warnings and errors are written.</summary>
    public TextWriter Log { get; init; } = TextWriter.Null;

    /// <summary>Whether the log goes to the error stream instead, one JSON object a line.</summary>
    public bool IsLogJson { get; init; }

    /// <summary>Where traces and metrics are sent, if anywhere.</summary>
    public Telemetry Telemetry { get; init; } = new();

    /// <summary>How long requests under way may take to end when the program is stopped (our choice).</summary>
    public TimeSpan Drain { get; init; } = UsualDrain;
}
