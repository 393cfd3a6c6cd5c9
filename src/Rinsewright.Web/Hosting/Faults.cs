using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using Rinsewright.Quantities;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Api;
using Rinsewright.Web.People;

namespace Rinsewright.Web.Hosting;

/// <summary>Answers what nobody else could: a record that cannot be used, an address that is not there, a fault of ours.</summary>
internal sealed partial class Faults(
    [FromKeyedServices(PeopleHosting.Whole)] LogbookStore store,
    ILogger<Faults> log
) : IMiddleware
{
    public async Task InvokeAsync(HttpContext context, RequestDelegate next)
    {
        try
        {
            await next(context);
        }
        catch (Exception problem)
            when (!context.Response.HasStarted && store.WhyUnavailable(problem) is not null)
        {
            await AnswerAsync(
                context,
                StatusCodes.Status503ServiceUnavailable,
                Sentence.Of("The record cannot be used"),
                Sentence.Written(store.WhyUnavailable(problem)!.Message)
            );
            return;
        }
        catch (BadHttpRequestException problem) when (!context.Response.HasStarted)
        {
            await AnswerAsync(
                context,
                problem.StatusCode,
                Sentence.Of("The request cannot be read"),
                Sentence.Written(problem.Message)
            );
            return;
        }
        catch (Exception problem)
            when (problem is not OperationCanceledException && !context.Response.HasStarted)
        {
            LogFault(problem, context.Request.Path);
            await AnswerAsync(
                context,
                StatusCodes.Status500InternalServerError,
                Sentence.Of("Something went wrong here"),
                Sentence.Of(
                    "Look whether what you sent was written before you send it again. The fault is in the log of the program; please report it."
                )
            );
            return;
        }

        if (
            context.Response is
            {
                HasStarted: false,
                StatusCode: StatusCodes.Status404NotFound,
                ContentLength: null,
                ContentType: null
            }
        )
        {
            await AnswerAsync(
                context,
                StatusCodes.Status404NotFound,
                Sentence.Of("There is nothing at this address"),
                Sentence.Written(context.Request.Path)
            );
        }
    }

    private static async Task AnswerAsync(HttpContext context, int status, Sentence title, Sentence detail)
    {
        context.Response.Clear();
        SecurityHeaders.Apply(context);
        if (context.Request.Path.StartsWithSegments("/api", StringComparison.Ordinal))
        {
            await Problems.Because(status, title.ToString(), detail.ToString()).ExecuteAsync(context);
            return;
        }

        await Page(context, status, title, [detail], "/").ExecuteAsync(context);
    }

    /// <summary>A page that says what is not right, line by line, and leads back.</summary>
    public static IResult Page(
        HttpContext context,
        int status,
        Sentence title,
        IEnumerable<Sentence> lines,
        string back
    )
    {
        Speech speech = context.RequestServices.GetRequiredService<Speech>();
        return TypedResults.Content(
            $"""
            <!doctype html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">
            <title>Rinsewright</title><link rel="stylesheet" href="/assets/rinsewright.css"></head>
            <body><main><h1>{Text(speech.Say(title))}</h1>{string.Concat(
                lines.Select(line => $"<p>{Text(speech.Say(line))}</p>")
            )}
            <p><a class="button" href="{back}">{Text(back is "/" ? speech["Today"] : speech["Back"])}</a></p></main></body></html>
            """,
            "text/html; charset=utf-8",
            statusCode: status
        );
    }

    private static string Text(string text) => System.Net.WebUtility.HtmlEncode(text);

    [LoggerMessage(Level = LogLevel.Error, Message = "{Path} failed")]
    private partial void LogFault(Exception problem, string path);
}
