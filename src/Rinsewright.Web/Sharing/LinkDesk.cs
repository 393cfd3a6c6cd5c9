using System.ComponentModel;
using System.Globalization;
using Microsoft.EntityFrameworkCore;
using Rinsewright.Quantities;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Logging;

namespace Rinsewright.Web.Sharing;

/// <summary>A link to make.</summary>
public sealed record NewLink
{
    [Description("page or calendar; page if not said.")]
    public string? Kind { get; init; }

    [Description("Whom it is for.")]
    public string? Name { get; init; }

    [Description("Days that it stays open, 1 to 3650; 90 for a page, until it is revoked for a calendar.")]
    public string? Days { get; init; }

    [Description("Whether its page shows what the rig costs.")]
    public bool Costs { get; init; }

    [Description("Who makes it.")]
    public string? By { get; init; }
}

/// <summary>What came of making a link.</summary>
/// <param name="Link">The link, when it was made.</param>
/// <param name="Path">What it opens; it is told once, here.</param>
/// <param name="Problems">Why it was not made.</param>
public sealed record LinkOutcome(ShareLink? Link, string? Path, IReadOnlyList<InputProblem> Problems);

/// <summary>Makes and revokes the links by which others read of a rig; the pages, the API and the command line ask here.</summary>
public sealed class LinkDesk(LogbookStore store)
{
    private const int MostDays = 3650;

    /// <summary>Makes a link to a rig; nothing when there is no such rig.</summary>
    public async Task<LinkOutcome?> MakeAsync(Id<Rig> rig, NewLink asked, CancellationToken cancel)
    {
        await using (LogbookContext context = store.Read())
        {
            if (!await context.Live<Rig>().AnyAsync(r => r.Id == rig, cancel))
            {
                return null;
            }
        }

        var problems = new ProblemList();
        LinkKind kind = LinkKind.Page;
        if (
            !string.IsNullOrWhiteSpace(asked.Kind)
            && !(Enum.TryParse(asked.Kind, ignoreCase: true, out kind) && Enum.IsDefined(kind))
        )
        {
            problems.Add("kind", asked.Kind, "page or calendar");
        }

        int? days = kind is LinkKind.Page ? ShareLink.UsualDays : null;
        if (!string.IsNullOrWhiteSpace(asked.Days))
        {
            days =
                int.TryParse(asked.Days, NumberStyles.None, CultureInfo.InvariantCulture, out int said)
                && said is >= 1 and <= MostDays
                    ? said
                    : null;
            problems.Require(days is not null, "days", $"{asked.Days}", "a whole number from 1 to 3650");
        }

        if (problems.Problems.Count > 0)
        {
            return new LinkOutcome(null, null, problems.Problems);
        }

        string token = ShareLink.NewToken();
        var link = new ShareLink
        {
            Id = store.Ids.Next<ShareLink>(),
            RigId = rig,
            Kind = kind,
            Name = asked.Name?.Trim() ?? "",
            TokenHash = ShareLink.HashOf(token),
            ExpiresAt = days is { } open ? store.Clock.GetUtcNow().AddDays(open) : null,
            ShowsCosts = asked.Costs,
        };
        WriteOutcome outcome = await store.WriteAsync(
            new EditDraft(LogEntries.Author(asked.By)),
            [link],
            cancel
        );
        return outcome.Edit is null
            ? new LinkOutcome(null, null, outcome.Problems)
            : new LinkOutcome(link, ShareLink.PathOf(kind, token), []);
    }

    /// <summary>Links that are not revoked, the newest first, each with its rig.</summary>
    public async Task<IReadOnlyList<(ShareLink Link, Rig Rig)>> ListAsync(CancellationToken cancel)
    {
        await using LogbookContext context = store.Read();
        Dictionary<Id<Rig>, Rig> rigs = await context.Live<Rig>().ToDictionaryAsync(r => r.Id, cancel);
        List<ShareLink> links = await context.Live<ShareLink>().ToListAsync(cancel);
        return
        [
            .. links
                .Where(l => rigs.ContainsKey(l.RigId))
                .OrderByDescending(l => l.Id.Value)
                .Select(l => (l, rigs[l.RigId])),
        ];
    }

    /// <summary>Shuts a link for good; nothing when there is no such link.</summary>
    public async Task<WriteOutcome?> RevokeAsync(Id<ShareLink> id, string? by, CancellationToken cancel)
    {
        ShareLink? link;
        await using (LogbookContext context = store.Read())
        {
            link = await context.Live<ShareLink>().FirstOrDefaultAsync(l => l.Id == id, cancel);
        }

        return link is null
            ? null
            : await store.DeleteAsync(new EditDraft(LogEntries.Author(by), "revoked"), link, cancel);
    }
}
