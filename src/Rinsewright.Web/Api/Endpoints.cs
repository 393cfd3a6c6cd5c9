using System.Text.Json;
using System.Text.Json.Serialization;
using Microsoft.AspNetCore.Antiforgery;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Http;
using Microsoft.AspNetCore.Routing;
using Microsoft.Extensions.DependencyInjection;
using Rinsewright.Records.Storage;
using Rinsewright.Web.Alarms;
using Rinsewright.Web.Devices;
using Rinsewright.Web.Estimates;
using Rinsewright.Web.Fleet;
using Rinsewright.Web.Logging;
using Rinsewright.Web.People;
using Rinsewright.Web.Sharing;

namespace Rinsewright.Web.Api;

/// <summary>The HTTP API: one group, described at <c>/openapi/v1.json</c>.</summary>
internal static class Endpoints
{
    /// <summary>A JSON answer's names are those of the record: words joined by underscores, the unit as it is written.</summary>
    private static JsonNamingPolicy Names => ColumnName.Policy;

    public static void AddApi(this IServiceCollection services)
    {
        services.AddScoped<LogEntries>();
        services.AddScoped<FirstRig>();
        services.AddSingleton<FirstMinute>();
        services.AddSingleton<WhatIf>();
        services.AddScoped<TaskSplits>();
        services.AddScoped<UsualWeek>();
        services.AddScoped<Purchases>();
        services.AddScoped<StatedWater>();
        services.AddSingleton<TrainSearch>();
        services.AddSingleton<SizeChart>();
        services.AddSingleton<ForYourWater>();
        services.AddSingleton<HandoutTurn>();
        services.AddScoped<HandoutDesk>();
        services.AddScoped<LinkDesk>();
        services.AddProblemDetails();
        services.ConfigureHttpJsonOptions(json =>
        {
            json.SerializerOptions.PropertyNamingPolicy = Names;
            json.SerializerOptions.DefaultIgnoreCondition = JsonIgnoreCondition.Never;
            json.SerializerOptions.UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow;
            json.SerializerOptions.Encoder = System
                .Text
                .Encodings
                .Web
                .JavaScriptEncoder
                .UnsafeRelaxedJsonEscaping;
        });
        services.AddOpenApi(OpenApiText.Describe);
    }

    public static void MapApi(this WebApplication app)
    {
        app.MapGet(
                "/health",
                () =>
                    TypedResults.Ok(
                        new ProgramState("ok", typeof(Endpoints).Assembly.GetName().Version!.ToString(3))
                    )
            )
            .RequireAuthorization(Access.Open)
            .WithSummary("Whether the program answers.");
        app.MapPost("/preferences", SetPreferences)
            .RequireAuthorization(Access.Open)
            .ExcludeFromDescription();
        app.MapOpenApi().RequireAuthorization(Access.Record);
        RouteGroupBuilder api = app.MapGroup("/api").AddEndpointFilter<SameSite>();
        EstimateApi.Map(api);
        RigApi.Map(api);
        AnswerApi.Map(api);
        RecordApi.Map(api);
        HandoutApi.Map(api);
        LinkApi.Map(api);
        AlarmApi.Map(api);
        YourWaterApi.Map(api);
        IngestApi.Map(api);
        FleetApi.Map(api);
    }

    /// <summary>Keeps the choices of units and of light or dark in cookies, and goes back.</summary>
    private static async Task<IResult> SetPreferences(HttpContext context, IAntiforgery forgery)
    {
        if (!await forgery.IsRequestValidAsync(context))
        {
            return Problems.Because(
                StatusCodes.Status400BadRequest,
                "The page was open for too long",
                "Load it again."
            );
        }

        IFormCollection form = await context.Request.ReadFormAsync(context.RequestAborted);
        foreach (
            (string name, string cookie) in new[]
            {
                ("units", Preferences.UnitsCookie),
                ("theme", Preferences.ThemeCookie),
            }
        )
        {
            if (form[name].ToString() is { Length: > 0 and < 10 } value)
            {
                context.Response.Cookies.Append(
                    cookie,
                    value,
                    new CookieOptions
                    {
                        HttpOnly = true,
                        SameSite = SameSiteMode.Lax,
                        MaxAge = TimeSpan.FromDays(3650),
                        IsEssential = true,
                    }
                );
            }
        }

        string to = form["to"].ToString();
        return TypedResults.LocalRedirect(to is ['/', not '/' and not '\\', ..] ? to : "/");
    }

    /// <summary>Lets no page of elsewhere write through a visitor's browser: a browser says where a request comes from.</summary>
    private sealed class SameSite : IEndpointFilter
    {
        public ValueTask<object?> InvokeAsync(
            EndpointFilterInvocationContext context,
            EndpointFilterDelegate next
        )
        {
            HttpRequest request = context.HttpContext.Request;
            string origin = request.Headers.Origin.ToString();
            bool isOurs =
                HttpMethods.IsGet(request.Method)
                || origin.Length == 0
                || (
                    Uri.TryCreate(origin, UriKind.Absolute, out Uri? from)
                    && string.Equals(from.Authority, request.Host.Value, StringComparison.OrdinalIgnoreCase)
                );
            return isOurs
                ? next(context)
                : ValueTask.FromResult<object?>(
                    Problems.Because(
                        StatusCodes.Status403Forbidden,
                        "Not from here",
                        $"A page of {origin} may not write into this record."
                    )
                );
        }
    }
}
