using BoutDesk.Api.Board;
using BoutDesk.Api.LoanKit;
using BoutDesk.Domain.Competitions;
using BoutDesk.Domain.Entries;
using BoutDesk.Domain.LoanKit;
using static BoutDesk.Api.Pages.Texts;

namespace BoutDesk.Api.Desk;

/// <summary>How the pages call loan kit.</summary>
internal static class KitWording
{
    /// <summary>Kind and label in a line, the number where nothing is written on it.</summary>
    public static string Name(KitView item) => $"{Wording.Of(item.Item)} {item.Label ?? "#" + item.Number}";

    /// <summary>What tells it from others of its kind.</summary>
    public static string Details(KitView item)
    {
        var details = new[]
        {
            item.Weapon is { } weapon ? Wording.Of(weapon) : null,
            item.Size is { } size ? T("size {0}", size) : null,
            item.Hand switch { KitHand.Left => T("left hand"), KitHand.Right => T("right hand"), _ => null },
            item.Club,
        };
        return string.Join(" · ", details.OfType<string>());
    }

    /// <summary>Why it is to be fetched.</summary>
    public static string Of(DueReason due) => due == DueReason.FencerLeft ? T("has left") : T("competition finished");

    /// <summary>Why an item does not suit a fencer, or null.</summary>
    public static string? Odd(KitView item, Entrant entrant, Weapon weapon)
    {
        var kinds = LoanDecider.Warnings(item.Details(), entrant, weapon).Select(w => w.Kind).ToHashSet();
        return kinds.Contains(LoanWarningKind.OtherHand) ? T("for the other hand")
            : kinds.Contains(LoanWarningKind.OtherWeapon) ? T("for another weapon")
            : null;
    }

    /// <summary>What is out, what is to be fetched first, then by fencer.</summary>
    public static IEnumerable<KitView> Out(IEnumerable<KitView> kit) => kit.Where(i => i.State == KitState.Out)
        .OrderBy(i => i.Due ?? (DueReason)int.MaxValue).ThenBy(i => i.Fencer, Wording.Alphabet).ThenBy(i => i.Item).ThenBy(i => i.Number);

    /// <summary>What is in a state, by kind, then as people read labels.</summary>
    public static IEnumerable<KitView> Sorted(IEnumerable<KitView> kit, KitState state) =>
        kit.Where(i => i.State == state).OrderBy(i => i.Item).ThenBy(i => i.Weapon).ThenBy(i => i.Size, Wording.Alphabet).ThenBy(i => i.Number);
}
