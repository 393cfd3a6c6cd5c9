using System.CommandLine;
using System.Diagnostics;
using System.Net;
using System.Net.NetworkInformation;
using System.Net.Sockets;
using System.Security.Cryptography;
using Microsoft.AspNetCore.Builder;
using QRCoder;
using Rinsewright.Quantities;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Devices;
using Rinsewright.Web.Hosting;

namespace Rinsewright.Cli;

/// <summary>Serves the pages and the HTTP API.</summary>
internal static class ServeCommand
{
    private const int ShortestPassphrase = 10;
    private const string MqttVariable = "RINSEWRIGHT_MQTT_PASSWORD";
    private const string PassphraseVariable = "RINSEWRIGHT_PASSPHRASE";
    private const string PassphraseLetters = "abcdefghijkmnpqrstuvwxyz23456789"; // none that looks like another

    public static Command Create(Terminal terminal)
    {
        var verb = new Verb(
            "serve",
            "Serve the pages and the HTTP API, to this machine or with --lan to the local network; Ctrl+C stops.",
            "rinsewright serve --open",
            "rinsewright serve --lan --port 8080",
            "rinsewright serve --public https://wash.example.org --your-water"
        )
        {
            StopsWithin = ServeOperations.LongestStop,
        };
        Option<bool> open = verb.Has<bool>("--open", "Open Today in the browser.");
        Option<bool> lan = verb.Has<bool>(
            "--lan",
            $"Serve the local network too. Asks everyone for a passphrase: that of {PassphraseVariable}, else a new one that is printed."
        );
        Option<bool> yourWater = verb.Has<bool>(
            "--your-water",
            "With --lan or --public: let anyone use the page For your water (/your-water) without the passphrase. It shows nothing of the record and keeps nothing."
        );
        Option<string?> site = verb.Has<string?>(
            "--public",
            "The https address under which a proxy on this machine lets others in. Asks for a passphrase as --lan does."
        );
        Option<string[]> proxies = verb.Has<string[]>(
            "--proxy",
            "With --public: address or network of a proxy on another machine; may be given several times."
        );
        Option<string?> mqtt = verb.Has<string?>(
            "--mqtt",
            $"A broker that devices publish to, mqtt://user@host:1883 or mqtts://…; its password is that of {MqttVariable}."
        );
        Option<int> port = verb.Has<int>(
            "--port",
            "The port; 0 for any that is free.",
            o => o.DefaultValueFactory = _ => ServeOptions.UsualPort
        );
        Option<string?> data = verb.Has<string?>(
            "--data",
            "Folder of the record, or a PostgreSQL connection string (Host=…). Default: rinsewright in the XDG data folder."
        );
        var operations = new ServeOperations(verb, terminal);
        var cluster = new ServeCluster(verb);
        var alarms = new ServeAlarms(verb, terminal);
        verb.SetAction(
            async (line, cancel) =>
            {
                List<InputProblem> problems = [];
                Func<ServeOptions, ServeOptions> operated = operations.Read(line, problems);
                Func<ServeOptions, Task<ServeOptions>> clustered = cluster.Read(
                    line,
                    line.GetValue(data) is not null,
                    problems,
                    cancel
                );
                Func<ServeOptions, ServeOptions> alarmed = alarms.Read(line, problems);
                int number = line.GetValue(port);
                if (number is < 0 or > 65535)
                {
                    problems.Add(new("--port", $"{number}", "a number from 0 to 65535"));
                }

                MqttSource? broker = Broker(line.GetValue(mqtt), terminal, problems);
                PublicSite? named = Site(line.GetValue(site), line.GetValue(proxies) ?? [], problems);
                bool isForOthers = line.GetValue(lan) || named is not null;
                string? passphrase = isForOthers ? Passphrase(terminal, problems) : null;
                if (problems.Count > 0)
                {
                    return terminal.Refuse(problems);
                }

                var options = new ServeOptions
                {
                    Address = StoreAddress.Parse(line.GetValue(data), terminal.Variable),
                    Clock = terminal.Clock,
                    Port = number,
                    Passphrase = passphrase,
                    IsYourWaterOpen = line.GetValue(yourWater),
                    Public = named,
                    Mqtt = broker,
                    Log = terminal.Error,
                };
                options = await clustered(alarmed(operated(options)));
                await using WebApplication app = await WebHost.StartAsync(
                    line.GetValue(lan) ? OnTheNetwork(options) : options,
                    cancel
                );
                Uri here = WebHost.AddressOf(app);
                if (await WebHost.DoPeopleSignInAsync(app, cancel))
                {
                    options = options with { Passphrase = null };
                    terminal.WriteText(
                        "People sign in, each with their own account; see 'rinsewright people list'."
                    );
                }

                Announce(terminal, options, line.GetValue(lan), here);
                if (line.GetValue(open))
                {
                    Open(here);
                }

                try
                {
                    await Task.Delay(Timeout.InfiniteTimeSpan, options.Clock, cancel);
                }
                catch (OperationCanceledException)
                {
                    // Ctrl+C is how it is stopped.
                }

                await app.StopAsync(CancellationToken.None);
                return ExitCode.Done;
            }
        );
        return verb;
    }

