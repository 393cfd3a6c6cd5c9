using System.Collections.Concurrent;
using System.Threading.Channels;
using Microsoft.Extensions.Logging;
using Rinsewright.Quantities;
using Rinsewright.Records.Forecasts;
using Rinsewright.Records.Logbook;
using Rinsewright.Records.Storage;
using Rinsewright.Treatment;
using Rig = Rinsewright.Records.Logbook.Rig;

namespace Rinsewright.Web.Estimates;

/// <summary>
/// Forecasts of rigs, computed in the background one after the other, and kept. A page is given the last one at once and told
/// whether a newer one is on its way. The first of each day and fill goes into the record, so that it is scored when the truth
/// is known.
/// </summary>
public sealed partial class RigForecasts : IAsyncDisposable
{
    private const int Members = 1000;
    private const int Seed = 1;
    private const int MostLately = 16; // some MB each

    private readonly LogbookStore _store;
    private readonly ILogger<RigForecasts> _log;
    private readonly LifeLibraries _libraries;
    private readonly ConcurrentDictionary<Id<Rig>, Made> _made = new();
    private readonly ConcurrentDictionary<Id<Rig>, Wish> _wished = new();
    private readonly Channel<Id<Rig>> _queue = Channel.CreateUnbounded<Id<Rig>>();
    private readonly CancellationTokenSource _stop = new();
    private readonly ForecastMeter _meter = new();
    private readonly Task _work;
    private readonly Dictionary<Id<Fill>, DateOnly> _keptOn = [];
    private readonly Dictionary<Id<Rig>, RigForecast> _lately = [];
    private TaskCompletionSource _next = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private int _version;

    public RigForecasts(LogbookStore store, LifeLibraries libraries, ILogger<RigForecasts> log)
    {
        _libraries = libraries;
        _store = store;
        _log = log;
        _work = Task.Run(WorkAsync);
    }

    /// <summary>Changes whenever a forecast is ready.</summary>
    public int Version => Volatile.Read(ref _version);

    /// <summary>Ends when the next forecast is ready, or could not be made.</summary>
    public Task NextAsync(CancellationToken cancel) => Volatile.Read(ref _next).Task.WaitAsync(cancel);

    /// <summary>The last forecast of a rig, if there is one, and whether a newer one is being made.</summary>
    public (FillOutlook? Last, bool IsSharpening) Of(Outlook outlook)
    {
        Id<Rig> rig = outlook.History.Rig.Id;
        if (outlook.Question is null)
        {
            return (null, false);
        }

        var key = StateOf(outlook);
        Made? made = _made.GetValueOrDefault(rig);
        if (made is not null && made.Key == key)
        {
            return (made.Outlook, false);
        }

        if (!(_wished.TryGetValue(rig, out Wish? known) && known.Key == key))
        {
            _wished[rig] = new Wish(key, outlook);
            _queue.Writer.TryWrite(rig);
        }

        // A forecast of an earlier fill says nothing of this one.
        return (made?.Key.Fill == key.Fill ? made?.Outlook : null, true);
    }

    public async ValueTask DisposeAsync()
    {
        await _stop.CancelAsync();
        _queue.Writer.TryComplete();
        await _work;
        _stop.Dispose();
        _meter.Dispose();
    }

    private async Task WorkAsync()
    {
        try
        {
            await foreach (Id<Rig> rig in _queue.Reader.ReadAllAsync(_stop.Token))
            {
                if (!_wished.TryGetValue(rig, out Wish? wish))
                {
                    continue;
                }

                if (_made.GetValueOrDefault(rig)?.Key != wish.Key)
                {
                    await MakeAsync(rig, wish);
                }

                // What was wished for meanwhile is another wish and stays; this one would hold a whole history for ever.
                _wished.TryRemove(KeyValuePair.Create(rig, wish));
            }
        }
        catch (OperationCanceledException) when (_stop.IsCancellationRequested)
        {
            // The host stops.
        }
    }

