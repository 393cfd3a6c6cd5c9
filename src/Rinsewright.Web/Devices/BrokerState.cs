namespace Rinsewright.Web.Devices;

/// <summary>Whether the broker is listened to.</summary>
internal sealed class BrokerState
{
    private volatile bool _isConnected;

    public bool IsConnected
    {
        get => _isConnected;
        set => _isConnected = value;
    }
}
