using System.Security.Cryptography;
using System.Text;
using Rinsewright.App.Tests.Records;
using Rinsewright.Quantities;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Logbook;

namespace Rinsewright.App.Tests.Ingest;

public sealed class DeviceTests
{
    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task A_device_is_found_by_its_key_until_the_key_is_revoked(DatabaseKind database)
    {
        await using Reporting reporting = await Reporting.StartAsync(database);
        Device found = (await reporting.Register.FindAsync(reporting.Key, default))!;
        Assert.Equal((reporting.Device.Id, "Probe"), (found.Id, found.Name));
        Assert.False(await reporting.Register.RevokeAsync("No such device", default));
        Assert.True(await reporting.Register.RevokeAsync("Probe", default));
        Assert.Null(await reporting.Register.FindAsync(reporting.Key, default));
        Assert.False(await reporting.Register.RevokeAsync("Probe", default));
        Device listed = Assert.Single(await reporting.Register.ListAsync(default));
        Assert.Equal(TestRecord.Start, listed.RevokedAt);
    }

    [Fact]
    public async Task Only_the_whole_key_opens()
    {
        await using Reporting reporting = await Reporting.StartAsync(DatabaseKind.Sqlite);
        (_, string other) = await reporting.AddAsync(
            new DeviceDraft("Other", reporting.Entries.Rig.Id, null)
        );
        string[] own = reporting.Key.Split('.');
        string[] wrong =
        [
            "",
            "rw..",
            own[2],
            $"rw.{own[1]}.",
            $"rw.{own[1]}.{other.Split('.')[2]}",
            $"rw.{own[1]}.{own[2]}=",
            $"rw.{own[1]}.{own[2][..^1]}",
            $"RW.{own[1]}.{own[2]}",
            $"rw.{own[1]}x.{own[2]}",
            $"rw.{own[1]}.{own[2]}.x",
            $"rw.{own[1]}.{own[2][..^1]}_",
            $"rw.{own[1]}.{own[2][..^1]}*",
        ];
        foreach (string key in wrong)
        {
            Assert.Null(await reporting.Register.FindAsync(key, default));
        }

        Assert.Null(await reporting.Register.FindAsync(null, default));
    }

    [Fact]
    public async Task The_secret_is_random_and_only_its_digest_is_kept()
    {
        await using Reporting reporting = await Reporting.StartAsync(DatabaseKind.Sqlite);
        (Device other, string otherKey) = await reporting.AddAsync(
            new DeviceDraft("Other", reporting.Entries.Rig.Id, null)
        );
        string secret = reporting.Key.Split('.')[2];
        Assert.Equal(43, secret.Length);
        Assert.NotEqual(secret, otherKey.Split('.')[2]);
        Assert.NotEqual(reporting.Device.KeyName, other.KeyName);
        Assert.Equal(
            SHA256.HashData(System.Buffers.Text.Base64Url.DecodeFromChars(secret)),
            reporting.Device.KeyDigest
        );
        await reporting.Record.Store.DisposeAsync();
        foreach (string file in Directory.EnumerateFiles(reporting.Record.Address.Folder!))
        {
            byte[] bytes = await File.ReadAllBytesAsync(file);
            Assert.Equal(-1, bytes.AsSpan().IndexOf(Encoding.UTF8.GetBytes(secret)));
        }
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task A_device_that_cannot_be_is_refused_with_every_reason(DatabaseKind database)
    {
        await using Reporting reporting = await Reporting.StartAsync(database);
        (AddedDevice? added, IReadOnlyList<InputProblem> problems) = await reporting.Register.AddAsync(
            new DeviceDraft(" ", null, null)
            {
                PulsesPerLiter = 0,
                CounterSize = 10,
                Pause = TimeSpan.Zero,
                Interval = TimeSpan.FromDays(2),
            },
            default
        );
        Assert.Null(added);
        Assert.Equal(
            ["name", "scope", "pulses per litre", "counter size", "pause", "interval"],
            problems.Select(p => p.Place)
        );
        (_, problems) = await reporting.Register.AddAsync(
            new DeviceDraft("Probe", reporting.Entries.Rig.Id, null),
            default
        );
        Assert.Equal("name", Assert.Single(problems).Place);
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task A_device_of_an_organisation_reports_on_its_rigs_and_on_no_other(DatabaseKind database)
    {
        await using Reporting reporting = await Reporting.StartAsync(database);
        IdSource ids = reporting.Record.Store.Ids;
        var firm = new Organisation { Id = ids.Next<Organisation>(), Name = "Two vans" };
        Rig[] rigs =
        [
            .. ((string[])["North", "South"]).Select(name => new Rig
            {
                Id = ids.Next<Rig>(),
                Name = name,
                OrganisationId = firm.Id,
            }),
        ];
        await reporting.Record.WriteAsync([firm, .. rigs]);
        (Device device, _) = await reporting.AddAsync(new DeviceDraft("Gateway", null, firm.Id));
        string Row(string rig) =>
            $"{{\"kind\": \"reading\", \"at\": \"2026-03-01T07:00Z\", \"rig\": \"{rig}\", \"what\": \"tds\", \"value\": \"3 ppm\"}}";
        DeliveryAnswer answer = await reporting.Inbox.TakeAsync(
            device,
            Reporting.DeliveryOf(null, Row("north"), Row(rigs[1].Id.ToString()), Row("Van 1")),
            default
        );
        Assert.Equal([RowStatus.Kept, RowStatus.Kept, RowStatus.Refused], answer.Rows.Select(r => r.Status));
        Assert.Equal(
            "rig: Van 1: a rig of this device (North, South)",
            answer.Rows[2].Problems[0].ToString()
        );
        Assert.Equal([rigs[0].Id, rigs[1].Id], (await reporting.LiveAsync<Reading>()).Select(r => r.RigId));
    }
}