    /// <summary>Makes and keeps one forecast. What goes wrong with it is told and keeps nobody from making the others.</summary>
    private async Task MakeAsync(Id<Rig> rig, Wish wish)
    {
        try
        {
            long start = _store.Clock.GetTimestamp();
            (FillOutlook? outlook, IReadOnlyList<KeptForecast>? kept) = Make(wish.Outlook);
            if (outlook is not null)
            {
                _meter.Made(_store.Clock.GetElapsedTime(start), isContinued: kept is null);
            }

            _made[rig] = new Made(wish.Key, outlook);
            Interlocked.Increment(ref _version);
            if (kept is not null)
            {
                await KeepAsync(kept, outlook!, wish.Key.Day);
            }
        }
        catch (Exception problem) when (!_stop.IsCancellationRequested)
        {
            LogFailed(problem, wish.Outlook.History.Rig.Name);
            if (_made.GetValueOrDefault(rig)?.Key != wish.Key)
            {
                _made[rig] = new Made(wish.Key, null);
                Interlocked.Increment(ref _version);
            }
        }
        finally
        {
            Interlocked
                .Exchange(
                    ref _next,
                    new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously)
                )
                .SetResult();
        }
    }

    private (FillOutlook? Outlook, IReadOnlyList<KeptForecast>? Kept) Make(Outlook outlook)
    {
        try
        {
            Id<Rig> rig = outlook.History.Rig.Id;
            RigForecast? last = _lately.GetValueOrDefault(rig);
            RigForecast? later =
                last is not null && outlook.Local(last.At) == outlook.Local(outlook.Now)
                    ? last.After(outlook.History, outlook.Now)
                    : null;
            RigForecast? forecast =
                later
                ?? RigForecast.Of(
                    outlook.History,
                    outlook.Now,
                    Members,
                    Seed,
                    out IReadOnlyList<InputProblem> _,
                    _libraries,
                    cancel: _stop.Token
                );
            if (forecast is null)
            {
                return default;
            }

            if (_lately.Count >= MostLately)
            {
                _lately.Clear();
            }

            _lately[rig] = forecast;
            ChangeOutLine line = outlook.Question!.Line;
            var made = FillOutlook.Of(forecast, line, outlook.MeterFactor, outlook.Now, Seed);
            return (
                made,
                // One that was continued cannot be computed again from its seed alone.
                later is null
                    ? ForecastKeeping.AllOf(_store.Ids, forecast, outlook.MeterFactor, outlook.Now, Seed)
                    : null
            );
        }
        catch (InvalidOperationException problem)
        {
            // A life that was not solved: nothing is forecast from it, and the plain estimate stays.
            LogUnsolved(problem, outlook.History.Rig.Name);
            return default;
        }
    }

    /// <summary>Writes the first forecast of a fill on a day into the record, with what is new of the cartridges before it.</summary>
    private async Task KeepAsync(IReadOnlyList<KeptForecast> kept, FillOutlook outlook, DateOnly day)
    {
        KeptForecast first = kept[0];
        if (_keptOn.TryGetValue(first.FillId, out DateOnly last) && last == day)
        {
            return;
        }

        try
        {
            IReadOnlyList<KeptWear> worn;
            await using (LogbookContext context = _store.Read())
            {
                worn = await ForecastKeeping.NewWearAsync(
                    context,
                    _store.Ids,
                    outlook.Wear,
                    first.At,
                    Seed,
                    _stop.Token
                );
            }

            WriteOutcome outcome = await _store.WriteAsync(
                ForecastKeeping.OfTheDay(first, day),
                [.. kept, .. worn],
                _stop.Token
            );
            if (outcome.Edit is null)
            {
                LogNotKept(null, string.Join(' ', outcome.Problems));
            }

            _keptOn[first.FillId] = day;
            Interlocked.Increment(ref _version);
        }
        catch (Exception problem) when (_store.WhyUnavailable(problem) is not null)
        {
            // The page has its forecast; the next one of the day is tried again.
            LogNotKept(problem, _store.WhyUnavailable(problem)!.Message);
        }
    }

    /// <summary>What a forecast depends on: everything written of the rig and its meters, its fill, and the day.</summary>
    private static State StateOf(Outlook outlook) =>
        new(
            outlook.Fill!.Fill.Id,
            outlook.History.StateUntil(),
            outlook.Question!.Line.Text,
            outlook.Local(outlook.Now)
        );

    [LoggerMessage(Level = LogLevel.Warning, Message = "No forecast of {Rig}: its bed could not be run")]
    private partial void LogUnsolved(Exception problem, string rig);

    [LoggerMessage(Level = LogLevel.Error, Message = "The forecast of {Rig} failed")]
    private partial void LogFailed(Exception problem, string rig);

    [LoggerMessage(Level = LogLevel.Warning, Message = "A forecast was not kept: {Why}")]
    private partial void LogNotKept(Exception? problem, string why);

    private sealed record State(Id<Fill> Fill, int Written, string Line, DateOnly Day);

    private sealed class Wish(State key, Outlook outlook)
    {
        public State Key => key;

        public Outlook Outlook => outlook;
    }

    private sealed record Made(State Key, FillOutlook? Outlook);
}
