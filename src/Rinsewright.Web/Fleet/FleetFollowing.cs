using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using Rinsewright.Records.Fleet;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Operations;
using Rinsewright.Web.People;

namespace Rinsewright.Web.Fleet;

/// <summary>Keeps the board of all rigs up to date with what is written, here or elsewhere.</summary>
/// <remarks>How often it looks has nothing to do with the time that the record is read at.</remarks>
internal sealed class FleetFollowing(
    [FromKeyedServices(PeopleHosting.Whole)] LogbookStore store,
    ILogger<FleetFollowing> log
) : RepeatedWork(TimeSpan.FromSeconds(2), TimeProvider.System, log)
{
    private readonly FleetBoard _board = new(store);

    protected override string Later => "The board of all rigs is brought up to date later";

    protected override Task TurnAsync(CancellationToken cancel) => _board.FollowAsync(cancel);
}
