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
        context.Response.StatusCode = status;
        if (context.Request.Path.StartsWithSegments("/api", StringComparison.Ordinal))
        {
            await Problems.Because(status, title, detail).ExecuteAsync(context);
            return;
        }

        context.Response.ContentType = "text/html; charset=utf-8";
        await context.Response.WriteAsync(
            $"""
            <!doctype html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">
            <title>Rinsewright</title><link rel="stylesheet" href="/assets/rinsewright.css"></head>
            <body><main><h1>{System.Net.WebUtility.HtmlEncode(
                title
            )}</h1><p>{System.Net.WebUtility.HtmlEncode(detail)}</p>
            <p><a class="button" href="/">Today</a></p></main></body></html>
            """
        );
    }

    [LoggerMessage(Level = LogLevel.Error, Message = "{Path} failed")]
    private partial void LogFault(Exception problem, string path);
}