    private static ServeOptions OnTheNetwork(ServeOptions options) =>
        options with
        {
            Listen = [IPAddress.Any],
            HostNames =
            [
                .. options.HostNames,
                .. LocalAddresses().Select(a => a.ToString()),
                Environment.MachineName,
                Environment.MachineName + ".local",
            ],
        };

    private static PublicSite? Site(string? text, string[] proxies, List<InputProblem> problems)
    {
        if (text is null)
        {
            if (proxies.Length > 0)
            {
                problems.Add(
                    new("--proxy", proxies[0], "--public beside it, with the address that the proxy answers")
                );
            }

            return null;
        }

        Uri? address = PublicSite.ParseAddress(text);
        if (address is null)
        {
            problems.Add(
                new("--public", text, "an https address without a path, such as https://wash.example.org")
            );
        }

        List<IPNetwork> networks = [];
        foreach (string proxy in proxies)
        {
            if (PublicSite.ParseProxy(proxy) is { } network)
            {
                networks.Add(network);
            }
            else
            {
                problems.Add(
                    new("--proxy", proxy, "an address or a network, such as 192.168.1.5 or 10.0.0.0/24")
                );
            }
        }

        return address is null ? null : new PublicSite(address, networks);
    }

    private static MqttSource? Broker(string? text, Terminal terminal, List<InputProblem> problems)
    {
        if (text is null)
        {
            return null;
        }

        if (
            !Uri.TryCreate(text, UriKind.Absolute, out Uri? address)
            || address.Scheme is not ("mqtt" or "mqtts")
            || address.Host.Length == 0
            || address.UserInfo.Contains(':', StringComparison.Ordinal)
        )
        {
            problems.Add(
                new(
                    "--mqtt",
                    address?.Host ?? text,
                    $"mqtt://host, mqtt://user@host:1883 or mqtts://…, the password in {MqttVariable}"
                )
            );
            return null;
        }

        return new MqttSource
        {
            Broker = new UriBuilder(address) { UserName = "" }.Uri,
            User = address.UserInfo.Length > 0 ? Uri.UnescapeDataString(address.UserInfo) : null,
            Password = terminal.Variable(MqttVariable),
        };
    }

    private static string? Passphrase(Terminal terminal, List<InputProblem> problems)
    {
        if (terminal.Variable(PassphraseVariable) is not { Length: > 0 } chosen)
        {
            return string.Join(
                '-',
                Enumerable.Range(0, 4).Select(_ => RandomNumberGenerator.GetString(PassphraseLetters, 4))
            );
        }

        if (chosen.Length < ShortestPassphrase)
        {
            problems.Add(
                new(
                    PassphraseVariable,
                    $"{chosen.Length} characters",
                    $"at least {ShortestPassphrase} characters"
                )
            );
        }

        return chosen;
    }

    private static void Announce(Terminal terminal, ServeOptions options, bool isOnTheNetwork, Uri here)
    {
        terminal.WriteText($"Serving the record in {options.Address} at {here}. Ctrl+C stops.");
        if (isOnTheNetwork)
        {
            foreach (IPAddress address in LocalAddresses())
            {
                WriteCode(
                    terminal,
                    "On the local network",
                    new UriBuilder("http", address.ToString(), here.Port).Uri
                );
            }
        }

        if (options.Public is { } site)
        {
            WriteCode(terminal, "Through the proxy", site.Address);
        }

        if (options.Passphrase is { } passphrase)
        {
            terminal.WriteText($"Passphrase: {passphrase}");
            terminal.WriteCaution("Whoever gives the passphrase can read and write everything.");
        }

        if (isOnTheNetwork)
        {
            terminal.WriteCaution(
                "On the local network nothing is encrypted: whoever can listen in can read along, passphrase and passwords too. Phones keep the quick log without a connection only over https or on this machine itself."
            );
        }

        terminal.Output.Flush();
    }

    private static void WriteCode(Terminal terminal, string heading, Uri address)
    {
        terminal.WriteHeading($"{heading}: {address}");
        if (terminal.Unicode)
        {
            using var generator = new QRCodeGenerator();
            using QRCodeData code = generator.CreateQrCode(address.ToString(), QRCodeGenerator.ECCLevel.M);
            using var picture = new AsciiQRCode(code);
            terminal.Output.WriteLine(picture.GetGraphicSmall());
        }
    }

    private static IEnumerable<IPAddress> LocalAddresses() =>
        NetworkInterface
            .GetAllNetworkInterfaces()
            .Where(n => n.OperationalStatus is OperationalStatus.Up)
            .SelectMany(n => n.GetIPProperties().UnicastAddresses)
            .Select(a => a.Address)
            .Where(a => a.AddressFamily is AddressFamily.InterNetwork && !IPAddress.IsLoopback(a));

    private static void Open(Uri address)
    {
        string opener =
            OperatingSystem.IsWindows() ? "explorer.exe"
            : OperatingSystem.IsMacOS() ? "open"
            : "xdg-open";
        try
        {
            using var _ = Process.Start(
                new ProcessStartInfo(opener, address.ToString()) { UseShellExecute = false }
            );
        }
        catch (System.ComponentModel.Win32Exception)
        {
            // No browser is set up: the address stands on the terminal.
        }
    }
}
