using Microsoft.Extensions.Logging.Abstractions;
using Rinsewright.Web.Operations;

namespace Rinsewright.Web.Tests;

/// <summary>Work that comes round again outlives a turn that goes wrong, and ends with the program.</summary>
public sealed class RepeatedWorkTests
{
    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task A_turn_that_fails_or_is_given_up_is_followed_by_the_next_until_the_program_ends()
    {
        using var work = new Failing();
        await work.StartAsync(Stop);
        await work.ThirdTurn.Task.WaitAsync(TimeSpan.FromMinutes(1), Stop);
        await work.StopAsync(Stop);
        Assert.True(work.ExecuteTask!.IsCompletedSuccessfully);
    }

    private sealed class Failing()
        : RepeatedWork(TimeSpan.FromMilliseconds(1), TimeProvider.System, NullLogger.Instance)
    {
        private int _turns;

        public TaskCompletionSource ThirdTurn { get; } = new();

        protected override string Later => "It is done later";

        protected override Task TurnAsync(CancellationToken cancel)
        {
            _turns++;
            if (_turns == 3)
            {
                ThirdTurn.SetResult();
            }

            return _turns switch
            {
                1 => throw new InvalidOperationException("It is broken."),
                2 => throw new TaskCanceledException("It took too long."),
                _ => Task.CompletedTask,
            };
        }
    }
}
