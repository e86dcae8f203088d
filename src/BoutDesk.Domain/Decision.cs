using System.Collections.Immutable;

namespace BoutDesk.Domain;

/// <summary>A fact to be kept: the stream it belongs to, and what happened.</summary>
/// <param name="StreamId">The identifier of the tournament, competition, bout, equipment record or loan kit concerned.</param>
/// <param name="Event">What happened; one of the event records of this library.</param>
public readonly record struct Fact(string StreamId, object Event);

/// <summary>
/// The answer to a command: facts to be kept together or not at all, or the <see cref="Refusal"/> that says
/// why nothing happened. No facts and no refusal means that the command was already fulfilled.
/// </summary>
public sealed record Decision
{
    private Decision(ImmutableArray<Fact> facts, Refusal? refusal)
    {
        Facts = facts;
        Refusal = refusal;
    }

    /// <summary>The command was already fulfilled: nothing to keep.</summary>
    public static Decision Nothing { get; } = new([], null);

    /// <summary>What is to be kept, in order; empty when refused.</summary>
    public ImmutableArray<Fact> Facts { get; }

    /// <summary>Why nothing happened, or null.</summary>
    public Refusal? Refusal { get; }

    /// <summary>Accepts the command with these facts.</summary>
    public static Decision Accept(IEnumerable<Fact> facts) => new([.. facts], null);

    /// <summary>Accepts the command with one fact in one stream.</summary>
    public static Decision Accept(string streamId, object happened) => new([new Fact(streamId, happened)], null);

    /// <summary>Refuses the command.</summary>
    public static Decision Refuse(Refusal refusal) => new([], refusal);

    /// <summary>Refuses the command.</summary>
    public static implicit operator Decision(Refusal refusal) => Refuse(refusal);
}
