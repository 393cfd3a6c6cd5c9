using Microsoft.Extensions.Logging;

namespace Rinsewright.Web.Hosting;

/// <summary>Writes what goes wrong as plain lines.</summary>
internal sealed class PlainLog(TextWriter writer) : ILoggerProvider
{
    public ILogger CreateLogger(string categoryName) => new Lines(writer);

    public void Dispose() { }

    private sealed class Lines(TextWriter writer) : ILogger
    {
        public IDisposable? BeginScope<TState>(TState state)
            where TState : notnull => null;

        public bool IsEnabled(LogLevel logLevel) => logLevel >= LogLevel.Warning;

        public void Log<TState>(
            LogLevel logLevel,
            EventId eventId,
            TState state,
            Exception? exception,
            Func<TState, Exception?, string> formatter
        )
        {
            if (IsEnabled(logLevel))
            {
                lock (writer)
                {
                    writer.WriteLine(
                        $"rinsewright: {formatter(state, exception)}{(exception is null ? "" : $"\n{exception}")}"
                    );
                }
            }
        }
    }
}
