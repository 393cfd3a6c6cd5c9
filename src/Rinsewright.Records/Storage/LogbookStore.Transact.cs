using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Storage;

namespace Rinsewright.Records.Storage;

/// <content>Transactions of what is no edit by itself: what devices deliver.</content>
public sealed partial class LogbookStore
{
    private const int MostClashes = 4;

    /// <summary>
    /// Runs <paramref name="work"/> in one transaction, again from the start when the connection breaks or when somebody else
    /// wrote the same meanwhile; <paramref name="work"/> gets the number of such clashes before.
    /// </summary>
    /// <exception cref="RecordUnavailableException">The database cannot be written.</exception>
    internal async Task<T> TransactAsync<T>(Func<LogbookContext, int, Task<T>> work, CancellationToken cancel)
    {
        for (int clashes = 0; ; clashes++)
        {
            try
            {
                await using LogbookContext outer = Address.NewContext(mayWrite: true, scope: Scope);
                return await outer
                    .Database.CreateExecutionStrategy()
                    .ExecuteAsync(
                        async token =>
                        {
                            await using LogbookContext context = Address.NewContext(
                                mayWrite: true,
                                scope: Scope
                            );
                            await using IDbContextTransaction transaction =
                                await context.Database.BeginTransactionAsync(token);
                            T result = await work(context, clashes);
                            await context.SaveChangesAsync(token);
                            await transaction.CommitAsync(token);
                            return result;
                        },
                        cancel
                    );
            }
            catch (Exception problem)
                when (clashes < MostClashes && (IsTaken(problem) || problem is DbUpdateConcurrencyException))
            {
                // The next try sees what the other wrote.
            }
            catch (Exception problem) when (Unavailable.From(problem, Address) is not null)
            {
                throw Unavailable.From(problem, Address)!;
            }
        }
    }
}
