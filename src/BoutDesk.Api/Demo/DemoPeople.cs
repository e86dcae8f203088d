using System.Globalization;
using System.Text;
using BoutDesk.Domain.Seeding;

namespace BoutDesk.Api.Demo;

/// <summary>Invented people of invented clubs.</summary>
internal static class DemoPeople
{
    private static readonly (string Name, string Country)[] Clubs =
    [
        ("Port Selwyn Fencers", "GBR"),
        ("Tarnbridge Salle", "GBR"),
        ("Cercle d'Escrime d'Orvanne", "FRA"),
        ("Salle Marivelle", "FRA"),
        ("Fechtgilde Nordhafen", "GER"),
        ("Klingenkreis Ahrental", "GER"),
        ("Scherma Isola Chiara", "ITA"),
        ("Esgrima Montalbar", "ESP"),
        ("Degenclub Zuiderwaard", "NED"),
        ("Szabla Brzozowo", "POL"),
    ];

    private static readonly string[] FamilyNames =
    [
        "Abara", "Aldwin", "Bellamour", "Brandvik", "Calloway", "Cervenka", "Dorrance", "Duvernet", "Eastmere", "Eberlein",
        "Fairweather", "Fontenoy", "Garrod", "Gretzmann", "Hallam", "Hoekveld", "Iversen", "Jarosz", "Kestler", "Kowalczyk",
        "Lachaume", "Lindqvist", "Marchetti", "Moravec", "Nakagawa", "Northcote", "O'Shaunessy", "Ortuño", "Pellerin", "Prochnow",
        "Quist", "Rasmund", "Rovigo", "Sabatier", "Szymborski", "Tannhauer", "Thackray", "Ullmann", "Valcourt", "Vermeulen",
        "Wainright", "Wexford", "Yilmaz", "Zanetti", "Zielonka", "Ångström",
    ];

    private static readonly string[] Women =
    [
        "Ada", "Alma", "Anouk", "Beatrix", "Carla", "Clio", "Edda", "Flora", "Greta", "Hana", "Ines", "Juno",
        "Kaia", "Leonor", "Mira", "Nora", "Paloma", "Rosa", "Runa", "Tilda", "Vera", "Yara", "Zora",
    ];

    private static readonly string[] Men =
    [
        "Anselm", "Bruno", "Casimir", "Dario", "Elio", "Emeka", "Fabian", "Ivo", "Jasper", "Lucjan", "Mael",
        "Nadir", "Oskar", "Quentin", "Rafał", "Samir", "Søren", "Ugo", "Wiktor",
    ];

    /// <summary>A list of a dozen referees in CSV.</summary>
    public static string Referees { get; } = """
        familyName,givenName,club,country,weapons,level,from,to,breaks
        Amberley,Ruth,Port Selwyn Fencers,GBR,foil epee sabre,international,,,
        Bonnefoy,Luc,Salle Marivelle,FRA,foil epee,national,,,
        Castellan,Iris,Cercle d'Escrime d'Orvanne,FRA,epee sabre,national,,,
        Delmarre,Odile,Salle Marivelle,FRA,foil sabre,regional,,,
        Ekholm,Stig,,SWE,epee sabre,international,,,
        Feldhaus,Jutta,Fechtgilde Nordhafen,GER,foil epee sabre,regional,,17:00,12:00-12:45
        Gallardo,Pau,Esgrima Montalbar,ESP,foil sabre,club,,,
        Hartwell,Owen,Tarnbridge Salle,GBR,foil epee,club,09:00,,
        Imhof,Reto,,SUI,foil epee sabre,national,,,
        Janczak,Ola,Szabla Brzozowo,POL,sabre,international,,,
        Kerrigan,Maeve,,IRL,foil epee,regional,,,
        Lonsdale,Piers,Port Selwyn Fencers,GBR,foil sabre,club,,,

        """;

    /// <summary>An entry list in CSV.</summary>
    /// <param name="count">How many people.</param>
    /// <param name="category">women, men or mixed.</param>
    /// <param name="firstYear">The first year of birth.</param>
    /// <param name="years">Over how many years they were born.</param>
    /// <param name="lots">Chance.</param>
    public static string EntryList(int count, string category, int firstYear, int years, LotSequence lots)
    {
        var csv = new StringBuilder("familyName,givenName,club,country,ranking,hand,birthYear\n");
        string[] givenNames = category switch
        {
            "women" => Women,
            "men" => Men,
            _ => [.. Women, .. Men],
        };
        var taken = new HashSet<(int, int)>();
        for (var rank = 1; rank <= count;)
        {
            var (family, given) = (lots.Below(FamilyNames.Length), lots.Below(givenNames.Length));
            if (!taken.Add((family, given)))
            {
                continue;
            }

            // The home club brings more than the others, as it goes.
            var (club, country) = Clubs[lots.Below(4) == 0 ? 0 : lots.Below(Clubs.Length)];
            var ranked = rank <= count * 2 / 3 ? rank.ToString(CultureInfo.InvariantCulture) : string.Empty;
            var hand = lots.Below(7) == 0 ? "left" : "right";
            csv.Append(CultureInfo.InvariantCulture, $"{FamilyNames[family]},{givenNames[given]},{club},{country},{ranked},{hand},{firstYear + lots.Below(years)}\n");
            rank++;
        }

        return csv.ToString();
    }
}
