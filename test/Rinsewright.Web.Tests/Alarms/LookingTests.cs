using System.Net;
using Rinsewright.Records.Access;
using Rinsewright.Records.Alarms;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Logbook;
using Rinsewright.Web.Alarms;

namespace Rinsewright.Web.Tests.Alarms;

/// <summary>What the program finds by itself, and when it is over.</summary>
public sealed class LookingTests
{
    private static readonly TimeSpan Minute = TimeSpan.FromMinutes(1);

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task A_reading_past_the_line_is_urgent_and_over_when_the_fill_is_changed()
    {
        await using AlarmSite site = await AlarmSite.StartAsync();
        site.Clock.Advance(Minute);
        await site.WriteAsync(site.Read(3));
        site.Clock.Advance(Minute);
        await site.WriteAsync(site.Read(14));
        await site.UntilAsync(async () => await site.OpenAsync(AlarmKind.Line) is not null, Minute);
        Alarm alarm = (await site.OpenAsync(AlarmKind.Line))!;
        Assert.True(alarm.IsUrgent);
        Assert.Equal((14, 10, "ppm"), (Math.Round(alarm.Seen), Math.Round(alarm.Limit), alarm.Unit));
        await site.WriteAsync(
            site.Fill with
            {
                TakenOutAt = site.Clock.GetUtcNow(),
            },
            site.Fill with
            {
                Id = site.Store.Ids.Next<Fill>(),
                Version = 0,
                PutInAt = site.Clock.GetUtcNow(),
            }
        );
        await site.UntilAsync(async () => await site.OpenAsync(AlarmKind.Line) is null, Minute);
        Assert.Empty(site.Complaints);
    }

    [Fact]
    public async Task The_last_forecast_that_was_kept_tells_of_a_change_out_that_is_due_and_of_a_line_that_is_passed()
    {
        await using AlarmSite site = await AlarmSite.StartAsync();
        KeptForecast forecast = new()
        {
            Id = site.Store.Ids.Next<KeptForecast>(),
            RigId = site.Rig.Id,
            StageId = site.Bed.Id,
            FillId = site.Fill.Id,
            At = AlarmSite.Start,
            Model = "test",
            Members = 1,
            Seed = 1,
            Line = "20 uS/cm",
            MeterFactor = 0.5,
            LeftQuantiles_m3 = [.. Enumerable.Repeat<double?>(1, KeptForecast.QuantileCount)],
            DaysQuantiles_d = [.. Enumerable.Repeat<double?>(6, KeptForecast.QuantileCount)],
            PassedNow = 0.2,
        };
        // What is said of silica is no matter of the line at which the bed is changed.
        KeptForecast silica = forecast with
        {
            Id = site.Store.Ids.Next<KeptForecast>(),
            At = AlarmSite.Start.AddMinutes(1),
            Line = "1 mg/L silica",
            PassedNow = 0.9,
        };
        await site.WriteAsync(forecast, silica);
        await site.UntilAsync(async () => await site.OpenAsync(AlarmKind.Due) is not null, Minute);
        Assert.InRange((await site.OpenAsync(AlarmKind.Due))!.Seen, 5, 6);
        Assert.Null(await site.OpenAsync(AlarmKind.Chance));
        await site.WriteAsync(
            forecast with
            {
                Id = site.Store.Ids.Next<KeptForecast>(),
                At = site.Clock.GetUtcNow(),
                DaysQuantiles_d = [.. Enumerable.Repeat<double?>(20, KeptForecast.QuantileCount)],
                PassedNow = 0.6,
            }
        );
        await site.UntilAsync(async () => await site.OpenAsync(AlarmKind.Chance) is not null, Minute);
        await site.UntilAsync(async () => await site.OpenAsync(AlarmKind.Due) is null, Minute);
    }

