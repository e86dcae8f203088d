namespace BoutDesk.Domain.Strips;

/// <summary>
/// A rectangle of floor whose sides are parallel to the walls, in millimetres. The hall's upper left corner is 0, 0; x
/// grows to the right and y downwards, as on the drawing.
/// </summary>
/// <param name="X">The left side.</param>
/// <param name="Y">The upper side.</param>
/// <param name="Width">From the left to the right side.</param>
/// <param name="Height">From the upper to the lower side.</param>
public readonly record struct FloorArea(int X, int Y, int Width, int Height)
{
    /// <summary>The right side.</summary>
    public int Right => X + Width;

    /// <summary>The lower side.</summary>
    public int Bottom => Y + Height;

    /// <summary>Whether two areas have floor in common; those that only touch have none.</summary>
    public bool Overlaps(FloorArea other) => X < other.Right && other.X < Right && Y < other.Bottom && other.Y < Bottom;

    /// <summary>Whether another area lies within this one; sides may touch.</summary>
    public bool Contains(FloorArea other) => X <= other.X && other.Right <= Right && Y <= other.Y && other.Bottom <= Bottom;

    /// <summary>The area with a margin on every side; a negative margin makes it smaller.</summary>
    public FloorArea Grown(int margin) => new(X - margin, Y - margin, Width + (2 * margin), Height + (2 * margin));

    /// <summary>The area moved to the right and down.</summary>
    public FloorArea Moved(int right, int below) => this with { X = X + right, Y = Y + below };

    /// <summary>The area with left and right for above and below.</summary>
    public FloorArea Transposed => new(Y, X, Height, Width);
}
