using Microsoft.Extensions.DependencyInjection;
using Rinsewright.Records.Alarms;
using Rinsewright.Web.People;

namespace Rinsewright.Web.Alarms;

/// <summary>A way by which messages are brought.</summary>
internal interface IAlarmRoute
{
    DeliveryRoute Route { get; }

    /// <summary>Brings a message there.</summary>
    /// <exception cref="NotDeliveredException">It could not be brought; why is told to whoever set the destination.</exception>
    Task SendAsync(DueMessage message, CancellationToken cancel);
}

/// <summary>A message could not be brought, with the reason.</summary>
internal sealed class NotDeliveredException(string reason, Exception? inner = null)
    : IOException(reason, inner);

/// <summary>Alarms as part of a host.</summary>
internal static class AlarmHosting
{
    /// <summary>What every host has: whoever looks for alarms, whoever sends what waits.</summary>
    public static void AddAlarms(this IServiceCollection services)
    {
        services.AddOnWholeRecord<AlarmBook>();
        services.AddOnWholeRecord<AlarmOutbox>();
        services.AddSingleton<RigAlarms>();
        services.AddSingleton<DeviceAlarms>();
        services.AddTransient<ChangedRigs>();
        services.AddSingleton<AlarmWords>();
        services.AddSingleton<AlarmLinks>();
        services.AddSingleton<AlarmMeter>();
        services.AddSingleton<IAlarmRoute, MailRoute>();
        services.AddSingleton<IAlarmRoute, WebhookRoute>();
        services.AddSingleton<IAlarmRoute, MqttRoute>();
        services.AddHostedService<AlarmSender>();
    }

    /// <summary>What a host has besides that shares its work with nobody.</summary>
    public static void LookAlone(IServiceCollection services) => services.AddHostedService<AlarmRound>();
}
