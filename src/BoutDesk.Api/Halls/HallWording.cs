using BoutDesk.Domain.Strips;
using static BoutDesk.Api.Pages.Texts;

namespace BoutDesk.Api.Halls;

/// <summary>How the page of a hall calls things.</summary>
internal static class HallWording
{
    public static string Of(Wall wall) => wall switch
    {
        Wall.Top => T("at the top"),
        Wall.Right => T("on the right"),
        Wall.Bottom => T("at the bottom"),
        _ => T("on the left"),
    };

    public static string Of(StripLine line) => line switch
    {
        StripLine.Side => T("sides, between the last 2 m"),
        StripLine.End => T("end lines"),
        StripLine.Centre => T("centre line"),
        StripLine.OnGuard => T("on-guard lines"),
        StripLine.WarningSide => T("sides of the last 2 m"),
        _ => T("where the last 2 m begin"),
    };

    public static string Of(Tape tape) => tape == Tape.Line ? T("the lines") : T("the last 2 m");
}