    [Fact]
    public async Task Raw_water_that_reads_otherwise_than_in_the_weeks_before_is_told()
    {
        await using AlarmSite site = await AlarmSite.StartAsync();
        await site.WriteAsync([
            .. Enumerable.Range(4, 12).Select(d => site.Read(150 + (d % 3), Place.Source, d)),
        ]);
        await site.WriteAsync(site.Read(190, Place.Source, 1));
        await site.LookAsync();
        Assert.Null(await site.OpenAsync(AlarmKind.Feed)); // up by a quarter
        await site.WriteAsync(site.Read(260, Place.Source, 0.5), site.Read(255, Place.Source, 0.2));
        await site.UntilAsync(async () => await site.OpenAsync(AlarmKind.Feed) is not null, Minute);
        Alarm alarm = (await site.OpenAsync(AlarmKind.Feed))!;
        Assert.Equal("µS/cm", alarm.Unit);
        Assert.InRange(alarm.Seen / alarm.Limit, 1.6, 1.8);
    }

    [Fact]
    public async Task A_device_that_is_silent_and_one_whose_rows_are_refused_are_told_and_end()
    {
        await using AlarmSite site = await AlarmSite.StartAsync();
        using var http = new HttpClient { BaseAddress = site.Address };
        (AddedDevice? added, _) = await new DeviceRegister(site.Store).AddAsync(
            new DeviceDraft("Probe", site.Rig.Id, null),
            Stop
        );
        http.DefaultRequestHeaders.Authorization = new("Bearer", added!.Key);
        Assert.Equal(
            HttpStatusCode.Created,
            await SendAsync(
                """{"kind": "reading", "at": "2027-03-01T08:59:00Z", "what": "tds", "value": "3 ppm"}"""
            )
        );
        Assert.Empty(
            await new AlarmDesk(site.Store).SetAsync(
                new RuleDraft("silence", site.Rig.Id, 2, null, null),
                null,
                new Actor("Ana"),
                Stop
            )
        );
        site.Clock.Advance(TimeSpan.FromHours(2));
        await site.UntilAsync(async () => await site.OpenAsync(AlarmKind.Silence) is not null, Minute);
        Alarm silence = (await site.OpenAsync(AlarmKind.Silence))!;
        Assert.Equal((added.Device.Id, site.Rig.Id), (silence.DeviceId, silence.RigId!.Value));
        Assert.True(silence.Seen >= 2, $"{silence.Seen} h");
        for (int i = 0; i < 10; i++)
        {
            await SendAsync($$"""{"kind": "guess", "age_s": {{i}}}""");
        }

        await site.UntilAsync(async () => await site.OpenAsync(AlarmKind.Refused) is not null, Minute);
        Assert.Null(await site.OpenAsync(AlarmKind.Silence));
        Assert.Equal(10, (await site.OpenAsync(AlarmKind.Refused))!.Seen);
        await new DeviceRegister(site.Store).RevokeAsync("Probe", Stop);
        await site.UntilAsync(async () => await site.OpenAsync(AlarmKind.Refused) is null, Minute);

        async Task<HttpStatusCode> SendAsync(string row)
        {
            using var content = new StringContent(row, System.Text.Encoding.UTF8, "application/json");
            return (
                await http.PostAsync(new Uri("/api/ingest/row", UriKind.Relative), content, Stop)
            ).StatusCode;
        }
    }

    [Theory]
    [InlineData("8.8.8.8", true)]
    [InlineData("2606:4700::1111", true)]
    [InlineData("127.0.0.1", false)]
    [InlineData("10.1.2.3", false)]
    [InlineData("172.31.0.1", false)]
    [InlineData("172.32.0.1", true)]
    [InlineData("192.168.1.1", false)]
    [InlineData("169.254.169.254", false)]
    [InlineData("100.64.0.1", false)]
    [InlineData("0.0.0.0", false)]
    [InlineData("224.0.0.1", false)]
    [InlineData("255.255.255.255", false)]
    [InlineData("::1", false)]
    [InlineData("::", false)]
    [InlineData("fe80::1", false)]
    [InlineData("fd00::1", false)]
    [InlineData("ff02::1", false)]
    [InlineData("::ffff:127.0.0.1", false)]
    [InlineData("::ffff:8.8.8.8", true)]
    [InlineData("64:ff9b::7f00:1", false)] // NAT64 of 127.0.0.1
    [InlineData("2002:7f00:1::", false)] // 6to4 of 127.0.0.1
    [InlineData("2001:db8::1", false)]
    public void An_address_is_of_the_internet_or_it_is_not(string address, bool isPublic) =>
        Assert.Equal(isPublic, PublicAddress.Is(System.Net.IPAddress.Parse(address)));
}
