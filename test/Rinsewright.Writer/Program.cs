using System.Globalization;
using System.Text;
using Rinsewright.Records.Exchange;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;

namespace Rinsewright.Writer;

/// <summary>
/// Writes notes, changes of notes and imports into a record in turn, and says after each that it was
/// acknowledged, until it is killed. Fault tests run it as another process.
/// </summary>
internal static class Program
{
    private const int ImportedRows = 40;

    private static async Task Main(string[] args)
    {
        string name = args[0];
        await using Stream output = Console.OpenStandardOutput();
        await using LogbookStore store = await LogbookStore.OpenAsync(
            StoreAddress.Parse(args[1], _ => null),
            TimeProvider.System
        );
        Note? last = null;
        for (int i = 0; ; i++)
        {
            string text = string.Create(CultureInfo.InvariantCulture, $"{name}-{i}");
            var draft = new EditDraft(name, text);
            bool isWritten;
            if (i % 5 == 4)
            {
                isWritten = (await ImportAsync(store, draft, i)).Edit is not null;
            }
            else
            {
                last =
                    i % 5 == 3
                        ? last! with
                        {
                            Version = 1,
                            Text = text,
                        }
                        : new Note
                        {
                            Id = store.Ids.Next<Note>(),
                            At = DateTimeOffset.UnixEpoch,
                            Text = text,
                        };
                isWritten = (await store.WriteAsync(draft, [last])).Edit is not null;
            }

            if (!isWritten)
            {
                throw new InvalidOperationException(text);
            }

            await output.WriteAsync(Encoding.UTF8.GetBytes(text + "\n"));
            await output.FlushAsync();
        }
    }

    private static async Task<ImportReport> ImportAsync(LogbookStore store, EditDraft draft, int number)
    {
        // Each writer has centuries, each import days of its own, so that every row is new.
        int writer = int.Parse(draft.Author, CultureInfo.InvariantCulture);
        DateTime day = DateTime.UnixEpoch.AddDays((writer * 50_000) + (number * 7));
        var csv = new StringBuilder("at,tds (ppm)\n");
        for (int row = 0; row < ImportedRows; row++)
        {
            csv.Append(CultureInfo.InvariantCulture, $"{day.AddMinutes(row):yyyy-MM-dd HH:mm},{row}\n");
        }

        using var file = new MemoryStream(Encoding.UTF8.GetBytes(csv.ToString()));
        return await ReadingImport.RunAsync(store, file, new ReadingCsvOptions(), draft);
    }
}
