using System.Collections.Immutable;

namespace BoutDesk.Domain;

/// <summary>Why a command was not carried out. The names are stable: clients decide by them.</summary>
public enum RefusalReason
{
    /// <summary>A value is outside its range; <see cref="Refusal.Field"/> names it.</summary>
    InvalidValue,

    /// <summary>A fencer of the bout is not known yet.</summary>
    BoutNotReady,

    /// <summary>The bout has its result; only a correction can change it.</summary>
    BoutDecided,

    /// <summary>The bout does not count, because one of its fencers left the pool.</summary>
    BoutAnnulled,

    /// <summary>There is nothing of the kind to take back.</summary>
    NothingToTakeBack,

    /// <summary>The weapon knows no double touches.</summary>
    NoDoubleTouch,

    /// <summary>The fencer has a yellow or red card already, so a yellow is no longer possible.</summary>
    AlreadyWarned,

    /// <summary>The score is level and nobody has priority yet.</summary>
    PriorityMissing,

    /// <summary>Priority is drawn at a level score when time has run out, once.</summary>
    PriorityNotDue,

    /// <summary>The result was confirmed; only the desk corrects it.</summary>
    DeskOnly,

    /// <summary>The correction changes later stages; the desk must say what shall happen to them.</summary>
    CorrectionHasConsequences,

    /// <summary>The round was closed; its bouts are no longer scored.</summary>
    RoundClosed,

    /// <summary>Bouts of the round are still open.</summary>
    BoutsOpen,

    /// <summary>The step was taken already.</summary>
    AlreadyDone,

    /// <summary>Another step must come first.</summary>
    StepMissing,

    /// <summary>Entrants were neither checked in nor marked absent.</summary>
    CheckInOpen,

    /// <summary>There are too few fencers.</summary>
    TooFewFencers,

    /// <summary>A bout of the stage has begun, so the draw stands.</summary>
    BoutsBegun,

    /// <summary>Entries are closed, because pools or tableau were drawn.</summary>
    EntriesClosed,

    /// <summary>The same person is entered already.</summary>
    DuplicateEntrant,

    /// <summary>The entrant's state does not allow it.</summary>
    EntrantState,

    /// <summary>The equipment of a fencer has not passed, and the competition asks for it.</summary>
    EquipmentNotPassed,

    /// <summary>The item of loan kit is with somebody.</summary>
    KitOut,

    /// <summary>The item of loan kit must be mended before it is handed out.</summary>
    KitToMend,

    /// <summary>The item of loan kit was retired or taken out of the stock.</summary>
    KitGone,

    /// <summary>A rule stands against the referee for this pool or bout.</summary>
    RefereeUnsuited,
}

/// <summary>A refusal, with what a person at the desk or strip needs to go on.</summary>
/// <param name="Reason">The stable reason.</param>
/// <param name="Sentence">
/// What is the matter and what to do, in one or two sentences: English with its values apart, so that it can be said in
/// another language.
/// </param>
public sealed record Refusal(RefusalReason Reason, FormattableString Sentence)
{
    /// <summary>The sentence in English.</summary>
    public string Message => FormattableString.Invariant(Sentence);

    /// <summary>The field of the command that is wrong, or null when the state is the reason.</summary>
    public string? Field { get; init; }

    /// <summary>The identifiers of the bouts or entrants that the sentence speaks of; may be empty.</summary>
    public ImmutableArray<string> Concerns { get; init; } = [];

    /// <summary>What would follow if it were done, each in a sentence; may be empty.</summary>
    public ImmutableArray<FormattableString> Consequences { get; init; } = [];

    /// <summary>A value outside its range.</summary>
    public static Refusal Invalid(string field, FormattableString sentence) =>
        new(RefusalReason.InvalidValue, sentence) { Field = field };

    /// <summary>What is wrong with a short text of one line; nothing when there is none.</summary>
    /// <param name="field">The field.</param>
    /// <param name="text">The text, or null.</param>
    /// <param name="most">How many characters it may have.</param>
    internal static IEnumerable<Refusal> OfText(string field, string? text, int most)
    {
        if (text?.Length > most)
        {
            yield return Invalid(field, $"Must have at most {most} characters, but has {text.Length}.");
        }

        if (text?.Any(char.IsControl) == true)
        {
            yield return Invalid(field, $"Must not contain line breaks, tabs or other control characters.");
        }
    }

    /// <summary>A value that a calculation does not take, in the calculation's own words.</summary>
    public static Refusal Invalid(string field, ArgumentException unusable)
    {
        // The name of the parameter, which the runtime appends, means nothing to whoever sent the field.
        var end = unusable.Message.IndexOf(" (Parameter '", StringComparison.Ordinal);
        return Invalid(field, $"{(end < 0 ? unusable.Message : unusable.Message[..end])}");
    }
}
