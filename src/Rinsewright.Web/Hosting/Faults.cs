using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.Logging;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Api;

namespace Rinsewright.Web.Hosting;

/// <summary>Answers what nobody else could: a record that cannot be used, an address that is not there, a fault of ours.</summary>
internal sealed partial class Faults(ILogger<Faults> log) : IMiddleware
{
    public async Task InvokeAsync(HttpContext context, RequestDelegate next)
    {
        try
        {
            await next(context);
        }
        catch (RecordUnavailableException problem) when (!context.Response.HasStarted)
        {
            await AnswerAsync(
                context,
                StatusCodes.Status503ServiceUnavailable,
                "The record cannot be used",
                problem.Message
            );
            return;
        }
        catch (BadHttpRequestException problem) when (!context.Response.HasStarted)
        {
            await AnswerAsync(context, problem.StatusCode, "The request cannot be read", problem.Message);
            return;
        }
        catch (Exception problem)
            when (problem is not OperationCanceledException && !context.Response.HasStarted)
        {
            LogFault(problem, context.Request.Path);
            await AnswerAsync(
                context,
                StatusCodes.Status500InternalServerError,
                "Something went wrong here",
                "Nothing was written. The fault is in the log of the program; please report it."
            );
            return;
        }

        if (
            context.Response is
            { HasStarted: false, StatusCode: StatusCodes.Status404NotFound, ContentLength: null }
        )
        {
            await AnswerAsync(
                context,
                StatusCodes.Status404NotFound,
                "There is nothing at this address",
                context.Request.Path
            );
        }
    }

    private static async Task AnswerAsync(HttpContext context, int status, string title, string detail)
    {
        context.Response.Clear();
        SecurityHeaders.Apply(context);
        if (context.Request.Path.StartsWithSegments("/api", StringComparison.Ordinal))
        {
            await Problems.Because(status, title, detail).ExecuteAsync(context);
            return;
        }

        await Page(status, title, detail, "/").ExecuteAsync(context);
    }

    /// <summary>A page that says what is not right, line by line, and leads back.</summary>
    public static IResult Page(int status, string title, string detail, string back) =>
        TypedResults.Content(
            $"""
            <!doctype html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">
            <title>Rinsewright</title><link rel="stylesheet" href="/assets/rinsewright.css"></head>
            <body><main><h1>{Text(title)}</h1>{string.Concat(
                detail.Split('\n').Select(line => $"<p>{Text(line)}</p>")
            )}
            <p><a class="button" href="{back}">{(back is "/" ? "Today" : "Back")}</a></p></main></body></html>
            """,
            "text/html; charset=utf-8",
            statusCode: status
        );

    private static string Text(string text) => System.Net.WebUtility.HtmlEncode(text);

    [LoggerMessage(Level = LogLevel.Error, Message = "{Path} failed")]
    private partial void LogFault(Exception problem, string path);
}
