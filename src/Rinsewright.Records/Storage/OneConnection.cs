using System.Data.Common;
using Microsoft.EntityFrameworkCore.Diagnostics;

namespace Rinsewright.Records.Storage;

/// <summary>
/// Keeps an edit on one connection. When a server drops it, Entity Framework would quietly open another, and
/// what follows would be written outside the edit's transaction. This ends the try instead, in the way that
/// makes the retry strategy begin the whole edit again.
/// </summary>
internal sealed class OneConnection : DbConnectionInterceptor
{
    public static OneConnection Instance { get; } = new();

    public override InterceptionResult ConnectionOpening(
        DbConnection connection,
        ConnectionEventData eventData,
        InterceptionResult result
    )
    {
        RefuseSecond(eventData);
        return result;
    }

    public override ValueTask<InterceptionResult> ConnectionOpeningAsync(
        DbConnection connection,
        ConnectionEventData eventData,
        InterceptionResult result,
        CancellationToken cancellationToken = default
    )
    {
        RefuseSecond(eventData);
        return ValueTask.FromResult(result);
    }

    private static void RefuseSecond(ConnectionEventData data)
    {
        if (data.Context is not LogbookContext context)
        {
            return;
        }

        if (context.WasOpened)
        {
            throw new TimeoutException("The connection broke within an edit.");
        }

        context.WasOpened = true;
    }
}
