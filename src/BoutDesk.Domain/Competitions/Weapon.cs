namespace BoutDesk.Domain.Competitions;

/// <summary>The three weapons.</summary>
public enum Weapon
{
    /// <summary>Foil: a thrusting weapon, target the torso, touches by right of way; no double touches.</summary>
    Foil,

    /// <summary>Épée: a thrusting weapon, target the whole body; double touches count for both.</summary>
    Epee,

    /// <summary>Sabre: cut and thrust, target from the waist up, touches by right of way; no double touches.</summary>
    Sabre,
}

/// <summary>Who a competition is open to.</summary>
public enum Category
{
    /// <summary>Women.</summary>
    Women,

    /// <summary>Men.</summary>
    Men,

    /// <summary>Everybody.</summary>
    Mixed,
}
