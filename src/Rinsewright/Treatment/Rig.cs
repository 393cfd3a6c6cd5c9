using System.Collections.Immutable;
using Rinsewright.Treatment.Beds;

namespace Rinsewright.Treatment;

/// <summary>One installation: its ion-exchange beds in the order in which the water meets them.</summary>
/// <param name="Name">Its name, for people.</param>
/// <param name="Beds">At least one bed.</param>
public sealed record Rig(string Name, ImmutableArray<ExchangeBed> Beds);
