using System.Text;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.App.Tests.Records;

/// <summary>What must hold when disks fill up or cannot be written.</summary>
public sealed class DiskTests
{
    [Fact]
    public async Task A_full_disk_loses_nothing_and_takes_no_part_of_what_came_too_late()
    {
        await using SmallDisk disk = await SmallDisk.MountAsync();
        StoreAddress address = StoreAddress.InFolder(Path.Combine(disk.Folder, "record"));
        await using LogbookStore store = await LogbookStore.OpenAsync(address, TimeProvider.System);
        await store.WriteAsync(TestRecord.Draft, new Entries(store.Ids).Basis);
        int written = 0;
        RecordUnavailableException? full = null;
        string words = new('w', 20_000);
        while (full is null)
        {
            Note note = new()
            {
                Id = store.Ids.Next<Note>(),
                At = TestRecord.Start,
                Text = words,
            };
            try
            {
                Assert.NotNull((await store.WriteAsync(TestRecord.Draft, [note])).Edit);
                written++;
            }
            catch (RecordUnavailableException problem)
            {
                full = problem;
            }
        }

        Assert.Equal(UnavailableReason.Full, full.Reason);
        Assert.True(written > 20);
        using var csv = new MemoryStream(
            Encoding.UTF8.GetBytes(
                "at,tds (ppm)\n"
                    + string.Concat(
                        Enumerable
                            .Range(0, 20_000)
                            .Select(i => $"{TestRecord.Start.AddMinutes(i):yyyy-MM-dd HH:mm},3\n")
                    )
            )
        );
        RecordUnavailableException refused = await Assert.ThrowsAsync<RecordUnavailableException>(() =>
            ReadingImport.RunAsync(store, csv, new ReadingCsvOptions(), TestRecord.Draft)
        );
        Assert.Equal(UnavailableReason.Full, refused.Reason);
        await using (LogbookContext context = store.Read())
        {
            Assert.Equal(written, await context.Live<Note>().CountAsync());
            Assert.Equal(written + 1, await context.Edits.CountAsync());
            Assert.Empty(context.Live<Reading>());
        }

        File.Delete(disk.Ballast);
        Note after = new()
        {
            Id = store.Ids.Next<Note>(),
            At = TestRecord.Start,
            Text = words,
        };
        Assert.NotNull((await store.WriteAsync(TestRecord.Draft, [after])).Edit);
    }

    [Fact]
    public async Task A_read_only_folder_is_named_as_such()
    {
        await using SmallDisk disk = await SmallDisk.MountAsync();
        StoreAddress address = StoreAddress.InFolder(Path.Combine(disk.Folder, "record"));
        await using (LogbookStore store = await LogbookStore.OpenAsync(address, TimeProvider.System))
        {
            await store.WriteAsync(TestRecord.Draft, new Entries(store.Ids).Basis);
        }

        await disk.MakeReadOnlyAsync();
        foreach (string folder in (string[])["record", "another"])
        {
            RecordUnavailableException refused = await Assert.ThrowsAsync<RecordUnavailableException>(() =>
                LogbookStore.OpenAsync(
                    StoreAddress.InFolder(Path.Combine(disk.Folder, folder)),
                    TimeProvider.System
                )
            );
            Assert.Equal(UnavailableReason.ReadOnly, refused.Reason);
        }
    }
}
