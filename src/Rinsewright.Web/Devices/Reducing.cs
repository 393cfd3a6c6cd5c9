using Microsoft.Extensions.Logging;
using Rinsewright.Records.Ingest;
using Rinsewright.Web.Operations;

namespace Rinsewright.Web.Devices;

/// <summary>Makes entries of what devices streamed, as soon as it is due.</summary>
internal sealed class Reducing(Inbox inbox, TimeProvider clock, ILogger<Reducing> log)
    : RepeatedWork(TimeSpan.FromSeconds(20), clock, log)
{
    protected override string Later => "What devices streamed is condensed later";

    protected override Task TurnAsync(CancellationToken cancel) => inbox.ReduceAsync(cancel);
}
