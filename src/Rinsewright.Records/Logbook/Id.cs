using System.Buffers.Binary;
using System.Security.Cryptography;

namespace Rinsewright.Records.Logbook;

/// <summary>Identity of an entry of kind <typeparamref name="T"/>; a rig's id cannot stand where a stage's is meant.</summary>
/// <param name="Value">A UUID of version 7 (RFC 9562).</param>
public readonly record struct Id<T>(Guid Value) : IComparable<Id<T>>
    where T : Entry<T>
{
    public override string ToString() => Value.ToString();

    /// <summary>The order of time, as both databases have it.</summary>
    public int CompareTo(Id<T> other) => Value.CompareTo(other.Value);

    public static bool operator <(Id<T> one, Id<T> other) => one.CompareTo(other) < 0;

    public static bool operator <=(Id<T> one, Id<T> other) => one.CompareTo(other) <= 0;

    public static bool operator >(Id<T> one, Id<T> other) => one.CompareTo(other) > 0;

    public static bool operator >=(Id<T> one, Id<T> other) => one.CompareTo(other) >= 0;
}

/// <summary>
/// Makes time-ordered ids (UUID version 7, RFC 9562 section 5.7): 48 bits of milliseconds, a 12-bit
/// counter within the millisecond, 62 random bits. A clock that goes back does not make ids go back.
/// </summary>
public sealed class IdSource
{
    private readonly TimeProvider _clock;
    private readonly Random? _random;
    private readonly Lock _gate = new();

    // Asking the system for randomness costs more than all the rest of an id, so it is asked for many at once.
    private readonly byte[] _randomness = new byte[4096];
    private int _randomnessLeft;
    private long _lastMillisecond;
    private int _counter;

    /// <summary>Starts a sequence of ids.</summary>
    /// <param name="clock">Gives the time part.</param>
    /// <param name="random">A seeded stream when the ids must be repeatable; otherwise the system's own randomness.</param>
    public IdSource(TimeProvider clock, Random? random = null)
    {
        _clock = clock;
        _random = random;
    }

    public Id<T> Next<T>()
        where T : Entry<T> => new(Next());

    internal Guid Next()
    {
        Span<byte> bytes = stackalloc byte[16];
        lock (_gate)
        {
            long now = _clock.GetUtcNow().ToUnixTimeMilliseconds();
            if (now > _lastMillisecond)
            {
                _lastMillisecond = now;
                _counter = 0;
            }
            else if (++_counter == 1 << 12)
            {
                _lastMillisecond++;
                _counter = 0;
            }

            if (_random is null)
            {
                if (_randomnessLeft == 0)
                {
                    RandomNumberGenerator.Fill(_randomness);
                    _randomnessLeft = _randomness.Length;
                }

                _randomnessLeft -= 8;
                _randomness.AsSpan(_randomnessLeft, 8).CopyTo(bytes[8..]);
            }
            else
            {
                _random.NextBytes(bytes[8..]);
            }

            BinaryPrimitives.WriteInt64BigEndian(bytes, _lastMillisecond << 16);
            BinaryPrimitives.WriteUInt16BigEndian(bytes[6..], (ushort)(0x7000 | _counter));
            bytes[8] = (byte)(0x80 | (bytes[8] & 0x3F));
        }

        return new Guid(bytes, bigEndian: true);
    }
}
