using Rinsewright.App.Tests.Records;
using Rinsewright.Records.Ingest;
using Rinsewright.Records.Storage;

namespace Rinsewright.App.Tests.Ingest;

/// <summary>How far each device and channel has come, whatever others of the same record have.</summary>
public sealed class RowMarksTests
{
    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task A_sequence_is_that_of_its_device_and_its_start(DatabaseKind database)
    {
        await using Reporting reporting = await Reporting.StartAsync(database);
        (Device other, _) = await reporting.AddAsync(
            new DeviceDraft("Other", reporting.Entries.Rig.Id, null)
        );
        await reporting.SendAsync(
            Reporting.Sample(-9, 5, 4),
            Reporting.Sample(-8, 5, 3),
            Reporting.Sample(-7, 5, 40, more: ", \"boot\": 1"),
            Reporting.Sample(-6, 5)
        );
        await reporting.Inbox.TakeAsync(
            other,
            Reporting.DeliveryOf(null, Reporting.Sample(-9, 5, 900)),
            default
        );
        var marks = new RowMarks();
        await using LogbookContext context = reporting.Record.Store.Read();
        Guid probe = reporting.Device.Id;
        await marks.FindSequencesAsync(
            context,
            [(probe, 0), (probe, 1), (probe, 2), (other.Id, 0), (other.Id, 1)]
        );
        Assert.Equal(
            [4, 40, -1, 900, -1],
            [
                marks.Sequence(probe, 0),
                marks.Sequence(probe, 1),
                marks.Sequence(probe, 2),
                marks.Sequence(other.Id, 0),
                marks.Sequence(other.Id, 1),
            ]
        );

        // What was written is learnt of where it was asked for; lower numbers and other starts change nothing.
        marks.Learn([
            Row(probe, 1, sequence: 7),
            Row(probe, 1, sequence: 6),
            Row(other.Id, 1, sequence: 3, boot: 1),
            Row(other.Id, 1, sequence: 5, boot: 9),
        ]);
        await marks.FindSequencesAsync(context, [(probe, 0), (other.Id, 1), (other.Id, 9)]);
        Assert.Equal(
            [7, 40, 900, 3, -1],
            [
                marks.Sequence(probe, 0),
                marks.Sequence(probe, 1),
                marks.Sequence(other.Id, 0),
                marks.Sequence(other.Id, 1),
                marks.Sequence(other.Id, 9),
            ]
        );

        // After another process went further, everything is asked for again.
        marks.Forget();
        Assert.Throws<KeyNotFoundException>(() => marks.Sequence(probe, 0));
        await marks.FindSequencesAsync(context, [(probe, 0)]);
        Assert.Equal(4, marks.Sequence(probe, 0));
    }

    [Theory, ClassData(typeof(EveryDatabase))]
    public async Task An_instant_is_that_of_its_channel_and_of_rows_without_a_number(DatabaseKind database)
    {
        await using Reporting reporting = await Reporting.StartAsync(database);
        await reporting.SendAsync(
            Reporting.Sample(-9, 5),
            Reporting.Sample(-8, 5),
            Reporting.Sample(-2, 5, sequence: 1),
            Reporting.Reading(-5, 3),
            Reporting.Reading(-4, 3)
        );
        await using LogbookContext context = reporting.Record.Store.Read();
        Dictionary<RowKind, long> channels = context
            .Set<DeviceChannel>()
            .ToDictionary(c => c.Kind, c => c.Id);
        (long samples, long readings) = (channels[RowKind.Sample], channels[RowKind.Reading]);
        long unheard = channels.Values.Max() + 1;
        var marks = new RowMarks();
        Assert.Equal(Reporting.AtMinute(-8), await marks.InstantAsync(context, samples));
        Assert.Equal(Reporting.AtMinute(-4), await marks.InstantAsync(context, readings));
        Assert.Equal(DateTimeOffset.MinValue, await marks.InstantAsync(context, unheard));

        Guid probe = reporting.Device.Id;
        marks.Learn([
            Row(probe, samples, minute: -1),
            Row(probe, samples, minute: -3),
            Row(probe, readings, minute: -7),
            Row(probe, unheard, minute: 0, sequence: 8),
        ]);
        Assert.Equal(Reporting.AtMinute(-1), await marks.InstantAsync(context, samples));
        Assert.Equal(Reporting.AtMinute(-4), await marks.InstantAsync(context, readings));
        Assert.Equal(DateTimeOffset.MinValue, await marks.InstantAsync(context, unheard));

        // Nobody asked for this channel yet: what is learnt of one row may not be the latest.
        marks.Forget();
        marks.Learn([Row(probe, samples, minute: -30)]);
        Assert.Equal(Reporting.AtMinute(-8), await marks.InstantAsync(context, samples));
    }

    private static ReceivedRow Row(
        Guid device,
        long channel,
        double minute = 0,
        long? sequence = null,
        int boot = 0
    ) =>
        new()
        {
            DeviceId = device,
            ChannelId = channel,
            Boot = boot,
            Sequence = sequence,
            DeviceAt = Reporting.AtMinute(minute),
            At = Reporting.AtMinute(minute),
            Value = 5,
            ReceivedAt = TestRecord.Start,
        };
}
